"""The due list narrowed and sorted over the columns, so that only the rows that are shown are built."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import day_number
from pinseal.records.unit import UnitState
from pinseal.rules.result import NO, STATE_CODES
from pinseal.rules.rows import Due
from pinseal.rules.tables import FAR
from pinseal.service.duelist import DueList
from pinseal.web.asked import Asked
from pinseal.web.words import unit_name

STATES = tuple(kinds.STATES)
_URGENCY_OF_CODE = np.array([STATES.index(name) if name in STATES else len(STATES) for name in STATE_CODES])
_DUTIES = tuple(sorted({*kinds.DUTIES}))
_DUTY_LABELS = np.argsort(np.argsort([kinds.DUTIES[duty] for duty in _DUTIES]))
_DIGITS = re.compile(r"(\d+)")
Numbers = NDArray[np.int64]
Natural = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the due list before it is built. Days are day numbers; a row without a date has `FAR`."""

    index: int
    duty: str
    state: str
    earliest: int
    latest: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines(Sequence[Line]):
    """Rows in columns: the place of the unit, of the duty (in `_DUTIES`) and of the state (in `STATES`), and the ends of the due."""

    unit: Numbers
    duty: Numbers
    state: Numbers
    earliest: Numbers
    latest: Numbers

    def __len__(self) -> int:
        return len(self.unit)

    @overload
    def __getitem__(self, at: int) -> Line: ...
    @overload
    def __getitem__(self, at: slice) -> list[Line]: ...
    def __getitem__(self, at: int | slice) -> Line | list[Line]:
        if isinstance(at, slice):
            return list(self.picked(np.arange(len(self))[at]))
        return Line(int(self.unit[at]), _DUTIES[self.duty[at]], STATES[self.state[at]], int(self.earliest[at]), int(self.latest[at]))

    def __iter__(self) -> Iterator[Line]:
        columns = (each.tolist() for each in (self.unit, self.duty, self.state, self.earliest, self.latest))
        for unit, duty, state, earliest, latest in zip(*columns, strict=True):
            yield Line(unit, _DUTIES[duty], STATES[state], earliest, latest)

    def picked(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> Lines:
        """Some of the rows, in the order of `rows`."""
        return Lines(
            unit=self.unit[rows], duty=self.duty[rows], state=self.state[rows], earliest=self.earliest[rows], latest=self.latest[rows]
        )

    def duty_codes(self) -> Mapping[str, int]:
        """How many rows each duty has."""
        counts = np.bincount(self.duty, minlength=len(_DUTIES)).tolist()
        return {duty: count for duty, count in zip(_DUTIES, counts, strict=True) if count}


def site_in_fleet(state: UnitState) -> str | None:
    """The site of a unit that has not left, empty where it has none; None for one that has left."""
    return None if state.removed else state.site or ""


def sites_by_name(sites: Sequence[str | None]) -> list[str]:
    """The sites of units, each once."""
    return sorted({site for site in sites if site})


def lines(dues: DueList) -> Lines:
    """Every row of the list, as `DueList.all` gives them, without the reasons."""
    return dues.kept.here("lines", lambda: _lines(dues))


def _lines(dues: DueList) -> Lines:
    parts = [_counted_only(dues), _withdrawn(dues)]
    live = dues.live
    for duty, columns in dues.evaluation.duties.items():
        rows = np.flatnonzero((columns.state != NO) & live)
        if duty == "retirement":
            rows = rows[~np.isin(rows, list(dues.withdrawals))]
        first, last = (np.where(each[rows] >= 0, each[rows], int(FAR)).astype(np.int64) for each in (columns.earliest, columns.latest))
        parts.append(
            Lines(
                unit=rows.astype(np.int64),
                duty=np.full(len(rows), _DUTIES.index(duty), np.int64),
                state=_URGENCY_OF_CODE[columns.state[rows]].astype(np.int64),
                earliest=first,
                latest=last,
            )
        )
    return Lines(
        **{name: np.concatenate([getattr(each, name) for each in parts]) for name in ("unit", "duty", "state", "earliest", "latest")}
    )


def _few(rows: Sequence[tuple[int, str, str, int]]) -> Lines:
    """A few rows by hand: place, duty, state, day."""
    unit, duty, state, day = (np.array(each, np.int64) for each in (
        [i for i, _, _, _ in rows], [_DUTIES.index(d) for _, d, _, _ in rows], [STATES.index(s) for _, _, s, _ in rows],
        [d for _, _, _, d in rows],
    ))  # fmt: skip
    return Lines(unit=unit, duty=duty, state=state, earliest=day, latest=day)


def _counted_only(dues: DueList) -> Lines:
    far = int(FAR)
    return _few([(place, "inspection", "unknown", far) for place in dues.counted_only])


def _withdrawn(dues: DueList) -> Lines:
    found = [
        (i, "retirement", "unknown" if each.missing else "withdraw", int(FAR) if each.missing else day_number(each.published))
        for i, each in dues.withdrawals.items()
        if not dues.states[i].removed and not dues.states[i].placeholder
    ]
    return _few(found)


def narrowed(dues: DueList, asked: Asked) -> tuple[Lines, Mapping[str, int]]:
    """The rows that fit the filters, in the order asked for, and how many fit all filters but that of the state."""
    every = dues.kept.here(("lines", asked.sort, asked.down), lambda: _sorted(lines(dues), dues, asked))
    fits = _fitting(dues, asked)
    found = every if fits is None else every.picked(np.flatnonzero(fits[every.unit]))
    if asked.duty:
        found = found.picked(np.flatnonzero(found.duty == _DUTIES.index(asked.duty)))
    counts = dict(zip(STATES, np.bincount(found.state, minlength=len(STATES)).tolist(), strict=True))
    if asked.states:
        found = found.picked(np.isin(found.state, [STATES.index(state) for state in asked.states]))
    return found, counts


def _fitting(dues: DueList, asked: Asked) -> NDArray[np.bool_] | None:
    """Which units fit the site and the words; None where all do."""
    words, kept = asked.text.casefold().split(), dues.kept
    if not words and not asked.site:
        return None
    fits = np.ones(len(dues.states), np.bool_)
    if asked.site:
        fits &= np.array([site == asked.site for site in kept.each(_site)], np.bool_)
    for word in words:
        fits &= np.array([word in text for text in kept.each(_haystack)], np.bool_)
    return fits


def _site(state: UnitState) -> str | None:
    return state.site


def _haystack(state: UnitState) -> str:
    plate = state.nameplate
    parts = (state.id, state.serial, state.site, state.place, kinds.agent_label(plate.agent), str(plate.size or ""), plate.model, plate.lot)
    return " ".join(part for part in (*parts, "wheeled" if plate.wheeled else "") if part).casefold()


def _sorted(found: Lines, dues: DueList, asked: Asked) -> Lines:
    """Rows in the order asked for; those that are equal in it stand by urgency. What has no date stands last, whichever way."""
    usual = (found.duty, found.unit, found.earliest, found.state)  # the last one weighs most, as numpy sorts
    sign = -1 if asked.down else 1
    if asked.sort == "by":
        order = np.lexsort((*usual, sign * found.latest, sign * found.earliest, found.earliest == int(FAR)))
    elif asked.sort == "duty":
        order = np.lexsort((*usual, sign * _DUTY_LABELS[found.duty]))
    elif asked.sort in ("unit", "place"):
        ranks = dues.kept.over(_by_name if asked.sort == "unit" else _by_place, _ranks)
        order = np.lexsort((*usual, sign * ranks[found.unit]))
    else:
        order = np.lexsort(usual)[::sign]
    return found.picked(order)


def _by_name(state: UnitState) -> Natural:
    return natural(unit_name(state))


def _by_place(state: UnitState) -> Natural:
    return natural(f"{state.site or ''} {state.place or ''}")


def _ranks(names: Sequence[Natural]) -> Numbers:
    """The rank of each unit by its name or its place; equal ones have the same."""
    rank = {name: number for number, name in enumerate(sorted(set(names)))}
    return np.array([rank[name] for name in names], np.int64)


def natural(text: str) -> Natural:
    """A key by which W-9 comes before W-10."""
    return tuple((0, part.zfill(20)) if part.isdigit() else (1, part.casefold()) for part in _DIGITS.split(text) if part)


def built(dues: DueList, picked: Sequence[Line]) -> list[Due]:
    """The rows themselves, with their reasons, in the order given."""
    by_unit: dict[int, dict[str, Due]] = {}
    for line in picked:
        if line.index not in by_unit:
            by_unit[line.index] = {due.duty: due for due in dues.of_unit(line.index)}
    return [by_unit[line.index][line.duty] for line in picked]
