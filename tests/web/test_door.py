"""The sync door: item by item kept, known or refused; sending again changes nothing; the shop judges anew."""

from __future__ import annotations

from datetime import timedelta

import pytest
from door_shop import (
    INSPECTOR,
    LEAD,
    MILL,
    NOW,
    OTHER,
    OTHER_PHONE,
    PHONE,
    SHOP_HAND,
    SITE_OWNER,
    TECH,
    Uids,
    batch,
    fact,
    good_entries,
    jpeg,
    make_shop,
    png,
    sha256,
    sheet,
    unit_uid,
)

from pinseal.app.door import ShopDoor
from pinseal.reasons import Refusal
from pinseal.records.record import uuid7
from pinseal.sheets.entries import Entry
from pinseal.store import Shop


@pytest.fixture
def shop(tmp_path):
    return make_shop(tmp_path)


@pytest.fixture
def door(shop):
    return ShopDoor(*shop)


@pytest.fixture
def uids():
    return Uids()


def words(answer) -> list[str]:
    return [each["word"] for each in answer["drafts"]]


def held(shop, unit: int = 0):
    with Shop.open(shop[1], readonly=True) as opened:
        return opened.records(unit_uid(unit))


def everything(shop) -> list[str]:
    with Shop.open(shop[1], readonly=True) as opened:
        assert opened.verify().holds
        return [record.digest for record in opened.records()]


def photos(shop) -> list[str]:
    return [each.name for each in shop[1].with_name(f"{shop[1].name}.files").iterdir()]


# Facts


def test_a_fact_is_kept_in_the_chain_of_its_device_and_known_the_second_time(shop, door, uids):
    sent = batch(fact(uids()), fact(uids(), 1, "noted", note="invented"))
    assert words(door.take(sent, TECH)) == ["kept", "kept"]
    before = everything(shop)
    assert words(door.take(sent, TECH)) == ["known", "known"]
    assert everything(shop) == before
    record = held(shop)[-1]
    assert (record.writer, record.person, record.kind) == (PHONE, TECH.name, "inspected")


def test_what_was_kept_is_there_when_the_shop_is_opened_again(shop, door, uids):
    uid = uids()
    door.take(batch(fact(uid)), TECH)
    assert uid in {record.uid for record in held(shop)}


def test_a_refused_fact_stops_no_other(shop, door, uids):
    good, wrong, odd = fact(uids()), fact(uids(), kind="polished"), {"uid": 7}
    missing = fact(uids(), 1, "found-deficient")
    late = fact(uids(), 1, "corrected", corrects=uids(), void="yes")
    answer = door.take(batch(wrong, good, odd, missing, late, "no fact", fact(uids(), 2)), TECH)
    assert words(answer) == ["refused", "kept", "refused", "refused", "refused", "refused", "kept"]
    refusal = answer["drafts"][0]["refusal"]
    assert refusal["what"] == "there is no such kind of record"
    assert set(refusal) == {"what", "rule", "got", "do"}
    assert all(said["refusal"]["what"] for said in answer["drafts"] if said["word"] == "refused")


def test_the_same_uid_with_other_content_is_refused_and_changes_nothing(shop, door, uids):
    uid = uids()
    door.take(batch(fact(uid)), TECH)
    before = everything(shop)
    for forged in (fact(uid, 1), fact(uid, kind="maintained"), fact(uid, done="2026-05-03"), fact(uid, note="more")):
        assert words(door.take(batch(forged), TECH)) == ["refused"]
    assert everything(shop) == before


def test_another_device_cannot_take_a_uid_over(shop, door, uids):
    uid = uids()
    door.take(batch(fact(uid)), TECH)
    answer = door.take(batch(fact(uid), device=OTHER_PHONE), OTHER)
    assert words(answer) == ["refused"]
    assert "another record" in answer["drafts"][0]["refusal"]["what"]


def test_a_uid_that_stands_twice_in_one_batch_is_kept_once(shop, door, uids):
    uid = uids()
    answer = door.take(batch(fact(uid), fact(uid), fact(uid, done="2026-05-01")), TECH)
    assert words(answer) == ["kept", "known", "refused"]
    assert [record.uid for record in held(shop)].count(uid) == 1


def test_each_person_signs_their_own_work_and_a_supervisor_may_hand_in_anothers(shop, door, uids):
    own, anothers = fact(uids()) | {"person": TECH.name}, fact(uids(), 1) | {"person": OTHER.name}
    answer = door.take(batch(own, anothers), TECH)
    assert words(answer) == ["kept", "refused"]
    assert OTHER.name in answer["drafts"][1]["refusal"]["do"]
    assert words(door.take(batch(anothers), LEAD)) == ["kept"]
    assert held(shop, 1)[-1].person == OTHER.name


def test_known_is_said_to_another_person_on_the_same_phone_too(shop, door, uids):
    sent = batch(fact(uids()))
    door.take(sent, TECH)
    assert words(door.take(sent, OTHER)) == ["known"]


def test_a_clock_a_year_wrong_is_kept_marked_and_said(shop, door, uids):
    ahead, long_ago = fact(uids(), done="2027-05-05"), fact(uids(), 1, done="1949")
    answer = door.take(batch(ahead, long_ago, at=(NOW + timedelta(days=366)).isoformat()), TECH)
    assert words(answer) == ["kept", "kept"]
    assert "366 days ahead" in answer["said"][0]
    assert any("still to come" in each for each in answer["drafts"][0]["said"])
    assert any("after the day on which it was received" in each for each in answer["drafts"][0]["said"])
    assert any("long ago" in each for each in answer["drafts"][1]["said"])


@pytest.mark.parametrize(
    ("done", "odd"), [("2026-05-05", False), ("2026-05-06", True), ("2026", False), ("1949-12-31", True), ("1950-01-01", False)]
)
def test_only_a_day_after_tomorrow_or_before_1950_is_odd(door, uids, done, odd):
    said = door.take(batch(fact(uids(), kind="noted", done=done, note="invented")), TECH)["drafts"][0]["said"]
    assert any("It is dated" in each for each in said) is odd


@pytest.mark.parametrize(("minutes", "said"), [(9, 0), (10, 0), (11, 1), (-11, 1)])
def test_a_clock_that_is_a_little_wrong_is_not_talked_about(door, minutes, said):
    answer = door.take(batch(at=(NOW + timedelta(minutes=minutes)).isoformat()), TECH)
    assert len(answer["said"]) == said


def test_a_new_unit_of_the_field_is_registered_and_worked_on_in_one_batch(shop, door, uids):
    unit = uids()
    answer = door.take(batch(fact(uids(), unit, "registered", id="F-1", agent="abc"), fact(uids(), unit)), TECH)
    assert words(answer) == ["kept", "kept"]
    with Shop.open(shop[1], readonly=True) as opened:
        assert [state.uid for state in opened.find("F-1")] == [unit]


def test_the_registers_do_not_come_through_the_door(door, uids):
    answer = door.take(batch(fact(uids(), uids(), "person-registered", name="Nobody Invented", role="supervisor")), TECH)
    assert words(answer) == ["refused"]
    assert "office" in answer["drafts"][0]["refusal"]["do"]


# Roles


def test_an_owner_writes_about_their_own_sites_and_only_what_is_theirs(shop, door, uids):
    theirs, elsewhere, work, nowhere = fact(uids()), fact(uids(), 2), fact(uids(), 0, "recharged"), fact(uids(), uids())
    answer = door.take(batch(theirs, elsewhere, work, nowhere), SITE_OWNER)
    assert words(answer) == ["kept", "refused", "refused", "refused"]
    assert answer["drafts"][1]["refusal"]["what"] == answer["drafts"][3]["refusal"]["what"]


def test_an_authority_writes_nothing(shop, door, uids):
    before = everything(shop)
    content = png()
    assert words(door.take(batch(fact(uids())), INSPECTOR)) == ["refused"]
    with pytest.raises(Refusal, match="only reads"):
        door.keep_photo(sha256(content), content, name="", account=INSPECTOR)
    assert everything(shop) == before


# Job sheets


def sent_sheet(shop, uids, unit: int = 0, works=("inspection",), **more):
    return sheet(uids, unit, good_entries(*shop, unit_uid(unit), works), works, **more)


@pytest.mark.parametrize("works", [("inspection",), ("maintenance",)])
def test_a_good_sheet_is_kept_closed_and_moves_the_dues(shop, door, uids, works):
    answer = door.take(batch(sheets=[sent_sheet(shop, uids, works=works)]), TECH)["sheets"][0]
    assert (answer["word"], answer["close"]["word"], answer["close"]["outcome"]) == ("kept", "kept", "tag")
    assert {each["word"] for each in answer["entries"]} == {"kept"}
    assert works[0] in {moved["duty"] for moved in answer["close"]["moved"]}
    assert all(verdict["verdict"] == "pass" for verdict in answer["verdicts"])
    made = [record for record in held(shop) if record.writer == PHONE]
    assert len(made) == answer["close"]["records"] > 0
    assert {record.person for record in made} == {TECH.name}


def test_a_sheet_sent_again_is_known_and_makes_nothing_more(shop, door, uids):
    sent = batch(sheets=[sent_sheet(shop, uids)])
    first = door.take(sent, TECH)["sheets"][0]
    before = everything(shop)
    again = door.take(sent, TECH)["sheets"][0]
    assert (again["word"], again["close"]["word"]) == ("known", "known")
    assert {each["word"] for each in again["entries"]} == {"known"}
    assert again["close"]["outcome"] == first["close"]["outcome"]
    assert everything(shop) == before


def test_a_sheet_may_come_in_pieces_and_is_closed_with_the_last(shop, door, uids):
    whole = sent_sheet(shop, uids)
    part = whole | {"entries": whole["entries"][:2], "close": False}
    first = door.take(batch(sheets=[part]), TECH)["sheets"][0]
    assert (first["word"], first["close"]) == ("kept", None)
    second = door.take(batch(sheets=[whole]), TECH)["sheets"][0]
    assert [each["word"] for each in second["entries"]][:3] == ["known", "known", "kept"]
    assert second["close"]["word"] == "kept"
    late = door.take(batch(sheets=[part]), TECH)["sheets"][0]
    assert {each["word"] for each in late["entries"]} == {"known"}


def test_an_unfinished_sheet_is_kept_and_its_closing_is_refused_in_words(shop, door, uids):
    whole = sent_sheet(shop, uids)
    answer = door.take(batch(sheets=[whole | {"entries": whole["entries"][:2]}]), TECH)["sheets"][0]
    assert (answer["word"], answer["close"]["word"]) == ("kept", "refused")
    assert "not finished" in answer["close"]["refusal"]["what"]
    assert not [record for record in held(shop) if record.writer == PHONE]
    assert door.take(batch(sheets=[whole]), TECH)["sheets"][0]["close"]["word"] == "kept"


def test_an_entry_that_does_not_fit_is_kept_as_set_aside_and_said_each_time(shop, door, uids):
    entries = good_entries(*shop, unit_uid(0))
    odd = Entry(kind="step", subject="no-such-step", said={"answer": "done"})
    sent = batch(sheets=[sheet(uids, 0, [odd, *entries])])
    for word in ("kept", "known"):
        answer = door.take(sent, TECH)["sheets"][0]
        assert answer["entries"][0]["word"] == word
        assert "Set aside" in answer["entries"][0]["said"][0]
        assert answer["close"]["word"] == word


def test_an_entry_that_cannot_be_read_is_refused_and_the_sheet_stays_open(shop, door, uids):
    whole = sent_sheet(shop, uids)
    wrong = {"uid": uids(), "answer": "done"}
    answer = door.take(batch(sheets=[whole | {"entries": [*whole["entries"], wrong]}]), TECH)["sheets"][0]
    assert [each["word"] for each in answer["entries"]][-2:] == ["kept", "refused"]
    assert "an entry of it was refused" in answer["close"]["refusal"]["what"]
    assert door.take(batch(sheets=[whole]), TECH)["sheets"][0]["close"]["word"] == "kept"


def test_a_work_that_cannot_be_added_is_refused_and_shuts_no_sheet(shop, door, uids):
    entries = good_entries(*shop, unit_uid(0))
    odd = Entry(kind="extend", subject="polishing")
    answer = door.take(batch(sheets=[sheet(uids, 0, [*entries, odd], close=False)]), TECH)["sheets"][0]
    assert answer["entries"][-1]["word"] == "refused"
    assert shop[0].resume(shop[1], answer["uid"]).work.answers


def test_the_shop_judges_anew_whatever_the_phone_thought(shop, door, uids):
    entries = good_entries(*shop, unit_uid(0), ("maintenance",))
    low = [
        Entry(kind=e.kind, subject=e.subject, said=e.said, instruments=e.instruments, readings={**e.readings, "gauge": "60 psi"})
        if "gauge" in e.readings
        else e
        for e in entries
    ]
    answer = door.take(batch(sheets=[sheet(uids, 0, low, ("maintenance",))]), TECH)["sheets"][0]
    assert "fail" in {verdict["verdict"] for verdict in answer["verdicts"]}
    assert answer["close"]["word"] == "refused"
    assert answer["decision"]["decision"] != "tag"


def test_a_sheet_of_another_device_or_with_other_content_is_refused(shop, door, uids):
    whole = sent_sheet(shop, uids, close=False)
    door.take(batch(sheets=[whole]), TECH)
    other_unit = whole | {"unit": unit_uid(1)}
    for forged, device in (
        (whole, OTHER_PHONE),
        (other_unit, PHONE),
        (whole | {"on": "2026-05-03"}, PHONE),
        (whole | {"works": ["recharge"]}, PHONE),
    ):
        answer = door.take(batch(sheets=[forged], device=device), TECH)["sheets"][0]
        assert answer["word"] == "refused"
        assert "another job sheet" in answer["refusal"]["what"]
    changed = whole | {"entries": [whole["entries"][0] | {"note": "forged"}, *whole["entries"][1:]]}
    answer = door.take(batch(sheets=[changed]), TECH)["sheets"][0]
    assert answer["entries"][0]["word"] == "refused"
    assert {each["word"] for each in answer["entries"][1:]} == {"known"}


def test_nothing_is_added_to_a_closed_sheet(shop, door, uids):
    whole = sent_sheet(shop, uids)
    door.take(batch(sheets=[whole]), TECH)
    before = everything(shop)
    more = whole["entries"][0] | {"uid": uids()}
    answer = door.take(batch(sheets=[whole | {"entries": [*whole["entries"], more]}]), TECH)["sheets"][0]
    assert answer["entries"][-1]["word"] == "refused"
    assert answer["close"]["word"] == "known"
    assert everything(shop) == before


def test_a_sheet_that_another_person_began_is_closed_by_its_own_person_or_a_supervisor(shop, door, uids):
    whole = sent_sheet(shop, uids)
    door.take(batch(sheets=[whole | {"close": False}]), TECH)
    assert door.take(batch(sheets=[whole]), OTHER)["sheets"][0]["close"]["word"] == "refused"
    assert door.take(batch(sheets=[whole]), LEAD)["sheets"][0]["close"]["word"] == "kept"


def test_a_unit_that_left_meanwhile_keeps_the_sheet_and_says_so(shop, door, uids):
    whole = sent_sheet(shop, uids)
    shop[0].record(
        shop[1], kind="removed", unit="M-000", done=None, fields={"reason": "stolen"}, uid=None, writer="office", person="Ida Quill"
    )
    answer = door.take(batch(sheets=[whole]), TECH)["sheets"][0]
    assert (answer["word"], answer["close"]["word"]) == ("kept", "refused")
    assert all("left the fleet" in each["said"][0] for each in answer["entries"])


def test_two_phones_on_one_unit_are_both_kept_and_told_of_each_other(shop, door, uids):
    one, two = sent_sheet(shop, uids, close=False), sent_sheet(shop, uids)
    door.take(batch(sheets=[one]), TECH)
    answer = door.take(batch(sheets=[two], device=OTHER_PHONE), OTHER)["sheets"][0]
    assert answer["close"]["word"] == "kept"
    assert TECH.name in answer["said"][0]
    assert "Both stay" in answer["said"][0]


def test_a_sheet_for_a_unit_that_is_not_there_waits_for_its_registration(shop, door, uids):
    unit = uids()
    lost = sheet(uids, unit, good_entries(*shop, unit_uid(0)))
    assert door.take(batch(sheets=[lost]), TECH)["sheets"][0]["word"] == "refused"


def test_an_owner_does_inspections_at_their_sites_and_no_other_work(shop, door, uids):
    own, other_site, other_work = sent_sheet(shop, uids), sent_sheet(shop, uids, 2), sent_sheet(shop, uids, 1, ("maintenance",))
    answer = door.take(batch(sheets=[own, other_site, other_work]), SITE_OWNER)["sheets"]
    assert [each["word"] for each in answer] == ["kept", "refused", "refused"]
    assert answer[0]["close"]["word"] == "kept"


def test_a_sheet_dated_a_year_ahead_is_kept_and_said(shop, door, uids):
    on = (NOW + timedelta(days=366)).date()
    entries = good_entries(*shop, unit_uid(0), on=on)
    answer = door.take(batch(sheets=[sheet(uids, 0, entries, on=on.isoformat())]), TECH)["sheets"][0]
    assert answer["close"]["word"] == "kept"
    assert "still to come" in answer["said"][0]


def test_two_hands_on_one_sheet_lose_nothing(shop, door, uids, monkeypatch):
    """The office adds to the sheet between the door's reading and its writing: the door reads again."""
    from pinseal.store import door as door_store

    whole = sent_sheet(shop, uids, close=False)
    door.take(batch(sheets=[whole | {"entries": whole["entries"][:1]}]), TECH)
    write, busy = door_store.add_entries, [True]

    def write_late(opened, uid, entries, **how):
        if busy.pop() if busy else False:
            entry = {"step": "no-such-step", "answer": "done", "note": "from the office"}
            opened.add_entry(uid, entry, person="Ida Quill", received=NOW, expect=2)
        return write(opened, uid, entries, **how)

    monkeypatch.setattr(door_store, "add_entries", write_late)
    answer = door.take(batch(sheets=[whole]), TECH)["sheets"][0]
    assert [each["word"] for each in answer["entries"]] == ["known", *["kept"] * (len(whole["entries"]) - 1)]
    with Shop.open(shop[1], readonly=True) as opened:
        kept = opened.sheet(whole["uid"])
    assert [each.number for each in kept.entries] == list(range(1, len(whole["entries"]) + 2))


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


# The batch as a whole


@pytest.mark.parametrize(
    "said",
    [
        None,
        [],
        {"drafts": []},
        {"device": "office", "drafts": []},
        {"device": "../phone-1", "drafts": []},
        {"device": PHONE, "drafts": {}},
        {"device": PHONE, "sheets": "all"},
        {"device": PHONE, "more": 1},
        {"device": PHONE, "at": "yesterday"},
        {"device": PHONE, "at": "2026-05-04T10:00:00"},
        {"device": PHONE, "drafts": [{}] * 1001},
    ],
)
def test_a_batch_that_cannot_be_read_is_refused_whole(shop, door, said):
    before = everything(shop)
    with pytest.raises(Refusal):
        door.take(said, TECH)
    assert everything(shop) == before


def test_a_batch_of_a_thousand_facts_is_taken(shop, door, uids):
    answer = door.take(batch(*(fact(uids(), n % 6, "noted", note=f"no. {n}") for n in range(1000))), TECH)
    assert set(words(answer)) == {"kept"}
    assert len(held(shop)) >= 160


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


def test_the_sites_of_the_mill_are_two_thirds_of_the_shop(shop):
    with Shop.open(shop[1], readonly=True) as opened:
        assert sum(state.site == MILL for state in opened.units()) == 4
