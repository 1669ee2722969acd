"""Proof tests: the nameplate wins, gas never, both readings of the hold, instruments, and what fails."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from pinseal.measures import PSI_PA
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import TestGauge, add_months, calibrated_until, daily_check, gauge_findings, pump_finding
from pinseal.rules.pressure_marks import mark_of, rin_mark
from pinseal.rules.pressure_tests import parse_specification
from pinseal.rules.proof_tests import NEVER_TESTED, ProofTest, ProofVerdict, cap_warning, judge_proof

ON = date(2026, 11, 24)


def psi(value: float | str) -> Fraction:
    return Fraction(value) * PSI_PA


def judged(**more: Any) -> ProofVerdict:
    said = {"kind": "shell", "test_pa": psi(585), "on": ON, "factory_pa": psi(585), "service_pa": psi(195), "held_s": Fraction(60)}
    return judge_proof(ProofTest(**(said | more)))


def codes(found: ProofVerdict) -> list[str]:
    return [code for code, _ in found.refusals]


def test_a_minute_at_the_factory_pressure_passes_with_a_warning_about_the_cap() -> None:
    found = judged()
    assert (found.verdict, codes(found)) == ("pass", [])
    assert found.required.pa == psi(585)
    assert "390 psi" in found.cautions[0]
    assert any("nameplate wins" in line for line in found.because)


def test_the_cap_of_twice_the_service_pressure_is_a_warning_from_the_first_psi_above() -> None:
    assert cap_warning(factory_pa=psi(390), service_pa=psi(195)) is None
    assert cap_warning(factory_pa=psi(390) + 1, service_pa=psi(195)) is not None


@pytest.mark.parametrize(
    ("held", "verdict", "refusals"),
    [
        (29, "unknown", ["hold-too-short"]),
        (30, "too-close", []),
        (59, "too-close", []),
        (60, "pass", []),
        (None, "unknown", ["hold-not-said"]),
    ],
)
def test_both_readings_of_the_hold_are_named(held: int | None, verdict: str, refusals: list[str]) -> None:
    found = judged(held_s=None if held is None else Fraction(held))
    assert (found.verdict, codes(found)) == (verdict, refusals)
    words = " ".join(found.because)
    assert "30 s (NFPA 10" in words
    assert "60 s (trade task cards" in words


@pytest.mark.parametrize("seen", [{"leak": True}, {"distortion": True}, {"drop_pa": Fraction(1)}])
def test_what_is_seen_fails_it(seen: dict[str, Any]) -> None:
    found = judged(**seen)
    assert found.verdict == "fail"
    assert "out of service" in found.because[0]


@pytest.mark.parametrize("code", list(NEVER_TESTED))
def test_what_bars_a_shell_fails_it(code: str) -> None:
    found = judged(found=(code,))
    assert (found.verdict, codes(found)) == ("fail", ["never-test"])


def test_gas_is_refused() -> None:
    found = judged(gas=True)
    assert (found.verdict, codes(found)) == ("unknown", ["gas-medium"])
    assert "never" in found.because[0]


def test_a_leak_fails_even_a_test_that_does_not_count() -> None:
    assert judged(leak=True, test_pa=psi(500)).verdict == "fail"


def test_the_factory_pressure_is_never_derived() -> None:
    found = judged(factory_pa=None)
    assert (found.verdict, found.required.pa, codes(found)) == ("unknown", None, ["no-test-pressure"])


@pytest.mark.parametrize(("test", "refusals"), [(584, ["below-pressure"]), (585, []), (643, [])])
def test_below_the_factory_pressure_is_no_test(test: int, refusals: list[str]) -> None:
    assert codes(judged(test_pa=psi(test))) == refusals


def test_far_above_the_factory_pressure_is_asked_about() -> None:
    assert any("110 %" in caution for caution in judged(test_pa=psi(644)).cautions)


def test_how_fast_it_rose_is_a_caution() -> None:
    assert any("at least 30 s" in caution for caution in judged(reached_s=Fraction(10)).cautions)
    assert any("about 60 s" in caution for caution in judged(reached_s=Fraction(90)).cautions)
    assert not any("reached" in caution for caution in judged(reached_s=Fraction(45)).cautions)


def stamped(spec: str, **more: Any) -> ProofVerdict:
    return judged(kind="cylinder", marking=parse_specification(spec), **({"factory_pa": None, "service_pa": None} | more))


def test_a_stamped_cylinder_of_the_4_series() -> None:
    assert stamped("4BW240", test_pa=psi(480)).verdict == "pass"
    assert codes(stamped("4BW240", test_pa=psi(479))) == ["below-pressure"]
    assert stamped("4BW240", test_pa=psi(500), factory_pa=psi(500)).required.pa == psi(500)
    low = stamped("4BW240", test_pa=psi(480), factory_pa=psi(400))
    assert (low.required.pa, low.verdict) == (psi(480), "pass")
    assert "below its stamp" in low.cautions[0]
    assert codes(stamped("4BW", test_pa=psi(480))) == ["no-test-pressure"]


def test_the_3_series_is_tested_by_volume() -> None:
    assert codes(stamped("3AA1800", test_pa=psi(3000))) == ["not-by-proof"]


def test_a_cylinder_needs_its_stamp_and_a_test_that_exists() -> None:
    with pytest.raises(Refusal, match="needs its specification"):
        judged(kind="cylinder")
    with pytest.raises(Refusal, match="not requalified"):
        stamped("3E1800")


def test_a_hose_with_a_higher_service_pressure_takes_that() -> None:
    assert judged(kind="powder-hose", test_pa=psi(300), service_pa=psi(240)).required.pa == psi(300)
    assert judged(kind="powder-hose", test_pa=psi(350), service_pa=psi(350)).required.pa == psi(350)
    assert "unsure" in judged(kind="powder-hose", test_pa=psi(300)).because[1]


def test_the_australian_shell() -> None:
    at = {"kind": "au-shell", "test_pa": Fraction(25 * 10**5)}
    assert judged(**at, service_pa=Fraction(12 * 10**5), factory_pa=Fraction(25 * 10**5)).required.pa == Fraction(25 * 10**5)
    assert codes(judged(**at, service_pa=None, factory_pa=None)) == ["no-test-pressure"]


def test_a_proof_test_of_no_pressure_is_refused() -> None:
    with pytest.raises(Refusal, match="not a test pressure"):
        judged(test_pa=Fraction(0))


# -- instruments


@pytest.mark.parametrize(
    ("gauge", "unmet"),
    [
        (TestGauge(range_pa=psi("643.5")), []),
        (TestGauge(range_pa=psi("643.4")), ["gauge-range"]),
        (TestGauge(accuracy_percent=Fraction("0.5")), []),
        (TestGauge(accuracy_percent=Fraction("0.51"), range_pa=psi(1000)), ["gauge-accuracy"]),
        (TestGauge(division_pa=psi("11.7")), []),
        (TestGauge(division_pa=psi("11.8")), ["gauge-readable"]),
        (TestGauge(calibrated_on=date(2026, 5, 24)), []),
        (TestGauge(calibrated_on=date(2026, 5, 23)), ["calibration-lapsed"]),
        (TestGauge(calibrated_on=date(2026, 11, 25)), ["calibration-lapsed"]),
        (TestGauge(), []),
    ],
)
def test_a_gauge_is_fit_or_not(gauge: TestGauge, unmet: list[str]) -> None:
    assert [f.code for f in gauge_findings(gauge, test_pa=psi(585), tested_on=ON) if not f.met] == unmet
    assert codes(judged(gauge=gauge)) == unmet


def test_a_pump_gives_half_as_much_again() -> None:
    assert pump_finding(test_pa=psi(585), pump_pa=psi("877.5")).met
    assert not pump_finding(test_pa=psi(585), pump_pa=psi("877.4")).met
    assert codes(judged(pump_pa=psi(800))) == ["pump"]


def test_six_months_end_at_the_end_of_a_short_month() -> None:
    assert calibrated_until(date(2025, 8, 31)) == date(2026, 2, 28)
    with pytest.raises(Refusal):
        add_months(date(9999, 12, 1), 3)


@pytest.mark.parametrize(("read", "met"), [("99.0", True), ("101.0", True), ("101.1", False), ("98.9", False)])
def test_the_daily_check_allows_one_percent(read: str, met: bool) -> None:
    assert daily_check(certified_m3=Fraction(100, 10**6), read_m3=Fraction(read) / 10**6).met is met


def test_a_daily_check_of_nothing_is_refused() -> None:
    with pytest.raises(Refusal, match="not a daily check"):
        daily_check(certified_m3=Fraction(0), read_m3=Fraction(1))


# -- marks


def test_what_a_mark_says() -> None:
    assert "an S after it" in dict(mark_of(kind="cylinder", method="proof-pressure").lines).__str__()
    assert "volumetric" in str(mark_of(kind="cylinder", method="water-jacket").as_json())
    assert any("test pressure" in text for text, _ in mark_of(kind="shell", method="proof-pressure").lines)
    assert mark_of(kind="co2-hose", method="proof-pressure").lines[0][0].startswith("nothing")


@pytest.mark.parametrize(("rin", "month"), [("A12", 2), ("1234", 2), ("a123", 2), ("A123", 13), ("A123", 0)])
def test_a_mark_that_cannot_be_is_refused(rin: str, month: int) -> None:
    with pytest.raises(Refusal, match="cannot be laid out"):
        rin_mark(rin=rin, year=2014, month=month, method="direct")
