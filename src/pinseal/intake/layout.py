"""Where the tables of a sheet are: heading rows (one, two, none, repeated), and what each column stands for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from pinseal.intake.grid import Row, Sheet, tidy
from pinseal.intake.heading_words import DATE_FIELDS
from pinseal.intake.headings import NOTHING, Meaning, meaning_of
from pinseal.intake.words import fold, word_set

HEADING_CHARACTERS_MAX = 60
LOOK_AHEAD = 120
_FIGURES = frozenset("0123456789")
_GENERIC = word_set("date year month last day datum jahr monat fecha ano mes ultimo ultima data anno mese annee mois le when done by no nr")
_YEAR_HEADING = re.compile(r"(?:19|20)\d{2}")
_UNIT_HINT = re.compile(r"\b(lbs?|pounds?|kgs?|kilos?|gal|gallons?|lit(?:er|re|ro)s?|l)\b|#")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table. `field` is the fact it holds, or None; `units` are those that the heading
    names for sizes; `year` stands where the heading is a year.
    """

    index: int
    heading: str
    meaning: Meaning
    field: str | None = None
    units: tuple[str, ...] = ()
    year: int | None = None

    @property
    def due(self) -> bool:
        return self.meaning.due


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A heading (rows `top` to `bottom`) and the rows below it, up to `last`."""

    top: int
    bottom: int
    last: int
    columns: tuple[Column, ...]

    @property
    def first(self) -> int:
        return self.bottom + 1


def heading_score(row: Row) -> int:
    """How much a row looks like headings: 0 for none; else the number of families that it names."""
    cells = [cell for cell in map(tidy, row) if cell]
    if len(cells) < 2 or any(len(cell) > HEADING_CHARACTERS_MAX for cell in cells):
        return 0
    meanings = [meaning_of(cell) for cell in cells]
    known = sum(1 for meaning in meanings if meaning.fields or meaning.due)
    years = sum(1 for cell in cells if _YEAR_HEADING.fullmatch(cell))
    families = {meaning.fields[0] for meaning in meanings if meaning.fields}
    figures = sum(1 for cell in cells if cell[0].isdigit() and not _YEAR_HEADING.fullmatch(cell) and not meaning_of(cell).fields)
    if len(families) < 2 or (known + years) * 2 < len(cells) or figures * 2 > known:
        return 0
    return known + len(families) + min(years, 3)


def find_tables(sheet: Sheet, codes: Mapping[str, str] | None = None) -> list[Table]:
    """The tables of a sheet, top to bottom. A heading row that only repeats the one before starts no new table."""
    heads: list[tuple[int, int, int]] = []
    number, total = 1, len(sheet.rows)
    while number <= total:
        row = sheet.rows[number - 1]
        if heads and row and row[0] and row[0][-1] in _FIGURES:
            number += 1
            continue
        if (not heads and number > LOOK_AHEAD) or not _may_be_heading(row, searching=not heads):
            number += 1
            continue
        score = heading_score(sheet.rows[number - 1])
        if not score or (heads and not _is_later_heading(sheet.rows[number - 1])):
            number += 1
            continue
        top, main, bottom = _around(sheet, number)
        if not (heads and sheet.rows[main - 1] == sheet.rows[heads[-1][1] - 1]):
            heads.append((top, main, bottom))
        number = bottom + 1
    tables = []
    for place, (top, main, bottom) in enumerate(heads):
        last = heads[place + 1][0] - 1 if place + 1 < len(heads) else total
        tables.append(Table(top=top, bottom=bottom, last=last, columns=_columns(sheet, top, main, bottom, codes or {})))
    return tables


def _may_be_heading(row: Row, *, searching: bool) -> bool:
    """A cheap look, since every row of a long list comes by: headings hold hardly any figures."""
    if searching:
        return True
    filled = 0
    for cell in row:
        if not cell:
            continue
        if cell[0].isdigit() or cell[-1].isdigit():
            return False
        filled += 1
        if filled == 4:
            break
    return filled >= 2


def _is_later_heading(row: Row) -> bool:
    """Below a first table a row must be headings through and through to start another."""
    cells = [cell for cell in map(tidy, row) if cell]
    known = sum(1 for cell in cells if len(cell) <= 30 and (meaning_of(cell).fields or meaning_of(cell).due))
    return len(cells) >= 3 and known * 5 >= len(cells) * 4


def _around(sheet: Sheet, number: int) -> tuple[int, int, int]:
    """First, main and last row of a heading block that begins at `number`."""
    scored = [(heading_score(sheet.rows[at - 1]), -at) for at in range(number, min(number + 3, len(sheet.rows) + 1))]
    best = max(range(len(scored)), key=lambda place: scored[place] if all(score > 0 for score, _ in scored[: place + 1]) else (0, 0))
    main = number + best
    top = number
    while top > 1 and main - top < 2 and _is_part_of_heading(sheet, top - 1, main):
        top -= 1
    bottom = main
    while bottom < len(sheet.rows) and bottom - main < 2 and _is_below_heading(sheet, bottom + 1, main):
        bottom += 1
    return top, main, bottom


def _is_part_of_heading(sheet: Sheet, at: int, main: int) -> bool:
    cells = [cell for cell in map(tidy, sheet.rows[at - 1]) if cell]
    if len(cells) == 1 and _stands_over(sheet, at, main):
        return True
    if len(cells) < 2 or any(len(cell) > 40 or re.search(r"\d{2}", cell) for cell in cells):
        return False
    width = sum(1 for cell in sheet.rows[main - 1] if cell.strip())
    return len(cells) <= width


def _stands_over(sheet: Sheet, at: int, main: int) -> bool:
    """Whether a lone cell, not in the first column, names the group of the years or bare words below it."""
    row, below = sheet.rows[at - 1], sheet.rows[main - 1]
    place = next(index for index, cell in enumerate(row) if cell.strip())
    under = tidy(_at(below, place))
    return place > 0 and bool(meaning_of(tidy(row[place])).fields) and (bool(_YEAR_HEADING.fullmatch(under)) or fold(under) in _GENERIC)


def _is_below_heading(sheet: Sheet, at: int, main: int) -> bool:
    """A row that finishes broken headings: no figures, and mostly words that headings are made of."""
    row = sheet.rows[at - 1]
    cells = [tidy(cell) for cell in row if cell.strip()]
    broken = any(cell.rstrip().endswith("-") for cell in sheet.rows[main - 1])
    if (
        len(cells) < (1 if broken else 2)
        or any(re.search(r"\d", cell) or len(cell) > 30 for cell in cells)
        or len(cells) > sum(1 for cell in sheet.rows[main - 1] if cell.strip())
    ):
        return False
    above = sheet.rows[main - 1]
    joined = sum(1 for column, cell in enumerate(row) if cell.strip() and column < len(above) and _finishes(above[column], cell))
    return joined * 2 > len(cells)


def _finishes(upper: str, lower: str) -> bool:
    """Whether a lower cell completes the heading above it: `letzte` over `Prüfung`, `Serial` over `no.`, `Fabrik-` over `nummer`."""
    low = fold(lower)
    if upper.rstrip().endswith("-") or low in _GENERIC or lower.strip().startswith("("):
        return True
    both, alone = meaning_of(join(upper, lower)), meaning_of(upper)
    return bool(both.fields) and both.fields != alone.fields and bool(upper.strip())


def join(upper: str, lower: str) -> str:
    """Two parts of one heading; a hyphen at the break is taken out before a small letter."""
    upper, lower = tidy(upper), tidy(lower)
    if upper.endswith("-") and lower[:1].islower():
        return upper[:-1] + lower
    return f"{upper} {lower}".strip()


def _columns(sheet: Sheet, top: int, main: int, bottom: int, codes: Mapping[str, str]) -> tuple[Column, ...]:
    width = max((len(sheet.rows[at - 1]) for at in range(top, bottom + 1)), default=0)
    groups = [_spread(sheet, at, width, main) for at in range(top, main)]
    columns = []
    for index in range(width):
        own = _at(sheet.rows[main - 1], index)
        for at in range(main + 1, bottom + 1):
            own = join(own, _at(sheet.rows[at - 1], index))
        above = [group[index] for group in groups if group[index]]
        columns.append(_column(index, own, above, codes))
    return tuple(columns)


def _at(row: Row, index: int) -> str:
    return row[index] if index < len(row) else ""


def _spread(sheet: Sheet, at: int, width: int, main: int) -> list[str]:
    """A row of group headings, each over all the columns it stands above."""
    row = [tidy(_at(sheet.rows[at - 1], index)) for index in range(width)]
    below = sheet.rows[main - 1]
    ends = {(span.left): span.right for span in sheet.merged if span.top <= at <= span.bottom and span.right > span.left}
    shown, until = "", -1
    for index in range(width):
        if row[index]:
            shown, until = row[index], ends.get(index, width if not ends else index)
        elif shown and index <= until and _at(below, index).strip():
            row[index] = shown
    return row


def _column(index: int, own: str, above: list[str], codes: Mapping[str, str]) -> Column:
    heading = tidy(own) or (above[-1] if above else "")
    raw = own if own.strip() else heading
    meaning = meaning_of(raw) if raw else NOTHING
    year = int(heading) if _YEAR_HEADING.fullmatch(heading) else None
    generic = all(word in _GENERIC for word in fold(raw).split())
    if above and tidy(own) and year is None and (generic or meaning.sure < 100):
        wider = meaning_of(join(" ".join(above), own))
        if wider.fields and (generic or not meaning.fields or (wider.sure == 100 and wider.fields[:1] != meaning_of(above[-1]).fields[:1])):
            meaning, heading = wider, join(above[-1], own)
    if above and meaning.due and not meaning.fields:
        meaning = Meaning(meaning_of(above[-1]).fields, due=True)
    if not meaning.fields and fold(raw) in codes:
        meaning = Meaning((codes[fold(raw)],))
    if year is not None and above:
        group = meaning_of(above[-1]).fields
        meaning = Meaning(tuple(field for field in group if field in DATE_FIELDS))
    hints = _UNIT_HINT.finditer(heading.casefold()) if "size" in meaning.fields else ()
    units = tuple(dict.fromkeys(_unit(hint[0]) for hint in hints))
    return Column(index=index, heading=heading, meaning=meaning, units=units, year=year)


def _unit(word: str) -> str:
    if word.startswith(("lb", "pound", "#")):
        return "lb"
    return "kg" if word.startswith("k") else "gal" if word.startswith("gal") else "l"
