"""Job sheets on pages: the list, one sheet to read, beginning one, and working it step by step with plain forms."""

from __future__ import annotations

import time
from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.service.books import SheetLine
from pinseal.service.door import check_entry
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.sheets.model import WORKS
from pinseal.web.account import AUTHORITY, OWNER, SUPERVISOR
from pinseal.web.asked import read_page
from pinseal.web.office_begin_page import begin_page
from pinseal.web.office_common import (
    Sight,
    account_of,
    answer,
    form_of,
    not_here,
    one,
    person_of,
    see_other,
    sight,
)
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form, entry_of
from pinseal.web.office_photos_page import file_names, photo_form, photo_views
from pinseal.web.office_sheet_page import SHOWN, sheet_page, sheets_page
from pinseal.web.office_work_page import Looked, Sent, work_page
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble

_INSPECTION = ("inspection",)


class SheetDesk:
    """The pages of job sheets, for one shop. `clock` tells the seconds by which an entry is timed."""

    def __init__(self, office: OfficeRooms, clock: Callable[[], float] = time.time) -> None:
        self.office, self.clock = office, clock

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/sheets", self.listed, name="sheets"),
            Route("/sheets/{uid}", self.shown, name="sheet"),
            Route("/sheets/{uid}/sample", self.sample, methods=["POST"], name="sheet-sample"),
            Route("/sheets/{uid}/work", self.work, methods=["GET", "POST"], name="sheet-work"),
            Route("/units/{uid}/sheet", self.begin, methods=["GET", "POST"], name="unit-sheet"),
        ]

    # -- reading

    def listed(self, request: Request) -> Response:
        """The sheets, narrowed by how they stand."""
        show = request.query_params.get("show", "all")
        if show not in SHOWN:
            raise not_here()
        return answer(sheets_page(sight(self.office, request), show, read_page(request.query_params.get("page", ""), [])))

    def shown(self, request: Request) -> Response:
        """One sheet to read and to print."""
        return self._sheet_page(request)

    def _sheet_page(self, request: Request, *troubles: Trouble) -> Response:
        seen, line, sheet = self._found(request)
        account = account_of(request)
        entries, history = self.office.sheet_kept(line.uid, line.unit)
        page = sheet_page(
            seen,
            line,
            sheet,
            entries=entries,
            records=[] if line.is_open else [record for record in history if record.fields.get("sheet") == line.uid],
            may_work=may_work(account.role if account else None, sheet),
            may_check=account is None or account.role == SUPERVISOR,
            photos=photo_views(history, self.office.files_of(file_names(history)), line.unit, line.uid),
            form=photo_form(seen, line.unit, sheet=line.uid) if account is None or account.role != AUTHORITY else None,
            troubles=troubles,
        )
        return answer(page, bad=bool(troubles))

    def _found(self, request: Request) -> tuple[Sight, SheetLine, OpenedSheet]:
        """The sheet that the address names, where this person may see its unit."""
        seen, uid = sight(self.office, request), request.path_params["uid"]
        line = seen.books.sheet(uid)
        sheet = self.office.sheet(uid) if line and seen.sees(line.unit) else None
        if line is None or sheet is None:
            raise not_here()
        return seen, line, sheet

    # -- a second look

    async def sample(self, request: Request) -> Response:
        """A supervisor looked at one confirmation of a closed sheet."""
        return await run_in_threadpool(self._sample, request, await form_of(request))

    def _sample(self, request: Request, form: Form) -> Response:
        _, line, _ = self._found(request)
        try:
            self.office.sample(line.uid, one(form, "group"), one(form, "agrees") == "yes", person_of(request))
        except Refusal as refused:
            return self._sheet_page(request, Trouble(text=in_sentences(refused), at="samples"))
        return see_other(f"/sheets/{line.uid}")

    # -- beginning

    async def begin(self, request: Request) -> Response:
        """What a sheet is to be for; the sheet that this person has open goes on."""
        form = await form_of(request) if request.method == "POST" else None
        return await run_in_threadpool(self._begin, request, form)

    def _begin(self, request: Request, form: Form | None) -> Response:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        if not seen.sees(uid):
            raise not_here()
        account, person = account_of(request), person_of(request)
        own = account is not None and account.role == OWNER
        if form is None:
            mine = [each for each in seen.books.sheets if each.is_open and each.unit == uid and person and each.person == person]
            if mine and not request.query_params.get("new"):
                return see_other(f"/sheets/{mine[-1].uid}/work")
            return answer(begin_page(seen, self.office, uid, only=_INSPECTION if own else tuple(WORKS)))
        works = [work for work in form.get("work", ()) if not own or work in _INSPECTION]
        if not works:
            trouble = Trouble(text=_("No work is chosen. Choose at least one."), at="works")
            return answer(begin_page(seen, self.office, uid, only=_INSPECTION if own else tuple(WORKS), troubles=(trouble,)), bad=True)
        try:
            sheet = self.office.begin_sheet(uid, works, person)
        except Refusal as refused:
            trouble = Trouble(text=in_sentences(refused), at="works")
            return answer(begin_page(seen, self.office, uid, only=tuple(WORKS), troubles=(trouble,)), bad=True)
        return see_other(f"/sheets/{sheet}/work")

    # -- working

    async def work(self, request: Request) -> Response:
        """The next step of a sheet; its forms come back here."""
        form = await form_of(request) if request.method == "POST" else None
        return await run_in_threadpool(self._work, request, form)

    def _work(self, request: Request, form: Form | None) -> Response:
        seen, line, sheet = self._found(request)
        account = account_of(request)
        if not line.is_open:
            return see_other(f"/sheets/{line.uid}")
        if not may_work(account.role if account else None, sheet):
            raise not_here()
        said = request.query_params if form is None else {name: values[-1] for name, values in form.items()}
        each, leaving = said.get("each", ""), said.get("leaving") == "1"
        if form is None:
            looked = Looked(step=said.get("step", ""), each=each, leaving=leaving)
            if looked.step and sheet.work.job.step(looked.step) is None:
                raise not_here()
            return answer(work_page(seen.about, sheet, looked, shown=self._now()))
        looked = Looked(each=each, leaving=leaving)
        try:
            ended = self._take(request, sheet, form)
        except Refusal as refused:
            return self._refused(seen, sheet, looked, form, refused)
        return see_other(f"/sheets/{line.uid}" if ended else looked.href(f"/sheets/{line.uid}/work"))

    def _take(self, request: Request, sheet: OpenedSheet, form: Form) -> bool:
        """Take what a form says; true where the sheet is closed by it. Raises `Refusal`."""
        check_number(sheet, form)
        account, person = account_of(request), person_of(request)
        if one(form, "act") == "finish":
            self.office.finish(sheet, person)
            return True
        entry = entry_of(form, now=self._now())
        if account is not None and account.role == OWNER:
            check_entry(entry, sheet.work)
        self.office.enter(sheet, entry, person)
        if entry.kind != "abandon":
            return False
        broken_off = self.office.sheet(sheet.uid)
        assert broken_off is not None, "a sheet that was entered on is kept"
        self.office.finish(broken_off, person)
        return True

    def _refused(self, seen: Sight, sheet: OpenedSheet, looked: Looked, form: Form, refused: Refusal) -> Response:
        """The page again, with the trouble and with what was typed; by the sheet as it stands now."""
        now = self.office.sheet(sheet.uid) or sheet
        on_step = Looked(
            step=one(form, "step") if one(form, "act") in ("step", "override") else "", each=looked.each, leaving=looked.leaving
        )
        if now.work.job.step(on_step.step) is None:
            on_step = looked
        trouble = Trouble(text=in_sentences(refused), at="entry")
        return answer(work_page(seen.about, now, on_step, shown=self._now(), sent=Sent(troubles=(trouble,), typed=form)), bad=True)

    def _now(self) -> int:
        return int(self.clock())


def may_work(role: str | None, sheet: OpenedSheet) -> bool:
    """An owner works on inspections alone, and an authority on nothing. Where nobody signs in, everybody may."""
    if role == AUTHORITY:
        return False
    return role != OWNER or sheet.work.job.works == _INSPECTION


def check_number(sheet: OpenedSheet, form: Form) -> None:
    """A form belongs to the sheet as it was shown: sent twice, or after another person's entry, it is not taken. Raises `Refusal`."""
    if one(form, "expect") != str(sheet.next_number):
        raise Refusal(
            what=_("the sheet has moved on since this page was shown"),
            rule=_("an entry is made on the sheet as it stands, so that nothing is entered twice"),
            got=one(form, "expect"),
            do=_("look at the page as it stands now; if your entry is not there, make it again"),
        )


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the job sheets."""
    return SheetDesk(office).routes()
