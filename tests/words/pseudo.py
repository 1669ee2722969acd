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


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.depth = 0
        self.bare: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open.append(tag)
        for name, value in attrs:
            if name in _SPOKEN_ATTRIBUTES and value:
                self.bare.append(outside(value))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop() != tag:
            pass
        self._break(tag)

    def _break(self, tag: str) -> None:
        if tag in ("p", "li", "td", "th", "h1", "h2", "h3", "dt", "dd", "label", "option", "summary", "legend", "title", "small", "a", "b"):
            self.bare.append("\n")

    def handle_data(self, data: str) -> None:
        if any(tag in _SILENT for tag in self.open):
            return
        kept = []
        for letter in data:
            self.depth += (letter == OPEN) - (letter == CLOSE)
            kept.append(letter if self.depth == 0 and letter != CLOSE else "\n" if letter == CLOSE else "")
        self.bare.append("".join(kept))


def outside(text: str) -> str:
    """What stands outside of all brackets."""
    depth, kept = 0, []
    for letter in text:
        depth += (letter == OPEN) - (letter == CLOSE)
        kept.append(letter if depth == 0 and letter != CLOSE else "\n" if letter == CLOSE else "")
    return "".join(kept)


def bare_texts(html: str) -> Iterator[str]:
    """The pieces of a page that stand outside of the brackets and hold letters."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    for piece in "".join(reader.bare).split("\n"):
        text = " ".join(piece.split()).strip(" ·,;:.()“”")
        if re.search(r"[^\W\d_]", text):
            yield text


def without(text: str, data: Iterable[str]) -> str:
    """A piece without what is data; `data` has the longest text first."""
    for each in data:
        if each in text:
            text = re.sub(rf"(?<!\w){re.escape(each)}(?!\w)", " ", text)
    return " ".join(text.split())
