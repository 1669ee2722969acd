"""The routes of the bench: its queue, the charge of a unit with its dial, agent by lot."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.documents.charge_drawing import charge_picture
from pinseal.documents.charge_plot import charge_svg
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit
from pinseal.web.bench_queue_page import BENCH_WORKS, bench_page
from pinseal.web.office_bench_page import FIELDS, Typed, agent_page, charge_page, planned
from pinseal.web.office_common import Sight, answer, not_here, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_files import file_answer, pdf_answer

_TEXT_MAX = 60


class BenchDesk:
    """The pages of the bench, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/bench", self.queue, name="bench"),
            Route("/bench/agent", self.agent, name="bench-agent"),
            Route("/bench/agent/{year}.pdf", self.year_paper, name="bench-agent-return"),
            Route("/bench/agent/{year}.csv", self.year_file, name="bench-agent-return"),
            Route("/bench/agent/{year}.xlsx", self.year_file, name="bench-agent-return"),
            Route("/bench/agent/{uid}/certificate.pdf", self.certificate, name="bench-agent-certificate"),
            Route("/bench/charge/{uid}", self.charge, name="bench-charge"),
            Route("/bench/dial/{uid}.svg", self.dial, name="bench-dial"),
        ]

    def queue(self, request: Request) -> Response:
        """What waits at the bench."""
        return answer(bench_page(sight(self.office, request), self.office.open_sheets(BENCH_WORKS)))

    def agent(self, request: Request) -> Response:
        """Agent by lot."""
        return answer(agent_page(sight(self.office, request), self.office.agent_lots(), self.office.batches(), self.office.system()))

    def year_paper(self, request: Request) -> Response:
        """The figures of a year for halogenated agents, as PDF."""
        year = _year(request)
        try:
            return pdf_answer(self.office.paper("return", str(year)), f"agents-{year}")
        except Refusal as refused:
            raise not_here() from refused

    def year_file(self, request: Request) -> Response:
        """The figures of a year, as CSV or a workbook."""
        year = _year(request)
        try:
            table = self.office.return_table(year)
        except Refusal as refused:
            raise not_here() from refused
        return file_answer(request, table, f"agents-{year}", self.office.about())

    def certificate(self, request: Request) -> Response:
        """The certificate of a batch of recycled agent, as PDF; there is none where something that it says is missing."""
        uid = request.path_params["uid"]
        try:
            return pdf_answer(self.office.paper("certificate", uid), f"certificate-{uid}")
        except Refusal as refused:
            raise not_here() from refused

    def charge(self, request: Request) -> Response:
        """The charge of one unit today."""
        seen, unit = self._unit(request)
        page = charge_page(seen, unit, _typed(request), self.office.system())
        return answer(page, bad=bool(page.troubles))

    def dial(self, request: Request) -> Response:
        """The dial of a charge that is asked for as on the page."""
        seen, unit = self._unit(request)
        system = self.office.system()
        try:
            found = planned(seen, unit, _typed(request), system)
        except Refusal:
            found = None
        if found is None:
            raise not_here()
        asked, plan = found
        return Response(charge_svg(charge_picture(asked, plan, system)), media_type="image/svg+xml")

    def _unit(self, request: Request) -> tuple[Sight, Unit]:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        unit = self.office.unit(uid) if seen.sees(uid) else None
        if unit is None:
            raise not_here()
        return seen, unit


def _year(request: Request) -> int:
    text = request.path_params["year"]
    if not (text.isascii() and text.isdigit() and len(text) == 4):
        raise not_here()
    return int(text)


def _typed(request: Request) -> Typed:
    said = request.query_params
    return Typed(said={name: said.get(name, "").strip()[:_TEXT_MAX] for name in FIELDS})


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the bench."""
    return BenchDesk(office).routes()
