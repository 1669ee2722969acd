"""A hash over many records: it ties a paper to the records that it rests on, and changes when any of them does."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pinseal.records.record import Record, canonical

FORM = "pinseal tie 1"
RULE = (
    "SHA-256 of a text in UTF-8: the first line says what the paper is about, as JSON with sorted keys and no spaces; "
    "then one line for each record, sorted by uid: the uid, a space, its digest. Each line ends with a line feed."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """What was hashed, and the hash: 64 hexadecimal digits. `lines` pairs the uid of each record with its digest, in order."""

    about: str
    lines: tuple[tuple[str, str], ...]
    hash: str

    @property
    def text(self) -> str:
        return tie_text(self.about, self.lines)


def tie(about: Mapping[str, str], records: Iterable[Record]) -> Tie:
    """Tie records to what a paper is about. A record counts once; the digests are those that the records carry."""
    said = canonical({"form": FORM, **about}).decode()
    lines = tuple(sorted({(record.uid, record.digest) for record in records}))
    return Tie(about=said, lines=lines, hash=hashlib.sha256(tie_text(said, lines).encode()).hexdigest())


def tie_text(about: str, lines: Iterable[tuple[str, str]]) -> str:
    """The text that is hashed.

    >>> tie_text('{"form":"pinseal tie 1"}', [("01a2", "ff")])
    '{"form":"pinseal tie 1"}\\n01a2 ff\\n'
    """
    return "".join((f"{about}\n", *(f"{uid} {digest}\n" for uid, digest in lines)))
