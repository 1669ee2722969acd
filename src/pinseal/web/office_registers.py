"""The routes of the office's lists: today, loaners, instruments, settings."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.reasons import Refusal
from pinseal.web.account import SUPERVISOR
from pinseal.web.office_common import account_of, answer, form_of, not_here, person_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form
from pinseal.web.office_registers_page import instrument_page, instruments_page, loaners_page
from pinseal.web.office_settings_page import FORM_NAMES, settings_page
from pinseal.web.office_today_page import office_today_page
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble


class RegisterDesk:
    """The pages of the office's lists, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/", self.today, name="today"),
            Route("/loaners", self.loaners, name="loaners"),
            Route("/instruments", self.instruments, name="instruments"),
            Route("/instruments/{uid}", self.instrument, name="instrument"),
            Route("/settings", self.settings, name="settings"),
            Route("/settings/change", self.change, methods=["POST"], name="settings-change"),
        ]

    def today(self, request: Request) -> Response:
        """The day in the office."""
        return answer(office_today_page(sight(self.office, request), self.office.disagreements(), self.office.impairments()))

    def loaners(self, request: Request) -> Response:
        """Who is away, and what stands in."""
        return answer(loaners_page(sight(self.office, request)))

    def instruments(self, request: Request) -> Response:
        """Every instrument."""
        return answer(instruments_page(sight(self.office, request), self.office.instruments()))

    def instrument(self, request: Request) -> Response:
        """One instrument, and what it puts in doubt."""
        uid = request.path_params["uid"]
        found = next((each for each in self.office.instruments() if each.instrument.uid == uid), None)
        if found is None:
            raise not_here()
        return answer(instrument_page(sight(self.office, request), found, self.office.doubt(uid)))

    def settings(self, request: Request) -> Response:
        """What the shop has chosen."""
        return self._settings(request)

    def _settings(self, request: Request, *troubles: Trouble) -> Response:
        account = account_of(request)
        page = settings_page(
            sight(self.office, request),
            self.office.settings(),
            self.office.packs(),
            may_change=account is None or account.role == SUPERVISOR,
            saved=request.query_params.get("saved") == "1",
            troubles=troubles,
        )
        return answer(page, bad=bool(troubles))

    async def change(self, request: Request) -> Response:
        """Choose anew."""
        return await run_in_threadpool(self._change, request, await form_of(request))

    def _change(self, request: Request, form: Form) -> Response:
        said = [name for name in FORM_NAMES if name in form or name == "packs"]  # no pack is ticked: none is sent
        changes = {name: ",".join(form.get(name, ())) for name in said}
        if not changes.get("date_order"):
            changes.pop("date_order", None)
        try:
            self.office.change_settings(changes, person_of(request))
        except Refusal as refused:
            return self._settings(request, Trouble(text=in_sentences(refused), at="settings"))
        return see_other("/settings?saved=1")


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the office's lists."""
    return RegisterDesk(office).routes()
