"""Published answers about damaged shells, fills and loaners; the answers are the sources', not ours."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from pinseal.measures import INCH_M, LB_KG
from pinseal.rules.co2_fill import fill_limit, judge_co2_fill
from pinseal.rules.loaners import back_by
from pinseal.rules.pressure_tests import parse_specification
from pinseal.rules.shell_damage import guide, judge_dent, judge_pit

ON = date(2026, 11, 25)
CASES: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("shells_and_fills.toml").read_text("utf-8"))["case"]


def _fill_percent(case: dict[str, Any]) -> None:
    for stamp, printed in zip(case["stamps"], case["printed"], strict=True):
        limit = fill_limit(parse_specification(stamp), ON)
        assert limit is not None
        assert limit.percent == Fraction(printed)


def _fill_water(case: dict[str, Any]) -> None:
    marking = parse_specification(case["stamp"])
    for pounds, printed in zip(case["pounds"], case["printed"], strict=True):
        mass = Fraction(pounds) * LB_KG
        found = judge_co2_fill(mass_kg=mass, water_capacity_kg=Fraction(printed) * LB_KG, marking=marking, on=ON)
        assert found.least_water_kg is not None
        assert round(found.least_water_kg / LB_KG, 2) == Fraction(printed)
        step = Fraction("0.01") * LB_KG
        less = judge_co2_fill(mass_kg=mass, water_capacity_kg=Fraction(printed) * LB_KG - step, marking=marking, on=ON)
        more = judge_co2_fill(mass_kg=mass, water_capacity_kg=Fraction(printed) * LB_KG + step, marking=marking, on=ON)
        assert (less.verdict, more.verdict) == ("fail", "pass")


def _damage(case: dict[str, Any]) -> None:
    hair = Fraction(1, 10**6)
    width = Fraction("0.04")
    deepest = Fraction(case["dent_of_width"]) * width
    for depth, verdict in ((deepest, "pass"), (deepest + hair, "fail")):
        assert judge_dent(depth_m=depth, greatest_width_m=width, at_weld=False).verdict == verdict
    at_weld = Fraction(case["dent_at_weld_in"]) * INCH_M
    for depth, verdict in ((at_weld, "pass"), (at_weld + hair, "fail")):
        assert judge_dent(depth_m=depth, greatest_width_m=Fraction(1), at_weld=True).verdict == verdict
    wall = Fraction("0.003")
    deepest = Fraction(case["pit_of_wall"]) * wall
    for depth, verdict in ((deepest, "pass"), (deepest + hair, "fail")):
        assert judge_pit(depth_m=depth, wall_m=wall).verdict == verdict


def _over_heated(case: dict[str, Any]) -> None:
    words = {row.id: row.words for row in guide().lists["condemned"]}
    for code, printed in case["printed"].items():
        assert f"reached {printed} or more" in words[code]


def _back_by(case: dict[str, Any]) -> None:
    assert back_by(taken_on=case["taken_on"], packs=[case["pack"]]).on == case["printed"]


CHECKS: dict[str, Callable[[dict[str, Any]], None]] = {
    "fill-percent": _fill_percent,
    "fill-water": _fill_water,
    "damage": _damage,
    "over-heated": _over_heated,
    "back-by": _back_by,
}


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["name"]))
def test_published_value(case: dict[str, Any]) -> None:
    CHECKS[case["kind"]](case)
