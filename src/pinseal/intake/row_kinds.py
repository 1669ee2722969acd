"""What each row of a sheet is: a unit, or a title, header, section, subtotal, blank, legend or note. No row is dropped."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from pinseal.intake.column_cells import column_of
from pinseal.intake.counts import read_count
from pinseal.intake.findings import REMARK_READ_MAX
from pinseal.intake.grid import Row, Sheet, tidy
from pinseal.intake.heading_words import DATE_FIELDS
from pinseal.intake.kind_cells import read_kind
from pinseal.intake.layout import Column, Table
from pinseal.intake.places import floor_like, label_value, section_name
from pinseal.intake.words import plain

_COUNTED = (
    r"units?|extinguishers?|bottles|pcs|pieces|uds?|unidades|extintores|stuck|stk|loscher|feuerloscher|estintori|pezzi|extincteurs"
    r"|total|in all|in total"
    r"|on site|items?|ea|each"
)
_TOTAL = re.compile(
    r"^\W*(?:grand |sub-?|over-?all |running |page )?totals?\b|^\W*(?:zwischen)?summe\b|^\W*gesamt\w*|^\W*sub-?totale?\b|^\W*totale?\b"
    r"|^\W*suma\b"
    r"|^\W*somme\b|^\W*ensemble\b|^\W*(?:head ?)?count\b|\btotals?\b[^a-z]{0,12}(?:about |approx\.? |ca\.? )?\d+|^\W*anzahl\b|^\W*cuenta\b"
)
_LONE_TOTAL = re.compile(
    rf"^[^=]{{2,48}}: ?~?\d{{1,5}}(?: (?:{_COUNTED}))?\.?$|^~?\d{{1,5}}(?: ?- ?\d{{1,5}})?(?: (?:{_COUNTED}))?\.?$|= ?\d{{1,5}}(?: "
    rf"(?:{_COUNTED}))?$"
    r"|^\d{1,5} \([^)]*\)$|^\d{1,5} (?:units|extinguishers|extintores|loscher|estintori|extincteurs)\b"
)
_LEGEND = re.compile(
    r"=|^\W*(?:legend|key|abbrev\w*|codes?|leyenda|claves?|abreviat\w*|legende|abkurz\w*|zeichenerkl\w*|legenda|sigle|abreviations)\b",
    re.IGNORECASE,
)
_COLON_LIST = re.compile(r"^[^:]{2,24}: ?\S{1,6} .+[,/;]|^\S{1,6} (?:is|means|ist|es) .+[,/;.]")
_FIGURES = re.compile(r"\d+")
_KEY_FIELDS = frozenset(("id", "serial", "agent", "size", "rating", *DATE_FIELDS))
_SUSPECT = (
    *tuple(
        word
        for stem in (
            "tot",
            "sub",
            "sum",
            "som",
            "gesamt",
            "zwischen",
            "grand",
            "ensemble",
            "count",
            "anzahl",
            "cuenta",
            "overall",
            "head",
            "page",
            "running",
        )
        for word in (stem, stem.upper(), stem.capitalize())
    ),
    "*",
    "=",
    "-",
    " ",
)


_SUSPECT_LETTERS = frozenset(word[0] for word in _SUSPECT)


@dataclass(slots=True)
class Walk:
    """Every row of a sheet, sorted. The lists of a table's data rows run side by side."""

    kinds: list[tuple[int, str]] = field(default_factory=list)
    data: list[list[int]] = field(default_factory=list)
    sites: list[list[str | None]] = field(default_factory=list)
    floors: list[list[str | None]] = field(default_factory=list)
    groups: list[list[int]] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    pairs: list[tuple[str, str]] = field(default_factory=list)
    totals: list[tuple[int, int, str, int]] = field(default_factory=list)
    title: str | None = None


class _Walker:
    """Goes down one sheet, keeping the section it is in."""

    def __init__(self, sheet: Sheet, tables: list[Table]) -> None:
        self.sheet, self.tables = sheet, tables
        self.walk = Walk()
        self.site: str | None = None
        self.floor: str | None = None
        self.group = 0
        self.in_legend = False

    def run(self) -> Walk:
        first = self.tables[0].top if self.tables else len(self.sheet.rows) + 1
        for number in range(1, first):
            self._outside(number)
        for table in self.tables:
            self.walk.kinds += [(number, "header") for number in range(table.top, table.bottom + 1)]
            for rows in (self.walk.data, self.walk.sites, self.walk.floors, self.walk.groups):
                rows.append([])
            self._table(table)
        return self.walk

    def _outside(self, number: int) -> None:
        """A row above the first heading, or in a sheet that has none."""
        row = self.sheet.rows[number - 1]
        cells = [cell for cell in map(tidy, row) if cell]
        if not cells:
            self.walk.kinds.append((number, "blank"))
            return
        labelled = label_value(cells)
        if labelled:
            self.site = labelled
        if len(cells) == 2 and len(cells[0]) <= 24:
            self.walk.pairs.append((cells[0], cells[1]))
        self.walk.lines.append(" ".join(cells))
        kind = "legend" if _LEGEND.search(cells[0]) or (not self.tables and (self.walk.title or self.in_legend)) else "note"
        self.in_legend = self.in_legend or (kind == "legend" and not self.tables)
        first = all(other == "blank" for _, other in self.walk.kinds)
        if first and not labelled and "=" not in cells[0]:
            self.walk.title, kind = cells[0], "title"
        self.walk.kinds.append((number, kind))

    def _table(self, table: Table) -> None:
        """Sort the rows of a table. Rows that are plainly units go by in whole runs; the others are looked at one by one."""
        keys = [column.index for column in table.columns if column.field in _KEY_FIELDS and not column.due]
        counts_only = _is_totals_table(table.columns)
        at = table.first
        for number in self._unusual(table, keys, counts_only=counts_only):
            self._take(range(at, number))
            at = number + 1
            kind = self._slow(number, self.sheet.rows[number - 1], table, keys, counts_only=counts_only)
            if kind == "data":
                self._take(range(number, number + 1))
            else:
                self.walk.kinds.append((number, kind))
        self._take(range(at, table.last + 1))

    def _take(self, numbers: range) -> None:
        self.walk.data[-1].extend(numbers)
        self.walk.sites[-1].extend([self.site] * len(numbers))
        self.walk.floors[-1].extend([self.floor] * len(numbers))
        self.walk.groups[-1].extend([self.group] * len(numbers))

    def _unusual(self, table: Table, keys: list[int], *, counts_only: bool) -> list[int]:
        """Rows that are not plainly units: a key cell is blank, or a first word is that of a total or a heading."""
        rows = self.sheet.rows[table.first - 1 : table.last]
        if counts_only or len(keys) < 2:
            return list(range(table.first, table.last + 1))
        columns = sorted(keys, key=lambda key: sum(1 for row in rows[:200] if key < len(row) and row[key]), reverse=True)[:2]
        first, second = (column_of(rows, key) for key in sorted(columns))
        heading = self.sheet.rows[table.bottom - 1] if table.bottom else []
        probe = min(columns)
        head = heading[probe] if probe < len(heading) else ""
        pairs = zip(column_of(rows, 0), first, second, strict=True)
        return [
            number
            for number, (lead, one, two) in enumerate(pairs, table.first)
            if not one
            or not two
            or one == head
            or (lead and lead[0] in _SUSPECT_LETTERS and lead.startswith(_SUSPECT))
            or one.startswith(_SUSPECT)
        ]

    def _slow(self, number: int, row: Row, table: Table, keys: list[int], *, counts_only: bool) -> str:
        cells = [(index, tidy(cell)) for index, cell in enumerate(row) if cell and cell.strip()]
        if not cells:
            return "blank"
        if (table.bottom and row == self.sheet.rows[table.bottom - 1]) or any(
            row == self.sheet.rows[at - 1] for at in range(max(table.top, 1), table.bottom)
        ):
            return "header"
        if counts_only:
            self._total(number, cells)
            return "subtotal"
        if len(cells) == 1 or len({text for _, text in cells}) == 1:
            return self._lone(number, cells[0], table)
        if _is_subtotal(cells, table.columns):
            self._total(number, cells)
            return "subtotal"
        labelled = label_value([text for _, text in cells]) if len(cells) == 2 else None
        if labelled:
            self._enter(labelled)
            return "section"
        if any(index in keys for index, _ in cells):
            return "data"
        return self._words(cells)

    def _words(self, cells: list[tuple[int, str]]) -> str:
        """Several cells, none of which says anything about a unit."""
        self.walk.lines.append(" ".join(text for _, text in cells))
        if len(cells) == 2 and len(cells[0][1]) <= 12:
            self.walk.pairs.append((cells[0][1], cells[1][1]))
        return "legend" if self.in_legend or _LEGEND.search(cells[0][1]) else "note"

    def _lone(self, number: int, cell: tuple[int, str], table: Table) -> str:
        index, text = cell[0], cell[1][:REMARK_READ_MAX]
        column = table.columns[index] if index < len(table.columns) else None
        low = plain(text)
        if column is not None and column.field in ("agent", "size") and _says_kind(text):
            return "data"
        if column is not None and column.field in ("id", "serial") and self._is_lone_number(text, low):
            return "data"
        if _TOTAL.search(low) or _LONE_TOTAL.search(low):
            self._total(number, [cell])
            return "subtotal"
        if "=" in text or _LEGEND.search(text) or (not self._leads_to_data(number, table) and _COLON_LIST.match(text)):
            self.in_legend = True
            self.walk.lines.append(text)
            return "legend"
        if self._leads_to_data(number, table) and _is_name(text):
            self._enter(label_value([text]) or text)
            return "section"
        self.walk.lines.append(text)
        return "legend" if self.in_legend else "note"

    def _is_lone_number(self, text: str, low: str) -> bool:
        if " " in text or not _FIGURES.search(text) or _TOTAL.search(low):
            return False
        return not text.isdigit() or int(text) > len(self.walk.data[-1]) + 20 or (text.startswith("0") and len(text) > 1)

    def _enter(self, text: str) -> None:
        name = section_name(text)
        self.group += 1
        if floor_like(name):
            self.floor = name
        else:
            self.site, self.floor = name, None

    def _leads_to_data(self, number: int, table: Table) -> bool:
        """Whether rows of units, or the next heading, follow within a few rows."""
        for ahead in range(number + 1, min(number + 12, len(self.sheet.rows)) + 1):
            if any(ahead == other.top for other in self.tables):
                return True
            cells = [cell for cell in self.sheet.rows[ahead - 1] if cell and cell.strip()]
            if len(cells) >= 2 and ahead <= table.last:
                return not _TOTAL.search(plain(cells[0]))
            if len(cells) == 1 and ("=" in cells[0] or _TOTAL.search(plain(cells[0]))):
                return False
        return False

    def _total(self, number: int, cells: list[tuple[int, str]]) -> None:
        index, _text = cells[0]
        self.walk.totals.append((number, index, " ".join(text for _, text in cells), self.group))
        self.group += 1


def _is_totals_table(columns: tuple[Column, ...]) -> bool:
    """A table that only counts: no column says what a unit is."""
    fields = {column.field for column in columns if not column.due}
    return "count" in fields and not fields & (_KEY_FIELDS | {"wheeled", "expelled_by"})


def _is_subtotal(cells: list[tuple[int, str]], columns: tuple[Column, ...]) -> bool:
    low = plain(cells[0][1])
    if not _TOTAL.search(low):
        return False
    for index, text in cells[1:]:
        field_name = columns[index].field if index < len(columns) else None
        if field_name in ("agent", "serial", *DATE_FIELDS) and not text.replace(".", "").isdigit():
            return False
    return True


def _says_kind(text: str) -> bool:
    kind = read_kind(text)
    return bool(kind.agent or kind.unsure or (kind.amount and kind.amount.unit)) or read_count(text) is not None


def _is_name(text: str) -> bool:
    """A heading of a section is a name, not a sentence."""
    return len(text) <= 80 and len(text.split()) <= 10 and not text.endswith(".")


def said_number(text: str) -> int | None:
    """The number that a subtotal names: the last one that stands alone; None where it gives a range."""
    if re.search(r"\d ?- ?\d", text) or re.search(r"\babout\b|\bca\b|approx", text, re.IGNORECASE):
        return None
    without = re.sub(r"\([^)]*\)", "", text)
    numbers = re.findall(r"(?<![\w.,/-])\d{1,5}(?![\w/])", without)
    return int(numbers[-1]) if numbers else None


def walk_sheet(sheet: Sheet, tables: list[Table]) -> Walk:
    """Sort every row of a sheet."""
    return _Walker(sheet, tables).run()
