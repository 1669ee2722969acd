"""Short plain words for the pages: units, dates against today, fields of records."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import date

from pinseal import kinds
from pinseal.dates import DATE_STYLE, DATE_STYLES, PartialDate, parse_date, span_for_people
from pinseal.reasons import Refusal
from pinseal.records.record_kinds import FACT_OF_FIELD
from pinseal.records.unit import Nameplate, UnitState
from pinseal.rules.rows import Due, PackDue
from pinseal.units import Quantity

_CODES: dict[str, Mapping[str, str]] = {
    "agent": {code: agent.label for code, agent in kinds.AGENTS.items()},
    "expelled-by": kinds.EXPELLED_BY,
    "shell": kinds.SHELLS,
    "hose": kinds.HOSES,
    "test-method": kinds.TEST_METHODS,
    "method": kinds.TEST_METHODS,
    "duty": kinds.DUTIES,
    "gas": kinds.GASES,
    "charging-gas": kinds.GASES,
    "verdict": kinds.VERDICTS,
    "balance": kinds.VERDICTS,
    "mark": kinds.MARKS,
    "went-to": kinds.AGENT_WAYS,
    "taken-to": kinds.AWAY_TO,
}
_DAYS_SHOWN_MAX = 60
_MONTHS_SHOWN_MAX = 24
# The mean year and month of the calendar; only for "about N months".
_DAYS_A_YEAR = 365.2425
_DAYS_A_MONTH = _DAYS_A_YEAR / 12
_FOR_PEOPLE = re.compile(r"(\d{1,2})?[ .]*([A-Za-z]{3})[a-z]*\.?[ ,]*(\d{4})", re.ASCII)
_MONTH_FIRST = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})", re.ASCII)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def count_words(count: int, one: str, many: str | None = None) -> str:
    """`1 unit`, `1,240 units`.

    >>> count_words(1, "unit"), count_words(1240, "unit"), count_words(0, "duty", "duties")
    ('1 unit', '1,240 units', '0 duties')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def unit_name(state: UnitState) -> str:
    """What people call a unit: its number, else its serial, else where it stands in its list."""
    if state.id or state.serial:
        return state.id or f"serial {state.serial}"
    if state.row is not None:
        return f"row {state.row}" + (f" of {state.sheet}" if state.sheet else "")
    return "no number"


def kind_words(plate: Nameplate) -> str:
    """`150 lb wheeled, potassium bicarbonate dry chemical`; a nameplate that says nothing is told as such."""
    size = size_words(plate.size) if plate.size else ""
    first = " ".join(part for part in (size, "wheeled" if plate.wheeled else "") if part)
    return ", ".join(part for part in (first, kinds.agent_label(plate.agent)) if part)


def size_words(size: Quantity) -> str:
    """A size as it is written on units: litres have a capital letter, so that nobody reads a one.

    >>> size_words(Quantity(value=6, unit="l")), size_words(Quantity(value=10, unit="lb"))
    ('6 L', '10 lb')
    """
    return f"{size.value:g} {'L' if size.unit == 'l' else size.unit}"


def place_words(state: UnitState) -> str:
    return ", ".join(part for part in (state.site, state.place) if part) or "no place on record"


def day_words(day: date) -> str:
    """`Tue 24 Nov 2026`."""
    return f"{('Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun')[day.weekday()]} {PartialDate.of(day).for_people()}"


def by_words(due: Due | PackDue) -> str:
    """The last permitted day as people say it. A date is never broken over two lines."""
    if due.earliest is None or due.latest is None:
        return "now" if due.state == "withdraw" else "no date"
    return _unbroken(span_for_people(due.earliest, due.latest))


def _unbroken(span: str) -> str:
    return " to ".join(end.replace(" ", "\u00a0") for end in span.split(" to "))


def last_day_words(due: Due) -> str:
    """The last permitted day, for the title of a reason: `last day 3 Feb 2027`, `last day some time in 2026`."""
    if due.earliest is None or due.latest is None:
        return "take out of use" if due.state == "withdraw" else f"{due.state}, no date"
    if due.state == "withdraw":
        return f"take out of use, since {by_words(due)}"
    if due.earliest == due.latest:
        return f"last day {by_words(due)}"
    first, to, end = by_words(due).partition(" to ")
    return f"last day between {first} and {end}" if to else f"last day some time in {first}"


def note_words(due: Due, on: date) -> str:
    """What a date means on the day asked: how late, how long still, what to find out."""
    words = [_against(due, on)]
    if due.not_before and due.not_before > on:
        words.append(f"not before {PartialDate.of(due.not_before).for_people()}")
    if due.binds == "refill":
        words.append("may stay until emptied")
    return ", ".join(word for word in words if word)


def _against(due: Due, on: date) -> str:
    if due.state == "withdraw":
        return "take out of use"
    if due.earliest is None or due.latest is None:
        return f"find out: {', '.join(due.missing)}" if due.missing else "no date on record"
    if due.state == "overdue":
        at_least = "at least " if due.earliest != due.latest else ""
        return f"{at_least}{length_words((on - due.latest).days)} late"
    if due.state == "may be overdue":
        return f"perhaps {length_words((on - due.earliest).days)} late"
    return until_words((due.earliest - on).days)


def until_words(days: int) -> str:
    """How long there is still time.

    >>> until_words(0), until_words(1), until_words(200)
    ('today is the last day', 'in 1 day', 'in about 7 months')
    """
    return f"in {length_words(days)}" if days > 0 else "today is the last day"


def length_words(days: int) -> str:
    """A length of time, to the day as long as days matter.

    >>> length_words(12), length_words(200), length_words(2000)
    ('12 days', 'about 7 months', 'about 5 years')
    """
    if days <= _DAYS_SHOWN_MAX:
        return count_words(days, "day")
    months = round(days / _DAYS_A_MONTH)
    if months < _MONTHS_SHOWN_MAX:
        return f"about {count_words(months, 'month')}"
    return f"about {count_words(round(days / _DAYS_A_YEAR), 'year')}"


def field_words(name: str, value: str) -> tuple[str, str]:
    """A field of a record as people read it: its name in words, its code as a label, its date as a date."""
    plain = name.removeprefix("to-")
    value = _CODES.get(plain, {}).get(value, value)
    if plain in FACT_OF_FIELD or plain == "done":
        with suppress(Refusal):  # not a date: shown as it is kept
            value = parse_date(value).for_people()
    label = plain.replace("-", " ")
    return (f"{label}, rightly" if name != plain else label), value


def read_day(text: str) -> date:
    """A full day as people type it: `24 Nov 2026` or `2026-11-24`; `11/24/2026` where the shop writes it so. Raises `Refusal`."""
    american = _MONTH_FIRST.fullmatch(text.strip())
    if american and DATE_STYLE.get() == "mdy":
        return PartialDate(int(american[3]), int(american[1]), int(american[2])).earliest
    match = _FOR_PEOPLE.fullmatch(text.strip())
    if match and match[1] and match[2].lower() in _MONTHS:
        return PartialDate(int(match[3]), _MONTHS.index(match[2].lower()) + 1, int(match[1])).earliest
    parsed = parse_date(text)
    if parsed.day is None:
        raise Refusal(
            what="this is not a full day",
            rule="a day has day, month and year",
            got=text,
            do=f"write it as in {DATE_STYLES[DATE_STYLE.get()]}",
        )
    return parsed.earliest
