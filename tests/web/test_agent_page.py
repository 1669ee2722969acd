"""Batches of agent and the figures of the year on the page of the bench."""

from __future__ import annotations

import pytest
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER
from fake_rooms import FakeRooms, rooms_client
from page_checks import faults, text_of
from record_makers import Writer
from starlette.testclient import TestClient

BATCH = uid_of(990)
BEGUN = {"id": "R-<4>", "agent": "halocarbon-hfc-236fa", "lot": "L-9", "came-from": "Pier Café", "mass": "10 lb"}
TESTED = {"purity": "99.6", "purity-method": "gas chromatography"}
PAPER = {"certificate": "C-12", "recycler": "Quay Works", "mass": "10 lb"}


@pytest.fixture
def client(office: FakeRooms) -> TestClient:
    return rooms_client(office)


def batch(office: FakeRooms, *, weighed: str = "10 lb", whole: bool = True) -> None:
    writer = Writer("batches", first=98_000)
    life = [
        writer.write("batch-recovered", "2026-02-01", unit=BATCH, **BEGUN),
        writer.write("batch-weighed", "2026-03-01", unit=BATCH, mass=weighed),
    ]
    if whole:
        life.append(writer.write("batch-tested", "2026-03-02", unit=BATCH, **TESTED))
        life.append(writer.write("batch-certified", "2026-03-03", unit=BATCH, **PAPER))
    office.batch_lives = [life]


def words(client: TestClient) -> str:
    page = client.get("/bench/agent")
    assert page.status_code == 200
    assert faults(page.text) == []
    return text_of(page.text)


def test_a_store_without_batches_says_how_one_is_put_in(client: TestClient) -> None:
    assert "No batch of agent is on record. On the shop's machine: pinseal agents add" in words(client)


def test_a_batch_says_what_should_be_there_and_what_the_scale_said(client: TestClient, office: FakeRooms) -> None:
    batch(office)
    found = words(client)
    for text in (
        "R-<4>",
        "lot L-9",
        "HFC-236fa",
        "recovered, certified as recycled",
        "10.00 lb",
        "1 Mar 2026",
        "99.6 % by gas chromatography",
    ):
        assert text in found, text
    assert f"/bench/agent/{BATCH}/certificate.pdf" in client.get("/bench/agent").text


def test_a_weighing_that_does_not_fit_is_told_with_the_entry_to_look_at(client: TestClient, office: FakeRooms) -> None:
    batch(office, weighed="22 lb", whole=False)
    found = words(client)
    assert "12.00 lb over" in found
    assert "it closes if this was read in kg and written in lb" in found


def test_a_batch_that_lacks_something_has_no_certificate(client: TestClient, office: FakeRooms) -> None:
    batch(office, whole=False)
    assert "certificate.pdf" not in client.get("/bench/agent").text
    office.batch_lives = []
    assert client.get(f"/bench/agent/{BATCH}/certificate.pdf").status_code == 404


@pytest.mark.parametrize("year", ["2026", "2025"])
def test_the_figures_of_a_year_come_as_paper_and_as_table(client: TestClient, year: str) -> None:
    page = client.get("/bench/agent").text
    for ending, kind in (("pdf", "application/pdf"), ("csv", "text/csv"), ("xlsx", "spreadsheet")):
        assert f"/bench/agent/{year}.{ending}" in page
        assert kind in client.get(f"/bench/agent/{year}.{ending}").headers["content-type"]


@pytest.mark.parametrize("address", ["2099.pdf", "2099.csv", "1.pdf", "x.pdf"])
def test_there_are_no_figures_of_a_year_that_is_none(client: TestClient, address: str) -> None:
    assert client.get(f"/bench/agent/{address}").status_code == 404


def test_an_authority_reads_them_and_an_owner_does_not(office: FakeRooms) -> None:
    batch(office)
    for address in ("2026.pdf", "2026.csv", f"{BATCH}/certificate.pdf"):
        assert rooms_client(office, INSPECTOR).get(f"/bench/agent/{address}").status_code == 200
        assert rooms_client(office, SITES_OWNER).get(f"/bench/agent/{address}").status_code in (403, 404)
