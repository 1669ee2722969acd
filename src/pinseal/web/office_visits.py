"""The routes of visits: the report of one as a page, as PDF, as JSON, and the page that proves it."""

from __future__ import annotations

from datetime import date

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from pinseal.web.office_common import Sight, answer, not_here, sight
from pinseal.web.office_doors import OfficeRooms, ReportOfVisit
from pinseal.web.office_files import file_name, named, pdf_answer
from pinseal.web.office_visit_page import visit_page
from pinseal.web.words import read_day


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
        return pdf_answer(report.pdf(), _name(report, "visit"))

    def json(self, request: Request) -> Response:
        """The same for programs."""
        _, report = self._report(request)
        return JSONResponse(report.as_json(), headers=named("attachment", _name(report, "visit"), "json"))

    def proof(self, request: Request) -> Response:
        """The page that works the hash out again: a file to be kept, not a page of this shop, so it is handed out as one."""
        _, report = self._report(request)
        headers = named("attachment", _name(report, "visit-proof"), "html")
        return Response(report.proof().encode(), media_type="application/octet-stream", headers=headers)

    def _report(self, request: Request) -> tuple[Sight, ReportOfVisit]:
        seen, said = sight(self.office, request), request.query_params
        site = said.get("site", "")
        if not site or (seen.reach is not None and site not in seen.reach):
            raise not_here()
        first = _day(said.get("from", ""), seen.about.today)
        return seen, self.office.visit_report(site, first, _day(said.get("to", ""), first), prices=seen.prices)


def _day(text: str, otherwise: date) -> date:
    """A day of the address: ISO as we write it, or as people type it into the form. Raises `Refusal`."""
    return read_day(text) if text.strip() else otherwise


def _name(report: ReportOfVisit, what: str) -> str:
    asked = report.visit.asked
    return file_name(what, asked.site, asked.last.isoformat())


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of visits."""
    return VisitDesk(office).routes()
