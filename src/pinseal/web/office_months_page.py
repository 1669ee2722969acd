"""The due list by month: how many of each duty fall due when, and the rows of one month."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import urlencode

import numpy as np

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.dates import EPOCH, parse_date
from pinseal.rules.tables import FAR
from pinseal.service.duelist import DueList
from pinseal.web.asked import Asked
from pinseal.web.date_words import date_words
from pinseal.web.listing import STATES, Lines, Numbers, built, narrowed, site_in_fleet, sites_by_name
from pinseal.web.office_common import Sight
from pinseal.web.office_list_views import MonthRow, MonthsPage
from pinseal.web.pages import due_row, frame
from pinseal.web.views import Choice

LATE, NO_DATE = "late", "none"
_LATE, _NONE = -1_000_000, 1_000_000
_LATE_STATES = ("withdraw", "overdue", "may be overdue")
_MONTHS_SHOWN, _ROWS_SHOWN = 18, 100
_MONTH = re.compile(r"\d{4}-(0[1-9]|1[0-2])", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthAsked:
    """What is asked of the months: a site, a duty, and the month whose rows are shown."""

    site: str = ""
    duty: str = ""
    month: str = ""

    @property
    def known(self) -> bool:
        """Whether month and duty can be asked for."""
        is_month = self.month in ("", LATE, NO_DATE) or bool(_MONTH.fullmatch(self.month))
        return is_month and (not self.duty or self.duty in kinds.DUTIES)

    def href(self, base: str, **changes: str) -> str:
        said = {"site": self.site, "duty": self.duty, "month": self.month} | changes
        pairs = {name: value for name, value in said.items() if value}
        return base + (f"?{urlencode(pairs)}" if pairs else "")


def _months(found: Lines) -> Numbers:
    """The month of the first day of each row, counted from January of the year 1970; `_LATE` and `_NONE` for the two others."""
    days = np.datetime64(EPOCH, "D") + np.where(found.earliest == int(FAR), 0, found.earliest)
    months = days.astype("datetime64[M]").astype(np.int64)
    late = np.isin(found.state, [STATES.index(state) for state in _LATE_STATES])
    return np.where(found.earliest == int(FAR), _NONE, np.where(late, _LATE, months))


def _code(month: int) -> str:
    """`2026-12`, or the word for what is late or has no date."""
    return {_LATE: LATE, _NONE: NO_DATE}.get(month) or f"{1970 + month // 12}-{month % 12 + 1:02d}"


def _number(code: str) -> int:
    if code in (LATE, NO_DATE):
        return {LATE: _LATE, NO_DATE: _NONE}[code]
    year, month = code.split("-")
    return (int(year) - 1970) * 12 + int(month) - 1


def month_name(code: str) -> str:
    if code in (LATE, NO_DATE):
        return {LATE: _("Late, or to be withdrawn"), NO_DATE: _("No date")}[code]
    return date_words(parse_date(code))


def fitting(dues: DueList, asked: MonthAsked) -> Lines:
    """The rows that fit, in the order of their days; all months where none is asked for."""
    found, _ = narrowed(dues, Asked(site=asked.site, duty=asked.duty, sort="by"))
    return found.picked(_months(found) == _number(asked.month)) if asked.month else found


def months_page(seen: Sight, asked: MonthAsked) -> MonthsPage:
    """The months ahead with their counts, and the rows of the month that is asked for."""
    every = fitting(seen.dues, MonthAsked(site=asked.site, duty=asked.duty))
    months = _months(every)
    dated = sorted(int(each) for each in np.unique(months) if each not in (_LATE, _NONE))
    order = [each for each in (_LATE, *dated[:_MONTHS_SHOWN], _NONE) if (months == each).any()]
    counts = {month: every.picked(months == month).duty_codes() for month in order}
    duties = [duty for duty in kinds.DUTIES if any(duty in each for each in counts.values())]
    picked = every.picked(months == _number(asked.month)) if asked.month else every.picked(np.zeros(len(every), np.bool_))
    sites = seen.dues.kept.over(site_in_fleet, sites_by_name)
    return MonthsPage(
        frame=frame(seen.about, title=_("Dues by month"), here="/dues"),
        heads=tuple(_(kinds.DUTIES[duty]) for duty in duties),
        months=tuple(
            MonthRow(
                name=month_name(_code(month)),
                href=asked.href("/dues/months", month=_code(month)) + "#rows",
                on=_code(month) == asked.month,
                counts=tuple(counts[month].get(duty, 0) for duty in duties),
                total=sum(counts[month].values()),
            )
            for month in order
        ),
        sites=_choices({site: site for site in sites}, asked.site, _("every site")),
        duties=_choices({code: _(label) for code, label in kinds.DUTIES.items()}, asked.duty, _("every duty")),
        month=asked.month,
        month_name=month_name(asked.month) if asked.month else "",
        rows=tuple(due_row(seen.dues, due) for due in built(seen.dues, picked[:_ROWS_SHOWN])),
        more=max(0, len(picked) - _ROWS_SHOWN),
        csv_href=asked.href("/dues.csv"),
        xlsx_href=asked.href("/dues.xlsx"),
    )


def _choices(table: dict[str, str], chosen: str, every: str) -> tuple[Choice, ...]:
    return (
        Choice(value="", label=every, chosen=not chosen),
        *(Choice(value=code, label=label, chosen=code == chosen) for code, label in table.items()),
    )
