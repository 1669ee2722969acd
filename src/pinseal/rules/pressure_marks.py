"""What the mark of a pressure test must say, and how a requalifier's mark is laid out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from pinseal.reasons import Refusal

_RIN = re.compile(r"[A-Z]\d{3}", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What must stand on the mark, where, and how each line was checked (a key of `kinds.CHECKED`)."""

    lines: tuple[tuple[str, str], ...]

    def as_json(self) -> list[dict[str, str]]:
        return [{"says": text, "checked": checked} for text, checked in self.lines]


def _cylinder(method: str) -> Mark:
    suffix = (
        "an S after it: the proof pressure method"
        if method == "proof-pressure"
        else "nothing after the date: a volumetric test (water jacket or direct expansion)"
    )
    return Mark(
        lines=(
            (
                "the requalifier's number (RIN) in a square, read clockwise from the top left, month at its left, year at its right",
                "second-hand",
            ),
            (suffix, "second-hand"),
            ("permanent, on the metal of the upper end, never on the side wall unless the specification allows it", "public copy"),
            ("only the holder of a current approval may make this mark", "public copy"),
            ("characters 1/4 in tall, the RIN's 1/8 in", "memory"),
            ("older marks stay", "public copy"),
        )
    )


_SHELL = Mark(
    lines=(
        ("month and year, punched out", "memory"),
        ("the test pressure", "memory"),
        ("the person and the agency", "memory"),
        ("a label of metal or as durable, at least 2 x 3.5 in, fixed without heat, that destroys itself when taken off", "memory"),
        ("the record: date, serial number or other identifier, signature; kept until the next test or the end of the unit", "public copy"),
    )
)
_HOSE = Mark(lines=(("nothing: a hose that passes needs neither stamp nor record (29 CFR 1910.157(f)(8))", "public copy"),))


def mark_of(*, kind: str, method: str) -> Mark:
    """What the mark must say: `kind` cylinder (stamped specification), shell or hose; `method` water-jacket, direct or proof-pressure.

    Sources: 49 CFR 180.213 (b), (c) and (f), NFPA 10 8.7 (from memory), 29 CFR 1910.157(f)(8) and (f)(16).
    """
    if kind == "cylinder":
        return _cylinder(method)
    return _HOSE if kind.endswith("hose") else _SHELL


def rin_mark(*, rin: str, year: int, month: int, method: str) -> Mapping[str, str]:
    """The layout of a requalifier's mark: the RIN runs clockwise in a square from the top left, so its bottom row reads backwards.

    Source: a trade page and 49 CFR 180.213(d), second-hand.

    >>> rin_mark(rin="A123", year=2014, month=2, method="proof-pressure")
    {'left': '02', 'top': 'A1', 'bottom': '32', 'right': '14', 'suffix': 'S'}
    """
    if not _RIN.fullmatch(rin) or not 1 <= month <= 12 or not 1900 <= year <= 2099:
        raise Refusal(
            what="this mark cannot be laid out",
            rule="a RIN is a letter and three figures, the date a month and a year",
            got=f"{rin}, {year}-{month:02d}",
            do="copy the RIN from the letter of approval; never use another firm's",
        )
    return {
        "left": f"{month:02d}",
        "top": rin[:2],
        "bottom": rin[3] + rin[2],
        "right": f"{year % 100:02d}",
        "suffix": "S" if method == "proof-pressure" else "",
    }
