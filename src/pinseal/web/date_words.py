"""Dates in the language of the shop. What is known to a month or a year is said so; no day is made up."""

from __future__ import annotations

from datetime import date

from pinseal.catalogue import gettext as _
from pinseal.catalogue import pgettext
from pinseal.dates import DATE_STYLE, PartialDate

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def month_names() -> tuple[str, ...]:
    """The twelve months, short, as they stand within a date."""
    return (
        pgettext("month", "Jan"), pgettext("month", "Feb"), pgettext("month", "Mar"), pgettext("month", "Apr"), pgettext("month", "May"),
        pgettext("month", "Jun"), pgettext("month", "Jul"), pgettext("month", "Aug"), pgettext("month", "Sep"), pgettext("month", "Oct"),
        pgettext("month", "Nov"), pgettext("month", "Dec"),
    )  # fmt: skip


def date_words(known: PartialDate) -> str:
    """A date as precisely as it is known.

    >>> date_words(PartialDate(2026, 6, 10)), date_words(PartialDate(2026, 6)), date_words(PartialDate(2026))
    ('10 Jun 2026', 'Jun 2026', '2026')
    """
    if known.month is None or DATE_STYLE.get() != "words":  # in figures, as the shop chose, they are the same in every language
        return known.for_people()
    month = pgettext("month", _MONTHS[known.month - 1])
    if known.day is None:
        return pgettext("date", "%(month)s %(year)s", month=month, year=known.year)
    return pgettext("date", "%(day)s %(month)s %(year)s", day=known.day, month=month, year=known.year)


def day_date(day: date) -> str:
    """A full day, as in `10 Jun 2026`."""
    return date_words(PartialDate.of(day))


def weekday_words(day: date) -> str:
    """A full day with its weekday.

    >>> weekday_words(date(2026, 11, 24))
    'Tue 24 Nov 2026'
    """
    names = (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))
    return pgettext("date", "%(weekday)s %(date)s", weekday=names[day.weekday()], date=day_date(day))


def span_words(earliest: date, latest: date) -> str:
    """A due date as people say it: one day, a month, a year, or both ends. A date is never broken over two lines.

    >>> span_words(date(2026, 6, 1), date(2026, 6, 30)), span_words(date(2026, 6, 1), date(2026, 7, 30)).replace(chr(160), "_")
    ('Jun\\xa02026', '1_Jun_2026 to 30_Jul_2026')
    """
    whole = whole_span(earliest, latest)
    if whole is not None:
        return _unbroken(date_words(whole))
    return _("%(first)s to %(last)s", first=_unbroken(day_date(earliest)), last=_unbroken(day_date(latest)))


def whole_span(earliest: date, latest: date) -> PartialDate | None:
    """The year, month or day that two ends make; None where they make none."""
    for known in (PartialDate(earliest.year), PartialDate(earliest.year, earliest.month), PartialDate.of(earliest)):
        if (known.earliest, known.latest) == (earliest, latest):
            return known
    return None


def _unbroken(text: str) -> str:
    return text.replace(" ", "\u00a0")
