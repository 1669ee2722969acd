"""What the owner's file says, as plain values for the typesetter (`owner_file.typ`)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from pinseal import kinds
from pinseal.dates import PartialDate, span_for_people
from pinseal.records.record_kinds import KINDS
from pinseal.records.unit import UnitState
from pinseal.rules.months import MONTH_STATES, MonthCell
from pinseal.rules.notices import moment_words
from pinseal.rules.rows import Due
from pinseal.service.books import STAGES, Deficiency
from pinseal.service.owner_file import Change, FileUnit, OwnerFile, days_open
from pinseal.sheets.model import ACTIONS

UNITS_A_PART = 450  # a part is typeset in one piece, and takes about half a megabyte of memory for each unit
# After so many units a new page begins: what lies between two such breaks is laid out by one core, and the next by another.
UNITS_A_RUN = 110
_SHAPES = {"withdraw": "full", "overdue": "full", "may be overdue": "half", "due": "diamond", "ahead": "ring", "unknown": "broken"}
# The word and the shape of a month's cell; what it means is `rules.months.MONTH_STATES`.
MONTH_WORDS: dict[str, tuple[str, str]] = {
    "seen": ("ring", "seen"), "service": ("diamond", "service"), "tried": ("half", "tried"), "none": ("full", "gap"),
    "maybe": ("broken", "maybe"), "open": ("broken", "open"), "absent": ("", "–"),
}  # fmt: skip
_SURE = {
    "public copy": "",
    "second-hand": " (second-hand)",
    "memory": " (from memory)",
    "unsure": " (from memory)",
    "practice": " (practice)",
}
_SHOWN_DATES = {"manufactured": "made", "placed-in-service": "in service since", "recharge": "last recharged"}
OWNER_WORDS: dict[str, Any] = {
    "standing": "How the duties of these units stand",
    "standing_note": "Each duty of each unit is counted once. Uncertain dates are taken at their early end.",
    "year": "The year", "fleet": "The fleet", "came": "Units that came", "went": "Units that went",
    "change_heads": ["On", "Unit", "Kind", "Place", "What happened"],
    "done": "Work done", "done_heads": ["Work", "Times", "Units", "Failed"], "no_work": "No work is on record in this time.",
    "wrong_year": "Deficiencies of the year",
    "wrong_year_heads": ["Unit", "Place", "What", "Found", "Put right"],
    "open": "Open deficiencies", "open_heads": ["Unit", "Place", "What", "What it forces", "Found", "How far"],
    "no_open": "None is on record.",
    "impairments": "Impaired units: who must be told by when",
    "impairment_heads": ["State", "Unit", "Who is told", "By", "Told"],
    "away": "Units that are away", "away_heads": ["Unit", "Place", "Where", "Since", "Back by", "In its place"],
    "index": "The parts of this file", "index_heads": ["Part", "Units", "Late", "From", "To"],
    "inventory": "Inventory: every duty, by when, and why", "no_units": "No unit is in the fleet of this site.",
    "inventory_note": "Each duty with how it stands; the last day allowed, and when it was last done; why, and by which rule.",
    "no_duty": "No rule of the chosen packs asks for anything here.",
    "rules": "The rules that govern these dates", "rule_heads": ["Duty", "Document", "What it says", "How it was checked", "Pack"],
    "no_rules": "No rule governs a date here.",
    "months": "Monthly record", "grid_heads": ["Unit", "Place"], "people": "Who",
    "months_note": "Each cell tells the last record of its month: what, the day, and who. A month is a bin of this paper; whether a gap "
    "breaks a rule is told by the duty “inspection” in the inventory.",
}  # fmt: skip
_ORDER = tuple(kinds.STATES)  # the most urgent first
_GROUP_LEAST = 4  # units to a heading, on average; else places do not fall into parts of the site


def parts_of(units: Sequence[FileUnit], most: int = UNITS_A_PART) -> list[Sequence[FileUnit]]:
    """The inventory in parts of `most` units, as even as they come; one part without units where there are none."""
    count = max(1, -(-len(units) // most))
    size = -(-len(units) // count) if units else 0
    return [units[place * size : (place + 1) * size] for place in range(count)] if units else [units]


def unit_words(state: UnitState) -> str:
    """What people call a unit."""
    return state.id or (f"serial {state.serial}" if state.serial else "no number")


def kind_words(state: UnitState) -> str:
    plate = state.nameplate
    size = f"{plate.size.value:g} {'L' if plate.size.unit == 'l' else plate.size.unit}" if plate.size else ""
    parts = (f"{size} wheeled" if size and plate.wheeled else "wheeled" if plate.wheeled else size, kinds.agent_label(plate.agent))
    return ", ".join(part for part in parts if part)


# -- the front: summary, year, deficiencies, index


def front_data(file: OwnerFile, parts: Sequence[Sequence[FileUnit]]) -> dict[str, Any]:
    """The front of the file. `parts` are those of the inventory: more than one, and an index names them."""
    return {
        "summary": _summary(file),
        "states": _states(file),
        "fleet": _fleet(file),
        "done": _done(file),
        "wrong": _wrong(file),
        "impairments": _impairments(file),
        "away": _away(file),
        "index": [_index_row(file, number, some) for number, some in enumerate(parts, 1)] if len(parts) > 1 else [],
    }


def period(file: OwnerFile) -> str:
    return f"{PartialDate.of(file.first).for_people()} to {PartialDate.of(file.last).for_people()}"


def _summary(file: OwnerFile) -> list[list[str]]:
    late = int(file.dues.late().sum())
    named = "; ".join(f"{each.pack.id} {each.edition}" for each in file.dues.chosen)
    return [
        ["year", period(file) if file.whole else f"{period(file)}; the year is not over"],
        ["units here", f"{len(file.units):,}"],
        ["with a duty late or perhaps late", f"{late:,}"],
        ["open deficiencies", f"{file.wrong.end:,}"],
        [f"gaps in {len(file.months)} months", f"{file.gaps:,}"],
        ["rule packs", named or "none chosen"],
    ]


def _states(file: OwnerFile) -> list[list[str]]:
    counts = file.dues.summary()["states"]
    return [[_SHAPES[state], state, f"{counts[state]:,}"] for state in kinds.STATES]


def _fleet(file: OwnerFile) -> dict[str, Any]:
    fleet = file.fleet
    return {
        "sum": [
            ["units at the start of the year", f"{fleet.start:,}"],
            ["came", f"+ {len(fleet.came):,}"],
            ["went", f"− {len(fleet.went):,}"],
            [f"units on {PartialDate.of(file.last).for_people()}", f"{fleet.end:,}"],
            ["of those that went: condemned", f"{fleet.condemned:,}"],
            ["of those that went: another came to the same place", f"{fleet.replaced:,}"],
        ],
        "came": [_change(each, came=True) for each in fleet.came],
        "went": [_change(each, came=False) for each in fleet.went],
    }


def _change(each: Change, *, came: bool) -> list[str]:
    fact = each.stay.came if came else each.stay.went
    assert fact is not None, "a unit that went has a record of it"
    why = each.came_from if came else each.went_to
    replaced = f"{unit_words(each.other)} came to its place" if each.other else ("" if came else "nothing on record came to its place")
    words = "; ".join(part for part in (why, replaced) if part)
    return [fact.done.for_people(), unit_words(each.state), kind_words(each.state), each.state.place or "no place on record", words]


def _done(file: OwnerFile) -> list[list[str]]:
    return [[KINDS[e.kind].label, f"{e.times:,}", f"{e.units:,}", f"{e.failed:,}" if e.failed else ""] for e in file.done]


def _wrong(file: OwnerFile) -> dict[str, Any]:
    wrong = file.wrong
    return {
        "sum": [
            ["open at the start of the year", f"{wrong.start:,}"],
            ["found", f"+ {wrong.found:,}"],
            ["put right", f"− {wrong.mended:,}"],
            ["left open with a unit that went", f"− {wrong.gone:,}"],
            [f"open on {PartialDate.of(file.last).for_people()}", f"{wrong.end:,}"],
        ],
        "open": [_open_row(each, file) for each in wrong.open],
        "of_year": [_year_row(each, file) for each in wrong.of_year],
    }


def _open_row(each: Deficiency, file: OwnerFile) -> list[str]:
    state, days = file.names[each.unit], days_open(each, file.last)
    since = f"{each.found.for_people()}, by {each.person}" + (f"; {days:,} days" if days is not None else "")
    words = f"{each.words} ({each.clause})" if each.clause else each.words
    return [unit_words(state), state.place or "no place on record", words, ACTIONS.get(each.action, each.action), since, STAGES[each.stage]]


def _year_row(each: Deficiency, file: OwnerFile) -> list[str]:
    state = file.names[each.unit]
    mended = ", ".join(part for part in (each.remedied.for_people() if each.remedied else "open", each.how, each.remedied_by) if part)
    return [unit_words(state), state.place or "no place on record", each.words, f"{each.found.for_people()}, {each.person}", mended]


def _impairments(file: OwnerFile) -> list[list[str]]:
    rows = []
    for each in file.impairments:
        for due in each.dues:
            by = moment_words(due.earliest) if due.earliest else "not begun"
            both = f"{by}, or {moment_words(due.latest)}" if due.latest and due.latest != due.earliest else by
            told = moment_words(due.done.at) if due.done else ""
            late = {"done": "ring", "due": "diamond", "not begun": "broken", "may be overdue": "half", "perhaps done late": "half"}
            rows.append([late.get(due.state, "full"), due.state, unit_words(file.names[each.unit]), due.telling.words, both, told])
    return rows


def _away(file: OwnerFile) -> list[list[str]]:
    return [
        [
            unit_words(file.names[each.unit]),
            file.names[each.unit].place or "no place on record",
            kinds.AWAY_TO.get(each.taken_to, "place not said"),
            each.since.for_people(),
            each.back_by.for_people() if each.back_by else "no day said",
            {"": "not said", "none": "nothing"}.get(each.loaner, "another unit"),
        ]
        for each in file.away
    ]


def _index_row(file: OwnerFile, number: int, units: Sequence[FileUnit]) -> list[str]:
    first, last = (units[place].state for place in (0, -1))
    ends = [f"{unit_words(state)}, {state.place or 'no place on record'}" for state in (first, last)]
    late = int(file.dues.late()[units[0].index : units[-1].index + 1].sum())
    return [str(number), f"{len(units):,}", f"{late:,}", *ends]


# -- a part: inventory, months, rules


def part_data(file: OwnerFile, units: Sequence[FileUnit]) -> dict[str, Any]:
    """The inventory and the months of some units, with the rules and the people that they name."""
    keys = initials(person for unit in units for person in unit.people.values())
    dues = [file.dues.of_unit(unit.index) for unit in units]
    words = [[*MONTH_WORDS[state], means] for state, means in MONTH_STATES.items()]
    return {
        "month_words": words,
        "inventory": [
            {"name": name, "breaks": breaks, "units": [_unit(units[place].state, dues[place]) for place in some]}
            for name, breaks, some in _runs(_groups(units))
        ],
        "rules": _rules(due for some in dues for due in some),
        "months": [PartialDate(month.first.year, month.first.month).for_people() for month in file.months],
        "grid": [[_grid_row(unit, keys) for unit in units[start : start + UNITS_A_RUN]] for start in range(0, len(units), UNITS_A_RUN)],
        "people": sorted([[key, name] for name, key in keys.items()]),
    }


def _groups(units: Sequence[FileUnit]) -> list[tuple[str, list[int]]]:
    """The places in `units` by the part of the site, where places fall into some: what stands before the first comma of a place."""
    parts = groupby(range(len(units)), key=lambda place: (units[place].state.place or "").split(",")[0].strip())
    groups = [(name or "No place on record", list(some)) for name, some in parts]
    if len(groups) * _GROUP_LEAST > len(units):
        return [("", list(range(len(units))))] if units else []
    return groups


def _runs(groups: Iterable[tuple[str, list[int]]]) -> Iterator[tuple[str, bool, list[int]]]:
    """The groups, great ones cut, each with whether a new page begins before it."""
    count = 0
    for name, places in groups:
        for start in range(0, len(places), UNITS_A_RUN):
            some = places[start : start + UNITS_A_RUN]
            breaks = count > 0 and count + len(some) > UNITS_A_RUN
            yield ("" if start else name), breaks, some
            count = len(some) if breaks else count + len(some)


def _unit(state: UnitState, dues: Sequence[Due]) -> dict[str, Any]:
    dates = [f"{words} {state.dates[fact].for_people()}" for fact, words in _SHOWN_DATES.items() if fact in state.dates]
    serial = f"serial {state.serial}" if state.serial and state.id else ""
    about = [kind_words(state), serial, *dates, "only counted, not yet seen" if state.placeholder else ""]
    return {
        "name": unit_words(state),
        "place": state.place or "no place on record",
        "about": " · ".join(part for part in about if part),
        "dues": [_due(due, state) for due in sorted(dues, key=lambda due: _ORDER.index(due.state))],
    }


def _due(due: Due, state: UnitState) -> list[str]:
    last = state.dates.get(due.duty)
    by = span_for_people(due.earliest, due.latest) if due.earliest and due.latest else "no date"
    missing = [f"Not on record: {', '.join(due.missing)}."] if due.missing and not due.earliest else []
    assumed = [f"Assumed: {', '.join(due.assumed)}."] if due.assumed else []
    perhaps = ["It may not be owed at all."] if due.perhaps else []
    why = " ".join([*_reasons(due), *missing, *assumed, *perhaps])
    return [_SHAPES[due.state], due.state, kinds.DUTIES[due.duty], f"last {last.for_people()}" if last else "", by, why, _clause(due)]


def _reasons(due: Due) -> Sequence[str]:
    """The reasons without the rule itself, which stands once for all in the list of rules."""
    return due.because[1:] if due.governing and due.because and _cited(due) in due.because[0] else due.because


def _cited(due: Due) -> str:
    return f"({due.governing.document} {due.governing.clause})" if due.governing else ""


def _clause(due: Due) -> str:
    if due.governing is None:
        return ""
    return f"{due.governing.document} {due.governing.clause}{_SURE[due.governing.checked]}"


def _rules(dues: Iterable[Due]) -> list[list[str]]:
    """Each rule that governs a due, once: the document and clause, its words, how it was checked."""
    found: dict[tuple[str, str], list[str]] = {}
    for due in dues:
        cited = due.governing
        if cited is None or (cited.pack, cited.provision) in found:
            continue
        words = due.because[0] if due.because and _cited(due) in due.because[0] else ""
        where = f"{cited.document} ({cited.edition}) {cited.clause}"
        found[cited.pack, cited.provision] = [kinds.DUTIES[due.duty], where, words, kinds.CHECKED[cited.checked], cited.pack]
    return sorted(found.values())


def _grid_row(unit: FileUnit, keys: Mapping[str, str]) -> dict[str, Any]:
    cells = [_cell(cell, unit.people, keys) for cell in unit.months]
    return {"name": unit_words(unit.state), "place": unit.state.place or "no place on record", "cells": cells}


def _cell(cell: MonthCell, people: Mapping[str, str], keys: Mapping[str, str]) -> list[str]:
    shape, word = MONTH_WORDS[cell.state]
    last = cell.facts[-1] if cell.facts else None
    day = f"{last.done.day} " if last and last.done.day else ""
    return [shape, word, f"{day}{keys[people[last.uid]]}" if last else ""]


def initials(names: Iterable[str]) -> dict[str, str]:
    """A short key for each name, each key once: the first letters of its words, with a number where another has them.

    >>> initials(["Ida Quill", "Ivo Quay", "消防 站"])
    {'Ida Quill': 'IQ', 'Ivo Quay': 'IQ2', '消防 站': '消站'}
    """
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in sorted(set(names)):
        base = "".join(word[0] for word in name.split() if word[0].isalnum())[:3].upper() or "?"
        key = next(each for each in (base, *(f"{base}{n}" for n in range(2, len(taken) + 3))) if each not in taken)
        taken.add(key)
        found[name] = key
    return found
