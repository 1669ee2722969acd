"""Fits of series: the three models, gauges apart, crossing dates, and what one more reading settles."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import linregress
from scipy.stats import t as student

from pinseal.physics import leak_outlook as outlook
from pinseal.physics.leak_kinds import EVENT, LEAK, LOSS, NONE, PRIOR_SHARES, fleet_shares, judge
from pinseal.physics.leak_rates import bubble_test, mol_s, pa_per_year, std_cm3_s
from pinseal.physics.leaks import Fits, Readings, fit, t_quantile
from pinseal.reasons import Refusal

U = 2.73


def columns(series: list[tuple[list[float], list[float], list[int]]], u: float = U) -> Readings:
    unit = np.concatenate([np.full(len(t), number) for number, (t, _, _) in enumerate(series)])
    return Readings(
        unit=unit.astype(np.int64),
        gauge=np.concatenate([np.array(g) for _, _, g in series]).astype(np.int64),
        year=np.concatenate([np.array(t, dtype=float) for t, _, _ in series]),
        value=np.concatenate([np.array(y, dtype=float) for _, y, _ in series]),
        u=np.full(len(unit), u),
    )


def one(t: list[float], y: list[float], gauges: list[int] | None = None) -> Fits:
    return fit(columns([(t, y, gauges or [0] * len(t))]), slope_prior=12.0, step_prior=20.0)


MONTHS = [month / 12 for month in range(25)]
WIGGLE = [1.4 if month % 2 else -1.4 for month in range(25)]


def wiggled(values: list[float]) -> list[float]:
    return [value + wiggle for value, wiggle in zip(values, WIGGLE, strict=False)]


def test_the_slope_is_that_of_another_library() -> None:
    rng = np.random.default_rng(5)
    t = np.sort(rng.uniform(0, 3, 20))
    y = 190 - 4 * t + rng.normal(0, 30, 20)  # far above the stated scatter, so the readings' own counts alone
    found, other = one(t.tolist(), y.tolist()), linregress(t, y)
    assert found.excess[0]
    assert found.slope[0] == pytest.approx(other.slope, rel=1e-10)
    assert found.slope_se[0] == pytest.approx(other.stderr, rel=1e-10)
    assert found.df[0] == 18


def test_the_stated_uncertainty_counts_as_four_readings() -> None:
    t, y = [0.0, 1.0, 2.0], [195.0, 190.0, 185.0]  # on a line by luck: their own scatter would be nothing
    found = one(t, y)
    assert found.scatter[0] == pytest.approx(np.sqrt(4 / 5))
    assert found.df[0] == 9


def test_quantiles_are_those_of_another_library() -> None:
    df = np.array([1, 2, 7, 40])
    assert t_quantile(0.975, df) == pytest.approx(student.ppf(0.975, df), rel=1e-12)
    assert t_quantile(0.05, np.array([0]))[0] == -np.inf


def test_steady_leak_and_one_off_are_told_apart() -> None:
    steady = wiggled([195.0] * 25)
    leak = wiggled([195.0 - 9 * t for t in MONTHS])
    event = wiggled([195.0 if t < 1.02 else 180.0 for t in MONTHS])
    found = fit(columns([(MONTHS, y, [0] * 25) for y in (steady, leak, event)]), slope_prior=12.0, step_prior=20.0)
    kinds = judge(found, PRIOR_SHARES)
    assert kinds.kind.tolist() == [NONE, LEAK, EVENT]
    assert found.step_after[2] == 13
    assert found.step[2] == pytest.approx(-15, abs=0.3)
    assert kinds.slope_low[2] < 0 < kinds.slope_high[2]
    assert kinds.slope_low[1] < -9 < kinds.slope_high[1]
    total = kinds.probability_none + kinds.probability_leak + kinds.probability_event
    assert total == pytest.approx([1, 1, 1])
    assert kinds.probability_leak[1] > 0.9
    assert kinds.probability_event[2] > 0.9


def test_a_lone_low_reading_is_no_event() -> None:
    y = wiggled([195.0] * 13)
    y[6] = 165.0
    found = one(MONTHS[:13], y)
    assert judge(found, PRIOR_SHARES).kind[0] != EVENT
    late = wiggled([195.0] * 13)
    late[12] = 165.0
    assert one(MONTHS[:13], late).last_low[0]
    assert not one(MONTHS[:13], wiggled([195.0] * 13)).last_low[0]


def test_gauges_are_never_mixed() -> None:
    """Another gauge that reads 12 psi lower is no leak, and the slope is the one that both agree on."""
    y = wiggled([195.0 - 3 * t for t in MONTHS])
    y[13:] = [value - 12 for value in y[13:]]
    mixed, apart = one(MONTHS, y), one(MONTHS, y, [0] * 13 + [1] * 12)
    assert mixed.slope[0] < -7
    assert apart.slope[0] == pytest.approx(-3, abs=0.6)
    assert apart.step_after[0] != 13  # a loss that comes with a change of gauge cannot be told from the gauge
    assert apart.mean_value[0] == pytest.approx(np.mean(y[13:]))


def test_a_fleet_gives_what_each_unit_gives_alone() -> None:
    rng = np.random.default_rng(3)
    series = []
    for many in (3, 4, 7, 12, 30):
        t = np.sort(rng.uniform(0, 2, many)).tolist()
        series.append((t, (190 + rng.normal(0, 3, many)).tolist(), rng.integers(0, 2, many).tolist()))
    series = [(t, y, [g - min(gauges) for g in gauges]) for t, y, gauges in series]
    together = fit(columns(series), slope_prior=12.0, step_prior=20.0)
    for number, alone in enumerate(series):
        single = fit(columns([alone]), slope_prior=12.0, step_prior=20.0)
        for name in Fits.__slots__:
            assert getattr(together, name)[number] == pytest.approx(getattr(single, name)[0], nan_ok=True), name


def test_three_readings_show_a_loss_but_not_its_kind() -> None:
    found = one([0.0, 1.0, 2.0], [195.0, 180.0, 165.0])
    kinds = judge(found, PRIOR_SHARES)
    assert kinds.kind[0] == LOSS
    assert np.isnan(kinds.probability_leak[0])
    assert kinds.slope_high[0] >= 0  # a one-off loss would leave no slope


def test_two_readings_or_one_day_are_not_fitted() -> None:
    assert np.isnan(one([0.0, 1.0], [195.0, 180.0]).slope[0])
    assert np.isnan(one([1.0, 1.0, 1.0], [195.0, 180.0, 170.0]).slope[0])
    assert judge(one([1.0, 1.0, 1.0], [195.0, 180.0, 170.0]), PRIOR_SHARES).kind[0] == NONE


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.floats(0, 10), st.floats(0, 300), st.integers(0, 2)), min_size=3, max_size=12),
    st.floats(-50, 50),
)
def test_a_shift_of_all_readings_changes_no_slope(rows: list[tuple[float, float, int]], shift: float) -> None:
    rows = sorted(rows)
    names = list(dict.fromkeys(g for _, _, g in rows))
    t, y, g = [r[0] for r in rows], [r[1] for r in rows], [names.index(r[2]) for r in rows]
    before, after = one(t, y, g), one(t, [value + shift for value in y], g)
    if np.isfinite(before.slope[0]) and before.time_squares[0] > 1e-4:
        assert after.slope[0] == pytest.approx(before.slope[0], rel=1e-6, abs=1e-6)


def test_a_large_fleet_tells_its_own_shares() -> None:
    rng = np.random.default_rng(11)
    series = []
    for number in range(400):
        slope = 10.0 if number < 120 else 0.0
        y = 195 - slope * np.array(MONTHS) + rng.normal(0, 2.5, 25)
        series.append((MONTHS, y.tolist(), [0] * 25))
    found = fit(columns(series), slope_prior=12.0, step_prior=20.0)
    shares = fleet_shares(found)
    assert sum(shares) == pytest.approx(1)
    assert 0.22 < shares[1] < 0.34
    few = fit(columns(series[:20]), slope_prior=12.0, step_prior=20.0)
    assert fleet_shares(few) == PRIOR_SHARES


# -- what is to come


def test_fieller_ends_are_where_the_band_meets_the_limit() -> None:
    found = one(MONTHS, wiggled([195.0 - 6 * t for t in MONTHS]))
    crossed, unit = outlook.crossings(found, 175.0), outlook.Unit.of(found, 0)
    assert crossed.bounded[0]
    assert crossed.earliest[0] < crossed.when[0] < crossed.latest[0]
    for end, sign in ((crossed.earliest[0], -1), (crossed.latest[0], 1)):
        middle, reach = outlook.line(unit, float(end))
        assert middle + sign * reach == pytest.approx(175.0, abs=1e-6)
    assert outlook.line(unit, float(crossed.when[0]))[0] == pytest.approx(175.0)


def test_no_significant_slope_cannot_bound() -> None:
    found = one(MONTHS[:13], wiggled([195.0 - 1.5 * t for t in MONTHS[:13]]))
    crossed = outlook.crossings(found, 175.0)
    assert not crossed.bounded[0]
    assert np.isnan(crossed.latest[0])
    assert crossed.earliest[0] > 1.0


def test_one_more_reading_shows_a_leak_when_it_is_late_enough() -> None:
    unit = outlook.Unit.of(one(MONTHS[:13], wiggled([195.0 - 3 * t for t in MONTHS[:13]])), 0)
    soon = outlook.reading_that_shows(unit, slope=-12.0, u=U, not_before_year=1.1)
    late = outlook.reading_that_shows(unit, slope=-3.0, u=U, not_before_year=1.1)
    assert soon is not None and late is not None
    assert soon < late
    assert outlook.reading_that_shows(unit, slope=-0.01, u=U, not_before_year=1.1) is None


def test_one_more_reading_parts_a_leak_from_a_one_off_loss() -> None:
    y = wiggled([195.0 if t < 0.5 else 187.0 for t in MONTHS[:13]])
    unit = outlook.Unit.of(one(MONTHS[:13], y), 0)
    told = outlook.reading_that_tells(unit, u=U, not_before_year=1.05)
    assert told is not None
    year, value = told
    assert outlook.line(unit, year)[0] < value < outlook.level_after(unit)
    assert outlook.level_after(unit) == pytest.approx(187, abs=0.5)


# -- leak rates


def test_rates_and_back_and_the_bubble_test() -> None:
    assert std_cm3_s(pa_per_year(3e-5, free_volume_m3=0.004), free_volume_m3=0.004) == pytest.approx(3e-5)
    assert mol_s(1.0) == pytest.approx(4.4615e-5, rel=1e-4)
    assert [bubble_test(rate) for rate in (9.9e-6, 1e-5, 9.9e-5, 1e-4)] == ["misses", "may-find", "may-find", "finds"]
    with pytest.raises(Refusal, match="free volume"):
        pa_per_year(1e-5, free_volume_m3=0.0)
