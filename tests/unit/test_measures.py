"""Quantities as people type them: exact, with their reference, and refused in words.

Factors: NIST SP 811, appendix B (printed values from memory).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.measures import ATM_PA, LB_KG, as_json, for_people, parse_measure, parse_pressure, parse_temperature
from pinseal.reasons import Refusal


def test_a_psi_is_what_its_definition_gives() -> None:
    """NIST SP 811, appendix B.8: 1 psi = 6.894 757 E+03 Pa."""
    assert parse_pressure("1 psi").si == pytest.approx(6894.757, abs=5e-4)
    assert parse_pressure("195 psi").si == pytest.approx(1344477.7, abs=0.05)


def test_a_gallon_and_an_ounce_are_exact() -> None:
    """NIST SP 811, appendix B.8: 1 gal (US) = 3.785 412 E-03 m3; 1 oz (avoirdupois) = 2.834 952 E-02 kg."""
    assert parse_measure("volume", "1 gal").si == pytest.approx(3.785412e-3, abs=5e-10)
    assert parse_measure("mass", "1 oz").si == pytest.approx(2.834952e-2, abs=5e-9)
    assert parse_measure("mass", "29 lb 6 oz").exact == LB_KG * Fraction("29.375")


@pytest.mark.parametrize(
    ("text", "pa", "kind"),
    [("195 psi", 1344477.67, "gauge"), ("13.4 bar", 1.34e6, "gauge"), ("14.4 bar abs", 1.44e6, "abs"), ("210 psia", 1447899.03, "abs"),
     ("-5 psi", -34473.79, "gauge"), ("13,4 bar", 1.34e6, "gauge"), ("100 kPa (g)", 1e5, "gauge")],
)  # fmt: skip
def test_a_pressure_says_what_it_is_counted_from(text: str, pa: float, kind: str) -> None:
    found = parse_pressure(text)
    assert (found.si, found.kind) == (pytest.approx(pa, rel=1e-6), kind)
    assert found.abs_pa() - found.gauge_pa() == pytest.approx(ATM_PA)


@pytest.mark.parametrize(
    ("text", "kelvin"), [("70 F", 294.26111), ("-40 C", 233.15), ("-40F", 233.15), ("268 K", 268.0), ("21 °C", 294.15)]
)
def test_a_temperature_in_three_scales(text: str, kelvin: float) -> None:
    assert parse_temperature(text).si == pytest.approx(kelvin, abs=1e-4)


@pytest.mark.parametrize(
    ("dimension", "text"),
    [
        ("pressure", "195"), ("pressure", "psi"), ("pressure", "NaN psi"), ("pressure", "1e5 psi"), ("pressure", "-20 psi"),
        ("pressure", "-1 psia"), ("pressure", "1,250 psi"), ("mass", "-2 lb"), ("mass", "6 oz 29 lb"), ("mass", "10 psi"), ("mass", ""),
        ("volume", "six L"), ("mass", "9" * 400 + " lb"), ("mass", "9" * 5000 + " lb"), ("temperature", "700 F"), ("temperature", "70"),
        ("temperature", "9" * 5000 + " F"),
    ],
)  # fmt: skip
def test_nonsense_is_refused_with_an_example(dimension: str, text: str) -> None:
    read = {"pressure": parse_pressure, "temperature": parse_temperature}.get(dimension, lambda given: parse_measure(dimension, given))
    with pytest.raises(Refusal, match="write it as in"):
        read(text)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    for read in (
        parse_pressure,
        parse_temperature,
        lambda given: parse_measure("mass", given),
        lambda given: parse_measure("length", given),
    ):
        try:
            read(text)
        except Refusal:
            continue


def test_answers_carry_their_unit_and_reference() -> None:
    psi = parse_pressure("195 psi").si
    assert as_json(psi, "pressure", system="us", kind="gauge") == {"value": pytest.approx(195.0), "unit": "psi", "kind": "gauge"}
    assert as_json(psi, "pressure", per="yr") == {"value": psi, "unit": "Pa/yr"}
    assert as_json(None, "mass") is None
    assert for_people(psi, "pressure") == "195.0 psi"
