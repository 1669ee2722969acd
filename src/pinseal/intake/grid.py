"""The plain grid that every list is turned into: shown texts by row, and what a cell holds besides its text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from pinseal.dates import PartialDate

Row = list[str]

_SPACES = re.compile(r"[\s\u00a0\u2007\u202f\u200b\ufeff]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What a workbook says about one cell beyond the text it shows.

    `day` is a real date cell at the precision it is shown with; `fault` why its value
    cannot be used (an error, or a formula that was never calculated).
    """

    day: PartialDate | None = None
    struck: bool = False
    fault: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A merged block; rows count from 1, columns from 0, both ends included."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet as shown. Row number n is `rows[n - 1]`; `name` is None for a text file."""

    name: str | None
    rows: list[Row]
    marks: Mapping[tuple[int, int], Mark] = field(default_factory=dict)
    merged: tuple[Span, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    hidden: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A whole list: its sheets, and how its bytes were read (`form`, `encoding`, `separator`)."""

    sheets: tuple[Sheet, ...]
    form: str
    encoding: str | None = None
    separator: str | None = None


def tidy(text: str) -> str:
    """One line, single plain spaces, no space at the ends.

    >>> tidy(" 5#\\u00a0 ABC\\n")
    '5# ABC'
    """
    return _SPACES.sub(" ", text).strip()


def trimmed(text: str) -> str:
    """No space at the ends, no-break spaces made plain; what is inside stays as seen."""
    return text.replace("\u00a0", " ").replace("\u202f", " ").strip().strip("\ufeff\u200b")


def column_letter(index: int) -> str:
    """The name a spreadsheet gives a column: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
