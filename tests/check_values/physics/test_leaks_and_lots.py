"""Published answers about lines through readings and failures from inspections; the answers are the sources', not ours."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pinseal.measures import PSI_PA
from pinseal.physics.leak_rates import BUBBLE_LIMIT_STD_CM3_S, pa_per_year
from pinseal.physics.leaks import Readings, fit
from pinseal.physics.reliability import kaplan_meier, npmle, weibull

CASES: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("leaks_and_lots.toml").read_text("utf-8"))["case"]


def _line(case: dict[str, Any]) -> None:
    x = np.array(case["x"])
    order = np.argsort(x, kind="stable")
    many = len(x)
    zeros = np.zeros(many, dtype=np.int64)
    # a stated uncertainty far below the scatter leaves the readings' own scatter alone: plain least squares
    readings = Readings(unit=zeros, gauge=zeros, year=x[order], value=np.array(case["y"])[order], u=np.full(many, 1e-6))
    found = fit(readings, slope_prior=1.0, step_prior=1.0)
    slope, scatter, mean = found.slope[0], found.scatter[0], found.mean_year[0]
    intercept_se = scatter * math.sqrt(1 / found.weight[0] + mean**2 / found.time_squares[0])
    answers = {
        "slope": slope,
        "intercept": found.mean_value[0] - slope * mean,
        "slope_se": found.slope_se[0],
        "intercept_se": intercept_se,
    }
    for name, printed in case["printed"].items():
        assert answers[name] == pytest.approx(printed, rel=case["tolerance"]), name
    assert found.slope[0] == pytest.approx(case["printed"]["slope"], rel=1e-12)
    assert found.df[0] == many - 2


def _weibull(case: dict[str, Any]) -> None:
    exact, censored = np.array(case["exact"], dtype=float), np.array(case["censored"], dtype=float)
    law = weibull(np.concatenate((exact, censored)), np.concatenate((exact, np.full(len(censored), np.inf))))
    for name, printed in case["printed"].items():
        assert getattr(law, name) == pytest.approx(printed, rel=case["tolerance"]), name


def intervals(text: str) -> tuple[np.ndarray, np.ndarray]:
    ends = [(float(p[:-1]), math.inf) if p.endswith("x") else tuple(map(float, p.split("-"))) for p in text.split()]
    left, right = zip(*ends, strict=True)
    return np.array(left), np.array(right)


def _masses(case: dict[str, Any]) -> None:
    found = npmle(*intervals(case["intervals"]))
    assert np.stack((found.after, found.by), axis=1).tolist() == case["on"]
    assert found.mass == pytest.approx(case["printed"], abs=case["tolerance"])
    assert found.survival(12.0) == pytest.approx((0.7609, 0.7609), abs=1e-4)


def _steps(case: dict[str, Any]) -> None:
    words = case["ages"].split()
    found = kaplan_meier(np.array([float(w.rstrip("+")) for w in words]), np.array([not w.endswith("+") for w in words]))
    assert found.age.tolist() == case["at"]
    assert found.survival == pytest.approx(case["printed"], abs=case["tolerance"])


def _rate(case: dict[str, Any]) -> None:
    psi = [pa_per_year(case["std_cm3_s"], free_volume_m3=litres / 1000) / float(PSI_PA) for litres in case["litres"]]
    assert psi == pytest.approx(case["printed"], abs=case["tolerance"])
    assert BUBBLE_LIMIT_STD_CM3_S == 1e-5


_SUMS: dict[str, Callable[[dict[str, Any]], None]] = {
    "line": _line,
    "weibull": _weibull,
    "masses": _masses,
    "steps": _steps,
    "rate": _rate,
}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_check_value(case: dict[str, Any]) -> None:
    assert case["source"]
    _SUMS[case["kind"]](case)
