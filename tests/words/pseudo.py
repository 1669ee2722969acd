"""A language of nobody in which every message stands in brackets, and a reader that finds what stands outside of them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from pinseal import catalogue

PSEUDO = "qps"  # ISO 639-2 keeps qaa to qtz for such use
OPEN, CLOSE = "⟦", "⟧"
_SPOKEN_ATTRIBUTES = ("aria-label", "title", "placeholder", "alt", "data-label", "aria-description", "label")
_SILENT = ("script", "style")
_VOID = ("meta", "link", "input", "br", "hr", "img")
_INLINE = ("span",)


def make_pseudo(folder: Path) -> None:
    """Write the catalogue of the pseudo-language under `folder`, from the catalogue as it is kept."""
    with (catalogue.FOLDER / f"{catalogue.DOMAIN}.pot").open("rb") as file:
        template = read_po(file)
    made = Catalog(locale="en", domain=catalogue.DOMAIN)  # two forms of a count, as in English
    for message in template:
        if message.id:
            forms = message.id if isinstance(message.id, tuple) else (message.id,)
            said = tuple(f"{OPEN}{form}{CLOSE}" for form in forms)
            made.add(message.id, said if len(said) > 1 else said[0], context=message.context)
    (folder / PSEUDO).mkdir(parents=True)
    with (folder / PSEUDO / f"{catalogue.DOMAIN}.mo").open("wb") as out:
        write_mo(out, made)


_NO_LANGUAGE = "zxx"  # no words at all, such as a hash (ISO 639-2, as BCP 47 takes it)


class _Reader(HTMLParser):
    """Keeps what stands outside of the brackets. What a page marks as English (`lang="en"`) or as no language is left out."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.depth = 0
        self.bare: list[str] = []
        self.open: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        if tag not in _VOID:
            self.open.append((tag, tag in _SILENT or said.get("lang") in (catalogue.SOURCE, _NO_LANGUAGE)))
        if tag not in _INLINE:
            self.bare.append("\n")
        self.bare += [f"\n{outside(value)}\n" for name, value in attrs if name in _SPOKEN_ATTRIBUTES and value]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        pass  # shapes of SVG

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass
        if tag not in _INLINE:
            self.bare.append("\n")

    def handle_data(self, data: str) -> None:
        silent, kept = any(silent for _, silent in self.open), []
        for letter in data:
            self.depth += (letter == OPEN) - (letter == CLOSE)
            kept.append("\n" if letter in (OPEN, CLOSE) else "" if self.depth or silent else letter)
        self.bare.append("".join(kept))


def outside(text: str) -> str:
    """What stands outside of all brackets."""
    depth, kept = 0, []
    for letter in text:
        depth += (letter == OPEN) - (letter == CLOSE)
        kept.append("\n" if letter in (OPEN, CLOSE) else "" if depth else letter)
    return "".join(kept)


def bare_texts(html: str) -> Iterator[str]:
    """The pieces of a page that stand outside of the brackets and hold letters."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    for piece in "".join(reader.bare).split("\n"):
        text = " ".join(piece.split()).strip(" ·,;:.")
        if re.search(r"[^\W\d_]", text):
            yield text


def without(text: str, data: Iterable[str]) -> str:
    """A piece without what is data; `data` has the longest text first."""
    for each in data:
        if each in text:
            text = re.sub(rf"(?<!\w){re.escape(each)}(?!\w)", " ", text)
    return " ".join(text.split())
