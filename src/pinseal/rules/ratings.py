"""What a fire rating says, and whether one is at least as good as another.

The numbers of UL ratings and of EN 3 ratings count different fires and are never compared; the letter C also means another thing
(live electrical equipment there, gases here). A list's cells are only recognised as ratings elsewhere; they are read here alone.
Sources: numbers and letters of the UL scale from memory; of EN 3-7 from memory, its class B numbers second-hand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from pinseal.reasons import Refusal

SYSTEMS = {"us": "UL", "en": "EN 3", "any": "no numbered scale"}
_TEXT_MAX = 40
# They only tell the two scales apart where the hyphens are left out; 4, 6, 8, 12 and 16 B are old ones. 8 B was on both.
_A = {"us": {1, 2, 3, 4, 6, 10, 20, 30, 40}, "en": {5, 8, 13, 21, 27, 34, 43, 55}}
_B = {
    "us": {1, 2, 4, 5, 6, 8, 10, 12, 16, 20, 30, 40, 60, 80, 120, 160, 240, 320, 480, 640},
    "en": {8, 13, 21, 34, 55, 70, 89, 113, 144, 183, 233},
}
_PART = re.compile(r"(?:(\d{1,3})\s*(-?)\s*)?([ABCDKF])", re.ASCII | re.IGNORECASE)
_BETWEEN = " \t:/;,.-"
_DO = "write it as on the nameplate, as in 2-A:10-B:C, K, 21A 113B C or 75F"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """A rating: `system` us, en, or any for a D alone, which has no number; `a`, `b`, `f` the numbers, None where not carried."""

    system: str
    a: int | None = None
    b: int | None = None
    c: bool = False
    d: bool = False
    k: bool = False
    f: int | None = None

    @property
    def letters(self) -> str:
        """The classes it carries, as in `ABC`."""
        held = {"A": self.a, "B": self.b, "C": self.c, "D": self.d, "K": self.k, "F": self.f}
        return "".join(letter for letter, value in held.items() if value)

    def for_people(self) -> str:
        """As its own scale writes it: `2-A:10-B:C`, `21A 113B C`."""
        join, between = ("-", ":") if self.system == "us" else ("", " ")
        numbered = [f"{number}{join}{letter}" for letter, number in (("A", self.a), ("B", self.b)) if number]
        plain = [letter for letter, held in (("C", self.c), ("D", self.d), ("K", self.k)) if held]
        return between.join([*numbered, *plain, *([f"{self.f}F"] if self.f else [])])


def _refused(text: str, rule: str) -> Refusal:
    return Refusal(what="this is not a rating that can be read", rule=rule, got=text[:_TEXT_MAX] or "nothing", do=_DO)


def _parts(text: str) -> Iterator[tuple[str, int | None, bool]]:
    """Each letter with its number, and whether a hyphen stood between."""
    if len(text) > _TEXT_MAX:
        raise _refused(text, f"at most {_TEXT_MAX} characters")
    at = 0
    while at < len(text):
        if text[at] in _BETWEEN:
            at += 1
            continue
        match = _PART.match(text, at)
        if match is None:
            raise _refused(text, "numbers with A, B or F, and the letters C, D and K")
        yield match[3].upper(), None if match[1] is None else int(match[1]), bool(match[2])
        at = match.end()


def _system(text: str, numbers: dict[str, int | None], hyphened: bool) -> str:
    """Which scale: a K or an F says it, then the numbers, then the hyphens. Raises `Refusal` where nothing does."""
    fits = {
        system
        for system in ("us", "en")
        if all(numbers[letter] in table[system] for letter, table in (("A", _A), ("B", _B)) if letter in numbers)
        and ("F" if system == "us" else "K") not in numbers
    }
    if not numbers.keys() & {"A", "B", "K", "F"}:
        return "any"
    if "K" in numbers and "F" in numbers:
        raise _refused(text, "K is of the UL scale and F of EN 3; one rating is of one scale")
    if len(fits) == 1:
        return fits.pop()
    if hyphened and "F" not in numbers:
        return "us"
    raise _refused(text, "these numbers do not tell the UL scale from EN 3; UL ratings have a hyphen, as in 8-B")


def parse_rating(text: str) -> Rating:
    """Read a rating as printed or as people shorten it. Raises `Refusal` for nonsense, and where the scale cannot be told.

    >>> parse_rating("2A10BC").for_people(), parse_rating("2-A:K").for_people(), parse_rating("21A 113B C").for_people()
    ('2-A:10-B:C', '2-A:K', '21A 113B C')
    """
    numbers: dict[str, int | None] = {}
    hyphened = False
    for letter, number, hyphen in _parts(text.strip()):
        if letter in numbers:
            raise _refused(text, f"the letter {letter} stands in it twice")
        if (letter in "ABF") != (number is not None) or number == 0:
            raise _refused(text, "A, B and F have a number above zero, C, D and K have none")
        numbers[letter] = number
        hyphened |= hyphen
    if not numbers or set(numbers) == {"C"}:
        raise _refused(text, "a C stands beside an A or a B, never alone")
    return Rating(
        system=_system(text, numbers, hyphened), a=numbers.get("A"), b=numbers.get("B"), c="C" in numbers, d="D" in numbers,
        k="K" in numbers, f=numbers.get("F"),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """`verdict` yes, no or unknown, with its reasons."""

    verdict: str
    because: tuple[str, ...]


def at_least(stand_in: Rating, original: Rating) -> Comparison:
    """Whether a rating is equal or better in every letter that the original carries. Two scales never compare."""
    held, wanted = stand_in.for_people(), original.for_people()
    if "any" not in (stand_in.system, original.system) and stand_in.system != original.system:
        words = (
            f"{held} is a rating of {SYSTEMS[stand_in.system]} and {wanted} of {SYSTEMS[original.system]}: their numbers are not comparable"
        )
        return Comparison(verdict="unknown", because=(words,))
    absent = [letter for letter in original.letters if letter not in stand_in.letters]
    less = [
        f"{mine} {letter} is less than {theirs} {letter}"
        for letter, mine, theirs in (("A", stand_in.a, original.a), ("B", stand_in.b, original.b), ("F", stand_in.f, original.f))
        if mine is not None and theirs is not None and mine < theirs
    ]
    short = [f"{held} does not carry {letter}, and {wanted} does" for letter in absent] + less
    if short:
        return Comparison(verdict="no", because=tuple(short))
    return Comparison(verdict="yes", because=(f"{held} is equal to {wanted} or better in every letter",))
