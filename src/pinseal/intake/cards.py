"""Lists of cards: each unit on several lines, `Tag: H-1`, `Type: 10# ABC`, with a blank line or the same label again before the next."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, replace

from pinseal.intake.grid import Mark, Row, Sheet, tidy
from pinseal.intake.headings import meaning_of
from pinseal.intake.layout import Column, Table
from pinseal.intake.words import fold

LINES_MIN = 4
SAMPLE_ROWS = 400
_ONE_CELL = re.compile(r"^([^:=]{1,40}?)\s*[:=]\s*(.*)$")


@dataclass(slots=True)
class _Card:
    row: int
    cells: dict[str, tuple[str, Mark | None]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cards:
    """A sheet of cards turned into a table: the sheet with one row for each card, and the rows that its other lines took."""

    sheet: Sheet
    table: Table
    lines: frozenset[int]


def read_cards(sheet: Sheet) -> Cards | None:
    """Turn a sheet of cards into a table, or None where it holds none."""
    cards: list[_Card] = []
    lines: list[int] = []
    labels: dict[str, str] = {}
    known = {fold(line[0]) for line in map(_line, sheet.rows) if line}
    fresh = True
    for number, row in enumerate(sheet.rows, 1):
        line = _line(row)
        if line is None and cards and _is_blank_field(row, known):
            lines.append(number)
            continue
        if line is None:
            fresh = True
            continue
        label, text, column = line
        key = fold(label)
        if fresh or key in cards[-1].cells:
            cards.append(_Card(number))
            fresh = False
        labels.setdefault(key, label)
        cards[-1].cells[key] = (text, sheet.marks.get((number, column)))
        lines.append(number)
    fields = {meaning_of(label).fields[0] for label in labels.values() if meaning_of(label).fields}
    if len(lines) < LINES_MIN or len(fields) < 2 or not fields & {"agent", "size", "serial", "rating"}:
        return None
    return _table(sheet, cards, labels, frozenset(lines))


def _is_blank_field(row: Row, labels: Collection[str]) -> bool:
    """A label that other cards fill in, left open in this one."""
    cells = [tidy(cell) for cell in row if cell.strip()]
    return len(cells) == 1 and fold(cells[0].rstrip(" :=")) in labels


def is_all_cards(sheet: Sheet) -> bool:
    """Whether a sheet holds cards and nothing else: two columns at most, and labels that come again in nearly every row."""
    used = [row for row in sheet.rows[:SAMPLE_ROWS] if any(cell.strip() for cell in row)]
    if any(sum(1 for cell in row if cell.strip()) > 2 for row in used):
        return False
    found = {fold(line[0]) for line in map(_line, used) if line}
    firsts = Counter(fold(next(cell for cell in row if cell.strip()).partition(":")[0].rstrip(" =")) for row in used)
    again = sum(count for label, count in firsts.items() if label in found and count > 1)
    return len(found) >= 3 and again * 5 >= len(used) * 4


def _line(row: Row) -> tuple[str, str, int] | None:
    """Label, value and the value's column of one line of a card."""
    cells = [(index, tidy(cell)) for index, cell in enumerate(row) if cell.strip()]
    if not cells or len(cells) > 2:
        return None
    first = cells[0][1]
    if len(cells) == 2:
        return (first.rstrip(" :="), cells[1][1], cells[1][0]) if meaning_of(first).fields or meaning_of(first).due else None
    match = _ONE_CELL.match(first)
    if match and (meaning_of(match[1]).fields or meaning_of(match[1]).due):
        return match[1], match[2], -1
    return None


def _table(sheet: Sheet, cards: Sequence[_Card], labels: dict[str, str], lines: frozenset[int]) -> Cards:
    columns = tuple(Column(index=index, heading=label, meaning=meaning_of(label)) for index, label in enumerate(labels.values()))
    rows: list[Row] = [[] if number in lines else row for number, row in enumerate(sheet.rows, 1)]
    marks: dict[tuple[int, int], Mark] = {}
    for card in cards:
        rows[card.row - 1] = [card.cells.get(key, ("", None))[0] for key in labels]
        for index, key in enumerate(labels):
            mark = card.cells.get(key, ("", None))[1]
            if mark is not None:
                marks[card.row, index] = mark
    first = min(lines)
    table = Table(top=first, bottom=first - 1, last=len(rows), columns=columns)
    starts = {card.row for card in cards}
    return Cards(sheet=replace(sheet, rows=rows, marks=marks, merged=()), table=table, lines=frozenset(lines - starts))


def read_pairs_of_rows(sheet: Sheet, upper: Table, agent: Callable[[str], bool]) -> Cards | None:
    """A table whose units take two rows each, under two rows of headings; None where the rows do not go in pairs.

    The two headings must each be complete, and the rows must take turns: one names an agent where its heading says so, the other does not.
    """
    if upper.bottom != upper.top + 1:
        return None
    heads = sheet.rows[upper.top - 1], sheet.rows[upper.bottom - 1]
    fields = [[meaning_of(tidy(cell)).fields[:1] for cell in row] for row in heads]
    both = sum(1 for first, second in zip(*fields, strict=False) if first and second and first != second)
    numbers = [number for number in range(upper.first, upper.last + 1) if any(cell.strip() for cell in sheet.rows[number - 1])]
    place = next(((line, index) for line in (0, 1) for index, field_ in enumerate(fields[line]) if field_ == ("agent",)), None)
    if both < 2 or place is None or len(numbers) < 4 or len(numbers) % 2:
        return None
    line, index = place
    told = [agent(sheet.rows[number - 1][index]) if index < len(sheet.rows[number - 1]) else False for number in numbers]
    if not all(told[line::2]) or any(told[1 - line :: 2]):
        return None
    return _joined(sheet, upper, numbers)


def _joined(sheet: Sheet, table: Table, numbers: Sequence[int]) -> Cards:
    heads = sheet.rows[table.top - 1], sheet.rows[table.bottom - 1]
    width = len(heads[0])
    labels = [tidy(cell) for cell in (*heads[0], *heads[1])]
    columns = tuple(Column(index=index, heading=label, meaning=meaning_of(label)) for index, label in enumerate(labels))
    rows: list[Row] = [list(row) for row in sheet.rows]
    marks = {place: mark for place, mark in sheet.marks.items() if place[0] not in numbers}
    for first, second in zip(numbers[::2], numbers[1::2], strict=True):
        upper = [*sheet.rows[first - 1], *[""] * width][:width]
        rows[first - 1], rows[second - 1] = [*upper, *sheet.rows[second - 1]], []
        for (row, column), mark in sheet.marks.items():
            if row in (first, second):
                marks[first, column if row == first else column + width] = mark
    joined = replace(table, columns=columns)
    return Cards(sheet=replace(sheet, rows=rows, marks=marks, merged=()), table=joined, lines=frozenset(numbers[1::2]))
