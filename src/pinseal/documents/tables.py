"""A table as a file that people go on with in a spreadsheet: CSV and XLSX, row by row, so that a great fleet is never held at once.

Text stays text: what a spreadsheet would take for a formula never becomes one. A date that is known to the day is a true date;
one known to a month or a year is text, because a spreadsheet would make a day of it that nobody said.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.dates import PartialDate
from pinseal.money import DECIMALS, Money

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

Cell = str | int | Decimal | date | PartialDate | Money | None  # a Decimal keeps the places that it has
ROWS_MAX = 1_048_576  # rows of one sheet of a workbook, the head among them (ECMA-376 part 1, as the writer holds it)
TEXT_MAX = 32_767  # letters of one cell, as the writer holds it
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_NAME_MAX, _NAME_FORBIDDEN = 31, str.maketrans(dict.fromkeys("[]:*?/\\", "-"))
_DATE_FORMATS = {"words": "d mmm yyyy", "iso": "yyyy-mm-dd", "mdy": "mm/dd/yyyy"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """The head of a column, and its width in letters."""

    head: str
    width: int = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table by its title and columns. The rows may be made while they are written; they can be walked through once."""

    title: str
    columns: Sequence[Column]
    rows: Iterable[Sequence[Cell]]


def csv_lines(table: Table) -> Iterator[str]:
    """The table as CSV, one line at a time. Dates are ISO, money is a plain decimal number."""
    yield _csv_line([column.head for column in table.columns])
    for row in table.rows:
        yield _csv_line([_plain(cell) for cell in row])


def write_csv(table: Table, path: Path) -> int:
    """Write the table as CSV in UTF-8; returns the number of rows."""
    with path.open("w", encoding="utf-8", newline="") as file:
        return sum(file.write(line) > 0 for line in csv_lines(table)) - 1


def _plain(cell: Cell) -> str:
    """A cell as text. An apostrophe before it keeps a spreadsheet from taking text for a formula."""
    if isinstance(cell, str):
        return f"'{cell}" if cell.startswith(_FORMULA) else cell
    if isinstance(cell, Money):
        return cell.plain
    return "" if cell is None else str(cell)


def _csv_line(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    return out.getvalue()


def write_xlsx(table: Table, path: Path, *, date_style: str = "words") -> int:
    """Write the table as a workbook; returns the number of rows. More rows than a sheet holds go on in the next sheet.

    Raises `OSError` where it cannot be written.
    """
    import xlsxwriter
    from xlsxwriter.exceptions import FileCreateError

    folder = str(path.parent)
    options = {
        "constant_memory": True,
        "tmpdir": folder,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    try:
        with xlsxwriter.Workbook(str(path), options) as book:
            writer = _Writer(book, table, _DATE_FORMATS[date_style])
            for row in table.rows:
                writer.row(row)
            return writer.written
    except FileCreateError as error:
        raise OSError(f"the workbook cannot be written ({error})") from error


class _Writer:
    """Writes the rows of one table, and begins another sheet where one is full."""

    def __init__(self, book: Workbook, table: Table, date_format: str) -> None:
        self.book, self.table, self.written = book, table, 0
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        self.day = book.add_format({"num_format": date_format, "align": "left"})
        self.text = book.add_format({"num_format": "@"})
        self.money: dict[int, Format] = {
            places: book.add_format({"num_format": "#,##0" + ("." + "0" * places if places else "")}) for places in set(DECIMALS.values())
        }
        self.decimals: dict[int, Format] = {}
        self.sheets = 0
        self.sheet = self._begin()

    def _begin(self) -> Worksheet:
        self.sheets += 1
        mark = f" {self.sheets}" if self.sheets > 1 else ""
        name = self.table.title.translate(_NAME_FORBIDDEN).strip("'")[: _NAME_MAX - len(mark)] + mark
        sheet = self.book.add_worksheet(name)
        sheet.freeze_panes(1, 0)
        for place, column in enumerate(self.table.columns):
            sheet.set_column(place, place, column.width)
        for place, column in enumerate(self.table.columns):
            sheet.write_string(0, place, column.head, self.head)
        self.next_row = 1
        return sheet

    def row(self, cells: Sequence[Cell]) -> None:
        if self.next_row >= ROWS_MAX:
            self.sheet = self._begin()
        for place, cell in enumerate(cells):
            self._write(place, cell)
        self.next_row += 1
        self.written += 1

    def _write(self, place: int, cell: Cell) -> None:
        """One cell by its kind; text is always written as text."""
        at: tuple[Any, Any] = (self.next_row, place)
        if isinstance(cell, PartialDate) and cell.precision == "day":
            cell = cell.earliest
        if cell is None or cell == "":
            return
        if isinstance(cell, Money):
            self.sheet.write_number(*at, cell.minor / 10 ** DECIMALS[cell.currency], self.money[DECIMALS[cell.currency]])
        elif isinstance(cell, Decimal):
            self.sheet.write_number(*at, float(cell), self._decimal(cell))
        elif isinstance(cell, date):
            self.sheet.write_datetime(*at, cell, self.day)
        elif isinstance(cell, int):
            self.sheet.write_number(*at, cell)
        else:
            self.sheet.write_string(*at, str(cell)[:TEXT_MAX], self.text)

    def _decimal(self, number: Decimal) -> Format:
        places = max(0, -int(number.as_tuple().exponent))
        if places not in self.decimals:
            self.decimals[places] = self.book.add_format({"num_format": "0" + ("." + "0" * places if places else "")})
        return self.decimals[places]
