"""The routes of the test bench: the tests of a day with the daily check, one test of one unit, its picture."""

from __future__ import annotations

import time
from collections.abc import Callable
from fractions import Fraction

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.documents.jacket_drawing import jacket_picture
from pinseal.documents.jacket_plot import jacket_svg
from pinseal.reasons import Refusal
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.web.bench_day_page import CHECK_FIELDS, Check, read_check, test_day_page
from pinseal.web.bench_test_page import Bench, Filled, no_test_page, test_page
from pinseal.web.bench_test_sums import Typed, expansion_of, has_readings, read_form, test_steps
from pinseal.web.office_common import Sight, answer, form_of, is_staff, not_here, one, person_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form, entry_of
from pinseal.web.office_sheets import check_number
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble

_TEXT_MAX = 200
TEST_WORKS = frozenset({"hydrostatic-test"})


class TestDesk:
    """The pages of the test bench, for one shop. `clock` tells the seconds by which an entry is timed."""

    __test__ = False

    def __init__(self, office: OfficeRooms, clock: Callable[[], float] = time.time) -> None:
        self.office, self.clock = office, clock

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/bench/tests", self.day, name="bench-tests"),
            Route("/bench/tests/check", self.check, methods=["POST"], name="bench-check"),
            Route("/bench/test/{uid}", self.shown, name="bench-test"),
            Route("/bench/test/{uid}/enter", self.enter, methods=["POST"], name="bench-test-enter"),
            Route("/bench/test/{uid}/picture.svg", self.picture, name="bench-test-picture"),
        ]

    # -- the day

    def day(self, request: Request) -> Response:
        """The tests of today."""
        return self._day(request, Check(), saved=request.query_params.get("checked", "")[:_TEXT_MAX])

    def _day(self, request: Request, check: Check, *, saved: str = "") -> Response:
        page = test_day_page(
            sight(self.office, request),
            self.office.open_sheets(TEST_WORKS),
            self.office.instruments(),
            check,
            may_check=is_staff(request),
            saved=saved,
        )
        return answer(page, bad=bool(page.troubles))

    async def check(self, request: Request) -> Response:
        """The first work of a testing day: the jacket against its calibrated cylinder."""
        return await run_in_threadpool(self._check, request, await form_of(request))

    def _check(self, request: Request, form: Form) -> Response:
        listed = self.office.instruments()
        check = read_check({name: one(form, name)[:_TEXT_MAX] for name in CHECK_FIELDS}, listed)
        if check.fields is None or check.jacket is None:
            return self._day(request, check)
        try:
            self.office.check_instrument(check.jacket.uid, check.fields, person_of(request))
        except Refusal as refused:
            return self._day(request, check.refused(in_sentences(refused)))
        return see_other(f"/bench/tests?checked={check.fields['check']}#tools")

    # -- one test

    def shown(self, request: Request) -> Response:
        """One test of one unit; what is typed is judged, and nothing is recorded."""
        seen, uid = self._seen(request)
        form = {name: [value.strip()[:_TEXT_MAX]] for name, value in request.query_params.items()}
        bench = self._bench(request, seen, uid)
        if isinstance(bench, Response):
            return bench
        filled = Filled(form=form)
        if has_readings(form):
            filled = Filled(form=form, typed=read_form(test_steps(bench.work)[bench.kind(one(form, "by"))], form, None))
        page = test_page(seen, bench, one(form, "by"), filled)
        return answer(page, bad=bool(page.troubles))

    async def enter(self, request: Request) -> Response:
        """Take the answer of a test onto the open sheet of the unit."""
        return await run_in_threadpool(self._enter, request, await form_of(request))

    def _enter(self, request: Request, form: Form) -> Response:
        seen, uid = self._seen(request)
        bench = self._bench(request, seen, uid)
        if isinstance(bench, Response):
            return bench
        kind = next((kind for kind, step in test_steps(bench.work).items() if step.id == one(form, "step")), "")
        if not kind:
            raise not_here()
        step = test_steps(bench.work)[kind]
        given = step.answer(one(form, "answer"))
        typed = Typed() if given is None or not given.good else read_form(step, form, given)
        troubles = () if typed.wrong else self._take(request, bench, form)
        if not typed.wrong and not troubles:
            return see_other(f"/bench/test/{uid}?by={kind}#result")
        page = test_page(seen, bench, kind, Filled(form=form, typed=typed, troubles=troubles))
        return answer(page, bad=True)

    def _take(self, request: Request, bench: Bench, form: Form) -> tuple[Trouble, ...]:
        """Take the entry through the sheet's own service; why it was refused, where it was."""
        if not bench.kept:
            return (Trouble(text=_("No sheet with this test is open, so nothing was recorded. Begin a sheet first."), at="record"),)
        try:
            check_number(bench.sheet, form)
            entry = entry_of({**form, "act": ["step"]}, now=int(self.clock()))
            self.office.enter(bench.sheet, entry, person_of(request))
        except Refusal as refused:
            return (Trouble(text=in_sentences(refused), at="record"),)
        return ()

    def picture(self, request: Request) -> Response:
        """The expansion of a test that is asked for as on the page."""
        seen, uid = self._seen(request)
        bench = self._bench(request, seen, uid)
        if isinstance(bench, Response):
            raise not_here()
        step = test_steps(bench.work).get("jacket")
        form = {name: [value.strip()[:_TEXT_MAX]] for name, value in request.query_params.items()}
        typed = read_form(step, form, None) if step else Typed()
        found = expansion_of(bench.work.job, typed.readings)
        if found is None or bench.work.job.plate.marking is None:
            raise not_here()
        pressure, rejection = typed.readings["pressure"], typed.readings.get("rejection")
        stamp = bench.work.job.plate.marking.text
        drawn = jacket_picture(
            found,
            title=_("Water jacket test"),
            subtitle=_("%(stamp)s at %(pressure)s, %(date)s", stamp=stamp, pressure=pressure.text, date=bench.work.job.on.isoformat()),
            rejection_m3=_float(rejection.measure.exact if rejection else None),
        )
        return Response(jacket_svg(drawn), media_type="image/svg+xml")

    # -- what a request is about

    def _seen(self, request: Request) -> tuple[Sight, str]:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        if not seen.sees(uid):
            raise not_here()
        return seen, uid

    def _bench(self, request: Request, seen: Sight, uid: str) -> Bench | Response:
        """The unit at the test bench; a page that says why not, where it is not tested by pressure."""
        try:
            sheet = self._open_sheet(seen, uid) if is_staff(request) else None
            kept = sheet is not None
            sheet = sheet or self.office.trial_sheet(uid, tuple(TEST_WORKS))
        except Refusal as refused:
            return answer(no_test_page(seen, uid, in_sentences(refused)))
        if not test_steps(sheet.work):
            why = _("No procedure that is held here tests this kind of unit by pressure. Ask its maker, or a licensed tester.")
            return answer(no_test_page(seen, uid, why))
        return Bench(sheet=sheet, kept=kept, listed=self.office.instruments(), shown=int(self.clock()))

    def _open_sheet(self, seen: Sight, uid: str) -> OpenedSheet | None:
        """The newest open sheet of the unit that holds a test of the shell."""
        for line in reversed([each for each in seen.books.sheets if each.is_open and each.unit == uid]):
            sheet = self.office.sheet(line.uid)
            if sheet is not None and sheet.work.abandoned is None and test_steps(sheet.work):
                return sheet
        return None


def _float(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the test bench."""
    return TestDesk(office).routes()
