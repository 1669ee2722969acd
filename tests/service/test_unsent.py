"""A phone's file of unsent work goes through the same door: once, with the same checks, and one wrong item stops no other."""

from __future__ import annotations

import base64
import json

import pytest
from tests.web.door_shop import LEAD, OTHER, PHONE, TECH, Uids, batch, fact, good_entries, make_shop, png, sha256, sheet, unit_uid

from pinseal.app.door import ShopDoor
from pinseal.reasons import Refusal
from pinseal.service.unsent import hand_in, read_unsent
from pinseal.store import Shop


@pytest.fixture
def shop(tmp_path):
    return make_shop(tmp_path)


@pytest.fixture
def uids():
    return Uids()


def file_of(drafts=(), sheets=(), photos=()) -> bytes:
    """The file as the field page writes it."""
    held = [{"sha256": sha256(each), "type": "image/png", "base64": base64.b64encode(each).decode()} for each in photos]
    return json.dumps({"device": PHONE, "drafts": list(drafts), "sheets": list(sheets), "photos": held}, indent=1).encode()


def taken(shop, content: bytes, account=TECH):
    door = ShopDoor(*shop)
    return hand_in(
        read_unsent(content),
        take=lambda said: door.take(said, account),
        keep=lambda digest, held: door.keep_photo(digest, held, name="", account=account),
    )


def digests(shop) -> list[str]:
    with Shop.open(shop[1], readonly=True) as opened:
        assert opened.verify().holds
        return [record.digest for record in opened.records()]


def test_facts_sheets_and_photos_are_kept_and_the_same_file_again_changes_nothing(shop, uids):
    content = file_of([fact(uids(), kind="noted", note="seen")], [sheet(uids, 1, good_entries(*shop, unit_uid(1)))], [png()])
    counts = taken(shop, content).counts()
    assert counts == {
        "fact": {"kept": 1, "known": 0, "refused": 0},
        "job sheet": {"kept": 1, "known": 0, "refused": 0},
        "photo": {"kept": 1, "known": 0, "refused": 0},
    }
    before = digests(shop)
    again = taken(shop, content)
    assert {each.word for each in again.items} == {"known"}
    assert digests(shop) == before


def test_the_phone_that_sends_after_all_hears_known(shop, uids):
    drafts, sheets = [fact(uids())], [sheet(uids, 1, good_entries(*shop, unit_uid(1)))]
    taken(shop, file_of(drafts, sheets), LEAD)
    before = digests(shop)
    answer = ShopDoor(*shop).take(batch(*drafts, sheets=sheets), TECH)
    assert [answer["drafts"][0]["word"], answer["sheets"][0]["word"], answer["sheets"][0]["close"]["word"]] == ["known"] * 3
    assert digests(shop) == before


def test_a_wrong_item_is_named_and_stops_no_other(shop, uids):
    good, odd = fact(uids()), fact(uids(), kind="polished")
    forged = {"sha256": sha256(png()), "base64": base64.b64encode(b"no picture").decode()}
    said = json.loads(file_of([odd, good, 7], [{"uid": "?"}], [png()]))
    said["photos"] += [forged, {"sha256": "x"}, {"sha256": "y", "base64": "%%"}, 5]
    found = taken(shop, json.dumps(said).encode())
    assert found.counts() == {
        "fact": {"kept": 1, "known": 0, "refused": 2},
        "job sheet": {"kept": 0, "known": 0, "refused": 1},
        "photo": {"kept": 1, "known": 0, "refused": 4},
    }
    assert all(each.refusal["what"] and each.refusal["do"] for each in found.refused)
    assert "polished" in {each.subject for each in found.refused}


def test_anothers_work_is_handed_in_by_a_supervisor_alone(shop, uids):
    content = file_of([fact(uids()) | {"person": TECH.name}])
    assert taken(shop, content, OTHER).counts()["fact"]["refused"] == 1
    assert taken(shop, content, LEAD).counts()["fact"]["kept"] == 1


def test_a_day_larger_than_one_message_goes_in_parts(shop, uids):
    drafts = [fact(uids(), kind="noted", note=f"n{number}") for number in range(1_001)]
    assert taken(shop, file_of(drafts)).counts()["fact"]["kept"] == 1_001


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe",
        b"[]",
        b"{}",
        b'{"device": "phone-1", "drafts": 5}',
        b'{"device": "phone-12345", "more": 1}',
        b"[" * 100_000,
        b"PK\x03\x04",
    ],
)
def test_another_file_is_refused_in_words(content):
    with pytest.raises(Refusal) as refused:
        read_unsent(content)
    assert "Save the unsent" in refused.value.do


def test_a_file_with_a_wrong_device_is_refused_whole(shop, uids):
    said = json.loads(file_of([fact(uids())])) | {"device": "?"}
    with pytest.raises(Refusal, match="id of a device"):
        taken(shop, json.dumps(said).encode())
