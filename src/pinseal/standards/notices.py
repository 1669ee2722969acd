"""Who must be told of an impaired unit, and by when (`notices.toml`), read strictly; and the public holidays of a place.

Holidays come from the library `holidays`, which follows the published acts of each place. Whether a public holiday is a business
day is not said by the rules that are held here, so both readings are kept.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from pinseal.kinds import TOLD
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, shipped, source_of
from pinseal.standards.strict import Place

_FILE = "notices.toml"
_WITHIN = re.compile(r"at once|(\d{1,3}) (hours|business days)", re.ASCII)
AFTER = {"impaired": "the unit was found impaired", "cleared": "the impairment was cleared"}
# The place whose practice holds where nothing else is held.
ANYWHERE = "int"


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """One thing that must be told: to whom (a key of `kinds.TOLD`), counted from what, within which time.

    `hours` and `business_days` are None where the other counts; both None means at once.
    """

    id: str
    place: str
    to: str
    after: str
    hours: int | None
    business_days: int | None
    where_there_is_one: bool
    words: str
    within: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeData:
    tellings: tuple[Telling, ...]
    calendars: Mapping[str, tuple[str, str | None]]

    def of_place(self, place: str) -> tuple[Telling, ...]:
        """What a place asks for; where nothing is held of it, the practice of any place."""
        return tuple(each for each in self.tellings if each.place == place) or tuple(t for t in self.tellings if t.place == ANYWHERE)


def _within(place: Place, table: Mapping[str, Any]) -> tuple[int | None, int | None]:
    found = _WITHIN.fullmatch(place.text(table, "within"))
    if found is None:
        raise place.refuse(
            "this is no length of time", rule='"at once", "N hours" or "N business days"', got=table["within"], do="correct it"
        )
    count = int(found[1]) if found[1] else None
    return (count, None) if found[2] == "hours" else (None, count)


def _telling(place: Place, table: Mapping[str, Any]) -> Telling:
    hours, days = _within(place, table)
    return Telling(
        id=table["id"],
        place=place.text(table, "place"),
        to=place.code(table.get("to"), TOLD, what="one who is told"),
        after=place.code(table.get("after"), AFTER, what="beginning"),
        hours=hours,
        business_days=days,
        where_there_is_one=place.flag(table, "where_there_is_one"),
        words=place.text(table, "words"),
        within=table["within"],
        source=source_of(place, table),
    )


def parse_notice_data(tables: Mapping[str, Any]) -> NoticeData:
    """Read the data from the tables of a TOML file. Raises `Refusal` for anything that is not as declared."""
    whole = Place(_FILE)
    whole.keys(tables, {"telling", "calendar"})
    keys = {"place", "to", "after", "within", "where_there_is_one", "words"}
    calendars = {}
    for table in whole.tables(tables, "calendar"):
        place = Place(_FILE, str(table.get("place", "")), kind="calendar")
        place.keys(table, {"place", "country", "subdivision"})
        calendars[place.text(table, "place")] = (place.text(table, "country"), place.text(table, "subdivision", "") or None)
    return NoticeData(
        tellings=tuple(_telling(place, table) for place, table in entries(tables, _FILE, "telling", keys)), calendars=calendars
    )


@cache
def notice_data() -> NoticeData:
    """The data that is shipped."""
    return parse_notice_data(shipped(_FILE))


def public_holidays(place: str, year: int) -> Mapping[date, str] | None:
    """The public holidays of a place in a year, with their names; None where its calendar is not held."""
    found = notice_data().calendars.get(place)
    return None if found is None else _holidays(*found, year)


@cache
def _holidays(country: str, subdivision: str | None, year: int) -> Mapping[date, str]:
    import holidays  # late: only notices count business days

    return dict(holidays.country_holidays(country, subdiv=subdivision, years=year).items())
