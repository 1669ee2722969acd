"""The agent's account and the van. Cases E13 and E21 are common practice, no source; the limits of 49 CFR 173.6 are from memory."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.cli.conftest import Command


def test_a_balance_that_the_scale_cannot_explain_fails(pinseal: Command) -> None:
    """E21: 41.0 lb in, 39.6 lb out, 0.5 lb left, scale 0.2 lb: 0.9 lb short, beyond tolerance."""
    answer = pinseal(
        "balance", "--in", "41.0 lb", "--out", "39.6 lb", "--left", "0.5 lb", "--scale", "0.2 lb", "--units", "us", "--json"
    ).json
    assert (answer["verdict"], answer["short"]["value"]) == ("fail", pytest.approx(0.9))


@pytest.mark.parametrize(
    ("left", "verdict"), [("1.4 lb", "pass"), ("1.1 lb", "pass"), ("1.0 lb", "too-close"), ("0.8 lb", "too-close"), ("0.79 lb", "fail")]
)
def test_the_borders_of_a_balance(pinseal: Command, left: str, verdict: str) -> None:
    words = ("balance", "--in", "41 lb", "--out", "39.6 lb", "--left", left, "--scale", "0.2 lb", "--json")
    assert pinseal(*words).json["verdict"] == verdict


@pytest.mark.parametrize(("units", "verdict", "total"), [("17 x 17 lb", "pass", 439.0), ("18 x 17 lb", "fail", 456.0)])
def test_the_eighteenth_unit_is_out(pinseal: Command, units: str, verdict: str, total: float) -> None:
    """E13: a 150 lb bottle and 17 units of 17 lb are 439 lb, inside 440; the 18th makes 456."""
    answer = pinseal("load", "--cylinder", "150 lb", "--unit", units, "--units", "us", "--json").json
    assert (answer["verdict"], answer["total"]["value"]) == (verdict, pytest.approx(total))


def test_exactly_the_limit_passes_and_a_heavy_cylinder_does_not(pinseal: Command) -> None:
    assert pinseal("load", "--unit", "44 x 10 lb", "--json").json["verdict"] == "pass"
    assert pinseal("load", "--cylinder", "220.01 lb", "--json").json["verdict"] == "fail"


@pytest.mark.parametrize(
    "words",
    [
        ("load",),
        ("load", "--unit", "17 x"),
        ("load", "--unit", "0 x 5 lb"),
        ("load", "--unit", "-5 lb"),
        ("balance", "--left", "1 lb", "--scale", "1 lb"),
    ],
)
def test_nonsense_is_refused(pinseal: Command, words: tuple[str, ...]) -> None:
    assert pinseal(*words).code == 2


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=40))
def test_any_text_is_answered_or_refused(pinseal: Command, text: str) -> None:
    assert pinseal("load", f"--unit={text}").code in (0, 2)
