"""The routes of visits: the report of one as a page, as PDF, as JSON, and the page that proves it."""

from __future__ import annotations

import re
from datetime import date

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from pinseal.dates import parse_day
from pinseal.reasons import Refusal
from pinseal.web.office_common import Sight, answer, not_here, sight
from pinseal.web.office_doors import OfficeRooms, ReportOfVisit
from pinseal.web.office_visit_page import visit_page
from pinseal.web.words import read_day

_NAME = re.compile(r"[^A-Za-z0-9]+")


class VisitDesk:
    """Reports of visits, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/visit", self.page, name="visit"),
            Route("/visit.pdf", self.pdf, name="visit-file"),
            Route("/visit.json", self.json, name="visit-file"),
            Route("/visit-proof.html", self.proof, name="visit-file"),
        ]

    def page(self, request: Request) -> Response:
        """The report on the screen."""
        return answer(visit_page(*self._report(request)))

    def pdf(self, request: Request) -> Response:
        """The report as it is filed."""
        _, report = self._report(request)
        return Response(report.pdf(), media_type="application/pdf", headers=_named(report, "inline", "visit", "pdf"))

    def json(self, request: Request) -> Response:
        """The same for programs."""
        _, report = self._report(request)
        return JSONResponse(report.as_json(), headers=_named(report, "attachment", "visit", "json"))

    def proof(self, request: Request) -> Response:
        """The page that works the hash out again: a file to be kept, not a page of this shop, so it is handed out as one."""
        _, report = self._report(request)
        return Response(
            report.proof().encode(), media_type="application/octet-stream", headers=_named(report, "attachment", "visit-proof", "html")
        )

    def _report(self, request: Request) -> tuple[Sight, ReportOfVisit]:
        seen, said = sight(self.office, request), request.query_params
        site = said.get("site", "")
        if not site or (seen.reach is not None and site not in seen.reach):
            raise not_here()
        first = _day(said.get("from", ""), seen.about.today)
        return seen, self.office.visit_report(site, first, _day(said.get("to", ""), first), prices=seen.prices)


def _day(text: str, otherwise: date) -> date:
    """A day of the address: ISO as we write it, or as people type it into the form. Raises `Refusal`."""
    text = text.strip()
    if not text:
        return otherwise
    try:
        return parse_day(text)
    except Refusal:
        return read_day(text)


def _named(report: ReportOfVisit, how: str, what: str, ending: str) -> dict[str, str]:
    asked = report.visit.asked
    site = _NAME.sub("-", asked.site).strip("-").lower()[:60]
    name = "-".join(part for part in (what, site, asked.last.isoformat()) if part)
    return {"content-disposition": f'{how}; filename="{name}.{ending}"'}


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of visits."""
    return VisitDesk(office).routes()
