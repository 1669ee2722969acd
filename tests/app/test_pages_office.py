"""The pages over a real shop: what they show, what they take in, and that they see at once what was recorded."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.cli.conftest import Command, FixedApp

from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ALONE, ShopPeople
from pinseal.web.doors import Upload
from pinseal.web.site import build_site

LIST = (
    b"id,serial,site,place,agent,manufactured,last maintenance\n"
    b"B-1,7001,Mill,Gate,abc,2015-03,2026-01-09\n,7002,Mill,Loft,co2,2019,11/3/2025\n"
)
OURS = {"Sec-Fetch-Site": "same-origin"}


@pytest.fixture
def office(shop: Path) -> ShopRooms:
    return ShopRooms(FixedApp(), shop)


@pytest.fixture
def client(office: ShopRooms, shop: Path) -> TestClient:
    site = build_site(office, people=ShopPeople(office.app, shop, alone=ALONE))
    return TestClient(site, base_url="http://127.0.0.1:8000", client=("127.0.0.1", 50_000))


def test_every_page_of_a_shop_is_there(client: TestClient, office: ShopRooms) -> None:
    uid = office.due_list(office.about().today).states[0].uid
    for path in ("/", "/dues", "/import", "/standards", f"/units/{uid}"):
        page = client.get(path)
        assert page.status_code == 200, path
        assert "Pressurised vessels can kill" in page.text


def test_the_pages_see_a_record_at_once(client: TestClient, pinseal: Command) -> None:
    assert "3 Nov 2026" in client.get("/dues").text
    pinseal("record", "maintained", "T-1", "--on", "2026-11-20")
    assert "20 Nov 2027" in client.get("/dues").text


def test_a_list_is_read_answered_and_taken_in(client: TestClient, pinseal: Command) -> None:
    handed = client.post("/import", files={"list": ("mill.csv", LIST)}, headers=OURS)
    assert handed.status_code == 200
    assert "day or the month" in handed.text
    key = re.search(r"/import/([\w-]+)", str(handed.url))
    assert key
    taken = client.post(f"/import/{key[1]}/take-in", data={"person": "B. Tide"}, headers=OURS)
    assert taken.status_code == 200, taken.text
    assert pinseal("history", "B-1").code == 0
    assert pinseal("verify").code == 0


def test_what_the_office_plans_is_what_it_takes(office: ShopRooms) -> None:
    upload = Upload(name="mill.csv", content=LIST)
    plan = office.preview(upload, {"date-order": "MDY"})
    assert (len(plan.new), plan.uncertain) == (2, ())
    assert office.take_in(upload, {"date-order": "MDY"}, "B. Tide").new == 2
    assert office.preview(upload, {"date-order": "MDY"}).same == 2


def test_no_units_of_a_stranger_are_found(office: ShopRooms) -> None:
    assert office.unit("01a21015-2218-7000-95b4-8da05f037192") is None
    assert office.history("01a21015-2218-7000-95b4-8da05f037192") == []
