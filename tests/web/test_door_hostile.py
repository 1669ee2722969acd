"""What should never come to the sync door: it is refused in words, and nothing of it is kept."""

from __future__ import annotations

import gzip
import json
from datetime import timedelta
from pathlib import Path
from urllib.parse import quote

import pytest
from door_shop import (
    NOW,
    OTHER,
    PHONE,
    SHOP_HAND,
    TECH,
    batch,
    everything,
    fact,
    good_entries,
    held,
    jpeg,
    png,
    sha256,
    sheet,
    signed_in,
    unit_uid,
    words,
)
from fake_office import client_of
from page_checks import faults, text_of

from pinseal.app.office_pages import ShopRooms
from pinseal.reasons import Refusal
from pinseal.records.record import uuid7
from pinseal.store import Shop
from pinseal.web import field
from pinseal.web.office_routes import office_routes


def photos_of(shop) -> list[Path]:
    folder = shop[1].with_name(f"{shop[1].name}.files")
    return list(folder.iterdir()) if folder.is_dir() else []


# Photos


@pytest.mark.parametrize("content", [png(), jpeg()], ids=["png", "jpeg"])
def test_a_photo_is_kept_once(shop, door, content):
    digest = sha256(content)
    assert door.keep_photo(digest, content, name="", account=TECH)["word"] == "kept"
    assert door.keep_photo(digest, content, name="", account=TECH) == {
        "sha256": digest, "word": "known", "kind": "image/png" if content.startswith(b"\x89") else "image/jpeg", "width": 4, "height": 3,
    }  # fmt: skip
    with Shop.open(shop[1], readonly=True) as opened:
        assert opened.file(digest).read_bytes() == content
        assert opened.verify().holds


def test_a_photo_and_the_fact_that_names_it_may_come_in_any_order(shop, door, uids):
    content = jpeg()
    assert words(door.take(batch(fact(uids(), kind="noted", file=sha256(content))), TECH)) == ["kept"]
    assert door.keep_photo(sha256(content), content, name="", account=TECH)["word"] == "kept"


def test_a_photo_that_changed_on_the_way_is_refused(shop, door):
    content = png()
    with pytest.raises(Refusal, match="did not arrive"):
        door.keep_photo(sha256(content), content + b"x", name="", account=TECH)
    assert not list(shop[1].with_name(f"{shop[1].name}.files").iterdir())


@pytest.mark.parametrize("name", ["../../etc/passwd", "..", "c:\\photo.jpg", "a\nb", "x" * 121, "photo\u202egpj.exe"])
def test_a_name_that_could_be_a_path_is_refused_and_nothing_is_kept(shop, door, name):
    content = png()
    with pytest.raises(Refusal, match="not the name of a photo"):
        door.keep_photo(sha256(content), content, name=name, account=SHOP_HAND)
    assert not list(shop[1].with_name(f"{shop[1].name}.files").iterdir())


# Texts and uids


SCRIPT = "<script>alert(1)</script>"


def test_script_in_every_text_stays_text(shop, door, uids):
    unit = uids()
    registered = fact(uids(), unit, "registered", id=SCRIPT, site=SCRIPT, place=SCRIPT, serial=SCRIPT, model=SCRIPT, note=SCRIPT)
    assert words(door.take(batch(registered, fact(uids(), unit, "noted", note=SCRIPT)), TECH)) == ["kept", "kept"]
    with Shop.open(shop[1], readonly=True) as opened:
        state = opened.find(SCRIPT)[0]
        assert (state.site, state.place, state.nameplate.model) == (SCRIPT, SCRIPT, SCRIPT)


@pytest.mark.parametrize("text", ["\x00", "a\x1b[31m", "\ud800", "x" * 10_001, "   "])
def test_text_that_no_record_could_hold_is_refused_wherever_it_stands(shop, door, uids, text):
    before = everything(shop)
    entries = good_entries(*shop, unit_uid(0))
    whole = sheet(uids, 0, entries)
    spoilt = whole | {"entries": [whole["entries"][0] | {"note": text}, *whole["entries"][1:]]}
    wrong = [
        fact(uids(), kind="noted", note=text), fact(uids()) | {"person": text}, fact(uids()) | {"kind": text},
        fact(uids()) | {"fields": {text: "x"}},
    ]  # fmt: skip
    answer = door.take(batch(*wrong, sheets=[spoilt]), TECH)
    assert set(words(answer)) <= {"refused"}
    if text.strip():
        assert answer["sheets"][0]["entries"][0]["word"] == "refused"
        assert everything(shop) == before


def test_a_uid_of_an_instrument_is_no_unit(shop, door, uids):
    with Shop.open(shop[1], readonly=True) as opened:
        scale = opened.instruments()[0].uid
    answer = door.take(batch(fact(uids(), scale), fact(uids())), TECH)
    assert words(answer) == ["refused", "kept"]


def test_a_uid_that_is_no_uuid_of_version_7_is_refused(door, uids):
    old = "6ba7b810-9dad-11d1-80b4-00c04fd430c8"
    late = uuid7(at=NOW, randomness=bytes(8)).upper()
    assert words(door.take(batch(fact(old), fact(late), fact(uids(), "M-000")), TECH)) == ["refused"] * 3


# What stands in a text is never run


def test_script_in_every_text_is_shown_as_text_on_every_page_of_the_shop(shop, door, uids):
    unit = uids()
    texts = dict.fromkeys(("id", "site", "place", "serial", "model", "note", "rating", "lot", "source"), SCRIPT)
    facts = [
        fact(uids(), unit, "registered", agent="abc", **texts), fact(uids(), unit, "noted", note=SCRIPT),
        fact(uids(), unit, "not-done", reason=SCRIPT), fact(uids(), unit, "found-deficient", finding="bracket-loose", words=SCRIPT),
        fact(uids(), unit, "moved", place=SCRIPT, reason=SCRIPT), fact(uids(), unit, "measured", quantity=SCRIPT, value=SCRIPT),
        fact(uids(), unit, "retagged", tag=SCRIPT), fact(uids(), unit, "inspected", found=SCRIPT),
        fact(uids(), unit, "recalled", list=SCRIPT),
    ]  # fmt: skip
    assert set(words(door.take(batch(*facts), TECH))) == {"kept"}
    client = client_of(rooms := ShopRooms(*shop), more=office_routes(rooms))
    for path in (
        "/",
        f"/units/{unit}",
        "/sites",
        f"/sites/{quote(SCRIPT, safe='')}",
        "/deficiencies",
        f"/search?q={quote(SCRIPT)}",
        "/dues",
    ):
        page = client.get(path)
        assert page.status_code == 200, path
        assert "<script" not in page.text.lower(), path
        assert faults(page.text) == [], path
    assert SCRIPT in text_of(client.get(f"/units/{unit}").text)


def test_the_field_page_has_no_way_to_read_a_text_as_page():
    for module in (Path(field.__file__).parent / "static" / "field").glob("*.js"):
        text = module.read_text(encoding="utf-8")
        for way in (
            "innerHTML",
            "outerHTML",
            "insertAdjacentHTML",
            "document.write",
            "createContextualFragment",
            "DOMParser",
            "eval(",
            "srcdoc",
        ):
            assert way not in text, f"{module.name}: {way}"


# Too much, and of the wrong kind


@pytest.mark.parametrize(
    ("path", "most", "kind"), [("/api/door", 8_000_000, "application/json"), ("/api/door/photos/" + "a" * 64, 15_000_000, "image/jpeg")]
)
def test_what_is_too_large_is_refused_in_words(shop, path, most, kind):
    client = signed_in(*shop, token="tech-door")
    answer = client.request("POST" if path == "/api/door" else "PUT", path, content=b" " * (most + 1), headers={"content-type": kind})
    assert answer.status_code == 413
    assert answer.json()["error"]["rule"] == f"{most // 1_000_000} MB at most"
    assert not photos_of(shop)


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=b", "text/html", ""])
def test_a_batch_of_another_kind_is_refused_in_words(shop, uids, kind):
    content = json.dumps(batch(fact(uids()))).encode()
    answer = signed_in(*shop, token="tech-door").post("/api/door", content=content, headers={"content-type": kind})
    assert answer.status_code == 415
    assert answer.json()["error"]["rule"] == "the content is application/json"
    assert len(held(shop)) == 1


@pytest.mark.parametrize("packing", ["gzip", "deflate", "br", "gzip, gzip"])
def test_a_packed_body_is_refused_without_unfolding_it(shop, uids, packing):
    client = signed_in(*shop, token="tech-door")
    headers = {"content-type": "application/json", "content-encoding": packing}
    packed = gzip.compress(json.dumps(batch(fact(uids()))).encode())
    answer = client.post("/api/door", content=packed, headers=headers)
    assert answer.status_code == 415
    assert "packed" in answer.json()["error"]["what"]
    content = png()
    answer = client.put(f"/api/door/photos/{sha256(content)}", content=gzip.compress(content), headers={"content-encoding": packing})
    assert answer.status_code == 415
    assert len(held(shop)) == 1 and not photos_of(shop)


@pytest.mark.parametrize(
    "content",
    [b"<svg onload='alert(1)'/>", b"<!doctype html><script>alert(1)</script>", b"GIF89a" + bytes(20), b"%PDF-1.7", b"PK\x03\x04", b""],
)
def test_what_is_no_photo_is_refused_whatever_it_says_it_is(shop, content):
    answer = signed_in(*shop, token="tech-door").put(
        f"/api/door/photos/{sha256(content)}", content=content, headers={"content-type": "image/png"}
    )
    assert answer.status_code == 400
    assert answer.json()["error"]["what"] == "this is no photo"
    assert not photos_of(shop)


@pytest.mark.parametrize("address", ["..%2f..%2fshop", "a" * 63, "A" * 64, "g" * 64, "%2e%2e"])
def test_an_address_that_is_no_digest_leads_nowhere(shop, address):
    answer = signed_in(*shop, token="tech-door").put(f"/api/door/photos/{address}", content=png())
    assert answer.status_code in (404, 405, 422)
    assert not photos_of(shop)


# Forged, and by the wrong hands


def test_a_batch_in_the_name_of_another_device_stands_under_who_is_signed_in(shop, door, uids):
    door.take(batch(fact(uids())), TECH)
    door.take(batch(fact(uids(), kind="noted", note="forged")), OTHER)
    record = held(shop)[-1]
    assert (record.writer, record.person) == (PHONE, OTHER.name)
    with Shop.open(shop[1], readonly=True) as opened:
        assert opened.verify().holds


@pytest.mark.parametrize("device", ["office", "cli", "Phone-0001", "phone 0001", "x" * 65, "", None, 7])
def test_no_device_writes_into_the_chain_of_the_shop_itself(shop, door, uids, device):
    before = everything(shop)
    with pytest.raises(Refusal, match="not the id of a device"):
        door.take(batch(fact(uids()), device=device), TECH)
    assert everything(shop) == before


@pytest.mark.parametrize(
    ("token", "status"), [("", 401), ("tech-read", 403), ("tech-work", 403), ("inspector-door", 403), ("nobody-door", 401)]
)
def test_a_token_of_another_kind_or_role_opens_nothing(shop, uids, token, status):
    client = signed_in(*shop, token=token)
    content = png()
    answers = [client.post("/api/door", json=batch(fact(uids()))), client.put(f"/api/door/photos/{sha256(content)}", content=content)]
    assert {answer.status_code for answer in answers} == {status}
    assert all(set(answer.json()["error"]) == {"what", "rule", "got", "do"} for answer in answers)
    assert len(held(shop)) == 1 and not photos_of(shop)


# A clock a year wrong


@pytest.mark.parametrize(("days", "said"), [(366, "366 days ahead of the shop's"), (-365, "365 days behind the shop's")])
def test_a_clock_a_year_wrong_is_kept_with_the_fact_and_its_page_says_so(shop, door, uids, days, said):
    moment = NOW + timedelta(days=days)
    day = moment.date().isoformat()
    sent = batch(fact(uids(), done=day), sheets=[sheet(uids, 0, good_entries(*shop, unit_uid(0)), on=day)], at=moment.isoformat())
    answer = door.take(sent, TECH)
    assert (words(answer), answer["sheets"][0]["close"]["word"]) == (["kept"], "kept")
    assert any(said in each for each in answer["drafts"][0]["said"])
    made = [record for record in held(shop) if record.writer == PHONE]
    assert {record.fields["clock"] for record in made} == {said} and len(made) > 2
    assert words(door.take(sent | {"at": NOW.isoformat()}, TECH)) == ["known"], "the same again, from the mended clock"
    page = client_of(rooms := ShopRooms(*shop), more=office_routes(rooms)).get(f"/units/{unit_uid(0)}").text
    assert f"Odd: the clock of its device was {said} when it was handed in; check its day" in text_of(page)


def test_a_clock_that_is_hours_off_is_said_and_not_kept_with_every_fact(shop, door, uids):
    answer = door.take(batch(fact(uids()), at=(NOW - timedelta(hours=7)).isoformat()), TECH)
    assert "420 minutes behind" in answer["said"][0]
    assert "clock" not in held(shop)[-1].fields
