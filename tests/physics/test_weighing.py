"""How well a difference is known, and what a comparison is worth."""

from __future__ import annotations

import math
from fractions import Fraction
from statistics import NormalDist

import pytest

from pinseal.physics.weighing import (
    difference_uncertainty_kg,
    guard_band,
    least_water_kg,
    next_interval,
    normal_share,
    probability_within,
    scale_decides,
)
from pinseal.reasons import Refusal


def test_the_parts_add_as_squares() -> None:
    got = difference_uncertainty_kg(resolution_kg=0.02, calibration_kg=0.01, drift_kg=0.006, other_kg=0.005)
    assert got == pytest.approx(math.sqrt(2 * 0.02**2 / 12 + 0.01**2 + 0.006**2 / 3 + 0.005**2))
    assert difference_uncertainty_kg(resolution_kg=0.0) == 0.0


@pytest.mark.parametrize("bad", [-0.1, math.nan, math.inf])
def test_an_uncertainty_that_cannot_be_is_refused(bad: float) -> None:
    for wrong in ({"resolution_kg": bad}, {"resolution_kg": 0.0, "calibration_kg": bad}, {"resolution_kg": 0.0, "drift_kg": bad}):
        with pytest.raises(Refusal):
            difference_uncertainty_kg(**wrong)
    with pytest.raises(Refusal):
        guard_band(expanded=bad)


@pytest.mark.parametrize("x", [-6.0, -1.0, 0.0, 0.5, 3.0])
def test_the_normal_share_agrees_with_the_standard_library(x: float) -> None:
    assert normal_share(x) == pytest.approx(NormalDist().cdf(x), rel=1e-9)


def test_the_example_of_ten_pounds_of_carbon_dioxide() -> None:
    """Limit 0.45 kg, u = 14 g, loss 0.44 kg: over the limit with probability 0.24 (regression)."""
    assert 1 - probability_within(value=0.44, limit=0.45, uncertainty=0.014) == pytest.approx(0.24, abs=0.003)
    assert probability_within(value=0.45, limit=0.45, uncertainty=0.0) == 1.0
    assert probability_within(value=0.4501, limit=0.45, uncertainty=0.0) == 0.0


@pytest.mark.parametrize(
    ("resolution", "expanded", "decides"), [("0.045", 0.15, True), ("0.0451", 0.1, False), ("0.01", 0.151, False), ("0.05", 0.04, False)]
)
def test_a_scale_decides_with_a_tenth_and_a_third(resolution: str, expanded: float, decides: bool) -> None:
    assert scale_decides(resolution=Fraction(resolution), expanded=expanded, limit=Fraction("0.45")) is decides


def test_a_calibration_interval_shrinks_when_too_few_are_in_tolerance() -> None:
    assert next_interval(interval=12, in_tolerance_observed=0.90) / 12 == pytest.approx(0.487, abs=0.0005)
    for share in (0.0, 1.0, 1.2):
        with pytest.raises(Refusal):
            next_interval(interval=12, in_tolerance_observed=share)


def test_a_filling_that_cannot_be_is_refused() -> None:
    with pytest.raises(Refusal):
        least_water_kg(charge_kg=Fraction(0), filling_percent=Fraction(68))
    with pytest.raises(Refusal):
        least_water_kg(charge_kg=Fraction(5), filling_percent=Fraction(200))
