"""The verdict on a gauge: its limits, the doubt, water that takes up gas, the dial, and what cannot be judged."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K, parse_temperature
from pinseal.physics.gas import standard_atmosphere_pa
from pinseal.reasons import Refusal
from pinseal.rules.gauge_models import MEDIA, medium_of
from pinseal.rules.gauging import GaugeAsked, GaugeVerdict, judge_gauge, on_dial, three_way

PSI = float(PSI_PA)


def kelvin(text: str) -> float:
    return parse_temperature(text).si


def asked(reading: float, at: str = "70 F", charge: float | None = 195.0, **more: Any) -> GaugeAsked:
    return GaugeAsked(reading_gauge_pa=reading * PSI, t_k=kelvin(at), charge_gauge_pa=None if charge is None else charge * PSI, **more)


def judge(reading: float, at: str = "70 F", charge: float | None = 195.0, **more: Any) -> GaugeVerdict:
    return judge_gauge(asked(reading, at, charge, **more))


def psi(pa: float | None) -> float:
    assert pa is not None
    return pa / PSI


def said(answer: GaugeVerdict) -> str:
    return " ".join(answer.because)


# The three ways, and the doubt.


@pytest.mark.parametrize(
    ("off", "verdict"),
    [
        (0.0, "pass"),
        (0.8, "pass"),
        (-0.8, "pass"),
        (0.81, "too-close"),
        (-1.2, "too-close"),
        (1.2, "too-close"),
        (1.21, "fail"),
        (-1.21, "fail"),
    ],
)
def test_the_limits_of_the_verdict(off: float, verdict: str) -> None:
    assert three_way(off, 1.0) == verdict


@pytest.mark.parametrize(("share", "verdict"), [(0.79, "pass"), (0.81, "too-close"), (1.19, "too-close"), (1.21, "fail")])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_reading_meets_the_limits_at_its_own_doubt(share: float, verdict: str, sign: int) -> None:
    doubt = psi(judge(195).uncertainty_pa)
    assert judge(195 + sign * share * doubt).verdict == verdict


def test_without_a_class_the_doubt_is_two_and_a_half_psi_and_a_kelvin_and_a_half() -> None:
    plain = judge(195)
    slope_psi_k = 0.4097 * 1.8  # regression: 0.4097 psi a degree F at 195 psi
    assert psi(plain.uncertainty_pa) == pytest.approx(2 * math.hypot(2.5, 1.5 * slope_psi_k), abs=0.01)
    assert "2.5 psi" in said(plain)


def test_a_class_replaces_the_plain_gauge_but_not_the_thermometer() -> None:
    fine = judge(195, class_percent=0.25, range_pa=400 * PSI)
    gauge = math.hypot(1.0, 0.003 * (195 * PSI + ATM_PA) / PSI, 3000 / PSI) / math.sqrt(3)
    assert psi(fine.uncertainty_pa) == pytest.approx(2 * math.hypot(gauge, 1.5 * 0.4097 * 1.8), abs=0.01)
    coarse = judge(195, class_percent=4.0, range_pa=400 * PSI)
    assert fine.uncertainty_pa < judge(195).uncertainty_pa < coarse.uncertainty_pa  # type: ignore[operator]


@given(st.floats(0, 400), st.floats(230, 330), st.floats(20, 400), st.sampled_from(["nitrogen", "argon", "air", "helium"]))
def test_difference_is_reading_minus_expected_and_a_full_unit_always_passes(reading: float, t_k: float, charge: float, gas: str) -> None:
    one = judge_gauge(GaugeAsked(reading_gauge_pa=reading * PSI, t_k=t_k, charge_gauge_pa=charge * PSI, gas=gas))
    assert one.difference_pa == pytest.approx(reading * PSI - one.expected_gauge_pa)
    assert one.verdict == three_way(one.difference_pa or 0.0, one.uncertainty_pa or 0.0)
    full = judge_gauge(GaugeAsked(reading_gauge_pa=max(0.0, one.expected_gauge_pa or 0.0), t_k=t_k, charge_gauge_pa=charge * PSI, gas=gas))
    assert full.verdict == "pass"
    assert full.referred_gauge_pa is not None


@given(st.floats(60, 400), st.floats(60, 400), st.floats(235, 325))
def test_a_worse_reading_never_gets_a_better_verdict(a: float, b: float, t_k: float) -> None:
    order = {"pass": 0, "too-close": 1, "fail": 2}
    one, two = (judge_gauge(GaugeAsked(reading_gauge_pa=r * PSI, t_k=t_k, charge_gauge_pa=195 * PSI)) for r in (a, b))
    if abs(one.difference_pa or 0) <= abs(two.difference_pa or 0):
        assert order[one.verdict] <= order[two.verdict]


# Cases of the trade, computed from the gas law and rounded in the trade's way.


def test_full_in_the_frozen_yard() -> None:
    answer = judge(167, "0 F")
    assert answer.verdict == "pass"
    assert psi(answer.referred_gauge_pa) == pytest.approx(195, abs=1)


def test_a_little_low_in_the_frozen_yard_is_overfilled() -> None:
    answer = judge(180, "0 F")
    assert answer.verdict == "fail"
    assert psi(answer.referred_gauge_pa) == pytest.approx(210, abs=1)
    assert "Overfilled" in answer.because[0] and "how it was filled" in said(answer)


def test_set_to_the_nameplate_pressure_in_a_cold_bay() -> None:
    answer = judge(195, "32 F")
    assert answer.verdict == "fail"
    assert psi(answer.referred_gauge_pa) == pytest.approx(211, abs=1)
    assert psi(answer.expected_gauge_pa) == pytest.approx(180, abs=1)
    assert "set to the nameplate pressure in the cold" in said(answer)


def test_low_means_look_for_the_leak() -> None:
    answer = judge(150)
    assert answer.verdict == "fail" and answer.because[0].startswith("Low")
    assert "look for the leak" in said(answer)


def test_a_needle_at_zero_is_no_proof_of_an_empty_unit() -> None:
    answer = judge(0, band_gauge_pa=(150 * PSI, 210 * PSI))
    assert (answer.verdict, answer.on_dial) == ("fail", "below")
    assert "no proof that no pressure is left" in said(answer)


def test_one_atmosphere_off_asks_whether_it_was_absolute() -> None:
    assert "was one of the two figures absolute" in said(judge(195 + 14.7))
    assert "absolute" not in said(judge(195 + 20))


# The dial.


@pytest.mark.parametrize(("reading", "where"), [(149.9, "below"), (150.0, "in"), (210.0, "in"), (210.1, "above")])
def test_the_marks_of_the_band_belong_to_it(reading: float, where: str) -> None:
    assert on_dial(reading, (150.0, 210.0)) == where


def test_full_but_below_the_band_is_read_again_in_a_warm_room() -> None:
    answer = judge(167, "0 F", band_gauge_pa=(170 * PSI, 215 * PSI))
    assert (answer.verdict, answer.on_dial) == ("pass", "below")
    assert "never tagged" in said(answer) and "room temperature" in said(answer)


def test_full_but_above_the_band_is_cooled() -> None:
    answer = judge(214, "115 F", band_gauge_pa=(150 * PSI, 210 * PSI))
    assert (answer.verdict, answer.on_dial) == ("pass", "above")
    assert "cooler place" in said(answer)


# Elevation.


def test_carried_up_it_reads_high_and_charged_up_there_it_reads_as_charged() -> None:
    air = standard_atmosphere_pa(1609.0)
    carried = judge(198, atmosphere_abs_pa=air)
    assert psi(carried.expected_gauge_pa) == pytest.approx(197.6, abs=0.05)
    assert psi(carried.referred_gauge_pa) == pytest.approx(195.4, abs=0.05)
    assert "elevation moves the reading by +2.6 psi" in said(carried)
    both = judge(195, atmosphere_abs_pa=air, charged_atmosphere_abs_pa=air)
    assert psi(both.expected_gauge_pa) == pytest.approx(195.0)
    assert "elevation" not in said(both)


# Water and foam.


def water(reading: float, at: str = "70 F", **more: Any) -> GaugeVerdict:
    more.setdefault("medium", "water")
    return judge(reading, at, 100.0, class_percent=1.0, range_pa=200 * PSI, **more)


def test_a_year_of_standing_explains_five_psi() -> None:
    answer = water(95, age_days=365)
    assert answer.verdict == "pass"
    assert psi(answer.expected_gauge_pa) == pytest.approx(95.8, abs=0.2)


def test_a_day_does_not_explain_it_but_stirring_might() -> None:
    answer = water(95, age_days=1)
    assert answer.verdict == "too-close"
    assert "Invert it a few times" in said(answer)
    assert water(95).verdict == "too-close"
    assert "its age is not said" in said(water(95))


def test_stirred_the_answer_is_clear() -> None:
    assert water(95, stirred=True).verdict == "pass"
    assert water(90, stirred=True).verdict == "fail"
    assert water(105, stirred=True).verdict == "fail"
    assert psi(water(90, stirred=True).expected_gauge_pa) == pytest.approx(95.2, abs=0.1)


@pytest.mark.parametrize("more", [{}, {"age_days": 730}, {"stirred": True}])
def test_a_unit_that_was_stirred_and_topped_up_stands_at_its_charge_for_ever(more: dict[str, Any]) -> None:
    answer = water(100, **more)
    assert (answer.verdict, psi(answer.difference_pa)) == ("pass", pytest.approx(0.0, abs=1e-6))
    assert psi(answer.referred_gauge_pa) == pytest.approx(100.0, abs=0.01)


def test_topped_up_or_not_its_swing_with_the_weather_is_known() -> None:
    low, high = water(89, "40 F", stirred=True).full_between_gauge_pa or (0.0, 0.0)
    assert (psi(low), psi(high)) == (pytest.approx(86.7, abs=0.1), pytest.approx(91.2, abs=0.1))  # regression
    assert psi(water(91.2, "40 F", stirred=True).referred_gauge_pa) == pytest.approx(100.0, abs=0.1)


def test_more_than_solution_can_take_is_a_leak() -> None:
    assert water(88, age_days=1).verdict == "fail"
    assert water(88).verdict == "fail"


def test_water_above_its_charge_is_overfilled() -> None:
    answer = water(106)
    assert answer.verdict == "fail" and "Overfilled" in answer.because[0]


@given(st.floats(60, 140), st.integers(0, 700), st.integers(0, 700))
def test_age_can_only_explain_more(reading: float, a: int, b: int) -> None:
    order = {"pass": 0, "too-close": 1, "fail": 2}
    young, old = sorted((a, b))
    younger, older = (water(reading, age_days=days) for days in (young, old))
    assert (older.full_between_gauge_pa or (0.0,))[0] <= (younger.full_between_gauge_pa or (0.0,))[0] + 1.0
    if abs(younger.difference_pa or 0.0) > 0.01 * PSI and (younger.difference_pa or 0.0) < 0:
        assert order[older.verdict] <= order[younger.verdict] or older.uncertainty_pa < younger.uncertainty_pa  # type: ignore[operator]


def test_foam_counts_as_water_and_the_ullage_matters() -> None:
    assert water(95, medium="foam", age_days=365).expected_gauge_pa == water(95, age_days=365).expected_gauge_pa
    assert water(80, stirred=True, ullage_share=0.2).expected_gauge_pa < water(80, stirred=True, ullage_share=0.3).expected_gauge_pa  # type: ignore[operator]


# What cannot be judged by a gauge.


def test_carbon_dioxide_is_weighed() -> None:
    answer = judge(838, medium="co2", charge=None)
    assert (answer.verdict, answer.expected_gauge_pa, answer.difference_pa) == ("unknown", None, None)
    assert "Weigh it" in answer.because[0] and "838" in said(answer)
    hot = judge(1500, "110 F", medium="co2", charge=None)
    assert hot.verdict == "unknown"


def test_carbon_dioxide_as_driving_gas_has_no_gas_law() -> None:
    answer = judge(195, gas="co2")
    assert answer.verdict == "unknown" and "condenses" in said(answer)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"medium": "halocarbon"}, "fill density must be known"),
        ({"agent": "halocarbon-hfc-236fa"}, "fill density must be known"),
        ({"agent": "halon-1211", "fill_kg_m3": 1000.0}, "No model is held"),
        ({"agent": "halocarbon-hcfc", "fill_kg_m3": 1000.0}, "No model is held"),
        ({"agent": "antifreeze"}, "brine"),
        ({"agent": "wet-chemical"}, "brine"),
        ({"agent": "loaded-stream"}, "brine"),
    ],
)
def test_unknown_with_the_reason(more: dict[str, Any], words: str) -> None:
    answer = judge(195, **more)
    assert (answer.verdict, answer.expected_gauge_pa, answer.uncertainty_pa) == ("unknown", None, None)
    assert words in said(answer)


def test_no_figure_for_a_clean_agent_below_0_f() -> None:
    fill = {"agent": "halocarbon-hfc-236fa", "fill_kg_m3": 960.0}
    assert judge(150, "0 F", **fill).expected_gauge_pa is not None
    cold = judge(150, "-1 F", **fill)
    assert (cold.verdict, cold.expected_gauge_pa) == ("unknown", None)
    assert "below 0 F no figure" in said(cold).replace("Below", "below")


def test_a_clean_agent_has_a_band_for_judging_sense() -> None:
    answer = judge(195, agent="halocarbon-fk-5-1-12", fill_kg_m3=1100.0)
    assert answer.verdict == "pass" and "good to 5%" in said(answer) and "chart comes first" in said(answer)
    assert psi(answer.uncertainty_pa) == pytest.approx(math.hypot(0.05 * 195, 2 * 2.5), rel=0.05)
    drained = judge(20, agent="halocarbon-hfc-227ea", fill_kg_m3=960.0)
    assert drained.verdict == "fail" and drained.referred_gauge_pa is None


# Against the last readings.


def test_steady_since_last_year() -> None:
    answer = judge(167, "0 F", last=((196 * PSI, T_70F_K), (195 * PSI, T_70F_K)))
    assert answer.change is not None
    assert (answer.change.verdict, answer.change.readings) == ("steady", 2)
    assert psi(answer.change.change_pa) == pytest.approx(0.3, abs=0.1)


def test_inside_the_limits_but_falling() -> None:
    answer = judge(191, last=((205 * PSI, T_70F_K),) * 4)
    assert answer.verdict == "pass"
    assert answer.change is not None and answer.change.verdict == "moved"
    assert "It loses gas" in said(answer)
    risen = judge(199, last=((185 * PSI, T_70F_K),) * 4)
    assert "ask who charged it" in said(risen)


# Refusals.


@pytest.mark.parametrize(
    ("question", "words"),
    [
        (asked(-1), "does not read below zero"),
        (asked(float("nan")), "does not read below zero"),
        (asked(195, charge=0), "must be above zero"),
        (asked(195, charge=float("nan")), "must be above zero"),
        (asked(195, charge=None), "nameplate pressure is missing"),
        (asked(195, class_percent=1.0), "half of the gauge is said"),
        (asked(195, range_pa=2e6), "half of the gauge is said"),
        (asked(195, class_percent=0.0, range_pa=2e6), "not a class of a gauge"),
        (asked(195, class_percent=float("nan"), range_pa=2e6), "not a class of a gauge"),
        (asked(195, class_percent=1.0, range_pa=1e6), "outside the range of the gauge"),
        (asked(195, band_gauge_pa=(2e6, 1e6)), "not an operable band"),
        (asked(195, ullage_share=1.5), "ullage share is not one"),
        (asked(195, age_days=-3, medium="water"), "charged after the day asked"),
        (asked(195, medium="sand"), "a medium is one of powder, water"),
        (asked(195, agent="abc", medium="water"), "do not fit each other"),
        (asked(195, agent="soda-acid"), "obsolete"),
        (asked(195, agent="dust"), "unknown agent"),
        (asked(195, gas="steam"), "one of nitrogen"),
        (asked(195, "-90 F"), "213 to 345 K"),
        (asked(195, "20 F", medium="water"), "32 to 122 F"),
        (asked(1000), "up to 740 psia"),
        (asked(195, "140 F", agent="halocarbon-fk-5-1-12", fill_kg_m3=1000.0), "0 to 130 F"),
        (asked(195, agent="halocarbon-fk-5-1-12", fill_kg_m3=1000.0, gas="argon"), "nitrogen alone"),
    ],
)
def test_what_cannot_be_judged_is_refused_in_words(question: GaugeAsked, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        judge_gauge(question)


def test_the_medium_follows_the_agent() -> None:
    found = {medium_of(agent, None) for agent in (None, "abc", "water", "afff", "co2", "halon-1301", "wet-chemical")}
    assert found == set(MEDIA)
    assert medium_of("water", "foam") == "foam"


def test_the_sentences_speak_the_reader_s_units() -> None:
    answer = judge_gauge(replace(asked(167, "0 F"), band_gauge_pa=None), system="metric")
    assert "bar" in said(answer) and "psi" not in said(answer) and "-18 C" in said(answer)
