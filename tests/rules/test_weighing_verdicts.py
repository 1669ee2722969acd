"""Weighing: loss against limit, guard band, overfill, band of the nameplate, scales that are too coarse."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.measures import LB_KG
from pinseal.reasons import Refusal
from pinseal.rules.weighing import Weighing, WeighingVerdict, judge_weight


def lb(text: str | float) -> Fraction:
    return Fraction(text) * LB_KG


def judged(now: str, **more: Any) -> WeighingVerdict:
    said = {"full_kg": lb("29.375"), "now_kg": lb(now), "net_kg": lb(10), "limit_percent": Fraction(10)}
    return judge_weight(Weighing(**(said | more)))


def test_the_percent_is_of_the_net_agent() -> None:
    """E7: 17 oz of 160 oz is 10.6 %, not 3.6 % of the gross."""
    w = Weighing(full_kg=lb("29.375"), now_kg=lb("28.3125"), net_kg=lb(10), limit_percent=Fraction(10))
    assert w.loss_percent_of_net == Fraction("10.625")
    assert judge_weight(w).verdict == "fail"


@pytest.mark.parametrize(("now", "verdict"), [("28.375", "pass"), ("28.365", "fail"), ("28.374999999", "fail"), ("29.375", "pass")])
def test_a_loss_that_equals_the_limit_passes(now: str, verdict: str) -> None:
    assert judged(now).verdict == verdict


@pytest.mark.parametrize(
    ("loss", "verdict"),
    [("0.42", "pass"), ("0.421", "pass"), ("0.44", "too-close"), ("0.45", "too-close"), ("0.47", "too-close"), ("0.48", "fail")],
)
def test_inside_the_guard_band_it_is_too_close(loss: str, verdict: str) -> None:
    """10 lb of carbon dioxide, step 20 g, u = 14 g: pass to 0.42 kg, fail from 0.48 kg."""
    found = judge_weight(
        Weighing(
            full_kg=Fraction(13),
            now_kg=13 - Fraction(loss),
            net_kg=Fraction("4.5"),
            limit_percent=Fraction(10),
            resolution_kg=Fraction("0.02"),
            calibration_kg=Fraction("0.0113"),
        )
    )
    assert found.verdict == verdict
    assert found.expanded_kg == pytest.approx(0.028, abs=0.0005)
    if loss == "0.44":
        assert found.probability_within == pytest.approx(0.76, abs=0.01)


def test_a_scale_too_coarse_for_the_rule_is_refused() -> None:
    """50 g on 2 kg cannot decide a 10 % rule."""
    found = judge_weight(
        Weighing(
            full_kg=Fraction(5), now_kg=Fraction("4.9"), net_kg=Fraction(2), limit_percent=Fraction(10), resolution_kg=Fraction("0.05")
        )
    )
    assert (found.verdict, [code for code, _ in found.refusals]) == ("unknown", ["scale-too-coarse"])
    assert "too coarse" in found.because[0]


def test_a_step_of_exactly_a_tenth_of_the_limit_decides() -> None:
    assert judged("29", resolution_kg=lb("0.1")).verdict == "pass"
    assert judged("29", resolution_kg=lb("0.1") + Fraction(1, 10**12)).verdict == "unknown"


@pytest.mark.parametrize(
    ("now", "more", "verdict"),
    [
        ("29.376", {}, "fail"),
        ("29.40", {"resolution_kg": lb("0.0625")}, "pass"),
        ("29.43", {"resolution_kg": lb("0.0625")}, "fail"),
        ("29.6", {"high_kg": lb("29.7")}, "pass"),
        ("29.7", {"high_kg": lb("29.7")}, "pass"),
        ("29.701", {"high_kg": lb("29.7")}, "fail"),
        ("29.701", {"high_kg": lb("29.7"), "resolution_kg": lb("0.0625")}, "fail"),
        ("29.68", {"high_kg": lb("29.7"), "resolution_kg": lb("0.0625")}, "too-close"),
    ],
)
def test_heavier_than_full_is_overfilled(now: str, more: dict[str, Fraction], verdict: str) -> None:
    found = judged(now, **more)
    assert found.verdict == verdict
    assert ("overfilled" in found.because[0]) is (verdict == "fail")


@pytest.mark.parametrize(
    ("now", "more", "verdict"),
    [
        ("29.0", {"low_kg": lb(29)}, "pass"),
        ("28.99", {"low_kg": lb(29)}, "fail"),
        ("29.0", {"low_kg": lb(29), "resolution_kg": lb("0.0625")}, "too-close"),
        ("29.06", {"low_kg": lb(29), "resolution_kg": lb("0.0625")}, "pass"),
    ],
)
def test_the_nameplates_lower_weight(now: str, more: dict[str, Fraction], verdict: str) -> None:
    assert judged(now, **more).verdict == verdict


def test_lighter_than_empty_asks_for_hose_and_horn() -> None:
    assert any("hose and horn" in line for line in judged("19").because)


def test_nothing_said_of_the_scale_is_said() -> None:
    assert any("nothing is allowed for it" in line for line in judged("29").because)
    assert judged("29").probability_within is None


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"now_kg": Fraction(0)}, "weight now is not above zero"),
        ({"net_kg": Fraction(0)}, "net agent is not above zero"),
        ({"resolution_kg": Fraction(0)}, "resolution is not above zero"),
        ({"limit_percent": Fraction(0)}, "not a limit"),
        ({"limit_percent": Fraction(100)}, "not a limit"),
        ({"net_kg": lb("29.375")}, "as much as the whole unit"),
        ({"low_kg": lb(30), "high_kg": lb(29)}, "upside down"),
    ],
)
def test_figures_that_cannot_be_are_refused(more: dict[str, Fraction], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        judged(**({"now": "29"} | more))  # type: ignore[arg-type]


@given(st.fractions(min_value=0, max_value=3), st.fractions(min_value=0, max_value=3), st.sampled_from(["0.001", "0.02", "0.04"]))
def test_a_lighter_unit_never_gets_a_better_verdict(first: Fraction, second: Fraction, step: str) -> None:
    order = ["pass", "too-close", "fail"]
    less, more = sorted((first, second))

    def verdict(loss: Fraction) -> int:
        return order.index(
            judge_weight(
                Weighing(
                    full_kg=Fraction(13),
                    now_kg=13 - loss,
                    net_kg=Fraction("4.5"),
                    limit_percent=Fraction(10),
                    resolution_kg=Fraction(step),
                )
            ).verdict
        )

    assert verdict(less) <= verdict(more)
