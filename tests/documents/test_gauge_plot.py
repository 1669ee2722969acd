"""The dial: every value at its place, a round end of the scale, a shape and a word for each verdict."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.documents.dial import Dial
from pinseal.documents.gauge_plot import GaugePicture, gauge_svg

FULL = GaugePicture(
    unit="psi", reading=167.0, at="0 F", verdict="pass", on_dial="in", medium="powder", nameplate=195.0, full=(166.3, 166.3),
    once_stirred=None, referred=195.8, uncertainty=5.5, band=(150.0, 210.0),
)  # fmt: skip
DIAL = Dial(x=0.0, y=0.0, radius=100.0, top=300.0)


def _words(picture: GaugePicture) -> str:
    return " ".join(ET.fromstring(gauge_svg(picture)).itertext())


def test_the_scale_runs_clockwise_from_lower_left_over_the_top() -> None:
    assert DIAL.at(0.0, 100.0) == pytest.approx((-70.7, 70.7), abs=0.1)
    assert DIAL.at(150.0, 100.0) == pytest.approx((0.0, -100.0), abs=0.1)
    assert DIAL.at(300.0, 100.0) == pytest.approx((70.7, 70.7), abs=0.1)


@given(st.floats(-1e6, 1e6))
def test_no_value_leaves_the_face(value: float) -> None:
    assert math.hypot(*DIAL.at(value, 100.0)) == pytest.approx(100.0)
    assert DIAL.angle(300.0 * 1.02) <= DIAL.angle(value) <= DIAL.angle(-300.0 * 0.02)


@pytest.mark.parametrize(
    ("verdict", "reading", "words"),
    [
        ("pass", 167.0, "Pass: the charge is there"),
        ("too-close", 161.0, "Too close to call"),
        ("fail", 120.0, "Fail: low"),
        ("fail", 200.0, "Fail: overfilled"),
    ],
)
def test_each_verdict_has_its_words(verdict: str, reading: float, words: str) -> None:
    assert words in _words(replace(FULL, verdict=verdict, reading=reading))


def test_an_unknown_shows_no_figure_that_nobody_knows() -> None:
    words = _words(replace(FULL, verdict="unknown", full=None, referred=None, uncertainty=None, band=None, on_dial="not-given"))
    assert "weigh it" in words and "no evidence" in words and "full today" not in words


def test_water_shows_both_ends_of_what_solution_may_do() -> None:
    words = _words(replace(FULL, full=(163.0, 166.3), once_stirred=160.0))
    for shown in ("163.0 psi", "at least", "166.3 psi", "at most", "160.0 psi", "once stirred"):
        assert shown in words


@given(st.floats(0.0, 4000.0), st.floats(0.5, 4000.0))
def test_the_end_of_the_dial_is_round_and_beyond_all_that_is_shown(reading: float, expected: float) -> None:
    svg = gauge_svg(replace(FULL, reading=reading, full=(expected, expected), nameplate=None, referred=None, band=None))
    figures = [
        float(t.text or "") for t in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text") if re.fullmatch(r"[\d.]+", t.text or "")
    ]
    assert figures[0] == 0.0
    assert max(figures) <= 2.1 * max(reading, expected, 1.0)
    assert max(figures) + (figures[1] - figures[0]) > max(reading, expected)
    assert "nan" not in svg and "inf" not in svg
