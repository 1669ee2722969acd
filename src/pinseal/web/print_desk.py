"""The routes of printing: the marks of a job sheet, the labels of a unit or a site; a page, a PDF at true scale, a picture.

Printing writes nothing: every answer is made anew from the record, and what may not be printed is refused in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState
from pinseal.service.marks import PrintAsked
from pinseal.standards.marks import STATEMENTS
from pinseal.web.office_common import Sight, answer, not_here, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_sites_page import site_href
from pinseal.web.print_doors import PrintRooms, Ready
from pinseal.web.print_page import LABELS, Outcome, Wanted, labels_page, sheet_print_page
from pinseal.web.print_views import PrintPage
from pinseal.web.refusals import in_sentences

_MEDIA = {"pdf": "application/pdf", "png": "image/png"}
_CARD_PPI, _SHEET_PPI = 160, 90
_CELL_MAX = 9_999


class PrintDesk:
    """The print pages of one shop."""

    def __init__(self, office: OfficeRooms, printing: PrintRooms) -> None:
        self.office, self.printing = office, printing

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/sheets/{uid}/marks", self.marks, name="sheet-marks"),
            Route("/sheets/{uid}/marks.{form}", self.marks_file, name="sheet-marks-file"),
            Route("/labels", self.labels, name="labels"),
            Route("/labels.{form}", self.labels_file, name="labels-file"),
        ]

    # -- the marks of a sheet

    def marks(self, request: Request) -> Response:
        """Which marks a sheet earned, and the one that was chosen."""
        page, ready = self._marks(request)
        return answer(page, bad=ready is None and bool(page.trouble))

    def marks_file(self, request: Request) -> Response:
        """One mark as PDF, or as a picture."""
        page, ready = self._marks(request)
        return _file(request, page, ready)

    def _marks(self, request: Request) -> tuple[PrintPage, Ready | None]:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        line = seen.books.sheet(uid)
        unit = seen.state(line.unit) if line else None
        if line is None or unit is None:
            raise not_here()
        offered = self.printing.marks_of(uid)
        first = next((each.mark for each in offered if not each.why), "")
        wanted = _wanted(request, STATEMENTS, first)
        if not wanted.mark:
            came = Outcome(ready=None, trouble="", stocks=())
        else:
            came = self._came(wanted, unit.site, _asked(wanted, units=[line.unit], sheet=uid))
        return sheet_print_page(seen, uid, unit, offered, wanted, came), came.ready

    # -- labels

    def labels(self, request: Request) -> Response:
        """The labels of a unit, or of the units of a site."""
        page, ready = self._labels(request)
        return answer(page, bad=ready is None)

    def labels_file(self, request: Request) -> Response:
        """Labels as PDF, or the first page of them as a picture."""
        page, ready = self._labels(request)
        return _file(request, page, ready)

    def _labels(self, request: Request) -> tuple[PrintPage, Ready | None]:
        seen, wanted = sight(self.office, request), _wanted(request, LABELS, LABELS[0])
        unit, site = self._whose(seen, request)
        if unit is not None:
            units, back, where = [unit.uid or ""], f"/units/{unit.uid}", unit.site
        else:
            units, back, where = [], site_href(site), site
        came = self._came(wanted, where, _asked(wanted, units=units, site=None if unit else site))
        return labels_page(seen, unit, site, back, wanted, came), came.ready

    def _whose(self, seen: Sight, request: Request) -> tuple[UnitState | None, str]:
        uid, site = request.query_params.get("unit", ""), request.query_params.get("site", "")
        unit = seen.state(uid) if uid else None
        if uid and unit is None:
            raise not_here()
        if not uid and not any(state.site == site and site for state in seen.dues.states):
            raise not_here()
        return unit, site

    def _came(self, wanted: Wanted, site: str | None, asked: PrintAsked) -> Outcome:
        stocks = self.printing.stocks_for(wanted.mark, site)
        try:
            ready = self.printing.prepare(asked)
            if not 1 <= wanted.start <= ready.stock.cells:
                raise Refusal(
                    what="there is no such cell on this stock",
                    rule=f"its cells are numbered 1 to {ready.stock.cells}, row by row",
                    got=str(wanted.start),
                    do="say the number of the first free cell",
                )
        except Refusal as refused:
            return Outcome(ready=None, trouble=in_sentences(refused), stocks=stocks)
        return Outcome(ready=ready, trouble="", stocks=stocks)


def _wanted(request: Request, known: tuple[str, ...], usual: str) -> Wanted:
    said = request.query_params
    mark = said.get("mark", "") or usual
    if mark and mark not in known:
        raise not_here()
    start = said.get("start", "").strip()
    number = int(start) if start.isascii() and start.isdigit() and len(start) <= len(str(_CELL_MAX)) else (1 if not start else 0)
    return Wanted(mark=mark, stock=said.get("stock", ""), start=number)


def _asked(wanted: Wanted, *, units: Sequence[str], sheet: str | None = None, site: str | None = None) -> PrintAsked:
    stock = wanted.stock or None
    return PrintAsked(mark=wanted.mark, units=units, stock=stock, start=max(wanted.start, 1), sheet=sheet, site=site)


def _file(request: Request, page: PrintPage, ready: Ready | None) -> Response:
    form: Literal["pdf", "png"] | None = {"pdf": "pdf", "png": "png"}.get(request.path_params["form"])  # type: ignore[assignment]
    if form is None:
        raise not_here()
    if ready is None:
        return answer(page, bad=True)
    shown = ready.first_page() if form == "png" else ready
    try:
        drawn = shown.draw(form, ppi=_CARD_PPI if ready.stock.cells == 1 else _SHEET_PPI)
    except Refusal as refused:
        return answer(replace(page, trouble=in_sentences(refused), preview="", pdf=""), bad=True)
    headers = {"cache-control": "no-store"}
    if form == "pdf":
        headers["content-disposition"] = f'inline; filename="{_("marks")}.pdf"'
    return Response(drawn.pages.files[0], media_type=_MEDIA[form], headers=headers)
