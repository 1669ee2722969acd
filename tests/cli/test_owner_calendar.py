"""`print calendar`: the dues of a site as days, whose names last and whose numbers of changes grow."""

import pytest
from ical.calendar_stream import IcsCalendarStream

SITE = "Pier Café"


@pytest.fixture
def pier(pinseal, shop):
    for name in ("PC-1", "PC-2"):
        words = ("--site", SITE, "--place", "Kitchen, door", "--agent", "abc", "--manufactured", "2019-06")
        assert pinseal("record", "registered", name, "--on", "2026-01-05", *words).code == 0
    assert pinseal("record", "maintained", "PC-1", "--on", "2026-03-03").code == 0
    assert pinseal("record", "inspected", "PC-1", "--on", "2026-11-03").code == 0


def read(pinseal, folder, *words):
    ran = pinseal("print", "calendar", SITE, "--out", folder / "x.ics", "--json", *words)
    assert ran.code == 0, ran.err
    found = IcsCalendarStream.calendar_from_ics((folder / "x.ics").read_text(encoding="utf-8"))
    return ran.json, {event.summary: event for event in found.events}


def test_each_due_stands_on_its_early_end(pinseal, pier, shop, tmp_path):
    told, events = read(pinseal, tmp_path)
    rows = pinseal("due", shop, "--json").json["rows"]
    dated = [row for row in rows if row["earliest"] and row["unit"]["id"] in ("PC-1", "PC-2")]
    assert sorted(each["day"] for each in told["events"]) == sorted(row["earliest"] for row in dated)
    assert len(events) == len(dated)
    assert str(events["Maintenance: PC-1, Kitchen, door"].dtstart) == "2027-03-03"


def test_dues_without_a_date_are_counted_and_not_placed(pinseal, pier, tmp_path):
    told, events = read(pinseal, tmp_path)
    assert told["undated"] > 0  # PC-2 has no inspection on record
    assert "Inspection: PC-2, Kitchen, door" not in events


def test_a_deed_moves_the_day_and_keeps_the_name(pinseal, pier, tmp_path):
    _, before = read(pinseal, tmp_path)
    assert pinseal("record", "inspected", "PC-1", "--on", "2026-11-20").code == 0
    _, after = read(pinseal, tmp_path)
    one, other = (each["Inspection: PC-1, Kitchen, door"] for each in (before, after))
    assert one.uid == other.uid
    assert str(other.dtstart) == "2026-12-21"
    assert other.sequence == one.sequence + 1
    assert len({event.uid for event in after.values()}) == len(after)


def test_a_change_of_settings_is_a_change_of_every_day(pinseal, pier, tmp_path):
    _, before = read(pinseal, tmp_path)
    assert pinseal("settings", "--date-style", "iso").code == 0
    _, after = read(pinseal, tmp_path)
    assert all(after[title].sequence == event.sequence + 1 for title, event in before.items())


def test_nothing_in_it_changes_by_itself(pinseal, pier, tmp_path):
    read(pinseal, tmp_path)
    first = (tmp_path / "x.ics").read_bytes()
    read(pinseal, tmp_path)
    assert (tmp_path / "x.ics").read_bytes() == first
    assert b"verdue" not in first


def test_only_some_duties_are_told_where_they_are_named(pinseal, pier, tmp_path):
    told, _ = read(pinseal, tmp_path, "--duty", "maintenance")
    assert {each["duty"] for each in told["events"]} == {"maintenance"}


def test_a_unit_that_left_is_not_in_it(pinseal, pier, tmp_path):
    assert pinseal("record", "removed", "PC-1", "--on", "2026-11-20", "--reason", "sold").code == 0
    told, _ = read(pinseal, tmp_path)
    assert not [each for each in told["events"] if "PC-1" in each["title"]]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("Pier", "--out", "x.ics"), "no unit is on record at this site"),
        ((SITE, "--out", "x.csv"), "a calendar ends in .ics"),
        ((SITE, "--out", "x.ics", "--duty", "painting"), "there is no such duty"),
    ],
)
def test_what_cannot_be_told_is_refused_in_words(pinseal, pier, words, said):
    ran = pinseal("print", "calendar", *words)
    assert ran.code == 2
    assert said in ran.err
