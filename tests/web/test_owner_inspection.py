"""The owner of a site: from a unit's code to the monthly inspection, their own sites alone, and no hand on a technician's work."""

from __future__ import annotations

from urllib.parse import unquote

import pytest
from door_shop import MILL, PIER, SITE_OWNER, TECH, batch, good_entries, sheet, signed_in, unit_uid
from fake_office import uid_of
from fake_people import INSPECTOR, LEAD, SHOP, SITES_OWNER
from fake_people import TECH as OFFICE_TECH
from fake_rooms import FakeRooms, rooms_client
from starlette.routing import Mount

from pinseal.app.day import ShopDay
from pinseal.sheets.entries import Entry

FINDING = "access-blocked"


@pytest.fixture
def office() -> FakeRooms:
    return FakeRooms()


def of_site(office: FakeRooms, wanted: bool) -> str:
    """A unit of the owner's site, or of another."""
    states = office.due_list(office.about().today).states
    return next(state.uid for state in states if state.uid and ((state.site in SITES_OWNER.sites) is wanted))


# The code of a unit


@pytest.mark.parametrize("account", [OFFICE_TECH, SHOP, LEAD, INSPECTOR], ids=lambda account: account.role)
def test_a_units_code_leads_the_shop_and_the_authority_to_the_unit(office, account):
    answer = rooms_client(office, account).get(f"/u/{uid_of(1)}", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/units/{uid_of(1)}")


def test_a_units_code_leads_an_owner_to_the_inspection_on_the_phone(office):
    uid = of_site(office, True)
    for code in (uid, uid.upper()):
        answer = rooms_client(office, SITES_OWNER).get(f"/u/{code}", follow_redirects=False)
        assert (answer.status_code, unquote(answer.headers["location"])) == (303, f"/field#/code/{uid}/{SITES_OWNER.sites[0]}")


def test_the_code_of_anothers_unit_and_of_none_is_the_same_no_to_an_owner(office):
    owner = rooms_client(office, SITES_OWNER)
    answers = [owner.get(f"/u/{code}", follow_redirects=False) for code in (of_site(office, False), uid_of(999), "x")]
    assert {each.status_code for each in answers} == {404}
    assert answers[0].text == answers[1].text


# Route by route


def unit_routes(office: FakeRooms) -> list[tuple[str, str, str]]:
    """Every route that names a unit: its name, a method, its path."""
    app = rooms_client(office, SITES_OWNER).app
    found = [route for route in app.routes if not isinstance(route, Mount) and route.path.startswith(("/units/{uid}", "/u/{uid}"))]
    return [(route.name, method, route.path) for route in found for method in sorted(route.methods - {"HEAD"})]


def test_no_route_of_a_unit_shows_or_takes_anything_of_another_site(office):
    elsewhere, owner, seen = of_site(office, False), rooms_client(office, SITES_OWNER), set()
    for name, method, path in unit_routes(office):
        address = path.replace("{uid}", elsewhere).replace("{sha256}", "0" * 64).replace("{key}", "none")
        answer = owner.request(method, address, data={"work": ["inspection"]} if method == "POST" else None, follow_redirects=False)
        assert answer.status_code in (403, 404), (name, method, answer.status_code)
        seen.add(name)
    assert {"unit", "unit-code", "unit-leak", "unit-photo", "unit-sheet"} <= seen


def test_the_day_of_an_owner_holds_their_site_and_inspections_alone(shop):
    day = ShopDay(*shop).day((), None, SITE_OWNER)
    assert day["sites"] == [MILL] and {unit["site"] for unit in day["units"]} == {MILL}
    assert all(set(unit["sheets"]) == {"inspection"} for unit in day["units"])
    assert {tuple(shape["duties"]) for shape in day["shapes"]} == {("inspection",)}
    assert (day["instruments"], day["people"], day["you"]["role"]) == ([], [], "owner")
    assert {name for unit in ShopDay(*shop).day((), None, TECH)["units"] for name in unit["sheets"]} == {"inspection", "maintenance"}


def test_the_day_of_another_site_is_refused_to_an_owner(shop):
    owner = signed_in(*shop, token="owner-door")
    assert owner.get("/api/door/day", params={"site": MILL}).status_code == 200
    refused = owner.get("/api/door/day", params={"site": PIER})
    assert refused.status_code == 400
    assert PIER not in refused.json()["error"]["rule"], "nothing is told of other sites"


# What an owner enters


def sent(door, uids, entries, account=SITE_OWNER, **more):
    said = sheet(uids, 0, entries, **more)
    return door.take(batch(sheets=[said]), account)["sheets"][0]


def test_an_owners_inspection_is_closed_and_moves_the_due(shop, door, uids):
    answer = sent(door, uids, good_entries(*shop, unit_uid(0)))
    assert (answer["word"], answer["close"]["word"], answer["close"]["outcome"]) == ("kept", "kept", "tag")
    assert "inspection" in {moved["duty"] for moved in answer["close"]["moved"]}


NOT_THEIRS = {
    "another work": Entry(kind="extend", subject="maintenance"),
    "a step that takes it away": Entry(kind="step", subject="taken-away", said={"answer": "gone"}),
    "a gate set aside": Entry(
        kind="override", subject="earlier-steps", said={"step": "no-damage-seen", "reason": "x", "supervisor": "Ida Quill"}
    ),
    "a part": Entry(kind="fix", subject=FINDING, said={"how": "fitted", "part": "pin"}),
}


@pytest.mark.parametrize("name", NOT_THEIRS)
def test_what_is_a_technicians_is_refused_to_an_owner_and_stops_no_other_entry(shop, door, uids, name):
    good = good_entries(*shop, unit_uid(0))
    answer = sent(door, uids, [NOT_THEIRS[name], *good], close=False)
    assert [each["word"] for each in answer["entries"]] == ["refused", *["kept"] * len(good)]
    assert answer["entries"][0]["refusal"]["what"] == "this is for the shop to do"
    kept = shop[0].resume(shop[1], answer["uid"])
    assert kept.work.job.works == ("inspection",)
    assert len(kept.work.entries) == len(good)


def test_the_same_entries_are_taken_from_a_technician(shop, door, uids):
    answer = sent(door, uids, [NOT_THEIRS["another work"]], account=TECH, close=False)
    assert answer["entries"][0]["word"] == "kept"


def found_wrong(step: str, code: str) -> Entry:
    return Entry(kind="step", subject=step, said={"answer": code})


def test_an_owner_clears_the_way_and_leaves_a_repair_to_the_shop(shop, door, uids):
    steps = {step.id: step for step in shop[0].resume(shop[1], sent(door, uids, [], close=False)["uid"]).work.job.steps}
    bad = {name: next(each for each in steps[name].answers if each.finding) for name in ("way-is-clear", "no-damage-seen")}
    entries = [found_wrong(name, answer.code) for name, answer in bad.items()]
    fixes = [Entry(kind="fix", subject=answer.finding, said={"how": "done", "step": name}) for name, answer in bad.items()]
    answer = sent(door, uids, [*entries, *fixes], close=False)
    assert [each["word"] for each in answer["entries"]] == ["kept", "kept", "kept", "refused"]


@pytest.mark.parametrize("name", ["another work", "a step that takes it away"])
def test_the_api_holds_an_owner_to_the_same(shop, name):
    owner = signed_in(*shop, token="owner-work")
    begun = owner.post("/api/sheets", json={"unit": unit_uid(0), "works": ["inspection"]})
    assert begun.status_code == 201
    refused = owner.post(f"/api/sheets/{begun.json()['uid']}/entries", json={"entry": NOT_THEIRS[name].as_json()})
    assert refused.status_code == 400
    assert refused.json()["error"]["what"] == "this is for the shop to do"
