"""A small piece of the benchmark's study, so that a change that spoils coverage or power is seen: seed fixed, 3,000 units a row."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from pinseal.physics.leak_outlook import crossings

_SPEC = importlib.util.spec_from_file_location("leak_study", Path(__file__).resolve().parents[2] / "benchmarks" / "leaks.py")
assert _SPEC and _SPEC.loader
_STUDY = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(_STUDY)
BARS, covered, draw, judged = _STUDY.BARS, _STUDY.covered, _STUDY.draw, _STUDY.judged

SEED, UNITS = 20_261_125, 3_000
# three standard errors of a share of 0.95 at this size
SLACK = 3 * (0.95 * 0.05 / UNITS) ** 0.5


@pytest.mark.parametrize("schedule", ["monthly 1 yr", "monthly 2 yr", "6 annual"])
@pytest.mark.parametrize(("leak", "drop"), [(0, 0), (6, 0), (0, 10), (0, 20)])
def test_intervals_cover_whatever_the_truth(schedule: str, leak: int, drop: int) -> None:
    _, found = judged(draw(np.random.default_rng(SEED), schedule, leak=leak, drop=drop, units=UNITS)[0])
    assert 0.93 - SLACK <= covered(found, -leak) <= 0.97 + SLACK
    if not leak and not drop:
        assert found.alarm.mean() <= 0.06 + SLACK


@pytest.mark.parametrize(("schedule", "leak"), BARS)
def test_power_is_not_below_plain_least_squares(schedule: str, leak: int) -> None:
    _, found = judged(draw(np.random.default_rng(SEED), schedule, leak=leak, units=UNITS)[0])
    bar = BARS[schedule, leak]
    assert found.alarm.mean() >= bar - 3 * (bar * (1 - bar) / UNITS) ** 0.5


def test_crossing_dates_cover() -> None:
    readings, level = draw(np.random.default_rng(SEED), "monthly 2 yr", leak=6, units=UNITS)
    crossed = crossings(judged(readings)[0], 175.0)
    truth = (level - 175.0) / 6
    bounded = crossed.bounded
    assert bounded.mean() > 0.9
    assert ((crossed.earliest <= truth) & (truth <= crossed.latest))[bounded].mean() > 0.92
