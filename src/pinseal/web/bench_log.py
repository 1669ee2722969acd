"""The routes of the log of pressure tests, and of the certificates of a unit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.web.bench_log_page import log_page, refused_page
from pinseal.web.office_common import Sight, answer, not_here, sight
from pinseal.web.office_doors import OfficeRooms, SheetOfTests
from pinseal.web.office_files import file_answer, named, pdf_answer
from pinseal.web.refusals import in_sentences
from pinseal.web.words import read_day

_TEXT_MAX = 40
_BACK = timedelta(days=30)
_DAYS_MAX = 366
WORKS = ("hydrostatic-test", "maintenance")


class LogDesk:
    """What was tested on which day, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/bench/tests/log", self.page, name="bench-log"),
            Route("/bench/tests/log.pdf", self.pdf, name="bench-log-file"),
            Route("/bench/tests/log.json", self.json, name="bench-log-file"),
            Route("/bench/tests/log.csv", self.table, name="bench-log-file"),
            Route("/bench/tests/log.xlsx", self.table, name="bench-log-file"),
            Route("/units/{uid}/certification.pdf", self.certification, name="unit-certification"),
        ]

    def page(self, request: Request) -> Response:
        """The log on the screen: the last month unless days are asked for."""
        seen, said = sight(self.office, request), request.query_params
        try:
            found = self._asked(request, seen)
        except Refusal as refused:
            first, last = said.get("from", "")[:_TEXT_MAX], said.get("to", "")[:_TEXT_MAX]
            return answer(refused_page(seen, first, last, in_sentences(refused)), bad=True)
        return answer(log_page(seen, found.log))

    def pdf(self, request: Request) -> Response:
        """The sheets as they are filed, a day on a page of its own."""
        found = self._asked(request, sight(self.office, request))
        return pdf_answer(found.pdf(), _name(found))

    def json(self, request: Request) -> Response:
        """The same for programs."""
        found = self._asked(request, sight(self.office, request))
        return JSONResponse(found.log.as_json(), headers=named("attachment", _name(found), "json"))

    def table(self, request: Request) -> Response:
        """One row for each test."""
        seen = sight(self.office, request)
        found = self._asked(request, seen)
        return file_answer(request, found.table(), "pressure-tests", replace(seen.about, today=found.log.last))

    def certification(self, request: Request) -> Response:
        """That this unit was tested by pressure, or given its yearly maintenance."""
        seen, uid, work = sight(self.office, request), request.path_params["uid"], request.query_params.get("of", WORKS[0])
        if not seen.sees(uid) or work not in WORKS:
            raise not_here()
        return pdf_answer(self.office.certification(uid, work), f"certification-{work}")

    def _asked(self, request: Request, seen: Sight) -> SheetOfTests:
        said, today = request.query_params, seen.about.today
        last = _day(said.get("to", ""), today)
        first = _day(said.get("from", ""), last - _BACK)
        if (last - first).days > _DAYS_MAX:
            raise Refusal(
                what=_("this is too long a time for one page"),
                rule=_("at most a year at once"),
                got=f"{first.isoformat()} – {last.isoformat()}",
                do=_("ask for less"),
            )
        return self.office.pressure_sheet(first, last)


def _day(text: str, otherwise: date) -> date:
    """A day of the address: ISO as we write it, or as people type it into the form. Raises `Refusal`."""
    text = text.strip()[:_TEXT_MAX]
    return read_day(text) if text else otherwise


def _name(found: SheetOfTests) -> str:
    span = dict.fromkeys((found.log.first.isoformat(), found.log.last.isoformat()))
    return f"pressure-tests-{'-to-'.join(span)}"


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the log."""
    return LogDesk(office).routes()
