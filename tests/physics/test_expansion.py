"""Expansion volumes and the squeezing of water: exact, refused where it cannot be, and tested against an independent library."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.measures import ATM_PA, GaugePa
from pinseal.physics.expansion import CM3, WATER_TABLES, compression_share, direct_total_m3, expansion, tolerance_m3, water_density_kg_m3
from pinseal.reasons import Refusal


@pytest.mark.parametrize(
    ("total", "permanent", "percent"),
    [("92.0", "8.4", "9.13"), ("92.0", "9.6", "10.43"), ("180.0", "18.0", "10.00"), ("180.0", "18.1", "10.06"), ("152.4", "15.3", "10.04")],
)
def test_percent_is_of_the_total(total: str, permanent: str, percent: str) -> None:
    found = expansion(total_m3=Fraction(total) * CM3, permanent_m3=Fraction(permanent) * CM3)
    assert round(found.percent_permanent, 2) == Fraction(percent)
    assert found.elastic_m3 + found.permanent_m3 == found.total_m3


@pytest.mark.parametrize(
    ("total", "permanent", "words"),
    [
        ("8.4", "92", "larger than the total"),
        ("0", "0", "not a total expansion"),
        ("100001", "1", "not a total expansion"),
        ("92", "-1", "below zero"),
    ],
)
def test_readings_that_cannot_be_are_refused(total: str, permanent: str, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        expansion(total_m3=Fraction(total) * CM3, permanent_m3=Fraction(permanent) * CM3)


@given(st.fractions(min_value=1, max_value=1000), st.fractions(min_value=0, max_value=1), st.fractions(min_value=0, max_value=10))
def test_the_reading_lies_inside_what_the_instrument_leaves_open(total: Fraction, share: Fraction, tolerance: Fraction) -> None:
    found = expansion(total_m3=total * CM3, permanent_m3=total * share * CM3)
    low, high = found.percent_range(tolerance * CM3)
    assert 0 <= low <= found.percent_permanent <= high <= 100


def test_the_tolerance_turns_over_at_ten_cubic_centimetres() -> None:
    assert tolerance_m3(10 * CM3) == CM3 / 10
    assert tolerance_m3(Fraction("10.1") * CM3) > CM3 / 10


def test_the_fit_follows_iapws_over_its_whole_range() -> None:
    """A tenth of the smallest gap between standard tables and the equation (0.2 %) would do; the fit is ten times better."""
    from iapws import IAPWS95

    for celsius in (0.5, 7.3, 13.0, 21.7, 33.3, 41.0, 49.5):
        empty = IAPWS95(T=celsius + 273.15, P=ATM_PA / 1e6).rho
        assert water_density_kg_m3(celsius) == pytest.approx(empty, abs=2e-4)
        for mpa in (0.35, 1.7, 8.0, 22.5, 45.0, 79.0):
            want = 1 - empty / IAPWS95(T=celsius + 273.15, P=mpa + ATM_PA / 1e6).rho
            got = compression_share(table="iapws-95", test_gauge_pa=GaugePa(mpa * 1e6), water_k=celsius + 273.15)
            assert got == pytest.approx(want, rel=3e-5)


@pytest.mark.parametrize("code", ["k-form", "gb-t-9251"])
def test_standard_tables_stand_a_little_above_the_equation(code: str) -> None:
    table = WATER_TABLES[code]
    for celsius in (table.celsius[0], sum(table.celsius) / 2, table.celsius[1]):
        for mpa in (table.mpa[0], sum(table.mpa) / 2, table.mpa[1]):
            at = {"test_gauge_pa": GaugePa(mpa * 1e6), "water_k": celsius + 273.15}
            assert 1.002 < compression_share(table=code, **at) / compression_share(table="iapws-95", **at) < 1.021


@pytest.mark.parametrize(
    ("code", "mpa", "celsius", "words"),
    [
        ("k-form", 22.5, 5.9, "6 to 25 C"),
        ("k-form", 22.5, 25.1, "6 to 25 C"),
        ("gb-t-9251", 22.5, 37.0, "5 to 36 C"),
        ("gb-t-9251", 30.0, 20.0, "22 to 23 MPa"),
        ("k-form", 61.0, 20.0, "0.3 to 60 MPa"),
        ("iapws-95", 0.2, 20.0, "0.3 to 80 MPa"),
    ],
)
def test_outside_a_table_is_refused_with_its_range(code: str, mpa: float, celsius: float, words: str) -> None:
    with pytest.raises(Refusal) as refused:
        compression_share(table=code, test_gauge_pa=GaugePa(mpa * 1e6), water_k=celsius + 273.15)
    assert words in refused.value.rule


def test_the_direct_sum_balances_the_water() -> None:
    share, capacity, into = 0.01, 49_000 * CM3, 730 * CM3
    total = direct_total_m3(forced_in_m3=790 * CM3, take_up_m3=60 * CM3, water_capacity_m3=capacity, share=share)
    assert (capacity + into) * (1 - Fraction(share)) == capacity + total


@pytest.mark.parametrize(
    ("forced", "take_up", "capacity"), [("60", "60", "49000"), ("790", "-1", "49000"), ("790", "60", "0"), ("400", "60", "49000")]
)
def test_water_that_does_not_add_up_is_refused(forced: str, take_up: str, capacity: str) -> None:
    with pytest.raises(Refusal):
        direct_total_m3(
            forced_in_m3=Fraction(forced) * CM3,
            take_up_m3=Fraction(take_up) * CM3,
            water_capacity_m3=Fraction(capacity) * CM3,
            share=0.01,
        )


def test_a_wrong_table_shifts_the_total_and_never_the_permanent() -> None:
    """49 L at 276 bar: the water gives way by about 590 cm3 and 1.3 % of that is 3 % of the total."""
    share = compression_share(table="iapws-95", test_gauge_pa=GaugePa(27.6e6), water_k=293.15)
    assert 49_000 * share == pytest.approx(590, rel=0.02)
