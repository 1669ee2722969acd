"""Short plain words for the pages: units, dates against today, fields of records."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import date

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import ngettext
from pinseal.dates import DATE_STYLE, DATE_STYLES, PartialDate, parse_date
from pinseal.reasons import Refusal
from pinseal.records.record_kinds import FACT_OF_FIELD, KINDS
from pinseal.records.unit import Nameplate, UnitState
from pinseal.rules.rows import Due, PackDue
from pinseal.units import Quantity
from pinseal.web.date_words import date_words, day_date, month_names, span_words, whole_span

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
_FOR_PEOPLE = re.compile(r"([0-9]{1,2})[ .]*([^\W\d_]+)\.?[ ,]*([0-9]{4})")
_MONTH_FIRST = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})", re.ASCII)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def unit_name(state: UnitState) -> str:
    """What people call a unit: its number, else its serial, else where it stands in its list."""
    if state.id or state.serial:
        return state.id or _("serial %(number)s", number=state.serial)
    if state.row is not None:
        return _("row %(row)s of %(sheet)s", row=state.row, sheet=state.sheet) if state.sheet else _("row %(row)s", row=state.row)
    return _("no number")


def kind_words(plate: Nameplate) -> str:
    """`150 lb wheeled, potassium bicarbonate dry chemical`; a nameplate that says nothing is told as such."""
    size = size_words(plate.size) if plate.size else ""
    if plate.wheeled:
        size = _("%(size)s wheeled", size=size) if size else _("wheeled")
    return ", ".join(part for part in (size, agent_words(plate.agent)) if part)


def agent_words(code: str | None) -> str:
    """The label of an agent; `agent not said` for None."""
    return _(kinds.agent_label(code))


def size_words(size: Quantity) -> str:
    """A size as it is written on units: litres have a capital letter, so that nobody reads a one.

    >>> size_words(Quantity(value=6, unit="l")), size_words(Quantity(value=10, unit="lb"))
    ('6 L', '10 lb')
    """
    return f"{size.value:g} {'L' if size.unit == 'l' else size.unit}"


def record_words(kind: str) -> str:
    """What a kind of record is called."""
    return _(KINDS[kind].label) if kind in KINDS else kind


def place_words(state: UnitState) -> str:
    return ", ".join(part for part in (state.site, state.place) if part) or _("no place on record")


def by_words(due: Due | PackDue) -> str:
    """The last permitted day as people say it. A date is never broken over two lines."""
    if due.earliest is None or due.latest is None:
        return _("now") if due.state == "withdraw" else _("no date")
    return span_words(due.earliest, due.latest)


def last_day_words(due: Due) -> str:
    """The last permitted day, for the title of a reason: `last day 3 Feb 2027`, `last day some time in 2026`."""
    if due.earliest is None or due.latest is None:
        return _("take out of use") if due.state == "withdraw" else _("%(state)s, no date", state=_(due.state))
    if due.state == "withdraw":
        return _("take out of use, since %(date)s", date=by_words(due))
    if due.earliest == due.latest:
        return _("last day %(date)s", date=by_words(due))
    if whole_span(due.earliest, due.latest):
        return _("last day some time in %(date)s", date=by_words(due))
    return _(
        "last day between %(first)s and %(last)s",
        first=span_words(due.earliest, due.earliest),
        last=span_words(due.latest, due.latest),
    )


def note_words(due: Due, on: date) -> str:
    """What a date means on the day asked: how late, how long still, what to find out."""
    words = [_against(due, on)]
    if due.not_before and due.not_before > on:
        words.append(_("not before %(date)s", date=day_date(due.not_before)))
    if due.binds == "refill":
        words.append(_("may stay until emptied"))
    return ", ".join(word for word in words if word)


def _against(due: Due, on: date) -> str:
    if due.state == "withdraw":
        return _("take out of use")
    if due.earliest is None or due.latest is None:
        return _("find out: %(what)s", what=", ".join(map(_, due.missing))) if due.missing else _("no date on record")
    if due.state == "overdue":
        late = length_words((on - due.latest).days)
        return _("%(length)s late", length=late) if due.earliest == due.latest else _("at least %(length)s late", length=late)
    if due.state == "may be overdue":
        return _("perhaps %(length)s late", length=length_words((on - due.earliest).days))
    return until_words((due.earliest - on).days)


def until_words(days: int) -> str:
    """How long there is still time.

    >>> until_words(0), until_words(1), until_words(200)
    ('today is the last day', 'in 1 day', 'in about 7 months')
    """
    return _("in %(length)s", length=length_words(days)) if days > 0 else _("today is the last day")


def length_words(days: int) -> str:
    """A length of time, to the day as long as days matter.

    >>> length_words(12), length_words(200), length_words(2000)
    ('12 days', 'about 7 months', 'about 5 years')
    """
    if days <= _DAYS_SHOWN_MAX:
        return ngettext("%(n)s day", "%(n)s days", days)
    months = round(days / _DAYS_A_MONTH)
    if months < _MONTHS_SHOWN_MAX:
        return ngettext("about %(n)s month", "about %(n)s months", months)
    return ngettext("about %(n)s year", "about %(n)s years", round(days / _DAYS_A_YEAR))


def field_words(name: str, value: str) -> tuple[str, str]:
    """A field of a record as people read it: its name in words, its code as a label, its date as a date."""
    plain = name.removeprefix("to-")
    value = _(_CODES[plain][value]) if value in _CODES.get(plain, {}) else value
    if plain in FACT_OF_FIELD or plain == "done":
        with suppress(Refusal):  # not a date: shown as it is kept
            value = date_words(parse_date(value))
    label = _(plain.replace("-", " "))
    return (_("%(field)s, rightly", field=label) if name != plain else label), value


def _month_of(word: str) -> int | None:
    """The month that a word names, in English or in the language of the shop; None where it names none."""
    spoken = [name.casefold().rstrip(".") for name in month_names()]
    found = [i for i, name in enumerate(spoken, start=1) if word == name or (len(name) > 2 and word.startswith(name))]
    return found[0] if found else _MONTHS.index(word[:3]) + 1 if word[:3] in _MONTHS else None


def read_day(text: str) -> date:
    """A full day as people type it: `24 Nov 2026` or `2026-11-24`; `11/24/2026` where the shop writes it so. Raises `Refusal`."""
    american = _MONTH_FIRST.fullmatch(text.strip())
    if american and DATE_STYLE.get() == "mdy":
        return PartialDate(int(american[3]), int(american[1]), int(american[2])).earliest
    match = _FOR_PEOPLE.fullmatch(text.strip())
    month = _month_of(match[2].casefold()) if match else None
    if match and month:
        return PartialDate(int(match[3]), month, int(match[1])).earliest
    parsed = parse_date(text)
    if parsed.day is None:
        raise Refusal(
            what=_("this is not a full day"),
            rule=_("a day has day, month and year"),
            got=text,
            do=_("write it as in %(example)s", example=DATE_STYLES[DATE_STYLE.get()]),
        )
    return parsed.earliest
