"""The sync door: item by item kept, known or refused; sending again changes nothing."""

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
    SITE_OWNER,
    TECH,
    batch,
    everything,
    fact,
    held,
    png,
    sha256,
    words,
)

from pinseal.reasons import Refusal
from pinseal.store import Shop

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


def test_the_sites_of_the_mill_are_two_thirds_of_the_shop(shop):
    with Shop.open(shop[1], readonly=True) as opened:
        assert sum(state.site == MILL for state in opened.units()) == 4
