"""The batches of agent at work: begun, weighed, tested, certified, sent away, used up; and their accounts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any, Protocol

from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.batches import AgentBatch, BatchEntry
from pinseal.records.record import Draft, Record
from pinseal.records.record_kinds import check_record
from pinseal.records.registers import Instrument
from pinseal.rules.agent_account import WEIGHED, AccountEntry, Stretch, book_kg, stretches
from pinseal.service.agent_ledger import Movement, kg_of
from pinseal.service.office import Writer

_WHATS = {
    "batch-received": "bought",
    "batch-recovered": "recovered",
    "batch-weighed": WEIGHED,
    "batch-used-up": WEIGHED,
    "batch-sent": "sent",
}


class BatchKeeper(Protocol):
    """What the batches need of a shop's store."""

    def batches(self) -> list[AgentBatch]: ...
    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchAccount:
    """A batch with every entry of its account, and what should lie in it. Masses [kg]; None where it cannot be told."""

    batch: AgentBatch
    entries: tuple[AccountEntry, ...]
    stretches: tuple[Stretch, ...]
    left_kg: Fraction | None

    def as_json(self) -> dict[str, Any]:
        found = self.batch
        return {
            "uid": found.uid,
            "id": found.id,
            "agent": found.agent,
            "origin": found.origin,
            "recycled": found.is_recycled,
            "lot": found.lot,
            "container": found.container,
            "came_from": found.came_from,
            "began": str(found.began) if found.began else None,
            "used_up": {"since": str(found.used_up.since), "reason": found.used_up.reason} if found.used_up else None,
            "left_kg": _number(self.left_kg),
            "tests": [
                {"date": str(t.done), "purity_percent": t.purity, "method": t.method, "passed": t.passed, "laboratory": t.laboratory,
                 "certificate": t.certificate, "record": t.record} for t in found.tests
            ],
            "certificates": [
                {"date": str(c.done), "number": c.number, "recycler": c.recycler, "mass": c.mass, "record": c.record}
                for c in found.certificates
            ],
            "account": [stretch_json(each) for each in self.stretches],
            "marks": [{"record": mark.record, "text": mark.text} for mark in found.marks],
        }  # fmt: skip


def _number(kg: Fraction | None) -> float | None:
    return None if kg is None else round(float(kg), 6)


def stretch_json(found: Stretch) -> dict[str, Any]:
    """One stretch of an account, in plain values."""
    return {
        "since": str(found.since) if found.since else None,
        "until": str(found.until),
        "record": found.record,
        "book_kg": _number(found.book_kg),
        "weighed_kg": _number(found.weighed_kg),
        "lost_kg": _number(found.lost_kg),
        "verdict": found.balance.verdict if found.balance else "unknown",
        "because": list(found.balance.because) if found.balance else [found.why],
        "entries": [{"record": each.record, "date": str(each.done), "what": each.what, "kg": _number(each.kg)} for each in found.entries],
        "suspects": [{"record": each.entry.record, "date": str(each.entry.done), "words": each.words} for each in found.suspects],
    }


# -- what is written


def find_batch(batches: Sequence[AgentBatch], text: str) -> AgentBatch:
    """The one batch of an id or uid, letter case aside. Raises `Refusal` for none, and for several."""
    key = text.strip().casefold()
    found = [each for each in batches if key and key in (each.id.casefold(), each.uid)]
    if len(found) == 1:
        return found[0]
    known = ", ".join(each.id or each.uid for each in batches) or "none yet"
    what = "there is no such batch of agent" if not found else "several batches have this name"
    raise Refusal(what=what, rule=f"the batches are {known}", got=text, do="check the name, or use the uid")


def begin_batch(keeper: BatchKeeper, writer: Writer, kind: str, *, done: date, fields: Mapping[str, str]) -> AgentBatch:
    """A batch is bought, found in the store, or begun for recovered agent. Raises `Refusal` for a name that is taken."""
    name = fields.get("id", "").strip().casefold()
    if name and any(name in (each.id.casefold(), each.uid) for each in keeper.batches()):
        raise Refusal(
            what="this name is taken",
            rule="a name means one batch of agent, for good: a drum that comes back full is a batch of its own",
            got=fields["id"],
            do="choose another, as in R-4-2",
        )
    return _write(keeper, writer, kind, writer.new_uid(), done, fields)


def add_to_batch(keeper: BatchKeeper, writer: Writer, kind: str, name: str, *, done: date, fields: Mapping[str, str]) -> AgentBatch:
    """Something is recorded about a batch. Raises `Refusal`, for one that was used up before that day too."""
    batch = find_batch(keeper.batches(), name)
    if batch.used_up is not None and kind in ("batch-sent", "batch-weighed", "batch-used-up") and done >= batch.used_up.since.earliest:
        raise Refusal(
            what="this batch is used up",
            rule=f"nothing has been in it since {batch.used_up.since}",
            got=batch.id,
            do="begin another batch, or correct the record batch-used-up",
        )
    if kind == "batch-tested":
        _check_purity(fields.get("purity", ""))
    return _write(keeper, writer, kind, batch.uid, done, fields)


def _check_purity(text: str) -> None:
    try:
        found = float(text)
    except ValueError:
        return  # the record says what a percent is
    if not 0 < found <= 100:
        raise Refusal(what="this is no purity", rule="above 0 and at most 100 percent", got=text, do="take it from the laboratory's paper")


def _write(keeper: BatchKeeper, writer: Writer, kind: str, uid: str, done: date, fields: Mapping[str, str]) -> AgentBatch:
    check_record(kind, fields)
    draft = Draft(kind=kind, unit=uid, person=writer.person, done=PartialDate.of(done), fields=fields)
    keeper.write([draft], writer=writer.device, received=writer.now)
    return next(each for each in keeper.batches() if each.uid == uid)


# -- accounts


@dataclass(frozen=True, slots=True, kw_only=True)
class Assigned:
    """Which movement of units belongs to which batch; `loose` belong to none, each with why."""

    by_batch: Mapping[str, tuple[Movement, ...]]
    loose: tuple[tuple[Movement, str], ...]


def assigned(batches: Sequence[AgentBatch], moved: Iterable[Movement]) -> Assigned:
    """Give each movement to the batch that it names as its container, else as its lot. Agent and batch must be the same agent."""
    by_batch: dict[str, list[Movement]] = {}
    loose = []
    for each in moved:
        found, why = _batch_of(batches, each)
        if found is None:
            loose.append((each, why))
        else:
            by_batch.setdefault(found.uid, []).append(each)
    return Assigned(by_batch={uid: tuple(some) for uid, some in by_batch.items()}, loose=tuple(loose))


def _batch_of(batches: Sequence[AgentBatch], each: Movement) -> tuple[AgentBatch | None, str]:
    if not each.container and not each.lot:
        return None, "it names no container and no lot"
    same = [batch for batch in batches if batch.agent == each.agent]
    drum, lot = each.container.strip().casefold(), each.lot.strip().casefold()
    tries = (
        [batch for batch in same if drum and drum in (batch.id.casefold(), batch.container.casefold())],
        [batch for batch in same if lot and lot in (batch.id.casefold(), batch.lot.casefold())] if each.into or not drum else [],
    )
    for found in tries:
        here = [batch for batch in found if _was_here(batch, each.done)] or found
        if len(here) == 1:
            return here[0], ""
        if here:
            return None, f"several batches fit: {', '.join(batch.id for batch in here)}"
    return None, "no batch on record has this container or lot"


def _was_here(batch: AgentBatch, on: PartialDate) -> bool:
    began = batch.began is None or batch.began.earliest <= on.latest
    return began and (batch.used_up is None or on.earliest <= batch.used_up.since.latest)


def account_of(batch: AgentBatch, moved: Iterable[Movement], *, scale_kg: Fraction | None, on: date) -> BatchAccount:
    """The account of one batch at the end of a day."""
    entries = [_entry(each) for each in batch.entries]
    entries += [_moved(each) for each in moved]
    entries = [each for each in entries if each.done.earliest <= on]
    return BatchAccount(
        batch=batch,
        entries=tuple(entries),
        stretches=tuple(stretches(entries, scale_kg=scale_kg)),
        left_kg=book_kg(entries, on) if batch.id else None,
    )


def _entry(each: BatchEntry) -> AccountEntry:
    return AccountEntry(record=each.record, done=each.done, what=_WHATS[each.kind], kg=kg_of(each.mass))


def _moved(each: Movement) -> AccountEntry:
    return AccountEntry(record=each.record, done=each.done, what="charged" if each.into else "recovered", kg=each.mass_kg, unit=each.unit)


def scale_doubt_kg(instruments: Iterable[Instrument]) -> tuple[Fraction | None, str]:
    """How far one weighing may be wrong (k = 2) on the coarsest scale in use [kg], and which scale that is.

    u^2 = d^2/12 + u_cal^2 (GUM, from memory); None where no scale in use says its step.
    """
    worst: Fraction | None = None
    named = ""
    for each in instruments:
        if each.what != "scale" or each.withdrawn is not None or not each.resolution:
            continue
        step, own = kg_of(each.resolution), kg_of(each.uncertainty or "0 kg")
        if step is None or own is None:
            continue
        doubt = Fraction(2 * float(step**2 / 12 + own**2) ** 0.5)
        if worst is None or doubt > worst:
            worst, named = doubt, each.id
    return worst, named
