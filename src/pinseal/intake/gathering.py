"""What is gathered while a list is read: problems and questions, with the rows they stand for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from pinseal.intake.column_cells import Cells, Key, Marked, rows_with, text_of
from pinseal.intake.findings import Ask, Flaw, Read
from pinseal.intake.kind_cells import Custom
from pinseal.intake.layout import Column, Table
from pinseal.intake.questions import Questions
from pinseal.intake.register import Problem


@dataclass(slots=True, kw_only=True)
class Gathering:
    """The list-wide side of a reading: customs, answers, orders of dates, and what was found on the way."""

    questions: Questions
    custom: Custom
    as_of: date | None
    today: date
    latest_year: int
    list_order: str | None = None
    given_order: str | None = None
    problems: list[Problem] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """The rows of one table that are units, as columns of cells."""

    sheet: str | None
    table: Table
    numbers: Sequence[int]
    keys: Mapping[int, Cells]

    def columns_of(self, field_name: str) -> list[Column]:
        return [column for column in self.table.columns if column.field == field_name and not column.due]


def report(gathering: Gathering, part: Part, column: Column, reads: Mapping[Key, Read[object]]) -> None:
    """List the flaws and ask the questions of one column's cells, each with all its rows."""
    wanted: set[object] = {key for key, read in reads.items() if read.flaw is not None or read.ask is not None}
    if not wanted:
        return
    places = rows_with(part.keys[column.index], part.numbers, wanted)
    for key, read in reads.items():
        if key not in wanted:
            continue
        if read.flaw is not None:
            for row in places[key]:
                problem(gathering, part.sheet, row, column.heading, text_of(key), read.flaw)
        if read.ask is not None:
            gathering.questions.add(read.ask, sheet=part.sheet, column=column.heading, rows=places[key], raw=text_of(key))


def problem(gathering: Gathering, sheet: str | None, row: int, column: str | None, raw: str, flaw: Flaw) -> None:
    gathering.problems.append(Problem(sheet=sheet, row=row, column=column, raw=raw.strip(), kind=flaw.kind, why=flaw.why))


def faulty(key: Key) -> Read[None] | None:
    """A workbook cell that holds an error or a formula never calculated: no value, and a reason."""
    if isinstance(key, Marked) and key.mark.fault:
        return Read(None, Flaw("unreadable", f"the cell holds {key.mark.fault}"))
    return None


def settled(gathering: Gathering, ask: Ask) -> str | None:
    """The answer that was given to a question, if any."""
    return gathering.questions.answer(ask)
