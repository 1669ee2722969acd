"""The verdict of an expansion test, and the pressure each test needs: limits by specification, exact comparisons, reasons."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Protocol, TypeVar

from pinseal.measures import PSI_PA
from pinseal.physics.expansion import Expansion, cm3_words, tolerance_m3
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import psi
from pinseal.standards.pressure_tests import Limit, Source, pressure_tests

OF_EXPANSION_ALONE = (
    "a pass speaks of expansion alone: the examination inside and out, leaks, threads and the date still decide about the unit"
)
_MARK = re.compile(r"(?:(?:DOT|ICC|CTC)[\s-]*)?(3AAX|3AA|3AX|3AL|3A|3HT|3E|4BA|4BW|4B|4DA|4DS|4D|4E|39)[\s-]*(\d{2,5})?", re.ASCII)
_MARK_3 = re.compile(r"(?:(?:DOT|ICC|CTC)[\s-]*)?3(?:[\s-]+(\d{2,5}))?", re.ASCII)
_MARK_ET = re.compile(r"(?:(?:DOT|ICC|CTC)[\s-]*)?4B[\s-]*240[\s-]*ET", re.ASCII)
_SERVICE_PSI = (100, 10_000)
TEST_PSI = (50, 15_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """A stamped specification: its code (of `kinds.CYLINDER_SPECIFICATIONS`) and service pressure [Pa], None where it is not stamped."""

    code: str
    service_pa: Fraction | None
    text: str


def _marking(text: str, code: str, figures: str | None) -> Marking:
    if figures is None:
        return Marking(code=code, service_pa=None, text=text)
    if not _SERVICE_PSI[0] <= int(figures) <= _SERVICE_PSI[1]:
        raise Refusal(
            what="this service pressure cannot be right",
            rule=f"the figures after the specification are a service pressure of {_SERVICE_PSI[0]} to {_SERVICE_PSI[1]} psi",
            got=text,
            do="read the stamp again",
        )
    return Marking(code=code, service_pa=int(figures) * PSI_PA, text=text)


def parse_specification(text: str) -> Marking:
    """Read a specification as marked on the cylinder. Raises `Refusal` for one that is not known.

    >>> parse_specification("DOT-3AA1800").code, parse_specification("4BW240").code, parse_specification("4B240ET").code
    ('3AA', '4BW', '4B240ET')
    """
    plain = text.strip().upper()
    if _MARK_ET.fullmatch(plain):
        return Marking(code="4B240ET", service_pa=240 * PSI_PA, text=text.strip())
    alone = _MARK_3.fullmatch(plain)
    if alone:
        return _marking(text.strip(), "3", alone[1])
    match = _MARK.fullmatch(plain)
    if match is None:
        raise Refusal(
            what="this cylinder specification is not known",
            rule="3, 3A, 3AA, 3AX, 3AAX, 3AL, 3HT, 4B, 4BA, 4BW, 4B240ET, 4D, 4DA, 4DS or 4E, with DOT- or ICC- before it and the "
            "service pressure in psi after it",
            got=text[:60],
            do="type the stamp as it stands, for example DOT-3AA1800; a special permit or a metric stamp has limits of its own",
        )
    return _marking(text.strip(), match[1], match[2])


class _Dated(Protocol):
    @property
    def source(self) -> Source: ...


_Row = TypeVar("_Row", bound=_Dated)


def in_force(rows: tuple[_Row, ...], on: date, *, what: str) -> _Row:
    """The row that holds on a day. Raises `Refusal` where none does."""
    for row in rows:
        if row.source.holds_on(on):
            return row
    first = min((row.source.in_force_from for row in rows), default=None)
    raise Refusal(
        what=f"{what} is not on record for this day",
        rule=f"the data held begins on {first.isoformat()}" if first else "no entry speaks of it",
        got=on.isoformat(),
        do="check the date of the test; for older tests read the rule of that time",
    )


def limit_of(marking: Marking, on: date) -> Limit:
    """The permanent expansion that is allowed. Raises `Refusal` for a specification that is never tested."""
    data = pressure_tests()
    for never in data.no_tests:
        if marking.code in never.specifications:
            raise Refusal(
                what="this specification is not requalified by a pressure test",
                rule=f"{never.why} ({never.source.for_people()})",
                got=marking.text,
                do="read the stamp again; examine and discard it by the rule for its kind",
            )
    rows = tuple(limit for limit in data.limits if marking.code in limit.specifications)
    return in_force(rows, on, what=f"a limit for {marking.code}")


def least_test_pa(marking: Marking, on: date) -> tuple[Fraction | None, Source]:
    """The smallest test pressure of a stamped cylinder [Pa], exact; None where the stamp shows no service pressure."""
    rows = tuple(row for row in pressure_tests().test_pressures if marking.code in row.specifications)
    row = in_force(rows, on, what=f"a test pressure for {marking.code}")
    if row.psig is not None:
        return row.psig * PSI_PA, row.source
    assert row.service_ratio is not None, "the loader asks for a figure or a ratio"
    return (None if marking.service_pa is None else marking.service_pa * row.service_ratio), row.source


def set_psi(least_pa: Fraction) -> int:
    """The pressure to set [psi]: the smallest test pressure rounded up to ten, as published tables do.

    >>> set_psi(Fraction(5, 3) * 2015 * PSI_PA)
    3360
    """
    return -(-(least_pa / PSI_PA) // 10) * 10


def checked_test_pa(test_pa: Fraction) -> Fraction:
    """A test pressure that can be one. Raises `Refusal` outside 50 to 15 000 psi."""
    if not TEST_PSI[0] * PSI_PA <= test_pa <= TEST_PSI[1] * PSI_PA:
        raise Refusal(
            what="this is not a test pressure",
            rule=f"pressure tests run from {TEST_PSI[0]} to {TEST_PSI[1]} psi above the air",
            got=psi(test_pa),
            do="check the figure and its unit",
        )
    return test_pa


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpansionVerdict:
    """Pass or fail of an expansion test, whether the instrument could have changed it, and why."""

    expansion: Expansion
    limit: Limit
    passed: bool
    near: bool
    range_percent: tuple[Fraction, Fraction]
    tolerance_m3: Fraction
    least_pa: Fraction | None
    pressure_enough: bool | None
    because: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def verdict(self) -> str:
        return "pass" if self.passed else "fail"


def percent_words(percent: Fraction, limit: Fraction) -> str:
    """A percent with as many decimals as show on which side of its limit it lies, rounded half to even from the exact figure."""
    digits = next((d for d in range(2, 12) if percent == limit or round(percent, d) != limit), 12)
    return f"{float(round(percent, digits)):.{digits}f} %"


def _percent_reason(expansion: Expansion, limit: Limit) -> str:
    percent = expansion.percent_permanent
    relation = "exceeds" if percent > limit.percent else "is within"
    return (
        f"{percent_words(percent, limit.percent)} of the total expansion stayed; that {relation} the {float(limit.percent):g} % allowed "
        f"(permanent {cm3_words(expansion.permanent_m3)} of total {cm3_words(expansion.total_m3)}; {limit.source.for_people()})"
    )


def _rejection_reasons(expansion: Expansion, rejection_m3: Fraction | None, code: str) -> tuple[bool, list[str]]:
    if rejection_m3 is None:
        if code == "3HT":
            raise Refusal(
                what="a 3HT cylinder is judged by its marked rejection elastic expansion too",
                rule="it is condemned when the elastic expansion exceeds the marked limit (49 CFR 180.205(i)(1)(v), read in a public copy)",
                got="no rejection elastic expansion",
                do="type the figure stamped on the cylinder",
            )
        return True, []
    if rejection_m3 <= 0:
        raise Refusal(
            what="this is not a rejection elastic expansion",
            rule="it is above zero",
            got=cm3_words(rejection_m3),
            do="read the stamp again",
        )
    within = expansion.elastic_m3 <= rejection_m3
    relation = "is within" if within else "exceeds"
    words = f"elastic expansion {cm3_words(expansion.elastic_m3)} {relation} the marked rejection limit {cm3_words(rejection_m3)}"
    return within, [words]


def _near(expansion: Expansion, limit: Limit, tolerance: Fraction, rejection_m3: Fraction | None) -> bool:
    low, high = expansion.percent_range(tolerance)
    straddles = low <= limit.percent < high
    return straddles or (rejection_m3 is not None and abs(expansion.elastic_m3 - rejection_m3) <= tolerance)


def _pressure_words(test_pa: Fraction, least_pa: Fraction | None, marking: Marking, source: Source) -> tuple[bool | None, list[str]]:
    if least_pa is None:
        return None, [f"the stamp as typed ({marking.text}) shows no service pressure, so the test pressure could not be compared"]
    if test_pa >= least_pa:
        above = test_pa > least_pa * Fraction(11, 10)
        return True, [f"the test pressure is over 110 % of the smallest one, {psi(least_pa)}: was it meant?"] if above else []
    return False, [
        f"the test pressure {psi(test_pa)} is below the smallest one for {marking.text}, {psi(least_pa)} (set {set_psi(least_pa)} psi; "
        f"{source.for_people()}): this is no valid requalification, whatever the expansion says"
    ]


def judge_expansion(
    expansion: Expansion,
    *,
    marking: Marking,
    test_pa: Fraction,
    on: date,
    rejection_m3: Fraction | None = None,
    accuracy_m3: Fraction | None = None,
) -> ExpansionVerdict:
    """Judge a water jacket or direct expansion test: pass or fail only, compared exactly before any rounding.

    `test_pa` above the air [Pa]; `rejection_m3` the marked rejection elastic expansion [m3]; `accuracy_m3` how far the
    instrument may be wrong [m3], the larger of 1 % of the total and 0.1 cm3 unless said.
    """
    limit = limit_of(marking, on)
    least_pa, source = least_test_pa(marking, on)
    enough, pressure_words = _pressure_words(checked_test_pa(test_pa), least_pa, marking, source)
    tolerance = tolerance_m3(expansion.total_m3) if accuracy_m3 is None else accuracy_m3
    if tolerance > expansion.total_m3:
        raise Refusal(
            what="this instrument cannot judge the test",
            rule="its accuracy is no larger than the total expansion",
            got=cm3_words(tolerance),
            do="check the accuracy and its unit",
        )
    if expansion.permanent_m3 == 0:
        pressure_words = [*pressure_words, "a permanent expansion of exactly zero: make sure that the instrument followed the shell"]
    elastic_passed, elastic_words = _rejection_reasons(expansion, rejection_m3, marking.code)
    expansion_passed = expansion.percent_permanent <= limit.percent
    near = _near(expansion, limit, tolerance, rejection_m3)
    low, high = expansion.percent_range(tolerance)
    reasons = [_percent_reason(expansion, limit), *elastic_words]
    if expansion_passed and not elastic_passed:
        reasons.reverse()
    if enough is False:
        reasons.insert(1, pressure_words[0])
    if near:
        reasons.append(
            f"near: an instrument good to {cm3_words(tolerance)} could have changed this; "
            f"the truth may lie anywhere from {float(low):.2f} to {float(high):.2f} %"
        )
    return ExpansionVerdict(
        expansion=expansion, limit=limit, passed=expansion_passed and elastic_passed, near=near, range_percent=(low, high),
        tolerance_m3=tolerance, least_pa=least_pa, pressure_enough=enough,
        because=(*reasons, OF_EXPANSION_ALONE), cautions=tuple(pressure_words[1:] if enough is False else pressure_words),
    )  # fmt: skip


def retest_pa(test_pa: Fraction) -> Fraction:
    """The pressure of a repeat after the equipment failed [Pa]: 10 % or 100 psi more, whichever is less; at most two repeats.

    Source: 49 CFR 180.205(g)(5), public copy as amended to 2010-09-01, for the increase; the number of repeats from memory.
    """
    return test_pa + min(test_pa / 10, 100 * PSI_PA)
