"""The pages as one ASGI application: addresses, and a plain page for whatever goes wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from http import HTTPStatus
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal, ShopUnusable
from pinseal.web.asked import read_asked
from pinseal.web.desk import Desk
from pinseal.web.doorkeeper import Doorkeeper, NotSignedIn
from pinseal.web.doors import About, Office
from pinseal.web.guards import HEADERS, Guard, NotAllowed, TooLarge, WithHeaders
from pinseal.web.limits import Limits, TooOften
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_routes import office_routes
from pinseal.web.pages import dues_page, frame
from pinseal.web.people_desk import PeopleDesk
from pinseal.web.people_doors import People
from pinseal.web.refusals import sentence
from pinseal.web.render import render, render_mark
from pinseal.web.share_doors import Shares
from pinseal.web.sharing import Sharing
from pinseal.web.sign_in import SignIn
from pinseal.web.speaking import Speaking
from pinseal.web.standards_page import standards_page
from pinseal.web.views import ProblemPage

UPLOAD_BYTES_MAX = 32_000_000
_STATUS: tuple[tuple[type[Refusal], int], ...] = (
    (NotSignedIn, 401),
    (NotAllowed, 403),
    (TooOften, 429),
    (TooLarge, 413),
    (ShopUnusable, 503),
    (Refusal, 400),
)
_NOBODY = About(name="pinseal", today=date(1900, 1, 1))


class Static(StaticFiles):
    """Fonts and the style sheet. A browser may keep them: the address of the style sheet changes with its content."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        response = await super().get_response(path, scope)
        response.headers["cache-control"] = "public, max-age=604800"
        return response


def static_files() -> Mount:
    """The style sheet, the fonts and the scripts of the package."""
    return Mount("/static", Static(packages=[("pinseal.web", "static")]), name="static")


def build_site(
    office: OfficeRooms,
    *,
    hosts: Iterable[str] = (),
    upload_bytes_max: int = UPLOAD_BYTES_MAX,
    more: Iterable[BaseRoute] = (),
    people: People | None = None,
    limits: Limits | None = None,
    shares: Shares | None = None,
) -> Starlette:
    """The pages of one shop. `hosts` are the names, beside `localhost` and plain addresses, that they answer to.

    `more` are the routes of rooms beside the office; each has a name with a row in `rights.RIGHTS`. `people` says who is who; without
    it nobody can sign in, and only what is public is shown.
    """
    desk = Desk(office, bytes_max=upload_bytes_max)
    problems = _Problems(office)
    counted = limits or Limits()
    doors = [*SignIn(office, people, counted).routes(), *PeopleDesk(office, people).routes()] if people else []
    doors += Sharing(office, shares).routes() if shares else []
    routes: list[BaseRoute] = [
        *more,
        *doors,
        *office_routes(office),
        Route("/dues", _dues(office), name="dues"),
        Route("/standards", _shown(lambda _: standards_page(office.about(), office.packs(), office.chosen())), name="standards"),
        *desk.routes(),
        Route("/mark.svg", lambda _: Response(render_mark(), media_type="image/svg+xml"), name="mark"),
        Route("/favicon.ico", lambda _: RedirectResponse("/mark.svg"), name="favicon"),
        static_files(),
    ]
    return Starlette(
        routes=routes,
        middleware=[
            Middleware(WithHeaders),
            Middleware(Speaking, about=lambda: office.about()),
            Middleware(Guard, hosts=tuple(hosts), bytes_max=upload_bytes_max, answer=problems.refused),
            Middleware(Doorkeeper, routes=routes, doors=people, limits=counted, answer=problems.refused),
        ],
        exception_handlers={Refusal: problems.handle, HTTPException: problems.handle, Exception: problems.handle},
    )


def seen(office: Office, request: Request) -> Office:
    """The shop as the person who asks may see it."""
    return office.within(request.state.account.reach)


def _shown(make: Callable[[Request], Any]) -> Callable[[Request], Response]:
    def endpoint(request: Request) -> Response:
        return HTMLResponse(render(make(request)))

    return endpoint


def _dues(office: Office) -> Callable[[Request], Response]:
    def endpoint(request: Request) -> Response:
        asked, troubles = read_asked(request.query_params.multi_items())
        about = office.about()
        page = dues_page(about, seen(office, request).due_list(asked.on or about.today), asked, troubles)
        return HTMLResponse(render(page), 400 if troubles else 200)

    return endpoint


class _Problems:
    """A page for whatever goes wrong. The shop's name is shown where the shop still answers."""

    def __init__(self, office: Office) -> None:
        self.office = office

    def handle(self, _request: Request, error: Exception) -> Response:
        if isinstance(error, Refusal):
            return self.refused(error)
        if isinstance(error, HTTPException):
            return self._answer(error.status_code, **_http_words(error.status_code))
        return self._answer(
            500,
            what=_("The program made a mistake"),
            rule=_("Nothing that was being written was half written."),
            do=_("Try again. If it happens again, tell the maker of this program what you did."),
        )

    def refused(self, refusal: Refusal) -> Response:
        status = next(code for kind, code in _STATUS if isinstance(refusal, kind))
        return self._answer(status, what=sentence(refusal.what), rule=sentence(refusal.rule), got=refusal.got, do=sentence(refusal.do))

    def _answer(self, status: int, *, what: str, rule: str = "", got: str = "", do: str = "") -> Response:
        try:
            about = self.office.about()
        except Refusal:
            about = _NOBODY
        page = ProblemPage(frame=frame(about, title=what.rstrip(".")), what=what.rstrip("."), rule=rule, got=got, do=do)
        return HTMLResponse(render(page), status, headers=HEADERS | {"cache-control": "no-store"})


def _http_words(status: int) -> dict[str, str]:
    if status == 404:
        return {
            "what": _("There is no such page"),
            "rule": _("The address may be mistyped, or the unit may be of another shop."),
            "do": _("Look for the unit in the due list."),
        }
    if status == 405:
        return {"what": _("This page takes no form"), "do": _("Go back and use the buttons of the page.")}
    return {"what": HTTPStatus(status).phrase.capitalize(), "do": _("Go back and try again.")}
