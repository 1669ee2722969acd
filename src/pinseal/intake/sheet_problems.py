"""What a sheet as a whole gives away: rows struck out or hidden, due columns, totals that do not agree."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Sequence

from pinseal.intake.grid import tidy
from pinseal.intake.heading_words import DATE_FIELDS
from pinseal.intake.plans import SheetPlan
from pinseal.intake.register import Problem, RegisterUnit
from pinseal.intake.row_kinds import said_number
from pinseal.intake.sheet_reader import SheetReader
from pinseal.intake.words import fold


def sheet_problems(plan: SheetPlan) -> list[Problem]:
    """Problems that no single cell shows by its text."""
    found = [*_headings(plan), *_struck(plan)]
    name = plan.sheet.name
    data = {number for numbers in plan.walk.data for number in numbers}
    if plan.borrowed and data:
        why = "the sheet has no headings; its columns were read as on the sheet before it"
        found.append(Problem(sheet=name, row=min(data), column=None, raw="", kind="no-header", why=why))
    if plan.sheet.hidden and data:
        found.append(
            Problem(
                sheet=name, row=min(data), column=None, raw="", kind="hidden", why="the whole sheet is hidden in the workbook; it was read"
            )
        )
    for number in sorted(plan.sheet.hidden_rows & data):
        raw = _first_text(plan, number)
        found.append(
            Problem(sheet=name, row=number, column=None, raw=raw, kind="hidden", why="the row is hidden in the workbook; it was read")
        )
    return found


def _headings(plan: SheetPlan) -> list[Problem]:
    found = []
    for table in plan.tables if plan.has_headings else ():
        for column in table.columns:
            if column.due:
                why = "dates under this heading are still to come: no work done is read from them"
                kind = "next-due-column"
            elif column.field is None and column.year is None and column.meaning.fields[:1] and column.meaning.fields[0] in DATE_FIELDS:
                why, kind = "the cells are mere ticks: they say that it was done, not when", "no-dates"
            elif column.field and column.meaning.sure not in (90.0, 100.0):
                why, kind = f"the heading was read as {column.field.replace('_', ' ')}; please confirm", "heading-read-as"
            else:
                continue
            found.append(Problem(sheet=plan.sheet.name, row=table.bottom, column=column.heading, raw=column.heading, kind=kind, why=why))
    return found


def _first_text(plan: SheetPlan, number: int) -> str:
    return next((tidy(cell) for cell in plan.sheet.rows[number - 1] if cell.strip()), "")


def _struck(plan: SheetPlan) -> list[Problem]:
    """Rows and cells with a line through them."""
    struck: dict[int, list[int]] = defaultdict(list)
    for (row, column), mark in plan.sheet.marks.items():
        if mark.struck and row <= len(plan.sheet.rows):
            struck[row].append(column)
    found = []
    data = {number for numbers in plan.walk.data for number in numbers}
    for row, columns in sorted(struck.items()):
        if row not in data:
            continue
        cells = plan.sheet.rows[row - 1]
        lined = [column for column in columns if column < len(cells) and cells[column].strip()]
        filled = sum(1 for cell in cells if cell.strip())
        if len(lined) * 2 > filled:
            found.append(_line(plan, row, None, _first_text(plan, row), "removed", "the row is crossed out"))
        else:
            for column in lined:
                found.append(_line(plan, row, column, cells[column], "struck-cell", "the cell is crossed out; it was read all the same"))
    return found


def _line(plan: SheetPlan, row: int, column: int | None, raw: str, kind: str, why: str) -> Problem:
    heading = None
    for table in plan.tables:
        if column is not None and table.first <= row <= table.last and column < len(table.columns):
            heading = table.columns[column].heading
    return Problem(sheet=plan.sheet.name, row=row, column=heading, raw=raw, kind=kind, why=why)


def total_problems(
    plans: Sequence[SheetPlan], readers: Sequence[SheetReader], units: Sequence[RegisterUnit], known: Sequence[Problem]
) -> list[Problem]:
    """Subtotals that agree neither with their own part of the list nor with the whole sheet."""
    removed = {(problem.sheet, problem.row) for problem in known if problem.kind == "removed"}
    found = []
    for plan, reader in zip(plans, readers, strict=True):
        if not plan.walk.totals:
            continue
        if any(plan.walk.data):
            found += _own_totals(plan, reader, removed)
        else:
            found += _named_totals(plan, units)
    return found


def _own_totals(plan: SheetPlan, reader: SheetReader, removed: set[tuple[str | None, int]]) -> list[Problem]:
    groups: dict[int, list[int]] = defaultdict(list)
    for numbers, memberships in zip(plan.walk.data, plan.walk.groups, strict=True):
        for number, group in zip(numbers, memberships, strict=True):
            groups[group].append(number)
    found = []
    for row, column, text, group in plan.walk.totals:
        said = said_number(text)
        parts = [groups.get(group, []), [number for numbers in groups.values() for number in numbers if number < row]]
        listed = [_sum(reader, numbers) for numbers in parts]
        gone = [sum(1 for number in numbers if (plan.sheet.name, number) in removed) for numbers in parts]
        if said is None or None in listed or not parts[1]:
            continue
        if "+" in text and "=" in text:  # a sum that names its parts: one of them may be what is listed
            said = next((number for number in map(int, re.findall(r"\d+", text)) if number in listed), said)
        fair = {number for number in listed if number is not None} | {
            number - less for number, less in zip(listed, gone, strict=True) if number is not None
        }
        if said not in fair:
            own = listed[0] or listed[1]
            found.append(_mismatch(plan, row, column, text, said, own or 0))
    return found


def _sum(reader: SheetReader, numbers: Sequence[int]) -> int | None:
    counts = [reader.counts.get(number, 1) for number in numbers]
    return None if None in counts else sum(count for count in counts if count)


def _named_totals(plan: SheetPlan, units: Sequence[RegisterUnit]) -> list[Problem]:
    """A sheet of totals: each is compared with the site or sheet of that name."""
    tally = Counter(fold(unit.site or "") for unit in units)
    tally.update(fold(unit.sheet or "") for unit in units if fold(unit.sheet or "") != fold(unit.site or ""))
    found = []
    for row, column, text, _ in plan.walk.totals:
        cells = [tidy(cell) for cell in plan.sheet.rows[row - 1] if cell.strip()]
        said = said_number(cells[-1]) if len(cells) > 1 else None
        listed = tally.get(fold(cells[0])) if cells else None
        if said is not None and listed and said != listed:
            found.append(_mismatch(plan, row, column, text, said, listed))
    return found


def _mismatch(plan: SheetPlan, row: int, column: int, text: str, said: int, listed: int) -> Problem:
    table = next((table for table in plan.tables if table.first <= row <= table.last), None)
    heading = table.columns[column].heading if table and column < len(table.columns) else None
    why = f"the list says {said}, its rows give {listed}"
    return Problem(sheet=plan.sheet.name, row=row, column=heading, raw=text, kind="count-mismatch", why=why)
