"""Survival from inspections, the Weibull law, and a lot beside the rest."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, fisher_exact, hypergeom
from scipy.stats.contingency import odds_ratio
from tests.check_values.physics.test_leaks_and_lots import CASES, intervals

from pinseal.physics.lot_tests import lot_against_rest, rate_against_rest
from pinseal.physics.reliability import expected_failures, kaplan_meier, npmle, weibull
from pinseal.reasons import Refusal

RADIO = intervals(next(case["intervals"] for case in CASES if case["kind"] == "masses"))


def test_rel_4_weibull_of_the_same_intervals() -> None:
    """REL-4, a regression: no published answer; two optimisers of another kind agreed on it."""
    law = weibull(*RADIO)
    assert (law.scale, law.shape, law.log_likelihood) == pytest.approx((57.513, 1.12161, -64.73147), abs=1e-3)
    assert law.scale_low < law.scale < law.scale_high
    assert law.shape_low < 1 < law.shape_high


def test_intervals_are_open_on_the_left() -> None:
    """The trap: taken as closed, a unit bad at 5 and one good at 5 could fail in the same moment."""
    found = npmle(np.array([0.0, 5.0]), np.array([5.0, 9.0]))
    assert found.after.tolist() == [0.0, 5.0]
    assert found.by.tolist() == [5.0, 9.0]
    assert found.mass.tolist() == pytest.approx([0.5, 0.5])


def test_exact_and_censored_ages_give_the_product_limit_steps() -> None:
    age, failed = np.array([3.0, 5.0, 5.0, 7.0, 9.0]), np.array([True, True, False, True, False])
    steps = kaplan_meier(age, failed)
    masses = npmle(age, np.where(failed, age, np.inf))
    for at, survival in zip(steps.age, steps.survival, strict=True):
        assert masses.survival(float(at))[1] == pytest.approx(survival, abs=1e-6)
    assert (steps.low < steps.survival).all()
    assert (steps.high > steps.survival).all()


def test_inside_an_interval_survival_is_not_determined() -> None:
    found = npmle(np.array([2.0, 2.0, 4.0]), np.array([4.0, 4.0, np.inf]))
    assert found.survival(3.0) == pytest.approx((1 / 3, 1.0))
    assert found.survival(4.0) == pytest.approx((1 / 3, 1 / 3))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.integers(0, 9), st.integers(1, 5), st.booleans()), min_size=1, max_size=25))
def test_masses_are_shares_and_satisfy_their_condition(rows: list[tuple[int, int, bool]]) -> None:
    left = np.array([float(a) for a, _, _ in rows])
    right = np.array([a + b if failed else np.inf for a, b, failed in rows])
    found = npmle(left, right)
    assert found.mass.sum() == pytest.approx(1)
    assert (found.mass > 0).all()
    inside = (found.after >= left[:, None]) & (found.by <= right[:, None])
    share = inside @ found.mass
    # Kuhn and Tucker: no interval would gain by more mass
    assert ((inside / share[:, None]).mean(axis=0) <= 1 + 1e-3).all()


def test_a_weibull_of_many_inspected_units_covers_its_truth() -> None:
    rng = np.random.default_rng(4)
    life = 20 * rng.weibull(2.0, 3000)
    seen = np.floor(life)
    left, right = np.minimum(seen, 12.0), np.where(life < 12, seen + 1, np.inf)
    law = weibull(left, right)
    assert law.scale_low < 20 < law.scale_high
    assert law.shape_low < 2 < law.shape_high
    best, low, high = law.survival(12.0)
    assert low < math.exp(-((12 / 20) ** 2)) < high
    assert low < best < high
    assert expected_failures(law, left, right) == pytest.approx(np.isfinite(right).sum(), rel=1e-6)


def test_no_law_from_failures_at_one_age() -> None:
    with pytest.raises(Refusal, match="cannot be fitted"):
        weibull(np.array([4.0, 4.0, 4.0, 5.0]), np.array([5.0, 5.0, 5.0, np.inf]))
    with pytest.raises(Refusal, match="2 failures"):
        weibull(np.array([1.0, 2.0, 9.0]), np.array([2.0, 3.0, np.inf]))


@pytest.mark.parametrize("ages", [([], []), ([1.0], [0.5]), ([-1.0], [2.0]), ([math.nan], [2.0]), ([0.0], [0.0])])
def test_impossible_ages_are_refused(ages: tuple[list[float], list[float]]) -> None:
    with pytest.raises(Refusal, match="age"):
        npmle(np.array(ages[0]), np.array(ages[1]))


# -- lots


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(1, 30), st.integers(1, 60), st.data())
def test_the_exact_test_is_that_of_another_library(lot: int, rest: int, data: st.DataObject) -> None:
    failed, failed_rest = data.draw(st.integers(0, lot)), data.draw(st.integers(0, rest))
    found = lot_against_rest(failed_lot=failed, lot=lot, failed_rest=failed_rest, rest=rest)
    table = [[failed, lot - failed], [failed_rest, rest - failed_rest]]
    assert found.chance == pytest.approx(fisher_exact(table, alternative="greater").pvalue, rel=1e-8)
    if 0 < failed < lot and 0 < failed_rest < rest:
        other = odds_ratio(table).confidence_interval(0.95)
        assert (found.low, found.high) == pytest.approx((other.low, other.high), rel=1e-6)


def test_the_rate_interval_is_the_exact_binomial_one() -> None:
    found = rate_against_rest(failed_lot=5, expected_lot=1.2, failed_rest=29, expected_rest=28.8)
    share = (5 / 34) / (29 / 34) * 24
    assert found.estimate == pytest.approx(share)
    assert found.chance == pytest.approx(binom.sf(4, 34, 1.2 / 30))
    for end, tail in (
        (found.low, binom.sf(4, 34, found.low / (found.low + 24))),
        (found.high, binom.cdf(5, 34, found.high / (found.high + 24))),
    ):
        assert end > 0
        assert tail == pytest.approx(0.025, rel=1e-6)
    assert rate_against_rest(failed_lot=0, expected_lot=1.0, failed_rest=0, expected_rest=9.0).high == math.inf


def test_small_lots_prove_little() -> None:
    """A regression: power at 1 % of a lot of 40 against 960 with 3 % failed, for two, three and five times the hazard."""
    power = []
    for times in (2, 3, 5):
        share, total = 1 - 0.97**times, 0.0
        for rest in range(5, 70):
            enough = next(lot for lot in range(41) if hypergeom.sf(lot - 1, 1000, lot + rest, 40) <= 0.01)
            ours = lot_against_rest(failed_lot=enough, lot=40, failed_rest=rest, rest=960).chance
            assert ours <= 0.01 * (1 + 1e-9)
            total += binom.pmf(rest, 960, 0.03) * binom.sf(enough - 1, 40, share)
        power.append(total)
    assert power == pytest.approx([0.06, 0.22, 0.60], abs=0.012)


@pytest.mark.parametrize(("failed", "lot", "rest"), [(3, 2, 5), (-1, 2, 5), (0, 0, 5), (0, 2, 0)])
def test_impossible_counts_are_refused(failed: int, lot: int, rest: int) -> None:
    with pytest.raises(Refusal, match="counts"):
        lot_against_rest(failed_lot=failed, lot=lot, failed_rest=0, rest=rest)
    with pytest.raises(Refusal, match="compared"):
        rate_against_rest(failed_lot=1, expected_lot=0.0, failed_rest=1, expected_rest=1.0)
