"""One sheet to units: for each table its rows as columns of cells, the counts taken out, the facts joined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import cast

from pinseal.dates import PartialDate
from pinseal.intake.checks import future_problems, order_problems
from pinseal.intake.column_cells import Cells, column_keys, filled_rows, text_of
from pinseal.intake.count_rows import Counted, count_problem, find_counts
from pinseal.intake.date_words import DateContext
from pinseal.intake.findings import Flaw
from pinseal.intake.gathering import Gathering, Part, problem
from pinseal.intake.grid import Row
from pinseal.intake.heading_words import DATE_FIELDS
from pinseal.intake.layout import Column, Table
from pinseal.intake.note_cells import read_remark
from pinseal.intake.plain_cells import read_text_cell
from pinseal.intake.plans import SheetPlan
from pinseal.intake.register import UNIT_FIELDS, Columns, DateOrder
from pinseal.intake.table_reader import TableReader, column_orders

_NO_DITTO = frozenset(("id", "serial", "notes"))
_GIVEN = frozenset(("sheet", "row", "site", "place", "cells", "headings"))


@dataclass(slots=True)
class _Ready:
    """A table whose rows are sorted into units and counts, before its cells are read."""

    table: Table
    part: Part
    rows: list[Row]
    sites: list[str | None]
    places: list[str | None]
    orders: dict[int, str | None]
    counts: dict[int, int | None] = field(default_factory=dict)


class SheetReader:
    """Prepares all tables of a sheet, so that the orders of dates are known for the whole list before any cell is read."""

    def __init__(self, gathering: Gathering, plan: SheetPlan, site: str | None, *, other_language: bool) -> None:
        self.gathering, self.plan, self.site = gathering, plan, site
        self.other_language = other_language
        self.counts: dict[int, int | None] = {}
        self.ready = [self._prepare(number) for number in range(len(plan.tables))]

    def orders(self) -> list[DateOrder]:
        """What each date column proves by itself."""
        return [
            DateOrder(sheet=self.plan.sheet.name, column=column.heading, order=order)
            for ready in self.ready
            for column in ready.table.columns
            if (order := ready.orders.get(column.index)) is not None
        ]

    def _prepare(self, at: int) -> _Ready:
        table, numbers = self.plan.tables[at], self.plan.walk.data[at]
        sheet = self.plan.sheet
        own = frozenset(column.index for column in table.columns if column.field in ("id", "serial"))
        rows = filled_rows(sheet, numbers, own)
        keys: dict[int, Cells] = {}
        for column in table.columns:
            if column.field is not None or column.year is not None:
                keys[column.index] = column_keys(rows, numbers, column.index, sheet.marks, repeats=column.field not in _NO_DITTO)
        sites = self._sites(table, keys, self.plan.walk.sites[at])
        places = _places(table, keys, self.plan.walk.floors[at])
        counted = find_counts(self.gathering, table, keys)
        kept = self._take_out(table, keys, counted, numbers, sites, places)
        if kept is not None:
            rows, sites, places = [rows[place] for place in kept], [sites[place] for place in kept], [places[place] for place in kept]
        keys = _kept(keys, kept, counted)
        part = Part(sheet=sheet.name, table=table, numbers=numbers if kept is None else [numbers[place] for place in kept], keys=keys)
        orders = column_orders(self.gathering, part, other_language=self.other_language)
        return _Ready(table=table, part=part, rows=rows, sites=sites, places=places, orders=orders)

    def _sites(self, table: Table, keys: dict[int, Cells], sections: list[str | None]) -> list[str | None]:
        column = next((column for column in table.columns if column.field == "site"), None)
        fallback = self.site
        if column is None:
            return [section or fallback for section in sections]
        names = {key: read_text_cell(text_of(key)) for key in keys[column.index].different()}
        if _starts_groups(keys[column.index]):
            self._say_filled(table, column)
            return _filled_down([names[key] for key in keys[column.index]], fallback)
        return [names[key] or section or fallback for key, section in zip(keys[column.index], sections, strict=True)]

    def _say_filled(self, table: Table, column: Column) -> None:
        flaw = Flaw(
            "filled-down", "a site stands on the first row of its group only: the rows below were read as the same site; please confirm"
        )
        problem(self.gathering, self.plan.sheet.name, max(table.bottom, 1), column.heading, column.heading, flaw)

    def _remarks_of_count(self, table: Table, keys: dict[int, Cells], place: int, row: int) -> None:
        """A remark beside a count may say that the same ones stand elsewhere too."""
        for column in table.columns:
            if column.field != "notes":
                continue
            raw = text_of(keys[column.index][place])
            remark = read_remark(raw, DateContext(latest_year=self.gathering.latest_year))
            if remark.elsewhere:
                flaw = Flaw("counted-elsewhere", "the remark says that these stand elsewhere too")
                problem(self.gathering, self.plan.sheet.name, row, column.heading, raw, flaw)
            if remark.removed:
                flaw = Flaw("removed", "the remark says that the units are gone")
                problem(self.gathering, self.plan.sheet.name, row, column.heading, raw, flaw)

    def _take_out(
        self,
        table: Table,
        keys: dict[int, Cells],
        counted: Counted,
        numbers: Sequence[int],
        sites: list[str | None],
        places: list[str | None],
    ) -> list[int] | None:
        """List the rows that count; the places of the others, or None where no row counts."""
        if not counted.rows:
            return None
        for place, (column, raw, count) in counted.rows.items():
            entry = count_problem(
                self.gathering,
                sheet=self.plan.sheet.name,
                row=numbers[place],
                column=column,
                raw=raw,
                count=count,
                site=sites[place],
                place=places[place],
            )
            self.gathering.problems.append(entry)
            self.counts[numbers[place]] = entry.count
            self._remarks_of_count(table, keys, place, numbers[place])
        return [place for place in range(len(numbers)) if place not in counted.rows]

    def read(self) -> list[Columns]:
        """The units of each table as columns, in the order of `UNIT_FIELDS`."""
        return [self._table(ready) for ready in self.ready if ready.part.numbers]

    def _table(self, ready: _Ready) -> Columns:
        size = len(ready.part.numbers)
        reader = TableReader(self.gathering, ready.part)
        facts = reader.read(ready.orders)
        dates = {name: cast("Sequence[PartialDate | None]", values) for name, values in facts.items() if name in DATE_FIELDS}
        sheet, numbers = self.plan.sheet.name, ready.part.numbers
        day = self.gathering.as_of or self.gathering.today
        self.gathering.problems += order_problems(sheet, numbers, {**dates, **reader.latest_readings}, reader.headings, day)
        self.gathering.problems += future_problems(sheet, numbers, dates, reader.headings, day)
        headings = tuple(_raw_name(column) for column in ready.table.columns)
        nothing = [None] * size
        given: dict[str, Sequence[object]] = {
            "sheet": [sheet] * size, "row": numbers, "site": ready.sites, "place": ready.places,
            "cells": ready.rows, "headings": [headings] * size,
        }  # fmt: skip
        return tuple(given[name] if name in _GIVEN else facts.get(name, nothing) for name in UNIT_FIELDS)


def _starts_groups(cells: Cells) -> bool:
    """Whether a column names each group once, on its first row: two names or more, each once, and blanks below the first."""
    named = [text for key in cells if (text := text_of(key).strip())]
    return len(named) >= 2 and len(set(named)) == len(named) and len(named) * 2 <= len(cells) and bool(text_of(cells[0]).strip())


def _filled_down(names: list[str | None], fallback: str | None) -> list[str | None]:
    result: list[str | None] = []
    for name in names:
        result.append(name or (result[-1] if result else fallback))
    return result


def _raw_name(column: Column) -> str:
    if column.field is None or column.year is not None:
        return column.heading or f"column {column.index + 1}"
    return f"next {column.field}" if column.due else column.field


def _places(table: Table, keys: dict[int, Cells], floors: list[str | None]) -> list[str | None]:
    columns = [column.index for column in table.columns if column.field == "place"]
    parts: list[Sequence[str | None]] = []
    if any(floor is not None for floor in floors):
        parts.append(floors)
    for index in columns:
        names = {key: read_text_cell(text_of(key)) for key in keys[index].different()}
        parts.append([names[key] for key in keys[index]])
    if not parts:
        return [None] * len(floors)
    if len(parts) == 1:
        return list(parts[0])
    return [", ".join(filter(None, row)) or None for row in zip(*parts, strict=True)]


def _kept(keys: dict[int, Cells], kept: list[int] | None, counted: Counted) -> dict[int, Cells]:
    if counted.ones:
        keys = {index: Cells(cells) for index, cells in keys.items()}
        for (index, place), text in counted.ones.items():
            keys[index][place] = text
    if kept is None:
        return keys
    return {index: Cells(cells[place] for place in kept) for index, cells in keys.items()}
