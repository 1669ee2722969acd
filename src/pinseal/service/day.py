"""What a phone takes along for a day: the units of some sites, each with its dues, its last readings and its job sheets.

The sheets hold their limits already worked out, so that the phone only compares. Units of one kind share nearly all of it:
each step, each set of limits and each set of figures to compare with stands once, and a unit names them by their place in
the tables. Put together again, a sheet is exactly what `sheets.view.sheet_json` gives (a test proves it).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from pinseal import kinds
from pinseal.dates import span_for_people
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit
from pinseal.records.record import Record, canonical
from pinseal.records.registering import registered_fields
from pinseal.records.unit import Nameplate, UnitState
from pinseal.rules.rows import Due
from pinseal.service.books import BOOK_KINDS, Deficiency, make_books
from pinseal.service.workshop import AskedSheet, Registers, make_job
from pinseal.sheets.comparing import compare_json, scales_json
from pinseal.sheets.gates import GATES_OF_EFFECT, gates_of
from pinseal.sheets.job import Job
from pinseal.sheets.limits import limits_of
from pinseal.sheets.model import Step
from pinseal.sheets.taking import begin
from pinseal.sheets.view import notes, outcome_rules, step_json
from pinseal.sheets.working import Working

UNITS_MAX = 2_000
SHEETS = ("inspection", "maintenance")
_PLATE_SHOWN = ("model", "rating", "cylinder-specification", "service-pressure", "gross-weight")
_READINGS_KEPT = 4  # readings of each quantity that go along
_NOTES_KEPT, _PARTS_KEPT = 3, 6  # the latest ones
_FIGURES = re.compile(r"(\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class DayUnit:
    """One unit of the day with its dues."""

    unit: Unit
    dues: Sequence[Due]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayAsked:
    """For which day and sites, by which packs, in which units of measure the day is made, with the sheets of which works."""

    on: date
    sites: tuple[str, ...]
    packs: tuple[str, ...]
    system: str
    assume: Mapping[str, str] = field(default_factory=dict)
    works: tuple[str, ...] = SHEETS


def day_json(asked: DayAsked, units: Iterable[DayUnit], records: Iterable[Record], registers: Registers) -> dict[str, Any]:
    """The day in plain values. `records` are those of the units; `version` changes whenever anything else does."""
    found = sorted(units, key=lambda each: walking_order(each.unit.state))
    deficiencies = open_deficiencies(records)
    sheets = Sheets(asked, registers)
    made = [_unit_json(each, deficiencies.get(each.unit.state.uid or "", ()), sheets) for each in found]
    day = {
        "on": asked.on.isoformat(),
        "sites": list(asked.sites),
        "agents": [[agent.code, agent.label] for agent in kinds.AGENTS.values()],
        "packs": list(asked.packs),
        "system": asked.system,
        "units": made,
        **sheets.tables(),
    }
    return {"version": hashlib.sha256(canonical(day)).hexdigest()[:16], **day}


def check_count(count: int) -> None:
    """Whether a phone can take so many units along. Raises `Refusal`."""
    if count > UNITS_MAX:
        raise Refusal(
            what="that is too much for one day",
            rule=f"a phone takes {UNITS_MAX:,} units along at most",
            got=f"{count:,} units",
            do="choose fewer sites",
        )


def walking_order(state: UnitState) -> tuple[Any, ...]:
    """By site, place and number; figures inside a name count as numbers, so that room 9 comes before room 10."""
    return tuple(_natural(text) for text in (state.site, state.place, state.id, state.serial, state.uid))


def _natural(text: str | None) -> tuple[tuple[int, int, str], ...]:
    parts = _FIGURES.split((text or "").casefold())
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts if part)


def open_deficiencies(records: Iterable[Record]) -> dict[str, tuple[Deficiency, ...]]:
    """What was found wrong and not put right yet, by the uid of the unit."""
    books = make_books(record for record in records if record.kind in BOOK_KINDS)
    found: dict[str, tuple[Deficiency, ...]] = {}
    for each in books.deficiencies:
        if each.is_open:
            found[each.unit] = (*found.get(each.unit, ()), each)
    return found


# One unit


def _unit_json(each: DayUnit, deficiencies: Sequence[Deficiency], sheets: Sheets) -> dict[str, Any]:
    state = each.unit.state
    said = registered_fields(state)
    made = {
        "uid": state.uid,
        "id": state.id,
        "serial": state.serial,
        "tag": each.unit.tag,
        "site": state.site,
        "place": state.place,
        "words": kind_words(state),
        "agent": state.nameplate.agent,
        "made": said.get("manufactured"),
        "plate": {name: said[name] for name in _PLATE_SHOWN if name in said},
        "placeholder": state.placeholder,
        "last": {fact: str(done) for fact, done in state.dates.items() if fact in ("inspection", "maintenance", "hydrostatic-test")},
        "dues": [_due_json(due) for due in each.dues],
        "readings": last_readings(each.unit),
        "deficiencies": [deficiency_json(found) for found in deficiencies],
        "notes": _latest(each.unit, "noted", ("note",), _NOTES_KEPT),
        "parts": _latest(each.unit, "part-fitted", ("part", "count", "number"), _PARTS_KEPT),
        "marks": marks_on(each.unit),
        "away": dict(each.unit.away) if each.unit.away else None,
        "odd": [mark.text for mark in each.unit.marks],
        "sheets": {work: sheets.of(each, work) for work in sheets.asked.works},
    }
    return {name: value for name, value in made.items() if value not in (None, [], {}, False)}


def kind_words(state: UnitState) -> str:
    """The unit in a few words: size and agent."""
    size = state.nameplate.size
    words = (str(size) if size else "", kinds.agent_label(state.nameplate.agent), "wheeled" if state.nameplate.wheeled else "")
    return " ".join(each for each in words if each)


def _due_json(due: Due) -> dict[str, Any]:
    dated = due.earliest is not None and due.latest is not None
    return {
        "duty": due.duty,
        "state": due.state,
        "by": span_for_people(due.earliest, due.latest) if due.earliest and due.latest else "",
        "last_day": due.earliest.isoformat() if due.earliest and dated else None,
        "because": due.because[0] if due.because and due.state != "ahead" else "",
    }


def last_readings(unit: Unit) -> list[dict[str, str]]:
    """The latest readings of each quantity, the newest first."""
    found: dict[str, list[dict[str, str]]] = {}
    for fact in reversed(unit.facts):
        if fact.kind != "measured":
            continue
        kept = found.setdefault(fact.fields["quantity"], [])
        if len(kept) < _READINGS_KEPT:
            more = ("value", "at-temperature", "instrument", "verdict")
            kept.append(
                {"quantity": fact.fields["quantity"], "done": str(fact.done), **{n: fact.fields[n] for n in more if n in fact.fields}}
            )
    return [each for some in found.values() for each in some]


def _latest(unit: Unit, kind: str, names: Sequence[str], most: int) -> list[dict[str, str]]:
    """The latest facts of a kind, the newest first: the day and the named fields. One without its first field tells nothing here."""
    some = [fact for fact in reversed(unit.facts) if fact.kind == kind and fact.fields.get(names[0])][:most]
    return [{"done": str(fact.done), **{name: fact.fields[name] for name in names if name in fact.fields}} for fact in some]


def marks_on(unit: Unit) -> list[dict[str, str]]:
    """The last mark of each kind that hangs on the unit, with what stands on it."""
    found: dict[str, dict[str, str]] = {}
    for fact in unit.facts:
        if fact.kind == "marked":
            code = fact.fields["mark"]
            said = {name: fact.fields[name] for name in ("number", "text") if name in fact.fields}
            found[code] = {"mark": code, "words": kinds.MARKS.get(code, code), "done": str(fact.done), **said}
    return list(found.values())


def deficiency_json(found: Deficiency) -> dict[str, Any]:
    return {
        "record": found.record,
        "unit": found.unit,
        "finding": found.finding,
        "words": found.words,
        "action": found.action,
        "found": str(found.found),
        "person": found.person,
        "remedied": str(found.remedied) if found.remedied else None,
        "how": found.how,
    }


# Sheets that share what they have in common


class Table:
    """Values that stand once, named by their place."""

    def __init__(self) -> None:
        self.rows: list[Any] = []
        self._places: dict[bytes, int] = {}

    def place(self, value: Any) -> int:
        place = self._places.setdefault(hashlib.sha256(canonical(value)).digest(), len(self.rows))
        if place == len(self.rows):
            self.rows.append(value)
        return place


class Sheets:
    """Makes the sheets of a day. What follows from the nameplate alone is worked out once for each nameplate."""

    def __init__(self, asked: DayAsked, registers: Registers) -> None:
        self.asked, self.registers = asked, registers
        self._steps, self._shapes, self._limits, self._compares, self._gates, self._rules = (Table() for _ in range(6))
        self._by_plate: dict[Any, tuple[int, int]] = {}
        self._by_shape: dict[Any, int] = {}
        self._last: Job | None = None

    def of(self, each: DayUnit, work: str) -> dict[str, Any]:
        """The sheet of a unit for a work: places in the tables, or why there is none."""
        asked = AskedSheet(works=(work,), on=self.asked.on, packs=self.asked.packs, system=self.asked.system, assume=self.asked.assume)
        try:
            job = make_job(each.unit, each.dues, asked, self.registers)
        except Refusal as refused:
            return {"refused": refused.as_json()}
        self._last = job
        stand = begin(job)
        limits, compare = self._of_plate(stand)
        made = {"shape": self._shape(stand), "limits": limits, "compare": compare, "gates": self._own_gates(stand)}
        return {name: value for name, value in made.items() if value is not None}

    def tables(self) -> dict[str, Any]:
        """What the sheets share."""
        scales = scales_json(self._last, self.registers.instruments) if self._last else {}
        return {
            "steps": self._steps.rows,
            "shapes": self._shapes.rows,
            "limits": self._limits.rows,
            "compares": self._compares.rows,
            "gates": self._gates.rows,
            "rules": self._rules.rows,
            "scales": scales,
        }

    def _of_plate(self, stand: Working) -> tuple[int, int]:
        """The limits and the figures to compare with: they follow from the nameplate, and for water from the age of the charge."""
        job = stand.job
        key = (_plate_key(job.unit.nameplate), job.type.id, job.works, job.unit.dates.get("recharge") if job.is_water_like else None)
        if key not in self._by_plate:
            limits = {step.id: found for step in job.steps if (found := limits_json(job, step, system=job.system))}
            self._by_plate[key] = self._limits.place(limits), self._compares.place(compare_json(job))
        return self._by_plate[key]

    def _shape(self, stand: Working) -> int:
        """Steps, rules and notes: they follow from the kind of unit, its fittings, and what stands against it from the start."""
        job = stand.job
        key = (_plate_key(job.unit.nameplate), job.type.id, job.works, job.last_agent, job.condemned, bool(stand.findings), job.left_out)
        if key not in self._by_shape:
            self._by_shape[key] = self._shapes.place(self._shape_json(stand))
        return self._by_shape[key]

    def _shape_json(self, stand: Working) -> dict[str, Any]:
        job = stand.job
        wanted = [step for step in job.steps if stand.is_wanted(step)]
        steps = []
        for step in job.steps:
            made = {name: value for name, value in step_json(stand, step, system=job.system).items() if name != "limits"}
            if _hangs_on_the_unit(step.effect):
                made["gate"] = []
            steps.append(self._steps.place(made))
        return {
            "kind": {"id": job.type.id, "title": job.type.title, "cautions": list(job.type.cautions)},
            "duties": list(job.works),
            "minutes": round(sum(step.minutes for step in wanted), 1),
            "steps": steps,
            "outcome_rules": [self._rules.place(rule) for rule in outcome_rules(job)],
            "notes": notes(job),
            "found": [found.as_json() for found in stand.findings],
        }

    def _own_gates(self, stand: Working) -> int | None:
        """The gates of the steps that hang on the days of this very unit."""
        found = {step.id: [gate.as_json() for gate in gates_of(stand, step)] for step in stand.job.steps if _hangs_on_the_unit(step.effect)}
        return self._gates.place(found) if found else None


def limits_json(job: Job, step: Step, *, system: str) -> dict[str, list[dict[str, Any]]]:
    """The limits of a step by reading, as they stand in `step_json`."""
    found: dict[str, list[dict[str, Any]]] = {}
    for limit in limits_of(job, step):
        found.setdefault(limit.reading, []).append(limit.as_json(system))
    return found


def _plate_key(plate: Nameplate) -> Nameplate:
    """The nameplate without what no step and no limit asks for."""
    return replace(plate, model=None, lot=None, rating=None)


def _hangs_on_the_unit(effect: str) -> bool:
    return "test-date" in GATES_OF_EFFECT[effect]
