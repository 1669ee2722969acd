"""Masses and volumes as people write them, and ratings, cut out of plain lower-case text."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pinseal.units import Quantity

NUMBER = r"\d+ \d/\d|\d+[.,]\d+|\d+|[.,]\d+|\d/\d"
_UNITS = (
    ("lb", r"#|lbs?\b\.?|lb(?=abc|co2|bc)|pounds?\b|libras?\b|libbre\b|livres?\b|pfund\b"),
    ("kg", r"kgs?\b\.?|kg(?=abc|co2|bc|pulver)|kilos?\b|kilogram\w*|kilogramm\w*|kilogramos?"),
    ("gal", r"gals?\b\.?|gallons?\b|galon(?:es)?\b|gl\b"),
    ("l", r"l\b\.?|lt?r?s?\b\.?|lit(?:er|re|ro|ri|ros|ers|res)s?\b"),
    ("ml", r"ml\b"),
    ("oz", r"oz\b\.?|ounces?\b"),
    ("g?", r"gr?s?\b\.?"),
)
_AFTER = tuple((unit, re.compile(rf"(?<![\w.,/])({NUMBER})[ -]?(?:{pattern})")) for unit, pattern in _UNITS)
_BEFORE = tuple(
    (unit, re.compile(rf"(?:(?<!\w)(?:{pattern}) ?)({NUMBER})(?![\w/])")) for unit, pattern in _UNITS if unit in ("kg", "l", "lb")
)
_BARE = re.compile(rf"(?<![\w.,/-])({NUMBER})(?![\w/]|[.,]\d)")
_RATING = re.compile(
    r"(?<![\w.])\d{1,3} ?-? ?a(?:[ :/;,-]*\d{1,3} ?-? ?b)?(?:[ :/;,-]*c)?(?:[ :/;,-]*[dkf])?(?!\w)"
    r"|(?<![\w.])\d{1,3}-?b[ :/;,-]*c?(?:[ :/;,-]*[dkf])?(?!\w)|(?<![\w.])\d{1,3}-?f(?!\w)"
)


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with the unit it was written with: a code of `units`, `g?` where g may be gallons, or "" for none."""

    value: float
    unit: str


def number_of(text: str) -> float:
    """A number as written: decimal point or comma, or with a fraction.

    >>> number_of("2 1/2"), number_of("6,5"), number_of("1/2")
    (2.5, 6.5, 0.5)
    """
    whole, _, fraction = text.rpartition(" ") if " " in text else ("", "", text)
    if "/" in fraction:
        top, bottom = fraction.split("/")
        return (float(whole) if whole else 0.0) + (float(top) / float(bottom) if float(bottom) else 0.0)
    return float(text.replace(",", "."))


def cut_size(text: str) -> tuple[Amount | None, str]:
    """The first number with a unit, and the text without it.

    >>> cut_size("20# abc"), cut_size("abc kg 6"), cut_size("abc 20")[0]
    ((Amount(value=20.0, unit='lb'), ' abc'), (Amount(value=6.0, unit='kg'), 'abc '), None)
    """
    hits = [(match.start(), unit, match) for unit, pattern in _AFTER if (match := pattern.search(text))]
    if not hits:
        hits = [(match.start(), unit, match) for unit, pattern in _BEFORE if (match := pattern.search(text))]
    if not hits:
        return None, text
    _, unit, match = min(hits, key=lambda hit: hit[0])
    return Amount(number_of(match[1]), unit), text[: match.start()] + text[match.end() :]


def bare_numbers(text: str) -> list[float]:
    """Numbers that stand alone."""
    return [number_of(match[1]) for match in _BARE.finditer(text)]


def cut_rating(text: str) -> tuple[str | None, str]:
    """A rating such as 2a10bc or 113b inside a longer text, and the text without it.

    >>> cut_rating("20# abc 10a120bc"), cut_rating("10# abc")
    (('10a120bc', '20# abc  '), (None, '10# abc'))
    """
    match = _RATING.search(text)
    if not match:
        return None, text
    return match[0].strip(), text[: match.start()] + " " + text[match.end() :]


def is_rating(text: str) -> bool:
    """Whether a whole cell is a rating: 2-A:10-B:C, 10BC, 2A C, K, 34A 233B C."""
    folded = re.sub(r"[\s:/;,.-]+", "", text.casefold())
    return bool(re.fullmatch(r"(?:\d{1,3}a)?(?:\d{1,3}b)?c?[dkf]?(?:\d{1,3}f)?", folded)) and folded not in ("", "c")


def quantity(amount: Amount, unit: str) -> Quantity | None:
    """The amount as a quantity; None for zero or for no sensible size."""
    if not 0 < amount.value <= 5000:
        return None
    return Quantity(value=amount.value, unit=unit)
