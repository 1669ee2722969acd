"""The dues of a site as days of a calendar: one entry for each duty of each unit, on the early end of its due.

An entry tells nothing that changes by itself as days go by (no "overdue"), so that what a program has fetched stays right until
something is written. Its number of changes counts what was written: records of the unit, settings and withdrawal lists of the shop.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from pinseal import kinds
from pinseal.dates import PartialDate, span_for_people
from pinseal.records.unit import UnitState
from pinseal.rules.rows import Due
from pinseal.service.duelist import DueList
from pinseal.service.owner_file_words import kind_words, unit_words

Written = tuple[int, datetime]
_CAUTION = "Licensed practice, the nameplate, the maker's manual and local rules come first."
# Units of an import or a damaged shop may have a uid that is no UUID; their names are drawn in a space of their own.
_SPACE = UUID("6d5f0d1e-3c65-5f0b-9a53-6a1f1b0c9d27")


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEntry:
    """A day of the calendar.

    `uid` stays the same for one duty of one unit; `sequence` grows with what is written, and `changed` is when that was last.
    """

    uid: str
    day: date
    title: str
    lines: tuple[str, ...]
    where: str
    duty: str
    sequence: int
    changed: datetime
    address: str = ""

    def as_json(self) -> dict[str, Any]:
        return {
            "uid": self.uid,
            "day": self.day.isoformat(),
            "title": self.title,
            "lines": list(self.lines),
            "where": self.where,
            "duty": self.duty,
            "sequence": self.sequence,
            "changed": self.changed.isoformat(),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteCalendar:
    """The calendar of a site. `undated` counts the dues without a date, which no day can hold. `changed` is the last of all changes."""

    name: str
    entries: tuple[DayEntry, ...]
    undated: int
    changed: datetime

    def as_json(self) -> dict[str, Any]:
        return {"name": self.name, "undated": self.undated, "events": [each.as_json() for each in self.entries]}


def site_calendar(
    site: str, dues: DueList, *, written: Mapping[str, Written], shop_written: Written, duties: Collection[str] = (), web_address: str = ""
) -> SiteCalendar:
    """The dues of the units of `dues`, those of some duties alone where any are named, in the order of their days.

    `written` tells how many records came in about each unit and when the last, `shop_written` the same of settings and lists.
    """
    entries, undated = [], 0
    for state, due in _owed(dues, duties):
        if due.earliest is None:
            undated += 1
            continue
        entries.append(_entry(state, due, due.earliest, written[state.uid or ""], shop_written, web_address))
    changed = max([shop_written[1], *(when for _, when in written.values())])
    return SiteCalendar(
        name=site, entries=tuple(sorted(entries, key=lambda each: (each.day, each.title, each.uid))), undated=undated, changed=changed
    )


def _owed(dues: DueList, duties: Collection[str]) -> Iterator[tuple[UnitState, Due]]:
    for index, state in enumerate(dues.states):
        for due in dues.of_unit(index):
            if not state.placeholder and (not duties or due.duty in duties):
                yield state, due


def _entry(state: UnitState, due: Due, day: date, written: Written, shop_written: Written, web_address: str) -> DayEntry:
    place = ", ".join(part for part in (state.site, state.place) if part)
    return DayEntry(
        uid=_name(state.uid or "", due.duty),
        day=day,
        title=f"{kinds.DUTY_TITLES[due.duty]}: {unit_words(state)}" + (f", {state.place}" if state.place else ""),
        lines=tuple(_lines(state, due, day)),
        where=place,
        duty=kinds.DUTIES[due.duty],
        sequence=written[0] + shop_written[0] - 2,
        changed=max(written[1], shop_written[1]),
        address=f"{web_address.rstrip('/')}/units/{state.uid}" if web_address else "",
    )


def _name(unit: str, duty: str) -> str:
    """A name of its own for one duty of one unit, the same in every calendar (RFC 7986 5.3 asks for a UUID)."""
    return str(uuid5(uuid5(_SPACE, unit), duty))


def _lines(state: UnitState, due: Due, day: date) -> Iterator[str]:
    yield kind_words(state)
    if due.withdrawn:
        yield "It must be taken out of use."
    elif due.latest is not None and due.latest != day:
        yield f"Last day allowed: {span_for_people(day, due.latest)}. The early end is taken, because a date is not known better."
    else:
        yield f"Last day allowed: {PartialDate.of(day).for_people()}."
    if due.perhaps:
        yield "It may not be owed at all."
    yield from due.because
    yield _CAUTION
