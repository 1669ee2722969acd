"""A calendar as a file that any calendar program reads: iCalendar (RFC 5545, with the names of RFC 7986).

The days are whole and float (RFC 5545 3.3.4: a date without a time zone), so a due is the same day everywhere. The calendar has no
method: it is a state to be read, not a request to anybody, so DTSTAMP is the last change (RFC 5545 3.8.7.2).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

MEDIA_TYPE = "text/calendar; charset=utf-8"
_REFRESH = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeDay:
    """One entry: a whole day. `changed` is a moment with a time zone; `address` may be empty."""

    uid: str
    day: date
    title: str
    text: str
    where: str
    category: str
    sequence: int
    changed: datetime
    address: str = ""


def calendar_file(name: str, about: str, days: Iterable[WholeDay], *, changed: datetime) -> bytes:
    """The calendar as bytes: lines of at most 75 octets that end in CRLF, text escaped. The same call gives the same bytes."""
    from icalendar import Calendar, Event, vDuration, vText, vUri

    calendar = Calendar()
    calendar.add("prodid", "-//pinseal//dues of a site//EN")
    calendar.add("version", "2.0")
    calendar.add("name", vText(_plain(name)))  # the library knows no kind of this name, and would not escape it
    calendar.add("description", _plain(about))
    calendar.add("last-modified", changed.astimezone(UTC))
    calendar.add("refresh-interval", vDuration(_REFRESH), parameters={"VALUE": "DURATION"})
    for each in days:
        event = Event()
        event.add("uid", each.uid)
        event.add("dtstamp", each.changed.astimezone(UTC))
        event.add("last-modified", each.changed.astimezone(UTC))
        event.add("sequence", each.sequence)
        event.add("dtstart", each.day)
        event.add("summary", _plain(each.title))
        event.add("description", _plain(each.text))
        event.add("location", _plain(each.where))
        event.add("categories", [_plain(each.category)])
        event.add("transp", "TRANSPARENT")
        if each.address:
            event.add("url", vUri(each.address))
        calendar.add_component(event)
    content: bytes = calendar.to_ical()
    return content


def _plain(text: str) -> str:
    """Text without control characters, which RFC 5545 3.1 forbids; line ends and tabs stay."""
    return "".join(letter for letter in text.replace("\r\n", "\n").replace("\r", "\n") if letter in "\n\t" or letter.isprintable())
