"""The eight invented lists: what each is read to. The bars are means over the lists; the scores of each list are regressions."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.registers.scoring import NAMES, Score, list_path, score, truth_of

from pinseal.intake.reader import read_register

RIGHT_MEAN_MIN = 0.97
SILENT_MEAN_MAX = 0.005

# regression: facts right in each list, with nothing wrong, missed, invented, lost or extra
FACTS_RIGHT = {
    "caldrune-infirmary": 431,
    "hesperwick-dental-rooms": 97,
    "kessmuehl-werk": 914,
    "orlenfold-smelter": 695,
    "pelmarsh-grain-store": 38,
    "quarrowby-county-offices": 93,
    "tolvane-schools": 897,
    "villaquebra-conservas": 322,
}


def _read(name: str) -> dict[str, Any]:
    shape: dict[str, Any] = json.loads(json.dumps(read_register(list_path(name)).as_json()))
    return shape


@pytest.fixture(scope="module")
def readings() -> dict[str, dict[str, Any]]:
    return {name: _read(name) for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_each_list_reads_as_well_as_before(name: str, readings: dict[str, dict[str, Any]]) -> None:
    result = score(truth_of(name), readings[name])
    assert result.notes == []
    assert result.right == FACTS_RIGHT[name]


def test_the_lists_together_meet_the_bars(readings: dict[str, dict[str, Any]]) -> None:
    results: list[Score] = [score(truth_of(name), readings[name]) for name in NAMES]
    assert sum(result.share_right for result in results) / len(results) >= RIGHT_MEAN_MIN
    assert sum(result.share_silent for result in results) / len(results) <= SILENT_MEAN_MAX
    assert sum(result.lost for result in results) == 0
    assert sum(result.extra for result in results) == 0


@pytest.mark.parametrize("name", NAMES)
def test_what_is_wrong_with_each_list_is_said(name: str, readings: dict[str, dict[str, Any]]) -> None:
    def key(entry: dict[str, Any]) -> tuple[str | None, int, str]:
        return (entry["sheet"], entry["row"], entry["kind"])

    said = {key(entry) for entry in readings[name]["problems"]}
    assert [entry for entry in truth_of(name)["problems"] if entry.get("row") and key(entry) not in said] == []


@pytest.mark.parametrize("name", NAMES)
def test_every_other_row_is_sorted(name: str, readings: dict[str, dict[str, Any]]) -> None:
    sorted_rows = {(entry["sheet"], entry["row"]): entry["kind"] for entry in readings[name]["not_units"]}
    assert {(entry["sheet"], entry["row"]): entry["kind"] for entry in truth_of(name)["not_units"]} == sorted_rows


@pytest.mark.parametrize("name", NAMES)
def test_every_cell_that_cannot_be_settled_is_asked_about(name: str, readings: dict[str, dict[str, Any]]) -> None:
    asked: set[tuple[str | None, int]] = set()
    for question in readings[name]["questions"]:
        for place in [question, *question.get("also", [])]:
            asked |= {(place["sheet"], row) for row in place["rows"]}
    assert [entry for entry in truth_of(name)["ambiguous"] if (entry["sheet"], entry.get("unit_row", entry["row"])) not in asked] == []


@pytest.mark.parametrize("name", NAMES)
def test_count_rows_say_how_many_of_what(name: str, readings: dict[str, dict[str, Any]]) -> None:
    counts = {(entry["sheet"], entry["row"]): entry for entry in readings[name]["problems"] if entry["kind"] == "count-row"}
    for entry in truth_of(name)["problems"]:
        if entry["kind"] == "count-row":
            read = counts[entry["sheet"], entry["row"]]
            assert (read["count"], read["site"], read["place"]) == (entry["count"], entry["site"], entry["place"])
            assert [part["agent"] for part in read["parts"]] == [part["agent"] for part in entry["parts"]]
            assert [part["size"] for part in read["parts"]] == [part["size"] for part in entry["parts"]]


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_dates_and_the_day_of_the_list_are_found(name: str, readings: dict[str, dict[str, Any]]) -> None:
    truth = truth_of(name)
    assert readings[name]["date_order"] == truth["date_order"]
    assert readings[name]["as_of"] == truth["as_of"]


def test_an_answer_settles_the_order_of_dates_for_a_whole_list() -> None:
    open_list = read_register(list_path("hesperwick-dental-rooms"))
    assert [question.id for question in open_list.questions] == ["date-order"]
    answered = read_register(list_path("hesperwick-dental-rooms"), {"date-order": "DMY"})
    given = read_register(list_path("hesperwick-dental-rooms"), date_order="DMY")
    assert answered.questions == ()
    assert [unit.last_maintenance for unit in answered.units] == [unit.last_maintenance for unit in given.units]
    assert all(unit.last_maintenance is None or unit.last_maintenance.day for unit in answered.units)
