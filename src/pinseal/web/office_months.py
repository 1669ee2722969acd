"""The routes of the due list by month, and of the due list as a file (CSV, XLSX)."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.web.office_common import answer, not_here, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_files import file_answer
from pinseal.web.office_months_page import MonthAsked, fitting, months_page
from pinseal.web.office_tables import dues_table


def _asked(request: Request) -> MonthAsked:
    said = request.query_params
    asked = MonthAsked(site=said.get("site", ""), duty=said.get("duty", ""), month=said.get("month", ""))
    if not asked.known:
        raise not_here()
    return asked


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the months."""

    def months(request: Request) -> Response:
        return answer(months_page(sight(office, request), _asked(request)))

    def as_file(request: Request) -> Response:
        seen, asked = sight(office, request), _asked(request)
        table = dues_table(seen.dues, fitting(seen.dues, asked))
        return file_answer(request, table, f"dues-{asked.month or 'all'}", seen.about)

    return [
        Route("/dues/months", months, name="dues-month"),
        Route("/dues.csv", as_file, name="dues-file"),
        Route("/dues.xlsx", as_file, name="dues-file"),
    ]
