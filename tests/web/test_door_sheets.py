"""Job sheets at the sync door: kept in pieces, closed once, judged anew by the shop."""

from __future__ import annotations

import hashlib
from datetime import timedelta

import pytest
from door_shop import (
    LEAD,
    NOW,
    OTHER,
    OTHER_PHONE,
    PHONE,
    SITE_OWNER,
    TECH,
    Uids,
    batch,
    everything,
    fact,
    good_entries,
    held,
    make_shop,
    sheet,
    unit_uid,
    words,
)

from pinseal.app.day import ShopDay
from pinseal.app.door import ShopDoor
from pinseal.records.record import uuid7_beside
from pinseal.sheets.entries import Entry
from pinseal.store import Shop


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


# What the shop learned meanwhile


def test_a_sheet_is_judged_by_what_the_shop_had_when_the_day_was_taken_along(shop, door, uids):
    """The unit was stolen while the phone had no signal: what was seen of it before stays a fact, and the two are seen to disagree."""
    taken = ShopDay(*shop).day((), None, TECH)["at"]
    whole = sent_sheet(shop, uids, taken=taken)
    shop[0].record(
        shop[1], kind="removed", unit="M-000", done=None, fields={"reason": "stolen"}, uid=None, writer="office", person="Ida Quill"
    )
    answer = door.take(batch(sheets=[whole]), TECH)["sheets"][0]
    assert answer["close"]["word"] == "kept"
    assert {each["word"] for each in answer["entries"]} == {"kept"}
    with Shop.open(shop[1], readonly=True) as opened:
        unit = opened.unit(unit_uid(0))
    assert unit.state.removed == "stolen"
    assert "inspected" in {fact.kind for fact in unit.facts}


def test_the_records_of_a_sheet_stand_where_the_work_stood_whenever_it_comes_in(shop, tmp_path):
    made = []
    for number, order in enumerate(((0, 1), (1, 0))):
        folder = tmp_path / str(number)
        folder.mkdir()
        own = make_shop(folder)
        uids = Uids()
        both = [batch(sheets=[sent_sheet(own, uids)]), batch(sheets=[sent_sheet(own, uids)], device=OTHER_PHONE)]
        for each in order:
            answer = ShopDoor(*own).take(both[each], (TECH, OTHER)[each])
            assert answer["sheets"][0]["close"]["word"] == "kept"
        made.append(sorted((r.uid, r.kind, r.person) for r in held(own) if r.kind != "registered"))
    assert made[0] == made[1]


def test_a_uid_that_somebody_took_beforehand_does_not_keep_a_sheet_open(shop, door, uids):
    other = sent_sheet(shop, uids, 1)
    last = max(each["uid"] for each in other["entries"])
    foreseen = uuid7_beside(last, randomness=hashlib.sha256(f"{other['uid']}/0".encode()).digest())
    assert words(door.take(batch(fact(foreseen, 1), device=OTHER_PHONE), OTHER)) == ["kept"]
    assert door.take(batch(sheets=[other]), TECH)["sheets"][0]["close"]["word"] == "kept"


@pytest.mark.parametrize("taken", ["yesterday", 7, "2026-05-04T15:00:00Z", ""])
def test_a_moment_that_cannot_be_read_is_refused_with_its_sheet(shop, door, uids, taken):
    answer = door.take(batch(sheets=[sent_sheet(shop, uids, taken=taken)]), TECH)["sheets"][0]
    assert answer["word"] == "refused"
    assert "taken along" in answer["refusal"]["what"]


def test_a_moment_that_is_still_to_come_is_left_aside(shop, door, uids):
    whole = sent_sheet(shop, uids, taken="2027-05-04T15:00:00.000000Z")
    assert door.take(batch(sheets=[whole]), TECH)["sheets"][0]["close"]["word"] == "kept"
    with Shop.open(shop[1], readonly=True) as opened:
        assert "taken" not in opened.sheet(whole["uid"]).content
