"""The typesetter of every paper and mark: templates of the package, data as data, fonts of the package, the same bytes each time.

A template is a Typst file in `templates/`. What people typed reaches it as JSON through `sys.inputs.data` and is never
read as markup. System fonts, the network and the clock play no part: the time that a paper carries is passed in.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib.resources import as_file, files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

import typst

Form = Literal["pdf", "svg", "png"]
# Archivable (PDF/A-2b) and tagged for readers that speak (PDF/UA-1): every figure in a template has a text in its place.
STANDARDS: tuple[Literal["a-2b"], Literal["ua-1"]] = ("a-2b", "ua-1")
_ROOM = files("pinseal.documents")


@dataclass(frozen=True, slots=True, kw_only=True)
class Typeset:
    """What came out: one file for PDF, one a page for SVG and PNG. `uncovered` names each character that no font here has."""

    files: tuple[bytes, ...]
    uncovered: tuple[str, ...] = ()

    @property
    def pdf(self) -> bytes:
        return self.files[0]


def typeset(
    template: str,
    data: Mapping[str, Any],
    *,
    title: str,
    stamp: datetime,
    form: Form = "pdf",
    pictures: Mapping[str, bytes] | None = None,
    ppi: float = 144,
    language: str = "en",
) -> Typeset:
    """Set `template` (a name in `templates/`, without `.typ`) with `data`.

    `data` holds texts, numbers, flags, lists and tables; a template reads it as `paper.data`. `stamp` is the moment that the
    file carries, with its time zone: the same call gives the same bytes. `pictures` are files (JPEG, PNG, SVG) that the
    template may show by name. `ppi` is the dots per inch of PNG. PDF is PDF/A-2b and PDF/UA-1.

    A character that no font of the package covers is drawn as its number, as in `[U+1F600]`, and named in `uncovered`: the
    caller says so to whoever prints.
    """
    # The binding takes files held in memory for UTF-8 text, so pictures lie in a folder of their own for as long as this takes.
    with TemporaryDirectory(prefix="pinseal-paper-") as root:
        _lay_out(pictures or {}, Path(root))
        compiler, uncovered = _compiler(template, data, title=title, language=language, root=root)
        made = compiler.compile(format=form, ppi=ppi, pdf_standards=[*STANDARDS] if form == "pdf" else [], timestamp=_moment(stamp))
    assert made is not None, "without a file to write to, the bytes come back"
    return Typeset(files=tuple(made) if isinstance(made, list) else (made,), uncovered=uncovered)


def drawn_boxes(template: str, data: Mapping[str, Any], *, title: str, label: str = "drawn") -> list[dict[str, Any]]:
    """What a template says of its own drawing in `metadata` with this label: names, pages, places and sizes, for checks."""
    compiler, _ = _compiler(template, data, title=title, language="en")
    found = json.loads(compiler.query(f"<{label}>", field="value"))
    assert isinstance(found, list)
    return found


def _lay_out(pictures: Mapping[str, bytes], root: Path) -> None:
    folder = root / "pictures"
    folder.mkdir()
    for name, content in pictures.items():
        assert Path(name).name == name, "a picture has a plain name"
        (folder / name).write_bytes(content)


def _compiler(
    template: str, data: Mapping[str, Any], *, title: str, language: str, root: str | None = None
) -> tuple[typst.Compiler, tuple[str, ...]]:
    sources = _templates()
    assert f"{template}.typ" in sources, f"no template {template}"
    uncovered: set[str] = set()
    plain = _printable({"title": title, "language": language, "data": data}, uncovered)
    inputs = {"paper": json.dumps(plain, ensure_ascii=False)}
    main = {"main.typ": sources[f"{template}.typ"]}
    # The stubs of the binding know no tables of files held in memory; its manual does.
    compiler = typst.Compiler({**sources, **main}, root=root, font_paths=_fonts(), ignore_system_fonts=True, sys_inputs=inputs)  # type: ignore[type-var]
    return compiler, tuple(sorted(uncovered))


@cache
def _templates() -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in _ROOM.joinpath("templates").iterdir() if each.name.endswith(".typ")}


@cache
def _fonts() -> typst.Fonts:
    with as_file(_ROOM.joinpath("fonts")) as folder:
        return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder])


def _moment(stamp: datetime) -> int:
    assert stamp.tzinfo is not None, "a moment without a time zone is none"
    return int(stamp.timestamp())


@cache
def _uncovered_pattern() -> re.Pattern[str]:
    """Matches each character that no font of the package covers. Line ends pass; format signs and marks are the shaper's matter."""
    lines = _ROOM.joinpath("fonts").joinpath("covered.txt").read_text(encoding="ascii").split()
    spans = ((first, last or first) for first, _, last in (line.partition("-") for line in lines))
    held = "".join(f"{re.escape(chr(int(first, 16)))}-{re.escape(chr(int(last, 16)))}" for first, last in spans)
    return re.compile(f"[^\n{held}]")


def _printable(value: Any, uncovered: set[str]) -> Any:
    """The same data with texts that can be set: composed, without control characters, uncovered characters as their numbers."""
    if isinstance(value, str):
        return _printable_text(value, uncovered)
    if isinstance(value, Mapping):
        return {key: _printable(each, uncovered) for key, each in value.items()}
    if isinstance(value, Sequence):
        return [_printable(each, uncovered) for each in value]
    return value


def _printable_text(text: str, uncovered: set[str]) -> str:
    if text.isascii() and text.isprintable():
        return text
    return _uncovered_pattern().sub(lambda found: _stand_in(found[0], uncovered), unicodedata.normalize("NFC", text))


def _stand_in(character: str, uncovered: set[str]) -> str:
    category = unicodedata.category(character)
    if category in ("Cc", "Zl", "Zp", "Zs"):
        return " "
    if category == "Cf":
        return ""
    number = f"U+{ord(character):04X}"
    uncovered.add(f"{number} {unicodedata.name(character, '')}".strip())
    return f"[{number}]"
