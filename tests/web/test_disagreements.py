"""Two records that disagree: told on the page of the unit and on Today in plain sentences, and settled there by a supervisor."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fake_office import uid_of
from fake_people import SITES_OWNER, TECH
from fake_rooms import FakeRooms, rooms_client
from page_checks import faults, text_of
from record_makers import Writer
from starlette.testclient import TestClient

from pinseal.service.disagreements import disagreements
from pinseal.web.office_disagreements import disagreement_row

UNIT = uid_of(6)
SHEETS = uid_of(911), uid_of(912)
LOST = {"reason": "looked for and not found at its place", "missing": "yes"}
SAYS = {
    "missing": (
        ("not-done", LOST),
        ("inspected", {}),
        "Tobiah Marsh looked for it and did not find it (20 Nov 2026); Orla <b>Fenn had it in hand: inspected (20 Nov 2026)",
    ),
    "found": (
        ("inspected", {}),
        ("not-done", LOST),
        "Orla <b>Fenn looked for it and did not find it (20 Nov 2026); Tobiah Marsh had it in hand: inspected (20 Nov 2026)",
    ),
    "place": (
        ("moved", {"site": "Pier", "place": "hall <1>"}),
        ("moved", {"place": "hall 2"}),
        "Tobiah Marsh says that it belongs at Pier / hall <1> (20 Nov 2026); Orla <b>Fenn says at hall 2",
    ),
    "outcome": (
        ("worked", {"sheet": SHEETS[0], "outcome": "tag", "duties": "maintenance"}),
        ("worked", {"sheet": SHEETS[1], "outcome": "replace", "duties": "maintenance"}),
        "Tobiah Marsh ended a job sheet (maintenance) with “tag it” (20 Nov 2026); Orla <b>Fenn ended one with “replace the unit”",
    ),
    "reading": (
        ("measured", {"quantity": "Gauge", "value": "195 psi", "verdict": "pass"}),
        ("measured", {"quantity": "Gauge", "value": "150 psi", "verdict": "fail"}),
        "Tobiah Marsh read Gauge as 195 psi, pass (20 Nov 2026); Orla <b>Fenn read 150 psi, fail",
    ),
    "result": (
        ("tested", {"result": "pass"}),
        ("tested", {"result": "fail"}),
        "pressure tested: Orla <b>Fenn says that it failed (20 Nov 2026); Tobiah Marsh says that it passed",
    ),
    "condemned": (
        ("condemned", {"reason": "pitted"}),
        ("inspected", {}),
        "Tobiah Marsh condemned it (20 Nov 2026); after that, Orla <b>Fenn recorded: inspected (20 Nov 2026). It stays condemned",
    ),
    "gone": (
        ("removed", {"reason": "stolen"}),
        ("inspected", {}),
        "Tobiah Marsh took it out of the fleet: stolen (20 Nov 2026); after that, Orla <b>Fenn recorded: inspected",
    ),
}


@pytest.fixture
def office() -> FakeRooms:
    return FakeRooms()


def tell(office: FakeRooms, *both, unit: str = UNIT) -> list[str]:
    """Two people record on one day; the uids of the two records."""
    writer, made = Writer("two-phones", first=91_000), []
    for (kind, said), person in zip(both, ("Tobiah Marsh", "Orla <b>Fenn"), strict=True):
        made.append(replace(writer.write(kind, "2026-11-20", unit=unit, **said), person=person))
    office.lives[unit] = [*office.lives[unit], *made]
    return [record.uid for record in made]


@pytest.mark.parametrize("case", SAYS)
def test_each_disagreement_is_said_in_a_sentence_with_what_settles_it(office: FakeRooms, case: str) -> None:
    one, other, wanted = SAYS[case]
    tell(office, one, other)
    row = disagreement_row(disagreements(office.lives[UNIT])[0])
    assert row.says.startswith(wanted)
    assert "void" in row.settle or "record it as" in row.settle
    page = rooms_client(office).get(f"/units/{UNIT}")
    assert faults(page.text) == []
    assert f"Two records disagree: {row.says}. To settle it: {row.settle}." in text_of(page.text)


def test_today_lists_what_disagrees_with_its_unit_and_what_settles_it(office: FakeRooms) -> None:
    assert "Two records disagree" not in text_of(rooms_client(office).get("/").text)
    one, other, wanted = SAYS["place"]
    tell(office, one, other)
    page = rooms_client(office).get("/")
    assert faults(page.text) == []
    words = text_of(page.text)
    assert "Two records disagree 1" in words and wanted in words and "To settle it: look where it hangs" in words
    assert f'href="/units/{UNIT}"' in page.text
    assert "<b>Fenn" not in page.text and "hall <1>" not in page.text


def test_an_owner_hears_of_their_own_sites_alone(office: FakeRooms) -> None:
    one, other, _ = SAYS["missing"]
    tell(office, one, other, unit=uid_of(0))
    assert "disagree" not in text_of(rooms_client(office, SITES_OWNER).get("/").text)
    tell(office, one, other, unit=uid_of(1))
    assert "Two records disagree 1" in text_of(rooms_client(office, SITES_OWNER).get("/").text)


def settle(client: TestClient, **said: str):
    return client.post(f"/units/{UNIT}/settle", data=said)


def test_a_supervisor_voids_the_wrong_record_and_both_stay(office: FakeRooms) -> None:
    lost, _ = tell(office, *SAYS["missing"][:2])
    client = rooms_client(office)
    assert "Void the record that is wrong" in text_of(client.get(f"/units/{UNIT}").text)
    page = settle(client, record=lost, reason="it hung behind the door <i>")
    assert page.status_code == 200
    assert "disagree" not in text_of(page.text)
    assert "it hung behind the door <i>" in text_of(page.text) and "does not count: it was corrected away" in text_of(page.text)
    record = office.lives[UNIT][-1]
    assert (record.kind, record.person, record.fields["void"], record.fields["corrects"]) == ("corrected", "Ida Quill", "yes", lost)
    assert settle(client, record=lost, reason="again").status_code == 404, "what is settled is settled"


@pytest.mark.parametrize("said", [{}, {"reason": "no record"}, {"record": "lost"}])
def test_what_is_wrong_and_how_that_is_known_must_be_said(office: FakeRooms, said: dict[str, str]) -> None:
    lost, _ = tell(office, *SAYS["missing"][:2])
    page = settle(rooms_client(office), **({name: lost if text == "lost" else text for name, text in said.items()}))
    assert page.status_code == 400
    assert "Choose the record that is wrong, and say how you know." in text_of(page.text)
    assert faults(page.text) == []
    assert office.lives[UNIT][-1].kind != "corrected"


def test_no_other_record_is_voided_there_and_nobody_else_settles(office: FakeRooms) -> None:
    lost, _ = tell(office, *SAYS["missing"][:2])
    first = office.lives[UNIT][0].uid
    assert settle(rooms_client(office), record=first, reason="because").status_code == 404
    technician = rooms_client(office, TECH)
    assert "Void the record" not in technician.get(f"/units/{UNIT}").text
    assert settle(technician, record=lost, reason="because").status_code == 403
    assert office.lives[UNIT][-1].kind != "corrected"
