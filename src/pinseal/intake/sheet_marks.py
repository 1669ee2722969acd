"""Number formats, strike-through, merged and hidden cells, and formulas, streamed from a workbook's XML."""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from pinseal.intake.grid import Span
from pinseal.intake.number_formats import format_of

_REF = re.compile(r"([A-Z]{1,3})(\d{1,7})")


@dataclass(slots=True)
class Looks:
    """What one sheet's XML says about its cells, while it is being gathered."""

    style_of: dict[tuple[int, int], int] = field(default_factory=dict)
    faults: dict[tuple[int, int], str] = field(default_factory=dict)
    struck: set[tuple[int, int]] = field(default_factory=set)
    merged: list[Span] = field(default_factory=list)
    hidden_rows: set[int] = field(default_factory=set)
    rows_used: int = 0
    columns_used: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Styles:
    """For each cell style its number format and whether its font is struck through; and the struck shared texts."""

    looks: tuple[tuple[str, bool], ...] = ()
    struck_texts: frozenset[int] = frozenset()

    def of(self, style: int) -> tuple[str, bool]:
        return self.looks[style] if style < len(self.looks) else ("General", False)

    def worth_keeping(self, style: int) -> bool:
        pattern, struck = self.of(style)
        return struck or pattern != "General"


def _stream(
    packed: zipfile.ZipFile, part: str, start: Callable[[str, dict[str, str]], None], end: Callable[[str], None] | None = None
) -> None:
    """Parse one part; an entity declaration is refused, since it can swell without end."""
    parser = expat.ParserCreate()

    def refuse_entities(*_: object) -> None:
        raise ValueError("the workbook declares XML entities")

    parser.EntityDeclHandler = refuse_entities
    parser.StartElementHandler = lambda name, attributes: start(name.rpartition(":")[2], attributes)
    if end is not None:
        parser.EndElementHandler = lambda name: end(name.rpartition(":")[2])
    try:
        with packed.open(part) as stream:
            parser.ParseFile(stream)
    except expat.ExpatError as error:
        raise ValueError(f"{part}: {error}") from error


def sheet_parts(packed: zipfile.ZipFile) -> list[tuple[str, str]]:
    """The sheets' names with the parts that hold them, in order."""
    targets: dict[str, str] = {}
    sheets: list[tuple[str, str]] = []

    def relation(name: str, attributes: dict[str, str]) -> None:
        if name == "Relationship":
            target = attributes.get("Target", "")
            targets[attributes.get("Id", "")] = target.lstrip("/") if target.startswith("/") else posixpath.normpath("xl/" + target)

    def sheet(name: str, attributes: dict[str, str]) -> None:
        if name == "sheet":
            key = next((value for key, value in attributes.items() if key.endswith(":id")), "")
            sheets.append((attributes.get("name", ""), key))

    _stream(packed, "xl/_rels/workbook.xml.rels", relation)
    _stream(packed, "xl/workbook.xml", sheet)
    names = set(packed.namelist())
    return [(name, targets[key]) for name, key in sheets if targets.get(key) in names]


def read_styles(packed: zipfile.ZipFile) -> Styles:
    """The cell styles and the struck shared texts of a workbook."""
    names = set(packed.namelist())
    looks = _cell_styles(packed) if "xl/styles.xml" in names else ()
    struck = _struck_texts(packed) if "xl/sharedStrings.xml" in names else frozenset()
    return Styles(looks=looks, struck_texts=struck)


def _cell_styles(packed: zipfile.ZipFile) -> tuple[tuple[str, bool], ...]:
    custom: dict[int, str] = {}
    fonts: list[bool] = []
    cells: list[tuple[int, int]] = []
    inside: list[str] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        if name == "numFmt" and "dxf" not in inside:
            custom[int(attributes.get("numFmtId", "0"))] = attributes.get("formatCode", "General")
        elif name == "font" and "fonts" in inside:
            fonts.append(False)
        elif name == "strike" and "fonts" in inside and fonts:
            fonts[-1] = attributes.get("val", "1") not in ("0", "false")
        elif name == "xf" and "cellXfs" in inside:
            cells.append((int(attributes.get("numFmtId", "0")), int(attributes.get("fontId", "0"))))
        inside.append(name)

    def end(_: str) -> None:
        inside.pop()

    _stream(packed, "xl/styles.xml", start, end)
    return tuple((format_of(number, custom), font < len(fonts) and fonts[font]) for number, font in cells)


def _struck_texts(packed: zipfile.ZipFile) -> frozenset[int]:
    """Shared texts whose every run is struck through."""
    if b"strike" not in packed.read("xl/sharedStrings.xml"):
        return frozenset()
    runs: list[list[bool]] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        if name == "si":
            runs.append([])
        elif name == "r" and runs:
            runs[-1].append(False)
        elif name == "strike" and runs and runs[-1]:
            runs[-1][-1] = attributes.get("val", "1") not in ("0", "false")

    _stream(packed, "xl/sharedStrings.xml", start)
    return frozenset(index for index, struck in enumerate(runs) if struck and all(struck))


class _SheetReader:
    """Collects the looks of one sheet from its start and end tags."""

    def __init__(self, styles: Styles) -> None:
        self.looks = Looks()
        self.keep = tuple(styles.worth_keeping(style) for style in range(len(styles.looks)))
        self.styles = styles
        self.row = self.column = 0
        self.formula = self.value = self.text_run = False
        self.kind = ""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "c":
            self._cell(attributes)
        elif name == "v":
            self.value = True
        elif name == "f":
            self.formula = True
        elif name == "row":
            self.row = int(attributes.get("r", self.row + 1))
            self.column = -1
            if attributes.get("hidden") in ("1", "true"):
                self.looks.hidden_rows.add(self.row)
        elif name == "strike" and attributes.get("val", "1") not in ("0", "false"):
            self.looks.struck.add((self.row, self.column))
        elif name == "mergeCell":
            self._merge(attributes.get("ref", ""))

    def _cell(self, attributes: dict[str, str]) -> None:
        place = _REF.fullmatch(attributes.get("r", ""))
        self.column = column_index(place[1]) if place else self.column + 1
        self.formula = self.value = False
        self.kind = attributes.get("t", "")
        style = int(attributes.get("s", "0"))
        if style < len(self.keep) and self.keep[style]:
            self.looks.style_of[self.row, self.column] = style

    def end(self, name: str) -> None:
        if name != "c":
            return
        if self.kind == "e":
            self.looks.faults[self.row, self.column] = "an error in the workbook"
        elif self.formula and not self.value:
            self.looks.faults[self.row, self.column] = "a formula that was never calculated"
        if self.value or self.kind == "inlineStr":
            self.looks.rows_used = max(self.looks.rows_used, self.row)
            self.looks.columns_used = max(self.looks.columns_used, self.column + 1)

    def _merge(self, reference: str) -> None:
        ends = [_REF.fullmatch(end) for end in reference.split(":")]
        if len(ends) == 2 and ends[0] and ends[1]:
            span = Span(top=int(ends[0][2]), left=column_index(ends[0][1]), bottom=int(ends[1][2]), right=column_index(ends[1][1]))
            self.looks.merged.append(span)


def read_looks(packed: zipfile.ZipFile, part: str, styles: Styles) -> Looks:
    """Formats, strikes, merges, hidden rows and faults of one sheet."""
    reader = _SheetReader(styles)
    _stream(packed, part, reader.start, reader.end)
    for place in _struck_cells(packed, part, styles):
        reader.looks.struck.add(place)
    return reader.looks


def _struck_cells(packed: zipfile.ZipFile, part: str, styles: Styles) -> Iterator[tuple[int, int]]:
    if not styles.struck_texts:
        return
    pattern = re.compile(rb'<c r="([A-Z]+)(\d+)"[^>]*t="s"[^>]*>\s*<v>(\d+)</v>')
    for match in pattern.finditer(packed.read(part)):
        if int(match[3]) in styles.struck_texts:
            yield int(match[2]), column_index(match[1].decode())


def column_index(letters: str) -> int:
    """The position of a spreadsheet column: A is 0.

    >>> column_index("A"), column_index("AA")
    (0, 26)
    """
    index = 0
    for letter in letters:
        index = index * 26 + ord(letter) - 64
    return index - 1
