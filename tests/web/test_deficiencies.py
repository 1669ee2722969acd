"""A deficiency on its way over the pages: found, quoted, agreed or declined, put right; who may say what; what is refused."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER, TECH
from fake_rooms import FakeRooms, rooms_client
from openpyxl import load_workbook
from page_checks import faults, text_of
from starlette.testclient import TestClient

from pinseal.dates import PartialDate

UNIT = uid_of(0)
RAMP_OWNER = replace(SITES_OWNER, uid="ramp", sites=("Airfield ramp",))


@pytest.fixture
def client(office: FakeRooms) -> TestClient:
    return rooms_client(office)


def here(office: FakeRooms) -> str:
    return f"/deficiencies/{office.books().deficiencies[0].record}"


def quote(client: TestClient, office: FakeRooms, **changes: str):
    form = {
        "price": "184.50",
        "currency": "EUR",
        "work": "a new bracket",
        "number": "Q-7",
        "valid_until": "2026-12-31",
        "day": "20 Nov 2026",
    }
    return client.post(f"{here(office)}/quote", data=form | changes, follow_redirects=False)


def say(client: TestClient, office: FakeRooms, **changes: str):
    quoted = office.books().deficiencies[0].quotes[-1].record
    form = {"quoted": quoted, "said": "agreed", "answered_by": "Ola Brandt", "day": "2026-11-22"}
    return client.post(f"{here(office)}/answer", data=form | changes, follow_redirects=False)


def correct(office: FakeRooms, fields: dict[str, str]) -> None:
    quoted = office.books().deficiencies[0].quotes[-1].record
    office.record(kind="corrected", unit=UNIT, done=PartialDate(2026, 11, 21), fields={"corrects": quoted, **fields}, person="Ida")


def test_a_deficiency_goes_its_way_and_each_step_says_when_and_by_whom(client: TestClient, office: FakeRooms) -> None:
    assert "54 days without a price" in text_of(client.get(here(office)).text)
    assert quote(client, office).status_code == 303
    words = text_of(client.get(here(office)).text)
    assert "Quoted 184.50 EUR 20 Nov 2026, after 50 days" in words
    assert "A new bracket On paper Q-7 Holds until 31 Dec 2026" in words
    assert "4 days without an answer" in words
    assert say(client, office).status_code == 303
    words = text_of(client.get(here(office)).text)
    assert "Agreed by Ola Brandt 22 Nov 2026, after 2 days" in words
    assert "The work is to be done" in words
    mended = client.post(f"{here(office)}/mend", data={"how": "bolted", "day": "24 Nov 2026"}, follow_redirects=False)
    assert mended.status_code == 303
    page = client.get(here(office)).text
    assert "put right after 54 days" in text_of(client.get("/deficiencies?show=done").text)
    assert "Put right 24 Nov 2026, after 2 days" in text_of(page)
    assert "<form id" not in page
    assert faults(page) == []


def test_money_is_kept_as_whole_minor_units(client: TestClient, office: FakeRooms) -> None:
    quote(client, office, price="184,5")
    assert office.lives[UNIT][-1].fields["price-minor"] == "18450"
    quote(client, office, price="18 450", currency="jpy")
    assert {"price-minor": "18450", "currency": "JPY"}.items() <= office.lives[UNIT][-1].fields.items()


def test_what_the_owner_declined_stays_open_and_says_so(client: TestClient, office: FakeRooms) -> None:
    quote(client, office)
    say(client, office, said="declined", reason="too dear")
    words = text_of(client.get(here(office)).text)
    assert "Declined by Ola Brandt" in words and "Too dear" in words
    assert "It stands open, and what it forces still holds." in words
    assert "001" in text_of(client.get("/deficiencies?show=declined").text)
    assert "001" in text_of(client.get("/deficiencies").text)


def test_a_later_price_waits_for_an_answer_of_its_own(client: TestClient, office: FakeRooms) -> None:
    quote(client, office)
    first = office.books().deficiencies[0].quotes[-1].record
    say(client, office)
    quote(client, office, price="200", day="2026-11-23")
    assert office.books().deficiencies[0].stage == "quoted"
    refused = say(client, office, quoted=first)
    assert refused.status_code == 400
    assert "Another price was told since" in text_of(refused.text)
    assert "200.00 EUR" in text_of(refused.text)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"price": ""}, "No price is said"), ({"price": "1,250.00"}, "not an amount of money"),
        ({"price": "12.345"}, "2 decimals at most"), ({"currency": ""}, "No currency is said"), ({"currency": "XXX"}, "no currency"),
        ({"day": "2026-09-01"}, "it was found on 1 Oct 2026"), ({"day": "soon"}, "not a date"), ({"day": ""}, "No day is said"),
        ({"day": "2027-01-01", "valid_until": ""}, "nothing is written down before it happens"),
        ({"valid_until": "2026-11-01"}, "A price holds at least"), ({"valid_until": "2026"}, "not a full day"),
    ],
)  # fmt: skip
def test_a_price_that_cannot_be_kept_is_refused_in_words_and_what_was_typed_stays(
    client: TestClient, office: FakeRooms, changes: dict[str, str], words: str
) -> None:
    before = len(office.lives[UNIT])
    answer = quote(client, office, **changes)
    assert answer.status_code == 400
    assert words.casefold() in text_of(answer.text).casefold()
    assert 'role="alert"' in answer.text and 'href="#quote"' in answer.text
    assert 'value="a new bracket"' in answer.text
    assert faults(answer.text) == []
    assert len(office.lives[UNIT]) == before


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"said": ""}, "It is not said what the owner answered"), ({"answered_by": ""}, "Nobody is named who answered"),
        ({"day": "2026-11-19"}, "the price was told on 20 Nov 2026"),
    ],
)  # fmt: skip
def test_an_answer_that_cannot_be_kept_is_refused_in_words(
    client: TestClient, office: FakeRooms, changes: dict[str, str], words: str
) -> None:
    quote(client, office)
    answer = say(client, office, **changes)
    assert answer.status_code == 400
    assert words.casefold() in text_of(answer.text).casefold()
    assert office.books().deficiencies[0].stage == "quoted"


def test_what_is_put_right_takes_no_more_forms(client: TestClient, office: FakeRooms) -> None:
    client.post(f"{here(office)}/mend", data={"how": "bolted", "day": "2026-11-24"})
    answer = quote(client, office)
    assert answer.status_code == 400
    assert "It was put right already" in text_of(answer.text)


def test_an_owner_answers_by_their_own_name_and_only_for_their_sites(office: FakeRooms) -> None:
    lead, owner = rooms_client(office), rooms_client(office, RAMP_OWNER)
    quote(lead, office)
    page = owner.get(here(office)).text
    assert f"You answer as {RAMP_OWNER.name}." in text_of(page)
    assert "Quote another price" not in text_of(page)
    assert quote(owner, office).status_code == 403
    stranger = rooms_client(office, SITES_OWNER)
    assert stranger.get(here(office)).status_code == 404
    assert say(stranger, office).status_code == 404
    assert office.books().deficiencies[0].stage == "quoted"
    assert say(owner, office, answered_by="Somebody Else").status_code == 303
    assert office.books().deficiencies[0].quote.answered_by == RAMP_OWNER.name


def test_an_authority_sees_the_way_but_no_price_and_no_form(client: TestClient, office: FakeRooms) -> None:
    quote(client, office)
    authority = rooms_client(office, INSPECTOR)
    page = authority.get(here(office)).text
    assert "Quoted 20 Nov 2026" in text_of(page)
    assert "184.50" not in page and "<form id" not in page
    assert "184.50" not in authority.get("/deficiencies").text
    correct(office, {"to-price-minor": "77123", "to-currency": "GBP"})
    for path in ("/deficiencies.csv", f"/units/{UNIT}", "/"):
        assert "77123" not in authority.get(path).text and "GBP" not in authority.get(path).text, path
        assert "184.50" not in authority.get(path).text and "18450" not in authority.get(path).text, path
    assert "184.50 EUR" in client.get(f"/units/{UNIT}").text and "77123" in client.get(f"/units/{UNIT}").text
    assert say(authority, office).status_code == 403


def test_a_technician_may_quote(office: FakeRooms) -> None:
    assert quote(rooms_client(office, TECH), office).status_code == 303


def test_the_list_is_narrowed_by_how_far_each_is_and_says_so_in_words(client: TestClient, office: FakeRooms) -> None:
    assert "1 deficiency: found, no price yet, at Airfield ramp, older than 30 days" in text_of(
        client.get("/deficiencies?show=found&site=Airfield+ramp&age=30").text
    )
    quote(client, office)
    assert "Nothing of this kind" in text_of(client.get("/deficiencies?show=found").text)
    assert "184.50 EUR" in text_of(client.get("/deficiencies?show=quoted").text)
    assert client.get("/deficiencies?show=odd").status_code == 404
    assert client.get("/deficiencies/none").status_code == 404


def test_the_list_as_a_file_says_the_whole_way(client: TestClient, office: FakeRooms, tmp_path) -> None:
    quote(client, office)
    say(client, office)
    answer = client.get("/deficiencies.csv?show=agreed")
    (row,) = csv.DictReader(io.StringIO(answer.text))
    assert answer.headers["content-disposition"] == 'attachment; filename="deficiencies-agreed-on-2026-11-24.csv"'
    told = ("how far", "found", "days open", "price", "currency", "quoted on", "answer", "answered by", "put right on")
    assert [row[name] for name in told] == [
        "agreed, to be done", "2026-10-01", "54", "184.50", "EUR", "2026-11-20", "agreed", "Ola Brandt", "",
    ]  # fmt: skip
    (tmp_path / "d.xlsx").write_bytes(client.get("/deficiencies.xlsx?show=agreed").content)
    sheet = load_workbook(tmp_path / "d.xlsx")["Deficiencies"]
    heads = [cell.value for cell in sheet[1]]
    assert sheet.cell(2, heads.index("price") + 1).value == 184.5
    assert f"{sheet.cell(2, heads.index('found') + 1).value:%Y-%m-%d}" == "2026-10-01"
    assert client.get("/deficiencies.csv?show=odd").status_code == 404
