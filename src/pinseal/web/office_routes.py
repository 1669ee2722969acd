"""Every route of the office pages, in one list."""

from __future__ import annotations

from starlette.routing import BaseRoute

from pinseal.web import (
    bench_log,
    bench_supplies,
    bench_tests,
    bench_units,
    office_bench,
    office_deficiencies,
    office_months,
    office_notices,
    office_registers,
    office_sheets,
    office_units,
    office_visits,
    papers_page,
    quotes_desk,
)
from pinseal.web.office_doors import OfficeRooms


def office_routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the office pages."""
    bench = (office_bench, bench_log, bench_supplies, bench_tests, bench_units)
    work = (office_deficiencies, office_notices, office_visits, quotes_desk, office_sheets, papers_page)
    rooms = (office_registers, office_months, office_units, *work, *bench)
    return [route for room in rooms for route in room.routes(office)]
