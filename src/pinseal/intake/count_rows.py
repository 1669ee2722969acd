"""Rows of a table that stand for several units are taken out before the rest is read."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from pinseal.intake.column_cells import Cells, text_of
from pinseal.intake.counts import Count, Part, read_count
from pinseal.intake.findings import Ask
from pinseal.intake.gathering import Gathering
from pinseal.intake.kind_cells import Kind, combined, parse_kind, settle_kind
from pinseal.intake.layout import Column, Table
from pinseal.intake.register import CountPart, Problem

_SINGLE = re.compile(r"\d{1,4}(?:\.0)?")


@dataclass(slots=True)
class Counted:
    """For each place among the table's rows, what it counts; and cells that say "1 x" without those words."""

    rows: dict[int, tuple[Column, str, Count]] = field(default_factory=dict)
    ones: dict[tuple[int, int], str] = field(default_factory=dict)


def find_counts(gathering: Gathering, table: Table, keys: dict[int, Cells]) -> Counted:
    """Look for counts in the cells that name agents, and in a column of quantities."""
    custom = gathering.custom
    counted = Counted()
    agents = [column for column in table.columns if column.field == "agent"]
    for column in agents:
        cells = keys[column.index]
        counts = {key: found for key in cells.different() if text_of(key) and (found := read_count(text_of(key), custom)) is not None}
        for place, key in enumerate(cells) if counts else ():
            found = counts.get(key)
            if found is None:
                continue
            if found.is_one_unit:
                counted.ones[column.index, place] = found.parts[0].text
            else:
                counted.rows.setdefault(place, (column, text_of(key), found))
    for column in table.columns:
        if column.field == "count":
            _quantities(counted, gathering, table, column, keys)
    return counted


def _quantities(counted: Counted, gathering: Gathering, table: Table, column: Column, keys: dict[int, Cells]) -> None:
    kinds = [other for other in table.columns if other.field in ("agent", "size")]
    for place, key in enumerate(keys[column.index]):
        text = text_of(key).strip()
        if text in ("", "1", "1.0") or place in counted.rows:
            continue
        kind = Kind()
        for other in kinds:
            kind = combined(kind, parse_kind(text_of(keys[other.index][place]), gathering.custom))
        span = re.fullmatch(r"(\d{1,3}) ?- ?(\d{1,3})", text)
        readings = tuple(range(int(span[1]), int(span[2]) + 1)) if span else ()
        number = int(float(text)) if _SINGLE.fullmatch(text) else None
        raw = " ".join(text_of(keys[other.index][place]) for other in kinds).strip()
        counted.rows[place] = (column, text, Count(parts=(Part(count=number, readings=readings, kind=kind, text=raw),)))


def count_problem(
    gathering: Gathering, *, sheet: str | None, row: int, column: Column, raw: str, count: Count, site: str | None, place: str | None
) -> Problem:
    """The one entry of a row that stands for several units. An open number is asked for."""
    parts = []
    for part in count.parts:
        kind = settle_kind(part.kind, gathering.custom, part.text or raw)
        number = part.count
        if number is None:
            number = _asked_number(gathering, part, sheet=sheet, row=row, column=column, raw=raw)
        for ask in kind.asks:
            given = gathering.questions.answer(ask)
            if given is None:
                gathering.questions.add(ask, sheet=sheet, column=column.heading, rows=[row], raw=raw)
            elif ask.field == "agent":
                kind = replace(kind, agent=given)
        parts.append(CountPart(count=number, readings=part.readings if number is None else (), agent=kind.agent, size=kind.size))
    total = None if any(part.count is None for part in parts) else sum(part.count for part in parts if part.count)
    why = f"one row stands for {total if total is not None else 'an open number of'} units"
    return Problem(
        sheet=sheet,
        row=row,
        column=column.heading,
        raw=raw.strip(),
        kind="count-row",
        why=why,
        count=total,
        parts=tuple(parts),
        site=site,
        place=place,
    )


def _asked_number(gathering: Gathering, part: Part, *, sheet: str | None, row: int, column: Column, raw: str) -> int | None:
    readings = tuple(str(number) for number in part.readings)
    ask = Ask("count", f"count {raw}", readings, f"How many units does {raw.strip()} stand for?")
    given = gathering.questions.answer(ask, free=True)
    if given is not None and given.isdigit():
        return int(given)
    gathering.questions.add(ask, sheet=sheet, column=column.heading, rows=[row], raw=raw.strip())
    return None
