"""Lists of cards: each unit on several lines, `Tag: H-1`, `Type: 10# ABC`, with a blank line or the same label again before the next."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from pinseal.intake.grid import Mark, Row, Sheet, tidy
from pinseal.intake.headings import meaning_of
from pinseal.intake.layout import Column, Table
from pinseal.intake.words import fold

LINES_MIN = 4
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
    fresh = True
    for number, row in enumerate(sheet.rows, 1):
        line = _line(row)
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
