"""The due list narrowed and sorted over the columns, so that only the rows that are shown are built."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pinseal import kinds
from pinseal.dates import day_number
from pinseal.records.unit import UnitState
from pinseal.rules.result import NO, STATE_CODES
from pinseal.rules.rows import Due
from pinseal.rules.tables import FAR
from pinseal.service.duelist import DueList
from pinseal.web.asked import Asked
from pinseal.web.words import unit_name

_URGENCY = {state: number for number, state in enumerate(kinds.STATES)}
_DIGITS = re.compile(r"(\d+)")


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the due list before it is built. Days are day numbers; a row without a date has `FAR`."""

    index: int
    duty: str
    state: str
    earliest: int
    latest: int


def lines(dues: DueList) -> Iterator[Line]:
    """Every row of the list, as `DueList.all` gives them, without the reasons."""
    for index, state in enumerate(dues.states):
        if state.placeholder and not state.removed:
            yield Line(index, "inspection", "unknown", int(FAR), int(FAR))
    live = np.array([not s.removed and not s.placeholder for s in dues.states], np.bool_)
    for index, found in dues.withdrawals.items():
        if live[index]:
            day = int(FAR) if found.missing else day_number(found.published)
            yield Line(index, "retirement", "unknown" if found.missing else "withdraw", day, day)
    for duty, columns in dues.evaluation.duties.items():
        rows = np.flatnonzero((columns.state != NO) & live)
        if duty == "retirement":
            rows = rows[~np.isin(rows, list(dues.withdrawals))]
        states, earliest, latest = (each[rows].tolist() for each in (columns.state, columns.earliest, columns.latest))
        for index, code, first, last in zip(rows.tolist(), states, earliest, latest, strict=True):
            yield Line(index, duty, STATE_CODES[code], first if first >= 0 else int(FAR), last if last >= 0 else int(FAR))


def narrowed(dues: DueList, asked: Asked) -> tuple[list[Line], Mapping[str, int]]:
    """The rows that fit the filters, in the order asked for, and how many fit all filters but that of the state."""
    fitting = _fitting(dues.states, asked)
    found = [line for line in lines(dues) if fitting[line.index] and (not asked.duty or line.duty == asked.duty)]
    counts = Counter(line.state for line in found)
    shown = [line for line in found if not asked.states or line.state in asked.states]
    return _sorted(shown, dues.states, asked), counts


def _fitting(states: Sequence[UnitState], asked: Asked) -> list[bool]:
    words = asked.text.casefold().split()
    if not words and not asked.site:
        return [True] * len(states)
    return [(not asked.site or s.site == asked.site) and all(word in _haystack(s) for word in words) for s in states]


def _haystack(state: UnitState) -> str:
    plate = state.nameplate
    parts = (state.id, state.serial, state.site, state.place, kinds.agent_label(plate.agent), str(plate.size or ""), plate.model, plate.lot)
    return " ".join(part for part in (*parts, "wheeled" if plate.wheeled else "") if part).casefold()


def _sorted(found: list[Line], states: Sequence[UnitState], asked: Asked) -> list[Line]:
    found.sort(key=lambda line: (_URGENCY[line.state], line.earliest, line.index, line.duty))
    if asked.sort == "by":
        found.sort(key=lambda line: (line.earliest, line.latest), reverse=asked.down)
        found.sort(key=lambda line: line.earliest == FAR)  # what has no date stands last, whichever way
    elif asked.sort == "duty":
        found.sort(key=lambda line: kinds.DUTIES[line.duty], reverse=asked.down)
    elif asked.sort in ("unit", "place"):
        names = [_natural(unit_name(s) if asked.sort == "unit" else f"{s.site or ''} {s.place or ''}") for s in states]
        found.sort(key=lambda line: names[line.index], reverse=asked.down)
    elif asked.down:
        found.reverse()
    return found


def _natural(text: str) -> tuple[tuple[int, str], ...]:
    """A key by which W-9 comes before W-10."""
    return tuple((0, part.zfill(20)) if part.isdigit() else (1, part.casefold()) for part in _DIGITS.split(text) if part)


def built(dues: DueList, picked: Sequence[Line]) -> list[Due]:
    """The rows themselves, with their reasons, in the order given."""
    by_unit: dict[int, dict[str, Due]] = {}
    for line in picked:
        if line.index not in by_unit:
            by_unit[line.index] = {due.duty: due for due in dues.of_unit(line.index)}
    return [by_unit[line.index][line.duty] for line in picked]
