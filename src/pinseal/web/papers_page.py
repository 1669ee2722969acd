"""The people of the register with their papers: what is in date, what ends soon, what is out of date, and by which rule."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.records.registers import Paper
from pinseal.rules.papers import Standing, latest_of_kinds, paper_state
from pinseal.service.registry import ListedPerson
from pinseal.web.account import SUPERVISOR
from pinseal.web.date_words import date_words, day_date
from pinseal.web.doors import About
from pinseal.web.office_common import account_of, answer
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.pages import frame
from pinseal.web.people_views import HolderRow, PaperRow, PapersPage, StandingView

_PAPER_STATES = {
    "in date": ("ahead", marked("in date")),
    "ends soon": ("due", marked("ends soon")),
    "not yet": ("unknown", marked("does not count yet")),
    "ended": ("withdraw", marked("ended")),
    "out of date": ("overdue", marked("out of date")),
}
_EFFECT_STATES = {"none": "unknown", "flags": "may be overdue", "blocks": "overdue"}
_STANDINGS = {
    "good": marked("in order"),
    "lapsed": marked("not in date"),
    "no-paper": marked("no paper on record"),
    "unknown-person": marked("not in the register"),
}
_ORDER = ("overdue", "may be overdue", "unknown", "due", "ahead")


def papers_page(about: About, listed: Sequence[ListedPerson], *, may_let_in: bool) -> PapersPage:
    """Everybody of the register; those whom something is missing first, then by name."""
    rows = [_row(each, about.today) for each in listed]
    rows.sort(key=lambda row: (min(_ORDER.index(row.work.state), _ORDER.index(row.mark.state)), row.name.casefold()))
    return PapersPage(frame=frame(about, title=_("Licences and papers"), here="/papers"), rows=tuple(rows), may_let_in=may_let_in)


def _row(each: ListedPerson, today: date) -> HolderRow:
    found = each.person
    now = latest_of_kinds(found.papers, today)
    earlier = [paper for paper in reversed(found.papers) if paper not in now]
    return HolderRow(
        name=found.name or _("not registered yet"),
        role=_(kinds.ROLES.get(found.role or "", found.role or marked("role not said"))),
        work=_standing(each.work, today),
        mark=_standing(each.mark, today),
        papers=tuple(_paper(paper, today) for paper in now),
        earlier=tuple(_paper(paper, today) for paper in earlier),
        marks=tuple(mark.text for mark in found.marks),
    )


def _standing(standing: Standing, today: date) -> StandingView:
    good = standing.code == "good"
    soon = (
        good
        and standing.good_until is not None
        and paper_state(Paper(record="", paper="", until=standing.good_until), today) == "ends soon"
    )
    return StandingView(
        state=("due" if soon else "ahead") if good else _EFFECT_STATES[standing.effect],
        word=_("in order, but ends soon") if soon else _(_STANDINGS.get(standing.code, standing.code)),
        because=standing.because,
        until=day_date(standing.good_until) if good and standing.good_until else "",
    )


def _paper(paper: Paper, today: date) -> PaperRow:
    state, word = _PAPER_STATES[paper_state(paper, today)]
    ended = paper.ended
    until = _("since %(day)s: %(why)s", day=date_words(ended.since), why=ended.reason) if ended else ""
    return PaperRow(
        state=state,
        word=_(word),
        what=", ".join(part for part in (paper.paper, paper.class_) if part),
        number=paper.number or _("without a number"),
        by=", ".join(part for part in (paper.issued_by, paper.jurisdiction) if part),
        until=until or (day_date(paper.until) if paper.until else _("no last day on it")),
    )


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The route of the papers."""

    def papers(request: Request) -> Response:
        account = account_of(request)
        return answer(papers_page(office.about(), office.people(), may_let_in=account is None or account.role == SUPERVISOR))

    return [Route("/papers", papers, name="papers")]
