"""The cells of one column over the rows of a table: merged blocks filled down, ditto marks repeated, equal cells read once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import TypeVar

from pinseal.intake.grid import Mark, Row, Sheet
from pinseal.intake.words import plain

Result = TypeVar("Result")

DITTO = frozenset(
    (
        '"',
        '""',
        "''",
        "'",
        "do",
        "do.",
        "ditto",
        "dto",
        "dto.",
        "id.",
        "idem",
        "〃",
        ",,",
        "„",
        "s.o.",
        "wie oben",
        "same",
        "as above",
        "igual",
    )
)


@dataclass(frozen=True, slots=True)
class Marked:
    """A cell with more to it than its text."""

    text: str
    mark: Mark


Key = str | Marked


def text_of(key: Key) -> str:
    return key if isinstance(key, str) else key.text


def filled_rows(sheet: Sheet, numbers: Sequence[int], own: frozenset[int]) -> list[Row]:
    """The rows of a table, with blocks that are merged downward filled; columns in `own` (ids, serials) are left alone."""
    rows = [sheet.rows[number - 1] for number in numbers]
    wanted = set(numbers)
    copies: dict[int, Row] = {}
    for span in sheet.merged:
        if span.bottom <= span.top or span.left in own or span.top > len(sheet.rows):
            continue
        top = sheet.rows[span.top - 1]
        value = top[span.left] if span.left < len(top) else ""
        for number in range(span.top + 1, span.bottom + 1):
            if number in wanted and value:
                row = copies.setdefault(number, list(sheet.rows[number - 1]))
                row.extend([""] * (span.left + 1 - len(row)))
                row[span.left] = row[span.left] or value
    return [copies.get(number, row) for number, row in zip(numbers, rows, strict=True)] if copies else rows


class Cells(list[Key]):
    """The cells of one column, which also knows its different cells."""

    __slots__ = ("_different",)

    def different(self) -> dict[Key, None]:
        """The different cells, in order of appearance."""
        try:
            return self._different
        except AttributeError:
            self._different: dict[Key, None] = dict.fromkeys(self)
            return self._different


def column_of(rows: Sequence[Row], column: int) -> list[str]:
    """The texts of a column; rows that are too short hold nothing."""
    try:
        return list(map(itemgetter(column), rows))
    except IndexError:
        return [row[column] if column < len(row) else "" for row in rows]


def column_keys(
    rows: Sequence[Row], numbers: Sequence[int], column: int, marks: Mapping[tuple[int, int], Mark], *, repeats: bool = True
) -> Cells:
    """The cells of a column. With `repeats`, ditto marks take the cell above."""
    keys = Cells(column_of(rows, column))
    if marks:
        for place, number in enumerate(numbers):
            mark = marks.get((number, column))
            if mark is not None and (mark.day is not None or mark.fault):
                keys[place] = Marked(text_of(keys[place]), mark)
    if repeats and any(isinstance(key, str) and 0 < len(key) <= 10 and plain(key) in DITTO for key in keys.different()):
        return _repeated(keys)
    return keys


def _repeated(keys: Cells) -> Cells:
    above: Key = ""
    result = Cells()
    for key in keys:
        above = above if above and isinstance(key, str) and key and plain(key) in DITTO else key
        result.append(above)
    return result


def read_each(keys: Cells, read: Callable[[Key], Result]) -> dict[Key, Result]:
    """Read every different cell once."""
    return {key: read(key) for key in keys.different()}


def rows_with(keys: Sequence[object], numbers: Sequence[int], wanted: set[object]) -> dict[object, list[int]]:
    """For each wanted cell the rows that hold it."""
    found: dict[object, list[int]] = {key: [] for key in wanted}
    for key, number in zip(keys, numbers, strict=True):
        if key in wanted:
            found[key].append(number)
    return found
