"""What a pressure test on record comes to: its expansion exactly, its limit, what speaks against it, and the stamp it has earned.

Nothing here passes a test. What the record says is held against the rules once more, so that no stamp is struck on a slip of the pen.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from pinseal.physics.expansion import CM3, Expansion, expansion
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import psi
from pinseal.rules.pressure_tests import Marking, least_test_pa, limit_of, parse_specification
from pinseal.rules.proof_tests import BY_VOLUME_ALONE
from pinseal.standards.pressure_tests import Limit
from pinseal.standards.requalification import requalification

_NUMBER = re.compile(r"[A-Z0-9]{4}", re.ASCII)
# How a nameplate says that the shell bears none.
NO_SPECIFICATION = "none"
_DECIMALS = 6
_DECIMALS_MOST = 30


def checked_requalifier(text: str) -> str:
    """A requalifier's number: four letters or figures, as stand in the square. Raises `Refusal`.

    >>> checked_requalifier(" z123 ")
    'Z123'
    """
    plain = text.strip().upper()
    if _NUMBER.fullmatch(plain):
        return plain
    raise Refusal(
        what="this is no requalifier's number",
        rule="it has four letters or figures, one for each corner of the square (49 CFR 180.213(d))",
        got=text[:40],
        do="copy it from the letter in which it was issued",
    )


def exact_words(value: Fraction, *, apart_from: Fraction | None = None) -> str:
    """A figure before any rounding: all its decimals where they end within six, else cut off, never rounded, with a sign that says so.

    Where it is not the same as `apart_from`, as many decimals as show that.

    >>> exact_words(Fraction(10)), exact_words(Fraction(1230, 184)), exact_words(Fraction(67, 8))
    ('10', '6.684782…', '8.375')
    >>> exact_words(10 + Fraction(1, 3 * 10**8), apart_from=Fraction(10))
    '10.000000003…'
    """
    digits = _DECIMALS
    while apart_from not in (None, value) and digits < _DECIMALS_MOST and _cut(value, digits) == _cut(apart_from, digits):
        digits += 1
    if (value * 10**digits).denominator != 1:
        return f"{_decimal(_cut(value, digits), digits)}…"
    return _decimal(_cut(value, digits), digits).rstrip("0").rstrip(".")


def _cut(value: Fraction | None, digits: int) -> int:
    assert value is not None and value >= 0, "expansions and percents are not below zero"
    return int(value * 10**digits)


def _decimal(figures: int, digits: int) -> str:
    whole, rest = divmod(figures, 10**digits)
    return f"{whole}.{rest:0{digits}d}"


def cm3_exact(volume_m3: Fraction) -> str:
    """A volume in cm3 with all its decimals.

    >>> cm3_exact(Fraction("182.4") * CM3)
    '182.4 cm3'
    """
    return f"{exact_words(volume_m3 / CM3)} cm3"


@dataclass(frozen=True, slots=True, kw_only=True)
class TestOnRecord:
    """A pressure test as it stands on record. Pressures above the air [Pa], volumes [m3]; None is not said.

    `factory_pa` is the factory test pressure of the nameplate.
    """

    __test__ = False
    on: date
    passed: bool
    method: str | None = None
    specification: str | None = None
    pressure_pa: Fraction | None = None
    total_m3: Fraction | None = None
    permanent_m3: Fraction | None = None
    factory_pa: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A test held against the rules. `against` says what does not fit what is recorded; `unread` why the stamp could not be read."""

    marking: Marking | None
    expansion: Expansion | None
    limit: Limit | None
    against: tuple[str, ...] = ()
    unread: str = ""

    @property
    def over_limit(self) -> bool:
        return self.expansion is not None and self.limit is not None and self.expansion.percent_permanent > self.limit.percent

    @property
    def percent_words(self) -> str:
        """The percent before rounding; empty where there is none."""
        if self.expansion is None:
            return ""
        return exact_words(self.expansion.percent_permanent, apart_from=self.limit.percent if self.limit else None)


def weigh(test: TestOnRecord) -> Weighed:
    """Hold a recorded test against the rules of its day."""
    marking, limit, unread = _marking_and_limit(test)
    found, against = _expansion(test)
    weighed = Weighed(marking=marking, expansion=found, limit=limit, unread=unread)
    against += [*_expansion_against(test, weighed), *_pressure_against(test, marking), *_method_against(test, marking)]
    return Weighed(marking=marking, expansion=found, limit=limit, against=tuple(against), unread=unread)


def _marking_and_limit(test: TestOnRecord) -> tuple[Marking | None, Limit | None, str]:
    if not test.specification:
        return None, None, "no specification is on record"
    if test.specification.strip().casefold() == NO_SPECIFICATION:
        return None, None, "it bears no specification"
    try:
        marking = parse_specification(test.specification)
        return marking, limit_of(marking, test.on), ""
    except Refusal as refused:
        return None, None, f"{refused.what}: {refused.got}"


def _expansion(test: TestOnRecord) -> tuple[Expansion | None, list[str]]:
    if test.total_m3 is None or test.permanent_m3 is None:
        return None, []
    try:
        return expansion(total_m3=test.total_m3, permanent_m3=test.permanent_m3), []
    except Refusal as refused:
        return None, [f"{refused.what} ({refused.got})"]


def _expansion_against(test: TestOnRecord, weighed: Weighed) -> Iterator[str]:
    if weighed.over_limit and test.passed:
        assert weighed.limit is not None, "what is over a limit has one"
        yield (
            f"recorded as passed, yet {weighed.percent_words} % exceeds the {exact_words(weighed.limit.percent)} % allowed "
            f"({weighed.limit.source.for_people()})"
        )


def _pressure_against(test: TestOnRecord, marking: Marking | None) -> Iterator[str]:
    if test.pressure_pa is None or not test.passed:
        return
    if marking is None:
        if test.factory_pa is not None and test.pressure_pa < test.factory_pa:
            yield f"the test pressure is below the factory test pressure on the nameplate, {psi(test.factory_pa)}: no valid test"
        return
    try:
        least, source = least_test_pa(marking, test.on)
    except Refusal:
        return
    if least is not None and test.pressure_pa < least:
        yield f"the test pressure is below the {psi(least)} that {marking.text} asks for ({source.for_people()}): no valid requalification"


def _method_against(test: TestOnRecord, marking: Marking | None) -> Iterator[str]:
    if marking is not None and test.method == "proof-pressure" and marking.code in BY_VOLUME_ALONE and test.passed:
        yield f"{marking.code} is tested by volume, never by proof pressure (49 CFR 180.205(g)(1), 180.209(j)(2), read in a public copy)"


# -- the stamp


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What is struck: month, the four characters of the number, two figures of the year, what follows them, and by which rule."""

    month: str
    number: str
    year: str
    letter: str
    because: str

    @property
    def words(self) -> str:
        """The stamp in words.

        >>> Stamp(month="9", number="A123", year="06", letter="", because="").words
        'month 9, then A1 over 32 (A123 read clockwise from the top left), then year 06'
        """
        top, under = self.number[:2], self.number[3] + self.number[2]
        follows = f", then {self.letter}" if self.letter else ""
        square = f"{top} over {under} ({self.number} read clockwise from the top left)"
        return f"month {self.month}, then {square}, then year {self.year}{follows}"

    def as_json(self) -> dict[str, Any]:
        return {
            "month": self.month,
            "number": self.number,
            "square": [self.number[:2], self.number[3] + self.number[2]],
            "year": self.year,
            "letter": self.letter,
            "words": self.words,
            "because": self.because,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Requalifier:
    """Whose number is struck, and the last day of the approval where the shop said it."""

    number: str
    until: date | None = None


def stamp_of(
    test: TestOnRecord, weighed: Weighed, requalifier: Requalifier | None, apparatus_against: str
) -> tuple[Stamp | None, tuple[str, ...]]:
    """The stamp that a test has earned, or None and each reason why there is none.

    `apparatus_against` says why the apparatus was not confirmed on the day of the test; empty where it was.
    """
    why = tuple(_why_no_stamp(test, weighed, requalifier, apparatus_against))
    if why:
        return None, why
    assert requalifier is not None, "without a number there is a reason"
    suffix = next(each for each in requalification().suffixes if each.method == test.method)
    because = f"{suffix.words} ({suffix.source.for_people()})"
    return Stamp(
        month=str(test.on.month), number=requalifier.number, year=f"{test.on.year % 100:02d}", letter=suffix.letter, because=because
    ), ()


def _why_no_stamp(test: TestOnRecord, weighed: Weighed, requalifier: Requalifier | None, apparatus_against: str) -> Iterator[str]:
    if not test.passed:
        yield "it did not pass"
        return
    if weighed.marking is None:
        yield f"{weighed.unread}; only a stamped cylinder is requalified with this mark"
        return
    if requalifier is None:
        yield "the shop has no requalifier's number among its settings; only the holder of a current approval may mark (49 CFR 180.205(b))"
    elif requalifier.until is not None and test.on > requalifier.until:
        yield f"the approval ended on {requalifier.until.isoformat()}, before the test"
    if test.method is None:
        yield "the method is not on record, and it decides what follows the year"
    yield from weighed.against
    if test.method == "water-jacket" and weighed.expansion is None:
        yield "its expansion is not on record, so nothing shows that it is within the limit"
    if test.pressure_pa is None:
        yield "the test pressure is not on record"
    if apparatus_against:
        yield apparatus_against
