"""The page of an owner's file out of the file itself, and its monthly record as a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from urllib.parse import urlencode

from pinseal.catalogue import gettext as _
from pinseal.documents.tables import Cell, Column, Table
from pinseal.records.record_kinds import KINDS
from pinseal.rules.months import MonthCell
from pinseal.service.owner_file import FileUnit, OwnerFile
from pinseal.web.date_words import day_date
from pinseal.web.doors import About
from pinseal.web.office_sites_page import site_href
from pinseal.web.owner_doors import Feed
from pinseal.web.owner_views import DoneRow, FeedRow, OwnerFilePage, PaperLink, Sum
from pinseal.web.pages import frame
from pinseal.web.people_views import Handed
from pinseal.web.views import Choice, Trouble

_YEARS_SHOWN = 10


def owner_page(
    about: About,
    file: OwnerFile,
    *,
    parts: Sequence[int],
    feeds: Sequence[Feed],
    may_feed: bool,
    days: str = "365",
    troubles: tuple[Trouble, ...] = (),
    handed: Handed | None = None,
) -> OwnerFilePage:
    """The page. `parts` are the numbers of units in the parts of the paper."""
    of_year = urlencode({"site": file.site, "year": file.year})
    of_site = urlencode({"site": file.site})
    return OwnerFilePage(
        frame=frame(about, title=_("Owner’s file of %(site)s", site=file.site), here="/sites"),
        site=file.site,
        site_href=site_href(file.site),
        here=f"/owner-file?{of_year}",
        year=file.year,
        since=day_date(file.first),
        until=day_date(file.last),
        whole=file.whole,
        years=tuple(_years(about.today, file.year)),
        units=len(file.units),
        late=int(file.dues.late().sum()),
        gaps=file.gaps,
        fleet=tuple(_fleet(file)),
        condemned=file.fleet.condemned,
        replaced=file.fleet.replaced,
        done=tuple(DoneRow(what=_(KINDS[e.kind].label), times=e.times, units=e.units, failed=e.failed) for e in file.done),
        wrong=tuple(_wrong(file)),
        papers=tuple(_papers(of_year, parts)),
        json_href=f"/owner-file.json?{of_year}",
        months_csv=f"/owner-months.csv?{of_year}",
        months_xlsx=f"/owner-months.xlsx?{of_year}",
        inventory_csv=f"/inventory.csv?{of_site}",
        inventory_xlsx=f"/inventory.xlsx?{of_site}",
        deficiencies_csv=f"/deficiencies.csv?{of_site}&show=all",
        deficiencies_xlsx=f"/deficiencies.xlsx?{of_site}&show=all",
        calendar_href=f"/owner-calendar.ics?{of_site}",
        may_feed=may_feed,
        feeds=tuple(FeedRow(uid=f.uid, name=f.name, until=day_date(f.until.date()), holds=f.holds) for f in feeds),
        days=days,
        troubles=troubles,
        handed=handed,
    )


def _years(today: date, chosen: int) -> Iterator[Choice]:
    shown = sorted({chosen, *range(today.year, today.year - _YEARS_SHOWN, -1)}, reverse=True)
    return (Choice(value=str(year), label=str(year), chosen=year == chosen) for year in shown)


def _fleet(file: OwnerFile) -> Iterator[Sum]:
    fleet = file.fleet
    yield Sum(what=_("units at the start of the year"), sign="", count=fleet.start)
    yield Sum(what=_("came"), sign="+", count=len(fleet.came))
    yield Sum(what=_("went"), sign="−", count=len(fleet.went))
    yield Sum(what=_("units on %(day)s", day=day_date(file.last)), sign="=", count=fleet.end)


def _wrong(file: OwnerFile) -> Iterator[Sum]:
    wrong = file.wrong
    yield Sum(what=_("open at the start of the year"), sign="", count=wrong.start)
    yield Sum(what=_("found"), sign="+", count=wrong.found)
    yield Sum(what=_("put right"), sign="−", count=wrong.mended)
    yield Sum(what=_("left open with a unit that went"), sign="−", count=wrong.gone)
    yield Sum(what=_("open on %(day)s", day=day_date(file.last)), sign="=", count=wrong.end)


def _papers(asked: str, parts: Sequence[int]) -> Iterator[PaperLink]:
    yield PaperLink(href=f"/owner-file.pdf?{asked}", part=0, units=parts[0] if len(parts) == 1 else 0)
    for number, units in enumerate(parts, 1) if len(parts) > 1 else ():
        yield PaperLink(href=f"/owner-file.pdf?{asked}&part={number}", part=number, units=units)


# -- the monthly record as a table. Programs read it too, so it says English in every language.

_NUMBERS = (Column(head="id", width=12), Column(head="serial", width=16), Column(head="place", width=30))


def months_table(file: OwnerFile) -> Table:
    """A row for each unit and month: what is on record, the day, who; a gap is a row of its own."""
    columns = (
        Column(head="month", width=10),
        *_NUMBERS,
        Column(head="on record", width=12),
        Column(head="day", width=12),
        Column(head="kind", width=18),
        Column(head="by", width=20),
        Column(head="record", width=38),
        Column(head="unit uid", width=38),
    )
    return Table(title=f"Months {file.site}", columns=columns, rows=_month_rows(file))


def _month_rows(file: OwnerFile) -> Iterator[Sequence[Cell]]:
    for unit in file.units:
        for month, cell in zip(file.months, unit.months, strict=True):
            yield (month.code, unit.state.id, unit.state.serial, unit.state.place, *_said(cell, unit), unit.state.uid)


def _said(cell: MonthCell, unit: FileUnit) -> Sequence[Cell]:
    """What a cell says, by its last record."""
    word = {"none": "gap", "absent": "not there"}.get(cell.state, cell.state)
    if not cell.facts:
        return word, None, "", "", ""
    last = cell.facts[-1]
    return word, last.done, last.kind, unit.people.get(last.uid, ""), last.uid
