"""The day that a phone takes along: sheets put together again are what the shop composes, and the whole stays small."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from tests.web.door_shop import LEAD, MILL, PIER, SITE_OWNER, TECH, TODAY, Uids, batch, fact, make_shop, unit_uid

from pinseal.app.day import ShopDay
from pinseal.app.door import ShopDoor
from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState
from pinseal.service.day import UNITS_MAX, check_count, walking_order
from pinseal.service.sheet_shapes import SheetAsked
from pinseal.sheets.comparing import compare_json
from pinseal.sheets.view import sheet_json


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return make_shop(tmp_path_factory.mktemp("day"), units=12)


@pytest.fixture(scope="module")
def day(shop):
    return ShopDay(*shop).day((), None, TECH)


def put_together(day: dict[str, Any], own: dict[str, int]) -> dict[str, Any]:
    """A sheet as the phone makes it of the tables."""
    shape = day["shapes"][own["shape"]]
    gates = day["gates"][own["gates"]] if "gates" in own else {}
    limits = day["limits"][own["limits"]]
    steps = [day["steps"][place] for place in shape["steps"]]
    return {
        **shape,
        "steps": [{**step, "gate": gates.get(step["id"], step["gate"]), "limits": limits.get(step["id"], {})} for step in steps],
        "outcome_rules": [day["rules"][place] for place in shape["outcome_rules"]],
    }


@pytest.mark.parametrize("work", ["inspection", "maintenance"])
def test_each_sheet_put_together_again_is_the_one_that_the_shop_composes(shop, day, work):
    app, path = shop
    assert len(day["units"]) == 12
    for unit in day["units"]:
        own = unit["sheets"][work]
        opened = app.sheet(path, SheetAsked(unit=unit["uid"], works=(work,), on=TODAY))
        whole = sheet_json(opened.work, {}, system=opened.work.job.system)
        made = put_together(day, own)
        for name in ("steps", "outcome_rules", "notes", "duties", "minutes", "kind"):
            assert made[name] == json.loads(json.dumps(whole[name])), (unit["id"], name)
        assert day["compares"][own["compare"]] == json.loads(json.dumps(compare_json(opened.work.job)))


def test_units_come_in_walking_order_with_dues_and_dates(day):
    assert [unit["site"] for unit in day["units"]] == [MILL] * 8 + [PIER] * 4
    assert [unit["place"] for unit in day["units"]][:8] == [f"room {n}" for n in (0, 1, 3, 4, 6, 7, 9, 10)]
    first = day["units"][0]
    assert first["last"]["maintenance"] == "2025-04-20"
    assert {due["duty"]: due["state"] for due in first["dues"]}["maintenance"] == "overdue"
    assert "10" in first["words"] or "20" in first["words"]


def test_room_9_comes_before_room_10_and_what_has_no_place_comes_first():
    states = [UnitState(uid=str(n), site="S", place=place) for n, place in enumerate(("room 10", "room 9", None, "Room 9a"))]
    assert [state.place for state in sorted(states, key=walking_order)] == [None, "room 9", "Room 9a", "room 10"]


def test_only_the_sites_asked_for_go_along(shop):
    found = ShopDay(*shop).day((PIER,), None, TECH)
    assert {unit["site"] for unit in found["units"]} == {PIER}
    assert found["sites"] == [PIER]


def test_an_owner_takes_their_own_sites_and_no_register(shop):
    found = ShopDay(*shop).day((), None, SITE_OWNER)
    assert {unit["site"] for unit in found["units"]} == {MILL}
    assert (found["instruments"], found["people"]) == ([], [])
    with pytest.raises(Refusal) as refused:
        ShopDay(*shop).day((PIER,), None, SITE_OWNER)
    assert PIER not in refused.value.rule


def test_a_site_that_is_not_there_is_refused_with_the_list(shop):
    with pytest.raises(Refusal) as refused:
        ShopDay(*shop).day(("Invented Moon",), None, TECH)
    assert MILL in refused.value.rule


def test_the_version_changes_when_a_unit_changes_and_only_then(tmp_path):
    shop = make_shop(tmp_path)
    days, uids = ShopDay(*shop), Uids()
    first = days.day((), None, TECH)
    assert days.day((), None, TECH) is first
    assert ShopDay(*shop).day((), None, TECH)["version"] == first["version"]
    ShopDoor(*shop).take(batch(fact(uids(), kind="found-deficient", finding="hose-cracked", words="the hose is cracked")), TECH)
    second = days.day((), None, TECH)
    assert second["version"] != first["version"]
    assert [found["words"] for found in second["units"][0]["deficiencies"]] == ["the hose is cracked"]
    assert days.day((), TODAY + timedelta(days=40), TECH)["version"] != second["version"]


def test_what_was_put_right_is_no_open_deficiency(tmp_path):
    shop, uids = make_shop(tmp_path), Uids()
    found = fact(uids(), kind="found-deficient", finding="hose-cracked", words="the hose is cracked")
    ShopDoor(*shop).take(batch(found, fact(uids(), kind="remedied", finding="hose-cracked", how="a new hose")), TECH)
    assert "deficiencies" not in ShopDay(*shop).day((), None, TECH)["units"][0]


def test_the_last_readings_go_along_the_newest_first(tmp_path):
    shop, uids = make_shop(tmp_path), Uids()
    months = (1, 2, 3, 4, 5)
    sent = [fact(uids(), kind="measured", done=f"2026-0{n}-02", quantity="pressure", value=f"{180 + n} psi") for n in months]
    ShopDoor(*shop).take(batch(*sent), TECH)
    readings = ShopDay(*shop).day((), None, TECH)["units"][0]["readings"]
    assert [each["value"] for each in readings] == ["185 psi", "184 psi", "183 psi", "182 psi"]


def test_a_unit_of_which_the_kind_is_not_known_says_so_in_the_place_of_a_sheet(tmp_path):
    shop, uids = make_shop(tmp_path), Uids()
    ShopDoor(*shop).take(batch(fact(uids(), uids(), "registered", id="F-1", site=MILL, agent="abc")), TECH)
    unit = next(unit for unit in ShopDay(*shop).day((), None, TECH)["units"] if unit["id"] == "F-1")
    assert set(unit["sheets"]["inspection"]["refused"]) == {"what", "rule", "got", "do"}


def test_a_unit_that_left_does_not_go_along(tmp_path):
    shop, uids = make_shop(tmp_path), Uids()
    ShopDoor(*shop).take(batch(fact(uids(), kind="removed", reason="scrapped")), LEAD)
    assert unit_uid(0) not in {unit["uid"] for unit in ShopDay(*shop).day((), None, TECH)["units"]}


@pytest.mark.parametrize(("count", "fits"), [(UNITS_MAX, True), (UNITS_MAX + 1, False)])
def test_a_phone_takes_so_many_units_and_no_more(count, fits):
    if fits:
        check_count(count)
    else:
        with pytest.raises(Refusal, match="too much for one day"):
            check_count(count)


def test_units_of_one_kind_share_nearly_everything(tmp_path):
    """Six hundred units stay under 1.5 MB, and what is shared does not grow with them."""
    small, large = (ShopDay(*make_shop(tmp_path / str(count), units=count)).day((), None, TECH) for count in _made(tmp_path, 90, 600))
    shared = ("steps", "shapes", "limits", "compares", "gates", "rules")
    assert {name: len(small[name]) for name in shared} == {name: len(large[name]) for name in shared}
    assert len(json.dumps(large, separators=(",", ":"))) < 1_500_000


def _made(folder, *counts: int) -> tuple[int, ...]:
    for count in counts:
        (folder / str(count)).mkdir()
    return counts
