"""Rows that stand for several units: `7 x 5# ABC`, `(2) 10 lb ABC`, `a dozen 2.5# BC`, `6-8 5# ABC`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pinseal.intake.findings import CELL_READ_MAX
from pinseal.intake.kind_cells import NO_CUSTOM, Custom, Kind, read_kind
from pinseal.intake.words import plain

_WORDS = {
    "a dozen": 12, "one dozen": 12, "dozen": 12, "half a dozen": 6, "half dozen": 6, "two dozen": 24, "a pair of": 2, "a pair": 2,
    "pair of": 2,
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11,
    "twelve": 12,
    "uno": 1, "una": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9, "diez": 10,
    "una docena": 12,
    "ein": 1, "eine": 1, "zwei": 2, "drei": 3, "vier": 4, "funf": 5, "sechs": 6, "sieben": 7, "acht": 8, "neun": 9, "zehn": 10,
    "ein dutzend": 12,
    "due": 2, "tre": 3, "quattro": 4, "cinque": 5, "sei": 6, "sette": 7, "otto": 8, "nove": 9, "dieci": 10, "una dozzina": 12,
    "un": 1, "une": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "sept": 7, "huit": 8, "neuf": 9, "dix": 10, "une douzaine": 12,
    "several": 0, "some": 0, "various": 0, "many": 0, "varios": 0, "mehrere": 0, "diversi": 0, "plusieurs": 0, "few": 0, "a few": 0,
}  # fmt: skip
_N = r"\d{1,3}|" + "|".join(sorted((re.escape(word) for word in _WORDS), key=len, reverse=True))
_PIECE = r"(?:pcs?|pieces?|units?|ea|each|stk|stuck|uds?|unidades|ud|pz|pezzi|pces?|off|nos?|st|count|ct)\b\.?(?: of\b)?"
_OPENINGS = (
    re.compile(rf"^\(?({_N})\)? ?x ?(?=\D|\d)(.+)$"),
    re.compile(r"^\((\d{1,3})\) ?(.+)$"),
    re.compile(rf"^({_N}) ?{_PIECE} ?(.+)$"),
    re.compile(rf"^({_N}) - (.+)$"),
    re.compile(r"^(\d{1,3}) ((?:\d+ \d/\d|\d+[.,]?\d*) ?(?:#|[a-z]).*)$"),
    re.compile(rf"^({'|'.join(re.escape(word) for word in sorted(_WORDS, key=len, reverse=True))}) (.+)$"),
)
_ENDINGS = (
    re.compile(r"^(.+?) ?(?<![a-z])x ?(\d{1,3})(?: ?\(.*\)| .*)?$"),
    re.compile(r"^(.+?)[ ,;:(-]*\b(?:qty|quantity|cant|cantidad|anz|anzahl|quantita|qte|count)\b[.:= ]*(\d{1,3})\)?$"),
    re.compile(rf"^(.+?)[ ,;-]+({_N}) ?(?:{_PIECE}|of)$"),
    re.compile(r"^([a-z][a-z0-9 ]*?) ?: ?(\d{1,3})$"),
)
_RANGE = re.compile(r"^(\d{1,3}) ?(?:-|to|or|bis|a|o) ?(\d{1,3})(?: ?x| -)? (.+)$")
_BARE_TIMES = re.compile(r"^(\d{1,3}) ?x ?(\d{1,3})$")
_SPLIT = re.compile(r" ?(?:\+|;|,(?!\d)|\band\b|\bund\b|\by\b|\bet\b|&) ?")
_HINT = re.compile(
    rf"x|^\(|\+|,|;|&|:|^\d+ \d|^\d+ ?-|\b(?:{_N})\b.*\b{_PIECE}|\bqty\b|\bcant\b|\banz|\bof$|^(?:{_N})\b|\band\b|\bund\b|\by\b|\bet\b"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """How many of what; `readings` where the number is left open."""

    count: int | None
    readings: tuple[int, ...] = ()
    kind: Kind
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """What one cell counts. A single part that says one is a unit like any other."""

    parts: tuple[Part, ...]

    @property
    def total(self) -> int | None:
        numbers = [part.count for part in self.parts]
        return None if None in numbers else sum(number for number in numbers if number)

    @property
    def is_one_unit(self) -> bool:
        return len(self.parts) == 1 and self.parts[0].count == 1


def read_count(text: str, custom: Custom = NO_CUSTOM) -> Count | None:
    """How many of what a cell lists; None where it is the kind of one unit.

    >>> [read_count(cell).total for cell in ("7 x 5# ABC", "3 - 2.5 gal H2O + 1 K 6L", "a dozen 2.5# BC", "6-8 5# ABC")]
    [7, 4, 12, None]
    >>> read_count("5# ABC") is None, read_count("1 x 20# ABC").is_one_unit
    (True, True)
    """
    if len(text) > CELL_READ_MAX:
        return None
    low = re.sub(r"\s*\([^()]*[a-z]{3}[^()]*\)", "", plain(text)).strip(" .") or plain(text)
    if not _HINT.search(low):
        return None
    bare = _BARE_TIMES.match(low)
    if bare:
        readings = (int(bare[1]), int(bare[2]))
        return Count(parts=(Part(count=None, readings=readings, kind=Kind(), text=low),))
    pieces = [piece for piece in _SPLIT.split(low) if piece]
    if len(pieces) > 1:
        parts = [_part(piece, custom) or _plain_part(piece, custom) for piece in pieces]
        if all(part is not None for part in parts):
            return Count(parts=tuple(part for part in parts if part is not None))
    part = _part(low, custom)
    return Count(parts=(part,)) if part else None


def _plain_part(piece: str, custom: Custom) -> Part | None:
    """A part with no number: one unit, if it names an agent and a size."""
    kind = read_kind(piece, custom)
    named = (kind.agent or kind.unsure) and kind.amount and kind.amount.unit
    return Part(count=1, kind=kind, text=piece) if named else None


def _part(low: str, custom: Custom) -> Part | None:
    span = _RANGE.match(low)
    if span and int(span[1]) < int(span[2]) and _names_a_kind(span[3], custom, need_unit=True):
        readings = tuple(range(int(span[1]), int(span[2]) + 1))
        return Part(count=None, readings=readings, kind=read_kind(span[3], custom), text=span[3])
    for pattern in _OPENINGS:
        match = pattern.match(low)
        if match and _names_a_kind(match[2], custom):
            return _counted(match[1], match[2], custom)
    match = re.match(r"^(\d{1,3}) ([a-z].*)$", low)
    if match and _names_a_kind(match[2], custom, need_unit=True):
        return _counted(match[1], match[2], custom)
    for pattern in _ENDINGS:
        match = pattern.match(low)
        if match and _names_a_kind(match[1], custom):
            return _counted(match[2], match[1], custom)
    return None


def _counted(number: str, rest: str, custom: Custom) -> Part:
    count = int(number) if number.isdigit() else _WORDS[number]
    return Part(count=count or None, kind=read_kind(rest, custom), text=rest)


def _names_a_kind(text: str, custom: Custom, *, need_unit: bool = False) -> bool:
    kind = read_kind(text, custom)
    if need_unit:
        return bool((kind.agent or kind.unsure) and kind.amount and kind.amount.unit)
    return bool(kind.agent or kind.unsure or (kind.amount and kind.amount.unit))
