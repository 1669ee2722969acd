"""The report of a visit as a page, and the visits that other pages name."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from urllib.parse import urlencode

from pinseal.catalogue import gettext as _
from pinseal.records.unit import UnitState
from pinseal.rules.visits import RESULTS, SHAPES, WHEREABOUTS
from pinseal.service.visit_paper import hash_groups
from pinseal.service.visit_words import Exceptional, by_words, done_words, exceptions, months, next_words, one_line
from pinseal.service.visits import PastVisit, Visit, VisitRow, past_visits, work_days
from pinseal.web.date_words import date_words, day_date, span_words
from pinseal.web.office_common import Sight
from pinseal.web.office_doors import ReportOfVisit
from pinseal.web.office_sites_page import site_href
from pinseal.web.office_views import UnitHead
from pinseal.web.office_visit_views import VisitException, VisitLink, VisitPage, VisitPicture, VisitUnit
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame
from pinseal.web.words import kind_words

_NAMED = 12
# The shapes of paper by the states of the pages that have the same one.
_STATES = {"full": "overdue", "cross": "withdraw", "half": "may be overdue", "diamond": "due", "ring": "ahead", "broken": "unknown"}


def visit_href(site: str, first: date, last: date, *, path: str = "/visit") -> str:
    return f"{path}?{urlencode({'site': site, 'from': first.isoformat(), 'to': last.isoformat()})}"


def visits_of(seen: Sight, *, site: str = "", since: date | None = None, most: int = 6) -> tuple[VisitLink, ...]:
    """The last visits that this person may see, the latest first."""
    found = [
        each
        for each in seen.dues.kept.over(work_days, past_visits)
        if site in ("", each.site) and each.on <= seen.about.today and (since is None or each.on >= since)
    ]
    return tuple(_link(each) for each in found[:most])


def _link(each: PastVisit) -> VisitLink:
    return VisitLink(site=each.site, when=day_date(each.on), units=each.units, href=visit_href(each.site, each.on, each.on))


def visit_page(seen: Sight, report: ReportOfVisit) -> VisitPage:
    """The page of a report. A unit that has gone to a site that this person may not see is named and not linked."""
    visit, tie = report.visit, report.tie
    asked, counts = visit.asked, visit.counts
    hrefs = {
        path: visit_href(asked.site, asked.first, asked.last, path=path) for path in ("/visit.pdf", "/visit.json", "/visit-proof.html")
    }
    return VisitPage(
        frame=frame(seen.about, title=_("Visit to %(site)s", site=asked.site), here="/sites"),
        site=asked.site,
        site_href=site_href(asked.site),
        when=span_words(asked.first, asked.last),
        people=", ".join(visit.people),
        line=one_line(counts),
        where=tuple((WHEREABOUTS[code], number) for code, number in counts.where.items() if number),
        left=tuple((RESULTS[code], number) for code, number in counts.results.items() if number),
        listed=counts.listed,
        added=counts.added,
        exceptions=tuple(_exception(seen, each, asked.last) for each in exceptions(visit)),
        months=tuple(months(visit)),
        units=tuple(_unit(seen, row) for row in visit.rows),
        photos=_photos(seen, visit),
        handed=tuple(f"{each.name}, {date_words(each.done)}" for each in visit.handed),
        records=len(tie.lines),
        hash=tuple(hash_groups(tie.hash)),
        pdf_href=hrefs["/visit.pdf"],
        invoice_href=visit_href(asked.site, asked.first, asked.last, path="/invoice-figures"),
        json_href=hrefs["/visit.json"],
        proof_href=hrefs["/visit-proof.html"],
    )


def _photos(seen: Sight, visit: Visit) -> tuple[VisitPicture, ...]:
    return tuple(
        VisitPicture(
            href=f"/units/{each.uid}/files/{each.sha256}", unit=each.unit, shows=each.shows, when=date_words(each.done), who=each.person
        )
        for each in visit.photos
        if seen.sees(each.uid)
    )


def _head(seen: Sight, state: UnitState) -> UnitHead:
    head = unit_head(state)
    return head if seen.sees(state.uid or "") else replace(head, href="")


def _exception(seen: Sight, each: Exceptional, last: date) -> VisitException:
    return VisitException(
        shape=_STATES[SHAPES[each.result]],
        result=RESULTS[each.result],
        units=tuple(_head(seen, row.state) for row in each.units[:_NAMED]),
        more=max(0, len(each.units) - _NAMED),
        because=each.because,
        todo=each.todo,
        by=by_words(each.by, last),
        decide=each.decide,
    )


def _unit(seen: Sight, row: VisitRow) -> VisitUnit:
    duty, _by = next_words(row)
    due = row.next_due if _by else None
    return VisitUnit(
        unit=_head(seen, row.state),
        place=row.place,
        was=row.was,
        kind=kind_words(row.state.nameplate),
        done=done_words(row.facts),
        shape=_STATES[SHAPES[row.result]],
        result=RESULTS[row.result],
        duty=duty,
        by=span_words(due.earliest, due.latest) if due and due.earliest and due.latest else "",
    )
