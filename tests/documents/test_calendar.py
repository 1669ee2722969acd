"""Calendars, held to RFC 5545 line by line, and read back by a parser that did not write them."""

from datetime import UTC, date, datetime

import pytest
from ical.calendar_stream import IcsCalendarStream

from pinseal.documents.calendar import WholeDay, calendar_file

CHANGED = datetime(2026, 11, 24, 22, 0, 30, tzinfo=UTC)


def day(**more):
    said = {
        "uid": "5a812f1d-2fa2-5d4a-802e-12dc6ccc7c78",
        "day": date(2026, 12, 4),
        "title": "Inspection: PC-1, Kitchen",
        "text": "10 lb, ABC\nCounted; from there.",
        "where": "Pier Café, Kitchen",
        "category": "inspection",
        "sequence": 3,
        "changed": CHANGED,
    }
    return WholeDay(**(said | more))


def made(*days, name="Extinguishers: Pier Café"):
    return calendar_file(name, "The last days allowed.", days, changed=CHANGED)


def lines(content):
    assert content.endswith(b"\r\n")
    return content.decode("utf-8").split("\r\n")[:-1]


def unfolded(content):
    """RFC 5545 3.1: a line end followed by one space or tab is taken away."""
    return content.decode("utf-8").replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")


def read(content):
    return IcsCalendarStream.calendar_from_ics(content.decode("utf-8"))


def test_a_day_is_whole_and_floats():
    assert "DTSTART;VALUE=DATE:20261204" in lines(made(day()))
    assert not [line for line in lines(made(day())) if line.startswith(("DTEND", "DURATION", "BEGIN:VTIMEZONE", "TZID"))]
    [event] = read(made(day())).events
    assert event.dtstart == date(2026, 12, 4)


def test_another_reader_reads_what_was_written():
    [event] = read(made(day())).events
    assert event.uid == "5a812f1d-2fa2-5d4a-802e-12dc6ccc7c78"
    assert event.summary == "Inspection: PC-1, Kitchen"
    assert event.description == "10 lb, ABC\nCounted; from there."
    assert event.location == "Pier Café, Kitchen"
    assert (event.sequence, event.last_modified, event.dtstamp) == (3, CHANGED, CHANGED)
    assert event.categories == ["inspection"]
    assert event.transparency == "TRANSPARENT"


def test_text_is_escaped_as_rfc_5545_3_3_11_says():
    found = unfolded(made(day(title="a;b,c\\d\ne")))
    assert "SUMMARY:a\\;b\\,c\\\\d\\ne" in found


@pytest.mark.parametrize(
    "text",
    [
        "x" * 500,
        "消防站二樓" * 60,
        "مستودع النفط " * 30,
        "é" * 37 + "x" * 300,
        "😀" * 40,
        "a\u0301" * 80,
        "END:VEVENT\nBEGIN:VEVENT\nUID:x",
    ],
)
def test_no_line_is_longer_than_75_octets_and_no_letter_is_cut(text):
    content = made(day(title=text, text=text, where=text), name=text)
    for line in content.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")  # a letter that was cut in two is no UTF-8
        assert b"\n" not in line
    assert [line for line in unfolded(content) if line.startswith("NAME:")] == ["NAME:" + escaped(text)]
    [event] = read(content).events
    assert (event.summary, event.description, event.location) == (text, text, text)


def escaped(text):
    return text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


@pytest.mark.parametrize("text", ["bell\x07", "null\x00", "one\r\ntwo", "line\x85sep", "\u2028x"])
def test_control_characters_do_not_get_into_the_file(text):
    content = made(day(title=text))
    found = content.decode("utf-8")
    assert not [letter for letter in found if ord(letter) < 32 and letter not in "\r\n\t"]
    assert len(read(content).events) == 1


def test_the_calendar_says_who_made_it_and_has_no_method():
    found = lines(made())
    assert found[0] == "BEGIN:VCALENDAR"
    assert "VERSION:2.0" in found
    assert any(line.startswith("PRODID:") for line in found)
    assert not any(line.startswith("METHOD") for line in found)


def test_a_calendar_without_a_day_is_still_one():
    assert read(made()).events == []


def test_the_same_days_give_the_same_bytes():
    assert made(day()) == made(day())
