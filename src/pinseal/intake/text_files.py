"""Text lists: which encoding, which separator, then rows as they stand."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from itertools import chain, islice
from pathlib import Path

import chardet

from pinseal.intake.grid import Book, Row, Sheet
from pinseal.reasons import Refusal

ROWS_MAX = 4_000_000
SHARING_AFTER = 4_000
CELL_CHARACTERS_MAX = 131_072
SEPARATORS = (",", ";", "\t", "|")

_LAST_LINE = "(the end of this list)"  # read back as a row of its own, unless a quote mark is still open
_RULE = "a text list is rows of cells in one known encoding"


def read_text(path: Path, head: bytes, size: int) -> Book:
    """Read a delimited text file. Raises `Refusal` for binary content, unknown encodings and broken quoting."""
    refused: Refusal | None = None
    for encoding in _candidates(path, head, size):
        separator = _separator(head.decode(encoding, errors="replace"))
        try:
            rows = _rows(path, encoding, separator)
        except UnicodeError:
            refused = Refusal(what="the text cannot be decoded", rule=_RULE, got=f"{path.name}, tried {encoding}", do="save it as UTF-8")
            continue
        except csv.Error as error:
            refused = Refusal(what="the cells cannot be told apart", rule=_RULE, got=f"{path.name}: {error}", do="check the quote marks")
            continue
        if not any(any(cell.strip() for cell in row) for row in rows):
            raise Refusal(what="the file holds no text", rule=_RULE, got=path.name, do="export the list again")
        return Book(sheets=(Sheet(name=None, rows=rows),), form="text", encoding=encoding, separator=separator)
    assert refused is not None
    raise refused


def _candidates(path: Path, head: bytes, size: int) -> Iterator[str]:
    marks = ((b"\xff\xfe\x00\x00", "utf-32"), (b"\x00\x00\xfe\xff", "utf-32"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
    for mark, name in marks:
        if head.startswith(mark):
            yield name
            return
    nulls = head.count(0)
    if nulls > len(head) // 5:
        yield "utf-16-le" if head[1::2].count(0) > head[0::2].count(0) else "utf-16-be"
        return
    controls = sum(head.count(code) for code in range(32) if code not in (9, 10, 11, 12, 13, 26, 27))
    if nulls or controls > len(head) // 50:
        raise Refusal(
            what="this is not a text list", rule=_RULE, got=f"{path.name} holds bytes that are no text", do="save it as CSV or XLSX"
        )
    yield "utf-8-sig"
    sample = head if size <= len(head) else _non_ascii_sample(path)
    guess = chardet.detect(sample)["encoding"]
    if guess and guess.lower() not in ("ascii", "utf-8"):
        yield guess
    yield "cp1252"
    yield "latin-1"


def _non_ascii_sample(path: Path) -> bytes:
    """Lines that hold other than ASCII, up to 64 KiB: enough for the detector, wherever they stand."""
    kept = bytearray()
    with path.open("rb") as stream:
        for line in stream:
            if not line.isascii():
                kept += line[:4096]
                if len(kept) > 64 * 1024:
                    break
    return bytes(kept)


def _separator(sample: str) -> str:
    lines = [line for line in sample.splitlines()[:80] if line.strip()]
    best, best_score = ",", 0.0
    for separator in SEPARATORS:
        try:
            widths = [len(row) for row in csv.reader(lines, delimiter=separator)]
        except csv.Error:
            continue
        if not widths:
            continue
        usual = max(set(widths), key=lambda width: (widths.count(width) if width > 1 else 0, width))
        score = (widths.count(usual) / len(widths)) * min(usual - 1, 6)
        if score > best_score:
            best, best_score = separator, score
    return best


def _add_sharing(rows: list[Row], reader: Iterator[Row]) -> None:
    """Add the rest of a long list. Cells that come again and again are kept once, which saves most of the memory."""
    width = max(map(len, rows), default=0)
    columns = [{row[column] for row in rows if column < len(row)} for column in range(width)]
    often = [column for column in range(width) if len(columns[column]) * 4 < len(rows) and len(columns[column]) > 1]
    known: dict[str, str] = {}
    share = known.setdefault
    for row in islice(reader, ROWS_MAX):
        if len(row) == width:
            for column in often:
                cell = row[column]
                if cell:
                    row[column] = share(cell, cell)
        rows.append(row)


def _rows(path: Path, encoding: str, separator: str) -> list[Row]:
    csv.field_size_limit(CELL_CHARACTERS_MAX)
    rows: list[Row] = []
    with path.open(encoding=encoding, newline="") as stream:
        reader = csv.reader(chain(stream, ("\n", _LAST_LINE)), delimiter=separator)
        rows += islice(reader, SHARING_AFTER)
        _add_sharing(rows, reader)
        if rows[-1:] != [[_LAST_LINE]] and len(rows) <= ROWS_MAX:
            raise _open_quote(path, rows[-1], len(rows))
        if len(rows) > ROWS_MAX:
            raise Refusal(what="the list is too long", rule=f"at most {ROWS_MAX} rows are read", got=path.name, do="split the list")
    rows.pop()
    while rows and not any(cell.strip() for cell in rows[-1]):
        rows.pop()
    return rows


def _open_quote(path: Path, row: Row, number: int) -> Refusal:
    """A quote mark that never closes makes one cell of the rest of the list; nothing of it may be dropped unseen."""
    cell = " ".join(row[-1].split())[:60]
    return Refusal(
        what="a quote mark is opened and never closed",
        rule=_RULE,
        got=f"{path.name}, row {number}, from “{cell}” to the end of the file",
        do="close the quote mark in that row, or take it out",
    )
