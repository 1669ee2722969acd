"""Impaired units on the pages: their clocks, who was told, and the papers; who may see and write what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER, TECH
from fake_rooms import FakeRooms, rooms_client
from page_checks import faults, text_of
from starlette.testclient import TestClient

UNIT = uid_of(0)
RAMP_OWNER = replace(SITES_OWNER, uid="ramp", sites=("Airfield ramp",))
FOUND = {
    "unit": "001", "impairments": "valve <leaks>; hose cracked", "rules-of": "us-tx", "number": "R-7",
    "day": "20 Nov 2026", "time": "09:00",
}  # fmt: skip
TOLD = {"party": "owner", "day": "20 Nov 2026", "time": "09:10", "name": "The manager", "how": "by hand"}


@pytest.fixture
def client(office: FakeRooms) -> TestClient:
    return rooms_client(office)


def impair(client: TestClient, office: FakeRooms, **changes: str) -> str:
    """Write it down; the record of the impairment."""
    state = next(each for each in office.due_list(office.about().today).states if each.uid == UNIT)
    form = FOUND | {"unit": str(state.id)} | changes
    assert client.post("/notices", data=form, follow_redirects=False).status_code == 303
    return office.impairments()[0].record


def words(client: TestClient, address: str = "/notices") -> str:
    page = client.get(address)
    assert page.status_code == 200
    assert faults(page.text) == []
    return text_of(page.text)


def test_a_shop_without_impairments_says_so(client: TestClient) -> None:
    assert "No impairment is open." in words(client)
    assert "Out of order" not in words(client, "/")


def test_an_impairment_starts_its_clocks_on_the_page_and_on_today(client: TestClient, office: FakeRooms) -> None:
    impair(client, office)
    found = words(client)
    for text in ("valve <leaks>", "hose cracked", "red tag R-7", "28 TAC 34.521(a)", "not begun", "overdue", "21 Nov 2026, 09:00"):
        assert text in found, text
    assert "Tell the owner, in writing by 20 Nov 2026, 23:59" in found
    assert "Out of order, and who must be told 1" in words(client, "/")


def test_a_notice_that_was_given_stops_its_clock_and_leaves_the_form(client: TestClient, office: FakeRooms) -> None:
    record = impair(client, office)
    assert client.post(f"/notices/{record}/told", data=TOLD, follow_redirects=False).status_code == 303
    assert "20 Nov 2026, 09:10, The manager, by hand" in words(client)
    [found] = office.impairments()
    assert {due.telling.to: due.state for due in found.dues}["owner"] == "done"
    assert 'value="owner"' not in client.get("/notices").text


def test_a_cleared_impairment_begins_the_last_clock_and_goes_when_all_were_told(client: TestClient, office: FakeRooms) -> None:
    record = impair(client, office)
    cleared = {"how": "new valve", "day": "23 Nov 2026", "time": "10:00"}
    assert client.post(f"/notices/{record}/cleared", data=cleared, follow_redirects=False).status_code == 303
    assert "cleared 23 Nov 2026, 10:00" in words(client)
    for party in ("owner", "authority", "authority-copy", "authority-clearance"):
        client.post(f"/notices/{record}/told", data={**TOLD, "party": party, "day": "23 Nov 2026", "time": "11:00"})
    assert "No impairment is open." in words(client)
    assert "told late" in words(client, "/notices?show=all")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"day": "someday"}, "this is not a date"),
        ({"time": "25:00"}, "this is no time of the day"),
        ({"time": "nine"}, "Hours and minutes"),
        ({"day": "25 Nov 2026"}, "this moment cannot be right"),
        ({"day": "19 Nov 2026"}, "From 20 Nov 2026, 09:00"),
        ({"party": "the boss"}, "it is not said who was told"),
    ],
)
def test_a_notice_that_cannot_be_is_refused_and_nothing_typed_is_lost(
    client: TestClient, office: FakeRooms, change: dict[str, str], said: str
) -> None:
    record = impair(client, office)
    page = client.post(f"/notices/{record}/told", data={**TOLD, **change})
    assert page.status_code == 400
    assert faults(page.text) == []
    assert said.casefold() in text_of(page.text).casefold()
    assert 'value="The manager"' in page.text
    assert not office.impairments()[0].case.told


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"unit": "no such"}, "there is no such unit"),
        ({"impairments": ""}, "it is not said what is impaired"),
        ({"day": "25 Nov 2026"}, "this moment cannot be right"),
    ],
)
def test_an_impairment_that_cannot_be_is_refused(client: TestClient, office: FakeRooms, change: dict[str, str], said: str) -> None:
    state = next(each for each in office.due_list(office.about().today).states if each.uid == UNIT)
    page = client.post("/notices", data=FOUND | {"unit": str(state.id)} | change)
    assert page.status_code == 400
    assert faults(page.text) == []
    assert said in text_of(page.text).casefold()
    assert 'value="R-7"' in page.text
    assert office.impairments() == []


def test_what_is_cleared_is_not_cleared_twice(client: TestClient, office: FakeRooms) -> None:
    record = impair(client, office)
    cleared = {"how": "new valve", "day": "23 Nov 2026", "time": "10:00"}
    assert client.post(f"/notices/{record}/cleared", data={**cleared, "how": ""}).status_code == 400
    client.post(f"/notices/{record}/cleared", data=cleared)
    page = client.post(f"/notices/{record}/cleared", data=cleared)
    assert page.status_code == 400
    assert "it was cleared already" in text_of(page.text).casefold()


def test_the_notice_comes_as_pdf_and_of_no_other_record(client: TestClient, office: FakeRooms) -> None:
    record = impair(client, office)
    answer = client.get(f"/notices/{record}.pdf")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
    assert answer.headers["content-disposition"] == f'inline; filename="notice-{record}.pdf"'
    assert office.papers == [("notice", UNIT, record)]
    assert client.get(f"/notices/{uid_of(77)}.pdf").status_code == 404


def test_an_owner_reads_those_of_their_sites_and_writes_nothing(client: TestClient, office: FakeRooms) -> None:
    record = impair(client, office)
    site = next(each for each in office.due_list(office.about().today).states if each.uid == UNIT).site
    mine = rooms_client(office, replace(SITES_OWNER, uid="mine", sites=(site,)))
    assert "valve <leaks>" in words(mine)
    assert "Somebody was told" not in words(mine)
    assert mine.get(f"/notices/{record}.pdf").status_code == 200
    assert mine.post(f"/notices/{record}/told", data=TOLD).status_code in (403, 404)
    others = rooms_client(office, replace(SITES_OWNER, uid="others", sites=("nowhere",)))
    assert "No impairment is open." in words(others)
    assert others.get(f"/notices/{record}.pdf").status_code == 404


def test_an_authority_reads_and_a_technician_writes(client: TestClient, office: FakeRooms) -> None:
    record = impair(client, office)
    inspector, tech = rooms_client(office, INSPECTOR), rooms_client(office, TECH)
    assert "valve <leaks>" in words(inspector)
    assert inspector.post(f"/notices/{record}/told", data=TOLD).status_code in (403, 404)
    assert tech.post(f"/notices/{record}/told", data=TOLD, follow_redirects=False).status_code == 303


def test_a_condemned_unit_shows_the_way_to_its_notice(client: TestClient, office: FakeRooms) -> None:
    from pinseal.dates import PartialDate

    assert "condemned.pdf" not in client.get(f"/units/{UNIT}").text
    office.record(kind="condemned", unit=UNIT, done=PartialDate(2026, 11, 20), fields={"reason": "dent"}, person="Ida")
    assert f"/units/{UNIT}/condemned.pdf" in client.get(f"/units/{UNIT}").text
    assert client.get(f"/units/{UNIT}/condemned.pdf").headers["content-type"] == "application/pdf"
    assert client.get(f"/units/{uid_of(7777)}/condemned.pdf").status_code == 404
