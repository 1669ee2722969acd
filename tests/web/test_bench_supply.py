"""The supply bottles: received, read and returned as records; counted for the unit at hand only where the gas is fit for it."""

from __future__ import annotations

import re

import pytest
from bench_rooms import PLAIN, BenchRooms
from fake_people import INSPECTOR, SITES_OWNER
from fake_rooms import rooms_client
from page_checks import faults, text_of
from starlette.testclient import TestClient

DRY = {"id": "N-1", "gas": "nitrogen", "water-capacity": "49 L", "dew-point": "-80 F", "purity": "99.99", "certificate": "Z-77"}


@pytest.fixture
def office() -> BenchRooms:
    return BenchRooms()


@pytest.fixture
def client(office: BenchRooms) -> TestClient:
    return rooms_client(office)


def comes(client: TestClient, **changes: str):
    return client.post("/bench/supply/receive", data=DRY | {name.replace("_", "-"): value for name, value in changes.items()})


def read(client: TestClient, office: BenchRooms, name: str, shows: str, at: str = "70 F"):
    uid = next(each.uid for each in office.bottles() if each.id == name)
    return client.post("/bench/supply/read", data={"bottle": uid, "shows": shows, "at-temperature": at})


def words(client: TestClient, unit: str = "") -> str:
    page = client.get("/bench/supply" + (f"?unit={unit}" if unit else ""))
    assert page.status_code == 200
    assert faults(page.text) == []
    return text_of(page.text)


def test_an_empty_shop_says_what_to_do_first(client: TestClient) -> None:
    assert "No supply bottle is here. Write down the first one when it comes." in words(client)


def test_a_bottle_comes_is_read_and_tells_its_contents(client: TestClient, office: BenchRooms) -> None:
    assert comes(client).status_code == 200
    assert "Nobody has read its gauge since it came." in words(client)
    read(client, office, "N-1", "2640 psi")
    found = words(client)
    assert "N-1 nitrogen dew point -80 F, purity 99.99 %, certificate Z-77" in found
    assert "300 scf" in found, "49 L at 2640 psi and 70 F, as tests/check_values has it"


def test_a_cold_bottle_says_what_it_would_show_when_warm(client: TestClient, office: BenchRooms) -> None:
    comes(client)
    read(client, office, "N-1", "1900 psi", "20 F")
    assert "2176 psi at 70 F" in words(client)


def test_the_bank_is_counted_drawn_and_put_in_order_for_the_unit_at_hand(client: TestClient, office: BenchRooms) -> None:
    for name, shows in (("N-1", "2640 psi"), ("N-2", "600 psi"), ("N-3", "150 psi")):
        comes(client, id=name)
        read(client, office, name, shows)
    found = words(client, PLAIN)
    assert re.search(r"\d+ charges left for this unit", found)
    assert "Draw from bottle N-2, then N-1" in found, "the emptiest that can still push goes first"
    assert "swap it now: no whole charge is left" in found
    picture = client.get(f"/bench/supply.svg?unit={PLAIN}")
    assert picture.headers["content-type"] == "image/svg+xml"
    assert "bottle N-2" in picture.text


def test_gas_without_a_dew_point_or_with_a_damp_one_is_never_counted_for_powder(client: TestClient, office: BenchRooms) -> None:
    for name, dew in (("N-1", "-59 F"), ("N-2", "")):
        comes(client, id=name, dew_point=dew)
        read(client, office, name, "2640 psi")
    found = words(client, PLAIN)
    assert "No bottle of nitrogen that is fit for it is here" in found
    comes(client, id="N-3", dew_point="-60 F")
    read(client, office, "N-3", "2640 psi")
    found = words(client, PLAIN)
    assert "Its dew point of -59 F is too high for this unit" in found
    assert "Its certificate says no dew point" in found
    assert found.count("drawn as number") == 1


def test_what_the_queue_takes_is_held_against_what_is_left(client: TestClient, office: BenchRooms) -> None:
    comes(client)
    read(client, office, "N-1", "230 psi")
    assert "Order nitrogen: the 1 unit of the queue takes about" in words(client), "unit 001 waits on the bench"
    read(client, office, "N-1", "2640 psi")
    found = words(client)
    assert "Nitrogen: the 1 unit of the queue takes about" in found
    assert "Order nitrogen" not in found


def test_a_bottle_goes_back_and_comes_again_without_its_old_readings(client: TestClient, office: BenchRooms) -> None:
    comes(client)
    read(client, office, "N-1", "300 psi")
    uid = office.bottles()[0].uid
    client.post("/bench/supply/return", data={"bottle": uid, "reason": "empty"})
    assert "N-1 24 Nov 2026: empty" in words(client)
    comes(client, dew_point="-75 F")
    (again,) = office.bottles()
    assert (again.uid, again.reads, again.dew_point, again.returned) == (uid, (), "-75 F", None)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"id": ""}, "id must be given"),
        ({"gas": "oxygen"}, "gas is one of nitrogen"),
        ({"water_capacity": "300 scf"}, "this is not the water capacity of a supply bottle"),
        ({"water_capacity": "9000 L"}, "it lies between 0.1 and 1000 L"),
        ({"dew_point": "dry"}, "dew-point is a temperature"),
        ({"purity": "very"}, "purity is a number of percent"),
        ({"id": "<script>x</script>", "gas": "<b>"}, "gas is one of"),
    ],
)
def test_a_bottle_that_cannot_be_is_refused_and_what_was_typed_stays(
    client: TestClient, office: BenchRooms, changes: dict[str, str], said: str
) -> None:
    page = comes(client, **changes)
    assert page.status_code == 400
    assert faults(page.text) == []
    assert said.casefold() in text_of(page.text).casefold()
    assert 'value="Z-77"' in page.text
    assert "<script>x" not in page.text
    assert office.bottles() == []


@pytest.mark.parametrize(("shows", "at"), [("lots", "70 F"), ("2640", "70 F"), ("2640 psi", "70"), ("9000 psi", "70 F"), ("2640 psi", "")])
def test_a_reading_that_cannot_be_is_refused(client: TestClient, office: BenchRooms, shows: str, at: str) -> None:
    comes(client)
    page = read(client, office, "N-1", shows, at)
    assert page.status_code == 400
    assert faults(page.text) == []
    assert office.bottles()[0].reads == ()


def test_a_name_is_not_taken_twice_and_a_bottle_that_is_not_here_is_not_read(client: TestClient, office: BenchRooms) -> None:
    comes(client)
    assert "a bottle of this name is here already" in text_of(comes(client, id="n-1").text).casefold()
    assert client.post("/bench/supply/read", data={"bottle": "gone", "shows": "9 psi", "at-temperature": "70 F"}).status_code == 400
    assert client.post("/bench/supply/drain", data={}).status_code == 404
    assert client.get("/bench/supply?unit=gone").status_code == 404
    assert client.get("/bench/supply.svg?unit=gone").status_code == 404


def test_an_inspector_looks_and_writes_nothing_and_an_owner_is_kept_out(client: TestClient, office: BenchRooms) -> None:
    comes(client)
    looking = rooms_client(office, INSPECTOR)
    assert "A bottle comes" not in looking.get("/bench/supply").text
    assert looking.post("/bench/supply/receive", data=DRY).status_code == 403
    assert rooms_client(office, SITES_OWNER).get("/bench/supply").status_code == 403
