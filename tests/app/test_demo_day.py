"""The demo's day, from the job sheets to printed marks: everything goes through the doors that a real shop has."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from tests.cli.conftest import FixedApp

from pinseal.demo import build
from pinseal.demo.day import LIBRARY, day_sheets
from pinseal.service.marks import PrintAsked
from pinseal.store import Shop

OUTCOMES: Mapping[str, str] = {
    "LB-027": "tag", "LB-037": "tag", "LB-040": "tag", "LB-042": "tag", "LB-013": "tag", "LB-023": "minor-part", "LB-034": "recharge",
    "LB-039": "tag", "LB-032": "tag", "BD-104": "tag", "BD-048": "tag",
}  # fmt: skip
# What each sheet earned; an inspection alone is noted, not tagged.
MARKS: Mapping[str, frozenset[str]] = {
    "LB-027": frozenset(),
    "LB-037": frozenset({"tag"}),
    "LB-023": frozenset({"tag"}),
    "LB-034": frozenset({"red-tag"}),
    "LB-039": frozenset({"tag", "collar", "six-year-label", "recharge-tag"}),
    "LB-032": frozenset({"tag", "collar", "six-year-label", "test-label", "recharge-tag"}),
    "BD-048": frozenset({"tag", "hose-label"}),
}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("day") / "tolberhaven.pinseal"
    FixedApp().demo(path, on=None)
    return path


def test_every_sheet_of_the_day_ended_as_its_story_says(shop: Path) -> None:
    with Shop.open(shop, readonly=True) as opened:
        kept = {each.uid: each for each in opened.sheets()}
        for said in day_sheets():
            sheet = kept[said.uid]
            assert sheet.closed
            assert sheet.entries[-1].entry["closed"] == OUTCOMES[said.unit], said.unit
    assert len(kept) == len(OUTCOMES)


@pytest.mark.parametrize("unit", MARKS)
def test_a_sheet_of_the_day_earned_these_marks_and_each_can_be_drawn(shop: Path, unit: str) -> None:
    app = FixedApp()
    sheet = next(each.uid for each in day_sheets() if each.unit == unit)
    assert {each.mark for each in app.marks_of(shop, sheet) if not each.why} == MARKS[unit]
    for mark in MARKS[unit]:
        drawn = app.print_marks(shop, PrintAsked(mark=mark, units=[unit])).draw("pdf")
        assert len(drawn.pages.files) == 1


def test_the_red_tag_says_what_is_wrong_in_a_few_lines_and_who_owns_it(shop: Path) -> None:
    (mark,) = FixedApp().print_marks(shop, PrintAsked(mark="red-tag", units=["LB-034"])).marks
    assert mark.values["impairments"].startswith("Pressure below what a full unit shows today: Low: ")
    assert len(mark.values["impairments"]) < 250
    assert mark.values["owner"] == "Town of Tolberhaven (invented), 5 The Green, Tolberhaven"


def test_the_report_of_the_visit_tells_the_loaner_and_who_took_it_over(shop: Path) -> None:
    said = FixedApp().visit_report(shop, LIBRARY).as_json()
    assert said["owner"] == "Town of Tolberhaven (invented), 5 The Green, Tolberhaven"
    assert [each["name"] for each in said["handed_over"]] == ["Ledda Quarn, front desk (invented)"]
    assert any("WS-003" in line for each in said["exceptions"] for line in each["because"])


def test_every_site_of_the_demo_is_in_its_address_book_and_says_that_it_is_invented() -> None:
    settings = build().settings
    sites = settings["sites"]
    assert isinstance(sites, dict)
    assert all("(invented); " in text and text.endswith(", Tolberhaven") for text in sites.values())


def test_the_sheets_are_the_same_on_every_call() -> None:
    assert day_sheets() == day_sheets()
    assert [each.uid for each in day_sheets()] == sorted({each.uid for each in day_sheets()})
