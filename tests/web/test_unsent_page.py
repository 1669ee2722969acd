"""The office's page for a phone's file of unsent work."""

from __future__ import annotations

import json

import pytest
from door_shop import PHONE, TECH, fact
from fake_office import client_of
from fake_rooms import FakeRooms

from pinseal.web.unsent import UnsentDesk


@pytest.fixture
def client(door):
    return client_of(FakeRooms(), account=TECH, more=UnsentDesk(FakeRooms(), door).routes())


def handed(client, *drafts: object):
    said = {"device": PHONE, "drafts": list(drafts), "sheets": [], "photos": []}
    return client.post("/unsent", files={"file": ("pinseal-unsent.json", json.dumps(said).encode(), "application/json")})


def test_a_file_is_taken_in_once_and_the_page_says_what_became_of_it(client, uids):
    assert "Save the unsent to a file" in client.get("/unsent").text
    draft = fact(uids())
    first = handed(client, draft)
    assert first.status_code == 200 and "All of it is on record" in first.text
    assert '>1</td><td class="number">0</td>' in first.text
    assert '>0</td><td class="number">1</td>' in handed(client, draft).text


def test_what_is_not_taken_is_named_with_its_reason(client, uids):
    page = handed(client, fact(uids(), kind="polished<b>"), fact(uids())).text
    assert "Some items were not taken" in page and "There is no such kind of record." in page
    assert "polished<b>" not in page


@pytest.mark.parametrize("content", [b"", b"Number,Type\n", b"[]"])
def test_another_file_is_a_trouble_of_the_form(client, content):
    page = client.post("/unsent", files={"file": ("list.csv", content, "text/csv")})
    assert page.status_code == 400 and 'id="file"' in page.text


def test_no_file_is_a_trouble_of_the_form(client):
    page = client.post("/unsent", data={})
    assert page.status_code == 400 and "No file was chosen" in page.text
