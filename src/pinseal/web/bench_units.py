"""The routes of a unit on the bench: its teardown at a glance, and the ticks of its parts."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.reasons import Refusal
from pinseal.service.books import SheetLine
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.web.bench_unit_page import no_sheet_page, teardown_page
from pinseal.web.office_common import Sight, answer, form_of, is_staff, not_here, person_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form, entry_of
from pinseal.web.office_sheets import check_number
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble


class UnitDesk:
    """The pages of a unit on the bench, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/bench/unit/{uid}", self.shown, name="bench-unit"),
            Route("/bench/unit/{uid}/part", self.part, methods=["POST"], name="bench-part"),
        ]

    def shown(self, request: Request) -> Response:
        """The newest open sheet of the unit by its stages."""
        return self._page(request)

    def _page(self, request: Request, *troubles: Trouble) -> Response:
        seen, uid = self._seen(request)
        found = self._open(seen, uid)
        if found is None:
            return answer(no_sheet_page(seen, uid, may_begin=is_staff(request)))
        line, sheet, others = found
        return answer(teardown_page(seen, line, sheet, others, may_work=is_staff(request), troubles=troubles), bad=bool(troubles))

    async def part(self, request: Request) -> Response:
        """A part lies ready, or not any more: an entry of the sheet."""
        return await run_in_threadpool(self._part, request, await form_of(request))

    def _part(self, request: Request, form: Form) -> Response:
        seen, uid = self._seen(request)
        found = self._open(seen, uid)
        if found is None:
            raise not_here()
        _, sheet, _ = found
        try:
            check_number(sheet, form)
            self.office.enter(sheet, entry_of({**form, "act": ["laid-out"]}, now=0), person_of(request))
        except Refusal as refused:
            return self._page(request, Trouble(text=in_sentences(refused), at="parts"))
        return see_other(f"/bench/unit/{uid}#parts")

    def _seen(self, request: Request) -> tuple[Sight, str]:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        if not seen.sees(uid):
            raise not_here()
        return seen, uid

    def _open(self, seen: Sight, uid: str) -> tuple[SheetLine, OpenedSheet, list[SheetLine]] | None:
        lines = [each for each in seen.books.sheets if each.is_open and each.unit == uid]
        sheet = self.office.sheet(lines[-1].uid) if lines else None
        return (lines[-1], sheet, lines[:-1]) if sheet else None


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of a unit on the bench."""
    return UnitDesk(office).routes()
