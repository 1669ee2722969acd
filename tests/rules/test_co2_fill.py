"""How much carbon dioxide a stamp allows: the row of the table, the border, and what a volume leaves open."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from pinseal.measures import LB_KG
from pinseal.reasons import Refusal
from pinseal.rules.co2_fill import FillVerdict, fill_limit, judge_co2_fill
from pinseal.rules.pressure_tests import parse_specification

ON = date(2026, 11, 25)


def judge(charge_lb: str, water_lb: str, stamp: str = "3AA1800") -> FillVerdict:
    return judge_co2_fill(
        mass_kg=Fraction(charge_lb) * LB_KG, water_capacity_kg=Fraction(water_lb) * LB_KG, marking=parse_specification(stamp), on=ON
    )


@pytest.mark.parametrize(
    ("stamp", "percent"),
    [
        ("3A1800", "68"), ("3AA1800", "68"), ("3AX1800", "68"), ("3AAX1800", "68"), ("3AL1800", "68"),
        ("3AA1999", "68"), ("3AA2000", "70.3"), ("3AA2015", "70.3"), ("3AA2264", "70.3"), ("3AA2265", "73.2"), ("3AA2400", "74.5"),
        ("3AL2000", "68"), ("3AL2265", "68"), ("3AL3000", "68"),
    ],
)  # fmt: skip
def test_a_stamp_may_use_the_row_of_its_service_pressure_or_below(stamp: str, percent: str) -> None:
    limit = fill_limit(parse_specification(stamp), ON)
    assert limit is not None
    assert limit.percent == Fraction(percent)


@pytest.mark.parametrize("stamp", ["3AA1799", "3AA", "4BW240", "3", "3HT1850"])
def test_a_stamp_without_a_row_is_unknown(stamp: str) -> None:
    found = judge("10", "15", stamp)
    assert found.verdict == "unknown"
    assert found.limit is None
    assert "nameplate" in found.because[0]


def test_the_table_does_not_reach_back() -> None:
    assert fill_limit(parse_specification("3AA1800"), date(1990, 1, 1)) is None


@pytest.mark.parametrize(("charge", "verdict"), [("9.999", "pass"), ("10.2", "pass"), ("10.201", "fail")])
def test_exactly_the_limit_passes(charge: str, verdict: str) -> None:
    found = judge(charge, "15")
    assert found.verdict == verdict
    assert found.percent == Fraction(charge) / 15 * 100
    assert "public copy" in found.because[0]


def test_a_volume_is_too_close_where_the_two_ways_of_counting_water_differ() -> None:
    def by_volume(litres: str) -> str:
        return judge_co2_fill(
            mass_kg=Fraction(5), water_capacity_m3=Fraction(litres) / 1000, marking=parse_specification("3AL1800"), on=ON
        ).verdict  # fmt: skip

    assert by_volume("7.37") == "pass"
    assert by_volume("7.36") == "too-close"
    assert by_volume("7.35") == "fail"


@pytest.mark.parametrize(
    "figures",
    [
        {"water_capacity_kg": Fraction(0)},
        {"water_capacity_kg": Fraction(10_001)},
        {"water_capacity_m3": Fraction(-1)},
        {},
        {"water_capacity_kg": Fraction(5), "water_capacity_m3": Fraction(1)},
        {"mass_kg": Fraction(0), "water_capacity_kg": Fraction(5)},
    ],
)
def test_figures_that_cannot_be_are_refused(figures: dict[str, Fraction]) -> None:
    with pytest.raises(Refusal):
        judge_co2_fill(**{"mass_kg": Fraction(5), "marking": parse_specification("3AA1800"), "on": ON, **figures})  # type: ignore[arg-type]
