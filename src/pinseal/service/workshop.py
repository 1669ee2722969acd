"""Job sheets: made for one unit today, worked on touch by touch, closed with their records in one step."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from hashlib import sha256
from typing import Any

from pinseal import kinds
from pinseal.dates import PartialDate, span_for_people
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit, fold
from pinseal.records.record import Draft, Record, uuid7_beside
from pinseal.records.registers import Instrument, Person
from pinseal.records.unit import UnitState
from pinseal.rules.loaners import Loaner, back_by
from pinseal.rules.rows import Due
from pinseal.sheets.closing import Closed
from pinseal.sheets.compose import check_works, closed_works, steps_for, type_of
from pinseal.sheets.entries import Entry
from pinseal.sheets.job import Job, StandIn, TestDate
from pinseal.sheets.load import held_procedures
from pinseal.sheets.model import UnitType
from pinseal.sheets.plate import read_plate
from pinseal.standards.work_rules import yearly_emptying

_DUE_NOW = ("overdue", "may be overdue", "due")
_MAKES_EARLIER = "us-nfpa10"  # it lets the test wait to the end of the year, but never lets a unit be recharged past the anniversary


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedSheet:
    """A sheet that is asked for. `works` None means: what is due; `packs` are the ids of the chosen packs."""

    works: tuple[str, ...] | None
    on: date
    packs: tuple[str, ...]
    system: str = "us"
    assume: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Registers:
    """The instruments and people of the shop."""

    instruments: Sequence[Instrument] = ()
    people: Sequence[Person] = ()


def assumed(state: UnitState, assume: Mapping[str, str]) -> UnitState:
    """The unit with what the shop assumes where its nameplate is silent. Facts that are no nameplate fact are left alone."""
    found: dict[str, Any] = {}
    for name, code in assume.items():
        field = name.replace("-", "_")
        if field in ("agent", "expelled_by", "shell", "hose", "wheeled", "rechargeable") and getattr(state.nameplate, field) is None:
            found[field] = {"yes": True, "no": False}.get(code) if field in ("wheeled", "rechargeable") else code
    return replace(state, nameplate=replace(state.nameplate, **found)) if found else state


def due_works(dues: Iterable[Due]) -> tuple[str, ...]:
    """What is due now. A unit that must leave use owes nothing else."""
    rows = list(dues)
    if any(row.duty == "retirement" and row.state == "withdraw" for row in rows):
        return ("retirement",)
    return tuple(row.duty for row in rows if row.state in _DUE_NOW and not row.perhaps and row.duty != "retirement")


def _due_words(row: Due) -> str:
    when = span_for_people(row.earliest, row.latest) if row.earliest and row.latest else "no date"
    return f"{kinds.DUTIES[row.duty]}: {row.state}, {when}. {row.because[0] if row.because else ''}".strip()


def shell_test_date(state: UnitState, dues: Iterable[Due], why_none: str = "") -> TestDate:
    """When the shell's pressure test is due, for a charge: the early reading of the last permitted day.

    `why_none` says why this kind of unit is never tested, whatever a document asks of others.
    """
    if why_none:
        return TestDate(owed="no", because=why_none)
    row = next((each for each in dues if each.duty == "hydrostatic-test"), None)
    if row is None:
        return TestDate(owed="no", because="no chosen document asks for a pressure test of this unit")
    because = row.because[0] if row.because else ""
    if row.earliest is None:
        return TestDate(owed="unknown", because=because or f"{', '.join(row.missing)} not said")
    last_day = row.earliest
    speaking = {each.pack for each in row.others} | ({row.governing.pack} if row.governing else set())
    base = state.dates.get("hydrostatic-test") or state.dates.get("manufactured")
    if _MAKES_EARLIER in speaking and base is not None:
        last_day = min(last_day, _same_day(base.earliest, row.earliest.year))
    words = span_for_people(last_day, max(last_day, row.latest or last_day))
    return TestDate(
        owed="yes",
        last_day=PartialDate.of(last_day),
        words=words,
        overdue=row.state == "overdue",
        because=f"pressure test due {words}. {because}",
    )


def _same_day(day: date, year: int) -> date:
    try:
        return day.replace(year=year)
    except ValueError:  # 29 February
        return date(year, 2, 28)


def last_agent(unit: Unit) -> str | None:
    """What was filled in last, as far as any record says."""
    return next(
        (fact.fields["agent"] for fact in reversed(unit.facts) if fact.kind in ("recharged", "agent-renewed") and "agent" in fact.fields),
        None,
    )


def make_job(unit: Unit, dues: Sequence[Due], asked: AskedSheet, registers: Registers, *, kept: bool = False) -> Job:
    """Everything that a sheet is run against. Raises `Refusal` for a unit that has left, and for works that do not apply.

    A sheet that is `kept` is shown even so, so that it can be abandoned.
    """
    state = assumed(unit.state, asked.assume or {})
    if (state.removed or state.placeholder) and not kept:
        raise Refusal(
            what="there is no work to do on this unit",
            rule="a job sheet is for a unit of the fleet that somebody has seen",
            got=state.removed or "only counted on a list, not yet seen",
            do="record what was seen of it first, or check the number",
        )
    procedures = held_procedures()
    kind = type_of(state, procedures.types)
    wanted, left_out = (asked.works, ()) if asked.works is not None else _wanted_by_dues(dues, kind)
    check_works(wanted, kind)
    works = closed_works(wanted, state)
    rule = yearly_emptying(asked.packs)
    return Job(
        unit=state,
        type=kind,
        works=works,
        on=asked.on,
        packs=asked.packs,
        steps=steps_for(procedures, kind, works, state, asked.packs),
        findings=procedures.findings,
        plate=read_plate(state.nameplate),
        test_date=shell_test_date(state, dues, kind.does_not_apply.get("hydrostatic-test", "")),
        last_agent=last_agent(unit),
        system=asked.system,
        by_step=rule.words if rule and state.nameplate.agent else "",
        dues=tuple(_due_words(row) for row in dues if row.duty in works or row.duty == "hydrostatic-test"),
        left_out=left_out,
        condemned=unit.condemned,
        gone=state.removed,
        instruments={each.id.casefold(): each for each in registers.instruments if each.id},
        people={each.name.casefold(): each for each in registers.people if each.name},
        back_by=back_by(taken_on=asked.on, packs=asked.packs),
    )


def _wanted_by_dues(dues: Sequence[Due], kind: UnitType) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The works that are due and apply to a kind of unit; and in words what is due and does not."""
    due = due_works(dues)
    barred = kind.does_not_apply
    left_out = tuple(f"{kinds.DUTIES[work]}: a chosen document makes it due, but {barred[work]}" for work in due if work in barred)
    return tuple(work for work in due if work not in barred), left_out


def named_loaners(entries: Iterable[Entry], look_up: Callable[[str], StandIn | None]) -> dict[str, StandIn]:
    """The units that entries name as standing in, by the text with which they are named."""
    named = {entry.readings["loaner"].strip() for entry in entries if entry.readings.get("loaner", "").strip()}
    found = {text.casefold(): look_up(text) for text in named}
    return {text: unit for text, unit in found.items() if unit is not None}


def stand_in(unit: Unit, dues: Iterable[Due], stands_for: Unit | None = None) -> StandIn:
    """A unit as one that may stand in for another: its nameplate, and what speaks against it. `stands_for`: whose place it holds."""
    rows = list(dues)
    away = unit.away.get("reason", "taken away") if unit.away else None
    if stands_for is not None:
        state = stands_for.state
        away = f"it stands in for {state.id or state.serial or state.uid} already"
    return StandIn(
        uid=unit.state.uid or "",
        loaner=Loaner(
            plate=unit.state.nameplate,
            overdue=tuple(row.duty for row in rows if row.state == "overdue" and not row.perhaps),
            perhaps_overdue=tuple(row.duty for row in rows if row.state == "may be overdue" or (row.state == "overdue" and row.perhaps)),
            removed=unit.state.removed,
            withdrawn=next((row.because[0] for row in rows if row.state == "withdraw" and row.because), None),
            away=away,
        ),
    )


def drafts_of(closed: Closed, job: Job, *, person: str) -> list[Draft]:
    """The records of a closed sheet, ready to be written in one step."""
    done = PartialDate.of(job.on)
    return [
        Draft(kind=made.kind, unit=made.unit or job.unit.uid or "", person=person, done=done, fields=made.fields) for made in closed.made
    ]


def with_names(drafts: Sequence[Draft], sheet: str, entries: Sequence[Entry], *, clock: str = "") -> list[Draft]:
    """Drafts with uids that follow from the sheet and the moment of its last entry, and with what is wrong with the clock behind it.

    So the records of a sheet stand where the work stood among others of its day, whenever the sheet came in.
    """
    more = {"clock": clock} if clock else {}
    last = max((each.uid for each in entries if each.uid), default=sheet)
    return [
        replace(draft, fields={**draft.fields, **more}, uid=uuid7_beside(last, randomness=_chance(sheet, number), sequence=number))
        for number, draft in enumerate(drafts)
    ]


def _chance(sheet: str, number: int) -> bytes:
    return sha256(f"{sheet}/{number}".encode()).digest()


def unit_as_known(records: Sequence[Record], taken: datetime | None) -> Unit:
    """A unit by what had been received at a moment (None: by everything); by everything, too, where it was not registered by then."""
    known = [each for each in records if taken is None or (each.received is not None and each.received <= taken)]
    return fold(known if any(each.kind == "registered" for each in known) else records)
