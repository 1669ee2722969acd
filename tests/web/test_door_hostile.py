"""What should never come to the sync door: it is refused in words, and nothing of it is kept."""

from __future__ import annotations

import pytest
from door_shop import (
    NOW,
    SHOP_HAND,
    TECH,
    batch,
    everything,
    fact,
    good_entries,
    jpeg,
    png,
    sha256,
    sheet,
    unit_uid,
    words,
)

from pinseal.reasons import Refusal
from pinseal.records.record import uuid7
from pinseal.store import Shop

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
