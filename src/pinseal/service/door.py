"""The sync door: what a device sends is kept item by item, and the answer says of each what became of it.

`kept`: it is on the disk. `known`: it was there already, and nothing has changed. `refused`: in the four parts of a
refusal; it stays on the device. Sending the same twice, in another order, or after a lost answer leads to the same shop.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, Protocol

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.records.fold import Unit
from pinseal.records.kind import ANY_SUBJECT, SUBJECTS
from pinseal.records.record import Draft, Record, same_deed
from pinseal.records.record_kinds import check_record, kind_of
from pinseal.records.unit import UnitState
from pinseal.service.sent import NotRead, SentDraft, day_words
from pinseal.sheets.entries import Entry
from pinseal.sheets.working import Working

KEPT, KNOWN, REFUSED = "kept", "known", "refused"
# What the owner of a site may say of a unit there without a job sheet.
OWNER_KINDS = ("inspected", "found-deficient", "noted", "not-done")
OWNER_WORKS = ("inspection",)
OWNER_FIXES = ("correct",)  # what needs no hand on the unit: the way cleared, the label turned to the room
READS_ONLY = ("authority",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who hands in: the person who is signed in, their role and sites, the device, and the shop's time.

    `sites` None means every site; else only units of these are written about. `clock` says by how much the clock of the
    device is wrong, where that is a day or more: it is kept with everything that is handed in.
    """

    person: str
    role: str
    device: str
    now: datetime
    today: date
    sites: frozenset[str] | None = None
    clock: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What became of one item. `said` holds what is odd about it, in sentences."""

    uid: str | None
    word: str
    refusal: Refusal | None = None
    said: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"uid": self.uid, "word": self.word, "said": list(self.said)}
        return found if self.refusal is None else {**found, "refusal": self.refusal.as_json()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """What became of the closing of a sheet: its outcome by the shop's own judging, and what that made."""

    word: str
    outcome: str = ""
    state: str = ""
    records: int = 0
    moved: tuple[Mapping[str, str], ...] = ()
    refusal: Refusal | None = None

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"word": self.word}
        if self.refusal is not None:
            return {**found, "refusal": self.refusal.as_json()}
        return {
            **found,
            "outcome": self.outcome,
            "state": self.state,
            "records": self.records,
            "moved": [dict(each) for each in self.moved],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSaid:
    """What became of a job sheet, of each of its entries, and of its closing. `verdicts` are the shop's own."""

    sheet: Said
    entries: tuple[Said, ...] = ()
    close: Ended | None = None
    verdicts: tuple[Mapping[str, Any], ...] = ()
    decision: Mapping[str, Any] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        return {
            **self.sheet.as_json(),
            "entries": [each.as_json() for each in self.entries],
            "close": self.close.as_json() if self.close else None,
            "verdicts": [dict(each) for each in self.verdicts],
            "decision": dict(self.decision) or None,
        }


class DoorKeeper(Protocol):
    """What the door needs of a shop's store."""

    def records_named(self, uids: Sequence[str]) -> dict[str, Record]: ...
    def states_named(self, uids: Sequence[str]) -> dict[str, UnitState]: ...
    def units_named(self, uids: Sequence[str]) -> dict[str, Unit]: ...
    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]: ...


def take_drafts(keeper: DoorKeeper, sent: Sequence[SentDraft | NotRead], hand: Hand) -> list[Said]:
    """Keep facts, each by itself, bound into the chain of the device. Raises `ShopUnusable` and nothing else."""
    readable = [each for each in sent if isinstance(each, SentDraft)]
    known = keeper.records_named([each.uid for each in readable])
    states = keeper.states_named([each.unit for each in readable])
    answers: dict[int, Said] = {}
    fresh: dict[str, tuple[int, Draft]] = {}
    repeats: list[tuple[int, SentDraft]] = []
    for place, item in enumerate(sent):
        if isinstance(item, NotRead):
            answers[place] = Said(uid=item.uid, word=REFUSED, refusal=item.refusal)
        elif item.uid in known:
            answers[place] = _told_again(item, known[item.uid], hand)
        elif item.uid in fresh:
            repeats.append((place, item))
        else:
            try:
                fresh[item.uid] = place, _draft(item, states.get(item.unit), hand)
            except Refusal as refused:
                answers[place] = Said(uid=item.uid, word=REFUSED, refusal=refused)
    answers |= _written(keeper, list(fresh.values()), hand)
    if repeats:
        known = keeper.records_named([item.uid for _, item in repeats])
        for place, item in repeats:
            first = answers[fresh[item.uid][0]]
            answers[place] = _told_again(item, known[item.uid], hand) if item.uid in known else first
    return [answers[place] for place in range(len(sent))]


def _draft(sent: SentDraft, state: UnitState | None, hand: Hand) -> Draft:
    """A fact ready to be bound. Raises `Refusal` for a person, a kind or a unit that this hand may not write for."""
    kind = kind_of(sent.kind)
    if kind.about not in ("unit", ANY_SUBJECT):
        raise Refusal(
            what=f"a record {kind.code} does not come through this door",
            rule=f"it is about {SUBJECTS[kind.about]}, and the registers are kept in the office",
            got=sent.kind,
            do="record it in the office",
        )
    check_reach(hand, state, (kind.code,), OWNER_KINDS)
    fields = check_record(kind.code, sent.fields) | ({"clock": hand.clock} if hand.clock else {})
    return Draft(kind=kind.code, unit=sent.unit, person=signer(sent.person, hand), done=sent.done, fields=fields, uid=sent.uid)


def signer(said: str, hand: Hand) -> str:
    """Whose name stands under an item. Raises `Refusal` for another than the one who is signed in, unless a supervisor hands it in."""
    if said in ("", hand.person) or hand.role == "supervisor":
        return said or hand.person
    raise Refusal(
        what="this was written in another person's name",
        rule="a person hands in their own work; a supervisor may hand in another's",
        got=said,
        do=f"let {said} sign in on this device, or let a supervisor send it",
    )


def check_writes(role: str, person: str) -> None:
    """Whether a role may send anything at all. Raises `Refusal`."""
    if role in READS_ONLY:
        raise Refusal(what="this account only reads", rule="an authority changes nothing", got=person, do="ask the shop")


def check_reach(hand: Hand, state: UnitState | None, asked: Sequence[str], owners_may: Sequence[str]) -> None:
    """Whether this hand may write this about the unit. Raises `Refusal`."""
    check_writes(hand.role, hand.person)
    if hand.sites is None:
        return
    if state is None or (state.site or "") not in hand.sites:
        raise Refusal(
            what="there is no such unit at your sites", rule="an owner writes about their own sites", got=hand.person, do="ask the shop"
        )
    if wrong := [each for each in asked if each not in owners_may]:
        raise Refusal(
            what="this work is for the shop",
            rule=f"the owner of a site may send: {', '.join(owners_may)}",
            got=", ".join(wrong),
            do="ask the shop to do it",
        )


def check_entry(entry: Entry, work: Working | None = None) -> None:
    """Whether the owner of a site may enter this on a sheet: an owner looks, and puts right what needs no tool. Raises `Refusal`.

    Without `work` only what the entry alone tells is checked.
    """
    done = entry.kind in ("extend", "override")
    if work is not None and entry.kind == "step":
        step = work.job.step(entry.subject)
        done = step is not None and step.when == "leaving"
    if work is not None and entry.kind == "fix":
        done = any(found.finding == entry.subject and found.action not in OWNER_FIXES for found in work.findings)
    if done or entry.said.get("part"):
        raise Refusal(
            what="this is for the shop to do",
            rule="the owner of a site does inspections: looks, and puts right what needs no work on the unit",
            got=f"{entry.kind} {entry.subject}",
            do="say what you found and finish; the shop is told",
        )


def _told_again(sent: SentDraft, kept: Record, hand: Hand) -> Said:
    """The same fact again is known; another one under a uid that is taken is refused."""
    try:
        kind = kind_of(sent.kind).code
        fields = check_record(kind, sent.fields)
    except Refusal as refused:
        return Said(uid=sent.uid, word=REFUSED, refusal=refused)
    draft = Draft(kind=kind, unit=sent.unit, person=sent.person or kept.person, done=sent.done, fields=fields)
    said = {name: text for name, text in kept.fields.items() if name != "clock" or name in fields}
    if same_deed(replace(kept, fields=said), draft, hand.device):
        return Said(uid=sent.uid, word=KNOWN)
    return Said(uid=sent.uid, word=REFUSED, refusal=other_content("record", sent.uid))


def other_content(what: str, uid: str) -> Refusal:
    """Something else is kept under this uid."""
    return Refusal(
        what=f"another {what} is kept under this uid",
        rule="what is kept never changes, and a uid stands for one thing that one device made",
        got=uid,
        do="nothing was changed; if this is new, give it a uid of its own",
    )


def _written(keeper: DoorKeeper, drafts: Sequence[tuple[int, Draft]], hand: Hand) -> dict[int, Said]:
    """Write all at once; where that is refused, write each half, so that one that is wrong stops no other."""
    answers: dict[int, Said] = {}
    for some, refused in _written_parts(keeper, drafts, hand):
        for place, draft in some:
            word = KEPT if refused is None else REFUSED
            answers[place] = Said(uid=draft.uid, word=word, refusal=refused, said=() if refused else day_words(draft.done, hand.today))
    return _with_marks(keeper, answers, dict(drafts))


def _written_parts(
    keeper: DoorKeeper, drafts: Sequence[tuple[int, Draft]], hand: Hand
) -> Iterator[tuple[Sequence[tuple[int, Draft]], Refusal | None]]:
    if not drafts:
        return
    try:
        keeper.write([draft for _, draft in drafts], writer=hand.device, received=hand.now)
    except ShopUnusable:
        raise
    except Refusal as refused:
        if len(drafts) == 1:
            yield drafts, refused
            return
        half = len(drafts) // 2
        yield from _written_parts(keeper, drafts[:half], hand)
        yield from _written_parts(keeper, drafts[half:], hand)
    else:
        yield drafts, None


def _with_marks(keeper: DoorKeeper, answers: Mapping[int, Said], drafts: Mapping[int, Draft]) -> dict[int, Said]:
    """What the record of the unit finds odd about the new facts, beside what is kept."""
    kept = [drafts[place].unit for place, said in answers.items() if said.word == KEPT]
    marks: dict[str, list[str]] = {}
    for unit in keeper.units_named(kept).values():
        for mark in unit.marks:
            marks.setdefault(mark.record, []).append(mark.text)
    return {place: replace(said, said=(*said.said, *marks.get(said.uid or "", ()))) for place, said in answers.items()}
