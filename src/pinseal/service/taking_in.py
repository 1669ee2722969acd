"""Taking a list into a shop: what it would change, said before anything is written, and the records that do it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from pinseal import kinds
from pinseal.dates import PartialDate, parse_date
from pinseal.records.record import Draft
from pinseal.records.record_kinds import FACT_OF_FIELD, FIELD_OF_FACT, KINDS
from pinseal.records.registering import registered_fields
from pinseal.records.unit import UnitState, letters_and_figures

# A date on a list: the kind of record that it becomes, and what else the list says of that deed.
_DEEDS = {FIELD_OF_FACT[fact]: kind.code for kind in KINDS.values() if kind.work for fact in kind.sets}
_DETAILS = {"tested": {"test-method": "method"}, "recharged": {"recharge-opened": "opened"}}
_PLACES = ("site", "place")
# What the list says of itself, not of the unit.
_OF_THE_LIST = ("sheet", "row")


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One fact of a known unit that the list gives differently. Texts as people read them; `was` may be empty."""

    fact: str
    was: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One unit as the plan names it. `known` is the unit in the shop, `listed` the one on the list."""

    name: str
    known: UnitState | None = None
    listed: UnitState | None = None
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsure:
    """A row that may be a known unit: it waits for an answer, and is not taken in before."""

    id: str
    words: str
    readings: tuple[str, ...]


class Listed(Protocol):
    @property
    def units(self) -> Sequence[Any]: ...
    @property
    def questions(self) -> Sequence[Any]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportPlan:
    """What a list would change. Nothing is written until it is taken in.

    `matched` are the listed units that are known, `changed` those of them of which the list says something new.
    """

    register: Any
    matched: tuple[Line, ...]
    changed: tuple[Line, ...]
    new: tuple[Line, ...]
    vanished: tuple[Line, ...]
    counted: tuple[UnitState, ...]
    uncertain: tuple[Unsure, ...] = ()
    name: str = ""
    content_sha256: str = ""
    size: int = 0
    answers: Mapping[str, str] | None = None

    @property
    def same(self) -> int:
        """How many units are on the list just as they are known."""
        return len(self.matched) - len(self.changed)

    @property
    def placeholders(self) -> int:
        return len(self.counted)

    def as_json(self) -> dict[str, Any]:
        return {
            "units": len(self.register.units),
            "questions": [q.as_json() for q in self.register.questions],
            "same": self.same,
            "changed": [
                {"name": line.name, "changes": [{"fact": c.fact, "was": c.was, "now": c.now} for c in line.changes]}
                for line in self.changed
            ],
            "new": [line.name for line in self.new],
            "vanished": [line.name for line in self.vanished],
            "uncertain": [{"id": u.id, "words": u.words, "readings": list(u.readings)} for u in self.uncertain],
            "placeholders": self.placeholders,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What was written when a list was taken in."""

    new: int
    changed: int
    placeholders: int
    records: int

    def as_json(self) -> dict[str, int]:
        return {"new": self.new, "changed": self.changed, "placeholders": self.placeholders, "records": self.records}


def name_of(state: UnitState) -> str:
    """A unit in one phrase."""
    numbers = " / ".join(dict.fromkeys(n for n in (state.id, state.serial) if n)) or (
        f"row {state.row}" if state.row else "without a number"
    )
    size = f"{state.nameplate.size.for_people()} " if state.nameplate.size else ""
    place = ", ".join(p for p in (state.site, state.place) if p)
    return f"{numbers}, {size}{kinds.agent_label(state.nameplate.agent)}" + (f", {place}" if place else "")


def changes_between(known: UnitState, listed: UnitState) -> tuple[Change, ...]:
    """What the list says differently, or more, of a known unit. What the list leaves out changes nothing."""
    was, now = registered_fields(known), registered_fields(listed)
    return tuple(
        Change(fact=name, was=was.get(name, ""), now=value)
        for name, value in now.items()
        if name not in _OF_THE_LIST and value != was.get(name) and not _says_less(known, name, value)
    )


def _says_less(known: UnitState, name: str, value: str) -> bool:
    """A date that is older or only wider than what is on record says nothing new; nor does another spelling of a number or place."""
    if name in ("id", "serial", *_PLACES):
        return letters_and_figures(value) == letters_and_figures(getattr(known, name))
    day = known.dates.get(FACT_OF_FIELD.get(name, ""))
    if day is None:
        return False
    return str(day).startswith(value) or (name.startswith("last-") and value < str(day))


Place = tuple[str | None, int | None]


def drafts(plan: ImportPlan, *, on: PartialDate, person: str, new_uid: Callable[[], str]) -> tuple[list[Draft], dict[Place, str]]:
    """The records that take a list in, and the uid of the unit that each listed row became.

    New units are registered, changes become new facts, counted units placeholders; who was not listed is noted.
    """
    made: list[Draft] = []
    units = {(line.listed.sheet, line.listed.row): line.known.uid or "" for line in plan.matched if line.known and line.listed}
    for state in (*(line.listed for line in plan.new if line.listed), *plan.counted):
        uid = new_uid()
        made.append(Draft(kind="registered", unit=uid, person=person, done=on, fields=registered_fields(state)))
        if not state.placeholder:
            units[state.sheet, state.row] = uid
    for line in plan.changed:
        if line.known and line.known.uid:
            made += _change_drafts(line.known.uid, line.changes, on=on, person=person)
    for line in plan.vanished:
        if line.known and line.known.uid:
            note = {"note": f"not on the list {plan.name}"}
            made.append(Draft(kind="noted", unit=line.known.uid, person=person, done=on, fields=note))
    return made, units


def _change_drafts(uid: str, changes: Sequence[Change], *, on: PartialDate, person: str) -> Iterator[Draft]:
    """A later date is a deed of that day; another place is a move; everything else is what is now known of the unit."""
    said = {change.fact: change.now for change in changes}
    moved = {name: said.pop(name) for name in _PLACES if name in said}
    if moved:
        yield Draft(kind="moved", unit=uid, person=person, done=on, fields=moved)
    if said.pop("removed", None):
        yield Draft(kind="removed", unit=uid, person=person, done=on, fields={"reason": "as the list says"})
    for name, kind in _DEEDS.items():
        if name in said:
            done = parse_date(said.pop(name))
            detail = {field: said.pop(fact) for fact, field in _DETAILS.get(kind, {}).items() if fact in said}
            yield Draft(kind=kind, unit=uid, person=person, done=done, fields={**detail, "note": "as the owner's list says"})
    if said:
        yield Draft(kind="registered", unit=uid, person=person, done=on, fields=said)
