"""What the office does with a shop: the dues of its units, recording a deed, the audit of the years gone by."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit, is_unit
from pinseal.records.kind import ANY_SUBJECT, SUBJECTS
from pinseal.records.record import Draft, Record
from pinseal.records.record_kinds import KINDS, check_record, kind_of
from pinseal.records.stepwise import states_before
from pinseal.records.unit import UnitState
from pinseal.records.withdrawals import Withdrawal as ListEntry
from pinseal.records.withdrawals import matches
from pinseal.rules.audit import Deed
from pinseal.service.duelist import Withdrawal

# By what is written of each subject that is no extinguisher.
_WRITTEN_BY = {
    "instrument": "`pinseal instruments`",
    "person": "`pinseal people`",
    "bottle": "the page Bench, supply bottles",
    "batch": "`pinseal agents`",
    "price-book": "`pinseal prices`",
    "quote": "`pinseal print quote`",
}
assert {*_WRITTEN_BY, "unit"} == set(SUBJECTS)


class Keeper(Protocol):
    """What the office needs of a shop's store."""

    def units(self) -> list[UnitState]: ...
    def state(self, on: date | None = None) -> dict[str, Unit]: ...
    def unit(self, uid: str, on: date | None = None) -> Unit | None: ...
    def find(self, text: str) -> list[UnitState]: ...
    def records(self, unit: str | None = None) -> list[Record]: ...
    def recalls(self) -> dict[str, tuple[str, ...]]: ...
    def withdrawals(self) -> tuple[ListEntry, ...]: ...
    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]: ...


def states_on(keeper: Keeper, on: date, today: date) -> list[UnitState]:
    """Every unit as it stood on a day: the kept present for today and later, a fold of the records for the past."""
    return keeper.units() if on >= today else [unit.state for unit in keeper.state(on).values()]


def withdrawals_of(
    entries: Iterable[ListEntry], recalls: Mapping[str, Sequence[str]], states: Sequence[UnitState], on: date
) -> dict[int, Withdrawal]:
    """The units, by their place in `states`, that a withdrawal list means, or may mean. A sure answer goes before a doubt."""
    entries = list(entries)
    found: dict[int, Withdrawal] = {}
    for index, state in enumerate(states):
        if state.removed or state.placeholder:
            continue
        for title in recalls.get(state.uid or "", ()):
            entry = next((e for e in entries if e.title == title), None)
            found[index] = _withdrawal(entry, ()) if entry else _only_recorded(title, on)
        for entry in entries if index not in found else ():
            match = matches(entry, state, on)
            if match.answer == "yes" or (match.answer == "perhaps" and index not in found):
                found[index] = _withdrawal(entry, match.missing)
            if match.answer == "yes":
                break
    return found


def _withdrawal(entry: ListEntry, missing: tuple[str, ...]) -> Withdrawal:
    return Withdrawal(title=entry.title, source=entry.source, action=entry.action, published=entry.published.earliest, missing=missing)


def _only_recorded(title: str, on: date) -> Withdrawal:
    return Withdrawal(title=title, source="as recorded", action="take it out of use", published=on)


def find_one(candidates: Sequence[UnitState], text: str, *, where: str) -> UnitState:
    """The one unit that a text means. Raises `Refusal` for none, or with the candidates for several."""
    if len(candidates) == 1:
        return candidates[0]
    if not candidates:
        raise Refusal(
            what=f"no such unit {where}", rule="a unit is named by its id, its serial or its uid", got=text, do="check the number"
        )
    names = "; ".join(_name(c) for c in candidates[:8]) + (" …" if len(candidates) > 8 else "")
    raise Refusal(
        what=f"{len(candidates)} units fit",
        rule="the number must mean one unit",
        got=f"{text}: {names}",
        do="use the serial or the uid of the one you mean",
    )


def _name(state: UnitState) -> str:
    numbers = [
        f"id {state.id}" if state.id else "",
        f"serial {state.serial}" if state.serial else "",
        f"row {state.row}" if state.row else "",
    ]
    place = ", ".join(p for p in (state.site, state.place) if p)
    uid = f"uid {state.uid}" if state.uid else ""
    return " ".join(p for p in (*numbers, f"({place})" if place else "", uid) if p)


def among(states: Sequence[UnitState], text: str) -> list[int]:
    """The places in `states` of the units that a text can mean: uid, id or serial, letter case aside; `row 12` in a list."""
    key = text.strip().casefold()
    named = [i for i, s in enumerate(states) if key in {str(n).casefold() for n in (s.uid, s.id, s.serial) if n}]
    return named or [i for i, s in enumerate(states) if s.row is not None and key == f"row {s.row}"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """Who writes: the device whose chain it is, the person, the moment, and a maker of uids for new units."""

    device: str
    person: str
    now: datetime
    new_uid: Callable[[], str]


def record(
    keeper: Keeper, writer: Writer, *, kind: str, unit: str, done: PartialDate, fields: Mapping[str, str], uid: str | None = None
) -> Record:
    """Record one thing about one unit. `registered` makes a new unit of that id where none fits. Raises `Refusal`."""
    code = _about_units(kind)
    candidates = keeper.find(unit)
    said = dict(fields)
    if code == "registered" and (not candidates or candidates[0].id == unit):
        said.setdefault("id", unit)
    new = code == "registered" and not candidates
    unit_uid = writer.new_uid() if new else find_one(candidates, unit, where="in this shop").uid or ""
    draft = Draft(kind=code, unit=unit_uid, person=writer.person, done=done, fields=check_record(code, said), uid=uid)
    return keeper.write([draft], writer=writer.device, received=writer.now)[0]


def _about_units(kind: str) -> str:
    """The code of a kind of record that can be about an extinguisher. Raises `Refusal` for any other."""
    found = kind_of(kind)
    if found.about in ("unit", ANY_SUBJECT):
        return found.code
    raise Refusal(
        what=f"a record {found.code} is not about an extinguisher",
        rule=f"it is about {SUBJECTS[found.about]}",
        got=kind,
        do=f"use {_WRITTEN_BY[found.about]}",
    )


def deeds_of(histories: Mapping[str, Sequence[Record]]) -> Iterator[Deed]:
    """Every deed on record that satisfies a duty, with the unit as it stood just before, unit by unit in order."""
    for records in histories.values():
        for fact, before in states_before(records):
            kind = KINDS.get(fact.kind)
            duty = kind.satisfies if kind else None
            if duty and duty != "retirement" and fact.fields.get("result") != "fail":
                yield Deed(before=before, duty=duty, done=fact.done, record=fact.uid)


def by_unit(records: Iterable[Record]) -> dict[str, list[Record]]:
    """The records of each extinguisher; those about instruments and people are left out."""
    found: dict[str, list[Record]] = {}
    for each in records:
        found.setdefault(each.unit, []).append(each)
    return {uid: some for uid, some in found.items() if is_unit(some)}
