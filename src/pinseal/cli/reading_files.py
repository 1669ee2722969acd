"""Plain CSV tables of readings: exact headings, quantities as people type them, and every slip said with its line.

A heading may carry the unit of its column, as in `reading (psi)`; then plain numbers stand below it.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path

from pinseal.dates import parse_day
from pinseal.measures import Measure, parse_measure, parse_pressure, parse_temperature
from pinseal.reasons import Refusal

_HEADING = re.compile(r"\s*([^()]*?)\s*(?:\(([^()]*)\))?\s*")
_PLAIN = re.compile(r"[+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)", re.ASCII)
_MB = 1 << 20
BYTES_MAX = 512 * _MB


def _text(file: str) -> str:
    path = Path(file)
    if path.is_dir() or not path.exists():
        raise Refusal(what="no such file", rule="a CSV file of readings is needed", got=file, do="check the path")
    if path.stat().st_size > BYTES_MAX:
        raise Refusal(what="the file is too large", rule=f"at most {BYTES_MAX // _MB} MB", got=file, do="split it by unit")
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise Refusal(what="the file is not text", rule="CSV in UTF-8", got=file, do="save it as CSV in UTF-8") from wrong


class Row:
    """One row under known headings. Every reading method raises `Refusal` with the line and the column."""

    def __init__(self, line: int, cells: Mapping[str, str], units: Mapping[str, str]) -> None:
        self.line, self._cells, self._units = line, cells, units

    def text(self, column: str) -> str:
        return self._cells.get(column, "").strip()

    def needed(self, column: str) -> str:
        if not self.text(column):
            raise Refusal(what=f"line {self.line} has no {column}", rule="each row says it", got="nothing", do=f"fill in the {column}")
        return self.text(column)

    def _read(self, column: str, read: Callable[[str], Measure]) -> Measure | None:
        cell, unit = self.text(column), self._units.get(column, "")
        if not cell:
            return None
        try:
            return read(f"{cell} {unit}" if unit and _PLAIN.fullmatch(cell) else cell)
        except Refusal as wrong:
            raise self.refused(column, wrong) from wrong

    def refused(self, column: str, wrong: Refusal) -> Refusal:
        """The same refusal with the line and the column before it."""
        return Refusal(what=f"line {self.line}, {column}: {wrong.what}", rule=wrong.rule, got=wrong.got, do=wrong.do)

    def pressure(self, column: str) -> Measure | None:
        return self._read(column, _pressure)

    def temperature(self, column: str) -> Measure | None:
        return self._read(column, _temperature)

    def mass(self, column: str) -> Measure | None:
        return self._read(column, _mass)

    def volume(self, column: str) -> Measure | None:
        return self._read(column, _volume)

    def day(self, column: str) -> date | None:
        """A full day, or None for an empty cell."""
        if not self.text(column):
            return None
        try:
            return _day(self.text(column))
        except Refusal as wrong:
            raise self.refused(column, wrong) from wrong

    def choice(self, column: str, choices: Sequence[str]) -> str:
        """One of the codes, or empty."""
        word = self.text(column).casefold()
        if word and word not in choices:
            raise Refusal(
                what=f"line {self.line}, {column}: unknown code",
                rule=f"one of {', '.join(choices)}",
                got=self.text(column),
                do="use a code of the list",
            )
        return word


@lru_cache(maxsize=200_000)
def _pressure(text: str) -> Measure:
    return parse_pressure(text)


@lru_cache(maxsize=50_000)
def _temperature(text: str) -> Measure:
    return parse_temperature(text)


@lru_cache(maxsize=200_000)
def _mass(text: str) -> Measure:
    return parse_measure("mass", text)


@lru_cache(maxsize=50_000)
def _volume(text: str) -> Measure:
    return parse_measure("volume", text)


@lru_cache(maxsize=50_000)
def _day(text: str) -> date:
    return parse_day(text)


def _headings(cells: Sequence[str], known: Sequence[str], needed: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    names: list[str] = []
    units: dict[str, str] = {}
    for cell in cells:
        match = _HEADING.fullmatch(cell)
        name = (match[1] if match else cell).casefold()
        if name and name not in known:
            raise Refusal(what="unknown heading", rule=f"headings are {', '.join(known)}", got=cell, do="rename or remove the column")
        if name and name in names:
            raise Refusal(what="a heading stands twice", rule="each column has a heading of its own", got=cell, do="remove one of them")
        names.append(name)
        if match and match[2]:
            units[name] = match[2]
    absent = [name for name in needed if name not in names]
    if absent:
        raise Refusal(
            what="a column is missing",
            rule=f"the first line names the columns; {', '.join(needed)} are needed",
            got=", ".join(name for name in names if name) or "no heading",
            do=f"add {', '.join(absent)}",
        )
    return names, units


def read_rows(file: str, *, known: Sequence[str], needed: Sequence[str]) -> Iterator[Row]:
    """The rows of a CSV file (comma, semicolon or tab) under known headings. Raises `Refusal`."""
    text = _text(file)
    first = text.split("\n", 1)[0]
    mark = max((",", ";", "\t"), key=first.count)
    try:
        lines = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
        names, units = _headings(next(lines, []), known, needed)
        for cells in lines:
            if any(cell.strip() for cell in cells):
                if len(cells) > len(names):
                    raise Refusal(
                        what=f"line {lines.line_num} has more cells than headings",
                        rule=f"{len(names)} columns",
                        got=f"{len(cells)} cells",
                        do="put a cell with a comma in it between quotes",
                    )
                yield Row(lines.line_num, dict(zip(names, cells, strict=False)), units)
    except csv.Error as wrong:
        raise Refusal(what="this is not a CSV file", rule=str(wrong), got=file, do="save it as CSV") from wrong
