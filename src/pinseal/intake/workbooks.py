"""XLSX workbooks: values from calamine, and from the workbook's own XML what values alone do not say."""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path

import python_calamine as calamine

from pinseal.dates import PartialDate
from pinseal.intake.grid import Book, Mark, Row, Sheet
from pinseal.intake.number_formats import date_text, number_text, precision_of, shown_date
from pinseal.intake.sheet_marks import Looks, Styles, read_looks, read_styles, sheet_parts
from pinseal.reasons import Refusal

UNPACKED_BYTES_MAX = 700 * 1024 * 1024
RATIO_MAX = 250
RATIO_FLOOR_BYTES = 8 * 1024 * 1024
CELLS_MAX = 40_000_000
ORIGIN = date(1899, 12, 30)

_RULE = "a workbook is an XLSX file of ordinary size"

# What the readers of zip, XML and workbooks raise for a file that is broken, or packed in a way they do not know (a RuntimeError).
_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    KeyError,
    ValueError,
    RuntimeError,
    calamine.CalamineError,
    calamine.XmlError,
    calamine.ZipError,
)


def read_workbook(path: Path) -> Book:
    """Read every sheet of an XLSX file. Raises `Refusal` for anything else that is packed, and for bombs."""
    try:
        with zipfile.ZipFile(path) as packed:
            names = set(packed.namelist())
            _refuse_other_packages(path, names)
            _refuse_bombs(path, packed)
            styles = read_styles(packed)
            looks = {name: read_looks(packed, part, styles) for name, part in sheet_parts(packed)}
            for name, look in looks.items():
                _refuse_wide_open(name, look)
        return Book(sheets=_sheets(path, looks, styles), form="xlsx")
    except _DAMAGE as error:
        raise Refusal(what="the workbook is damaged", rule=_RULE, got=f"{path.name}: {error}", do="open it and save it again") from error


def _refuse_other_packages(path: Path, names: set[str]) -> None:
    if "xl/workbook.xml" in names:
        return
    if "xl/workbook.bin" in names:
        found = "a binary workbook"
    elif "content.xml" in names:
        found = "an open-document file"
    elif "word/document.xml" in names:
        found = "a word-processor document"
    else:
        found = "a packed folder"
    raise Refusal(what="this is not a register", rule=_RULE, got=f"{path.name} is {found}", do="save the list as XLSX or CSV")


def _refuse_bombs(path: Path, packed: zipfile.ZipFile) -> None:
    """Check the sizes that the archive declares; reading stops at them, so that a false size cannot unpack more."""
    total = 0
    for entry in packed.infolist():
        if entry.flag_bits & 1:
            raise Refusal(what="the workbook is locked with a password", rule=_RULE, got=path.name, do="save a copy without the password")
        total += entry.file_size
        swollen = entry.file_size > RATIO_FLOOR_BYTES and entry.file_size > RATIO_MAX * max(entry.compress_size, 1)
        if swollen or total > UNPACKED_BYTES_MAX:
            got = f"{entry.filename}: {entry.compress_size} bytes that unpack to {entry.file_size}"
            raise Refusal(what="the workbook would unpack to far too much", rule=_RULE, got=got, do="save the list again, or as CSV")
        with packed.open(entry) as stream:  # a declared size that is false shows here, as a wrong checksum
            while stream.read(1 << 20):
                pass


def _refuse_wide_open(name: str, look: Looks) -> None:
    cells = look.rows_used * look.columns_used
    if cells > CELLS_MAX:
        got = f"sheet {name}: {look.rows_used} rows by {look.columns_used} columns in use"
        raise Refusal(
            what="the sheet's used area is too large", rule=f"at most {CELLS_MAX} cells", got=got, do="delete stray cells far out"
        )


def _sheets(path: Path, looks: dict[str, Looks], styles: Styles) -> tuple[Sheet, ...]:
    book = calamine.CalamineWorkbook.from_path(str(path))
    sheets = []
    for meta in book.sheets_metadata:
        look = looks.get(meta.name, Looks())
        if meta.typ != calamine.SheetTypeEnum.WorkSheet:
            continue
        values = book.get_sheet_by_name(meta.name).to_python(skip_empty_area=False)
        rows, marks = _shown(values, look, styles)
        hidden = meta.visible != calamine.SheetVisibleEnum.Visible
        merged = tuple(look.merged)
        hidden_rows = frozenset(row for row in look.hidden_rows if row <= len(rows))
        sheets.append(Sheet(name=meta.name, rows=rows, marks=marks, merged=merged, hidden_rows=hidden_rows, hidden=hidden))
    return tuple(sheets)


def _shown(values: Sequence[Sequence[object]], look: Looks, styles: Styles) -> tuple[list[Row], dict[tuple[int, int], Mark]]:
    rows: list[Row] = []
    marks: dict[tuple[int, int], Mark] = {}
    for number, source in enumerate(values, 1):
        row: Row = []
        for column, value in enumerate(source):
            if value == "" and (number, column) not in look.faults:
                row.append("")
                continue
            pattern, struck = styles.of(look.style_of.get((number, column), 0))
            struck = struck or (number, column) in look.struck
            text, day = _cell(value, pattern)
            fault = look.faults.get((number, column), "")
            row.append(text or ("" if not fault else f"({fault})"))
            if day is not None or struck or fault:
                marks[number, column] = Mark(day=day, struck=struck, fault=fault)
        rows.append(row)
    while rows and not any(cell.strip() for cell in rows[-1]):
        rows.pop()
    return rows, marks


def _cell(value: object, pattern: str) -> tuple[str, PartialDate | None]:
    if isinstance(value, bool):
        return ("TRUE" if value else "FALSE"), None
    if isinstance(value, (int, float)):
        if precision_of(pattern) and 1 <= value < 73_050:
            day = ORIGIN + timedelta(days=int(value))
            return date_text(day, pattern), shown_date(day, pattern)
        return number_text(float(value), pattern), None
    if isinstance(value, (date, datetime)):
        day = value.date() if isinstance(value, datetime) else value
        return date_text(day, pattern), shown_date(day, pattern)
    if isinstance(value, (time, timedelta)):
        return str(value), None
    return str(value), None
