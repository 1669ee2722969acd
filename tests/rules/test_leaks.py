"""Leak verdicts over series: what is shown, what could hide, what explains it, and what would settle it."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from pinseal.measures import PSI_PA
from pinseal.physics.gas import refer_gauge_pa
from pinseal.rules.leak_series import Reading, Series, Uncertainty, UnitFacts, build, columns, dissolution_pa
from pinseal.rules.leak_words import Words
from pinseal.rules.leaks import LeakAnswer, assess, expected_by_chance

PSI = float(PSI_PA)
START, ON = date(2024, 1, 10), date(2026, 1, 20)
WIGGLE = (1.6, -1.1, 0.4, -1.7, 1.2, -0.4)


def readings(psi_at_70f: list[float], *, every: int = 30, gauge: str = "", start: date = START, wet: bool = False) -> list[Reading]:
    """Readings through the seasons of a dry unit whose needle would stand at these figures at 70 F."""
    found = []
    for number, psi in enumerate(psi_at_70f):
        day = start + timedelta(days=every * number)
        t_k = 294.2611 if wet else 286.0 + 14 * np.sin(2 * np.pi * number * every / 365)
        pa = (psi + WIGGLE[number % 6]) * PSI
        gauge_pa = pa if wet else refer_gauge_pa("nitrogen", gauge_pa=pa, t_k=294.2611, to_t_k=float(t_k))
        found.append(Reading(day=day, gauge_pa=float(gauge_pa), t_k=float(t_k), gauge=gauge))
    return found


def judged(some: list[Reading], *, on: date = ON, **facts: object) -> LeakAnswer:
    series = build(UnitFacts(unit="A", **facts), some, Uncertainty())  # type: ignore[arg-type]
    return assess([series], on=on)[0]


def words(answer: LeakAnswer) -> str:
    return " | ".join(Words(answer, "us").because())


LOW = {"low_gauge_pa": 175 * PSI}


def test_a_steady_unit_passes_whatever_the_weather() -> None:
    answer = judged(readings([195.0] * 24), **LOW)
    assert (answer.kind, answer.verdict, answer.why) == ("none", "pass", "none")
    assert answer.level == pytest.approx(195 * PSI, abs=1.5 * PSI)
    assert "two readings in a row below" in Words(answer, "us").would_change()


def test_a_slow_leak_fails_with_its_date() -> None:
    answer = judged(readings([195 - 0.6 * n for n in range(24)]), free_volume_m3=0.00388, **LOW)
    assert (answer.kind, answer.verdict) == ("slow-leak", "fail")
    assert answer.slope == pytest.approx(-7.3 * PSI, abs=0.8 * PSI)
    assert answer.crossing is not None and answer.crossing.bounded
    assert answer.crossing.earliest is not None and answer.crossing.latest is not None and answer.crossing.when is not None
    assert answer.crossing.earliest < answer.crossing.when < answer.crossing.latest
    assert answer.leak_rate_std_cm3_s == pytest.approx(5.6e-5, rel=0.15)
    assert answer.bubble_test == "may-find"


def test_a_one_off_loss_with_and_without_agent() -> None:
    pressures = [195.0] * 12 + [180.0] * 12
    for lost, said in ((0.5, "agent went too"), (0.0, "gas alone")):
        some = [
            Reading(day=r.day, gauge_pa=r.gauge_pa, t_k=r.t_k, weight_kg=8.0 - (lost if n >= 12 else 0.0) + 0.01 * WIGGLE[n % 6])
            for n, r in enumerate(readings(pressures))
        ]
        answer = judged(some, **LOW)
        assert (answer.kind, answer.verdict) == ("one-off-loss", "fail")
        assert answer.loss == pytest.approx(15 * PSI, abs=PSI)
        assert (answer.loss_after, answer.loss_before) == (some[11].day, some[12].day)
        assert answer.slope_low is not None and answer.slope_high is not None
        assert answer.slope_low < 0 < answer.slope_high
        assert answer.crossing is None
        assert said in words(answer)


def test_a_loss_whose_kind_is_open_names_the_reading_that_tells() -> None:
    answer = judged(readings([195.0] * 6 + [188.0] * 6), on=date(2025, 1, 5), **LOW)
    assert answer.kind == "loss"
    reading = answer.next_reading
    assert reading is not None and reading.value is not None
    assert reading.on > date(2025, 1, 5)
    assert 150 * PSI < reading.value < 190 * PSI
    assert "means a slow leak" in Words(answer, "us").would_change()


def test_the_last_reading_alone_is_read_again() -> None:
    answer = judged(readings([195.0] * 14 + [165.0]), on=date(2025, 4, 1), **LOW)
    assert (answer.verdict, answer.why) == ("too-close", "last-low")
    assert answer.next_reading is not None
    assert answer.next_reading.on == date(2025, 4, 1)


def test_few_readings_let_a_leak_hide() -> None:
    answer = judged(readings([186.0] * 3, every=60), on=date(2024, 6, 1), **LOW)
    assert (answer.kind, answer.verdict, answer.why) == ("none", "too-close", "could-hide")
    assert answer.next_reading is not None
    assert "could hide" in words(answer)


def test_below_the_limit_fails_without_a_trend() -> None:
    answer = judged(readings([165.0] * 12), **LOW)
    assert (answer.verdict, answer.why) == ("fail", "below")


def test_an_empty_unit_fails() -> None:
    some = [*readings([195.0] * 8), Reading(day=date(2025, 6, 1), gauge_pa=0.0, t_k=290.0)]
    answer = judged(some)
    assert (answer.verdict, answer.why) == ("fail", "empty")
    assert "no proof" in words(answer)


def test_a_rise_is_a_charge_that_nobody_wrote_down() -> None:
    some = readings([195 - 2 * n for n in range(10)] + [195 - 0.5 * n for n in range(10)])
    answer = judged(some)
    assert answer.verdict == "unknown"
    assert "not on record" in words(answer)
    again = judged(some, charged=some[10].day)
    assert again.series.set_aside == ("10 readings before the last charge, another filling",)
    assert again.kind != "unknown"


def test_another_gauge_is_no_leak() -> None:
    first = readings([195.0] * 10, gauge="old")
    then = readings([185.0] * 10, gauge="new", start=START + timedelta(days=300))
    answer = judged([*first, *then], **LOW)
    assert answer.kind == "none"
    assert answer.level == pytest.approx(185 * PSI, abs=2 * PSI)
    assert "2 gauges" in words(answer)
    one = judged([Reading(day=r.day, gauge_pa=r.gauge_pa, t_k=r.t_k) for r in (*first, *then)], **LOW)
    assert one.kind != "none"


def test_readings_without_temperature_are_set_aside_and_said() -> None:
    some = [Reading(day=r.day, gauge_pa=r.gauge_pa) for r in readings([195.0] * 12)]
    answer = judged(some)
    assert (answer.verdict, answer.why) == ("unknown", "few")
    assert "weather and leak cannot be told apart" in answer.series.set_aside[0]


def test_two_gauges_read_twice_each_are_unknown() -> None:
    some = [*readings([195.0], gauge="a"), *readings([190.0, 180.0], gauge="b", start=date(2025, 1, 1))]
    answer = judged(some)
    assert answer.verdict == "unknown"
    assert "never mixed" in words(answer)


# -- water


def test_a_new_water_unit_may_be_dissolving() -> None:
    loss = [100.0, 97.5, 96.5, 95.8, 95.4, 95.1, 95.0, 94.9]
    some = readings(loss, every=45, wet=True)
    quiet = [Reading(day=r.day, gauge_pa=psi * PSI, t_k=294.2611) for r, psi in zip(some, loss, strict=True)]
    fresh = judged(quiet, medium="water", charged=START, on=date(2025, 1, 1))
    assert (fresh.kind, fresh.verdict) == ("dissolution-pending", "too-close")
    assert fresh.dissolution is not None
    assert 4 * PSI < fresh.dissolution < 6 * PSI
    old = judged(quiet, medium="water", charged=date(2018, 1, 1), on=date(2025, 1, 1))
    assert old.kind != "dissolution-pending"
    assert old.kind != "none"
    more = [Reading(day=r.day, gauge_pa=(psi - 3.0 * n) * PSI, t_k=294.2611) for n, (r, psi) in enumerate(zip(some, loss, strict=True))]
    assert judged(more, medium="water", charged=START, on=date(2025, 1, 1)).kind in ("slow-leak", "loss")


def test_dissolution_needs_a_wet_unit_and_a_date() -> None:
    def of(**facts: object) -> float | None:
        return dissolution_pa(build(UnitFacts(unit="A", **facts), readings([100.0] * 3, wet=True), Uncertainty()))  # type: ignore[arg-type]

    assert of() is None
    assert of(medium="water") is None
    new, old = of(medium="water", charged=START), of(medium="water", charged=date(2015, 1, 1))
    assert new is not None and old is not None
    assert new > 4 * PSI > 0.3 * PSI > old


# -- weight


def weighings(kg: list[float]) -> list[Reading]:
    return [Reading(day=START + timedelta(days=180 * n), weight_kg=value) for n, value in enumerate(kg)]


def test_carbon_dioxide_is_judged_by_weight() -> None:
    lost = judged(weighings([13.30, 13.20, 13.12, 13.00, 12.91, 12.80]), medium="co2", low_weight_kg=12.85)
    assert lost.series.evidence == "weight"
    assert lost.verdict == "fail"
    good = judged(weighings([13.30, 13.31, 13.29, 13.30, 13.31, 13.29]), medium="co2", low_weight_kg=12.85)
    assert good.verdict == "pass"
    unknown = judged(readings([700.0] * 5), medium="co2")
    assert unknown.verdict == "unknown"
    assert "weigh it" in words(unknown)


def test_weights_serve_where_no_pressure_can() -> None:
    answer = judged(weighings([8.0, 8.0, 8.01, 7.99]))
    assert answer.series.evidence == "weight"
    assert answer.kind == "none"


# -- fleets


def test_a_fleet_is_judged_at_once_and_counts_chance() -> None:
    plain = [build(UnitFacts(unit=str(n)), readings([195.0 - (n == 2) * 0.9 * m for m in range(14)]), Uncertainty()) for n in range(4)]
    empty = Series(facts=UnitFacts(unit="none"), evidence="pressure", days=(), values=(), u=(), gauges=())
    answers = assess([*plain, empty], on=ON)
    assert [a.kind == "none" for a in answers] == [True, True, False, True, False]
    assert answers[4].verdict == "unknown"
    assert expected_by_chance(answers) == pytest.approx(0.2)
    assert len(columns(plain).unit) == 4 * 14


def test_a_slip_of_the_pen_is_named() -> None:
    some = readings([195.0] * 20)
    wrong = some[7]
    some[7] = Reading(day=wrong.day, gauge_pa=(wrong.gauge_pa or 0.0) - 60 * PSI, t_k=wrong.t_k)
    answer = judged(some, **LOW)
    assert answer.kind != "one-off-loss"
    assert 7 in answer.odd
    assert "check the figure" in words(answer)
