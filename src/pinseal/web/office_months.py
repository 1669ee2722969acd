"""The routes of the due list by month, and of the due list as a file."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import BaseRoute, Route

from pinseal.web.office_common import answer, not_here, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_months_page import MonthAsked, csv_lines, fitting, months_page


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

    def as_csv(request: Request) -> Response:
        seen, asked = sight(office, request), _asked(request)
        name = f"dues-{asked.month or 'all'}-on-{seen.dues.on.isoformat()}.csv"
        headers = {"content-disposition": f'attachment; filename="{name}"'}
        lines = csv_lines(seen.dues, fitting(seen.dues, asked))
        return StreamingResponse(lines, media_type="text/csv; charset=utf-8", headers=headers)

    return [Route("/dues/months", months, name="dues-month"), Route("/dues.csv", as_csv, name="dues-csv")]
