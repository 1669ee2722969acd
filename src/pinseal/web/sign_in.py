"""Signing in and out, and the first page of a one-time link."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, number
from pinseal.reasons import Refusal
from pinseal.web.doorkeeper import inside, let_in, let_out, session_key
from pinseal.web.doors import Office
from pinseal.web.limits import Limits
from pinseal.web.pages import frame
from pinseal.web.people_doors import Doors
from pinseal.web.people_views import SignInPage, WelcomePage
from pinseal.web.render import render
from pinseal.web.views import Trouble

PASSPHRASE_LENGTH_MIN = 12
PASSPHRASE_LENGTH_MAX = 1_000
_WRONG = marked("This name and this passphrase do not belong together. Letters count as typed in the passphrase, not in the name.")


class SignIn:
    """The doors of one shop, as pages."""

    def __init__(self, office: Office, doors: Doors, limits: Limits) -> None:
        self.office, self.doors, self.limits = office, doors, limits

    def routes(self) -> list[Route]:
        return [
            Route("/sign-in", self.sign_in, methods=["GET", "POST"], name="sign-in"),
            Route("/sign-out", self.sign_out, methods=["POST"], name="sign-out"),
            Route("/welcome/{key}", self.welcome, methods=["GET", "POST"], name="welcome"),
        ]

    async def sign_in(self, request: Request) -> Response:
        """The form, and what comes of it."""
        if request.method != "POST":
            return await run_in_threadpool(self._form, inside(request.query_params.get("next", "/")))
        async with request.form(max_files=0, max_fields=10) as form:
            said = {name: str(form.get(name, "")) for name in ("login", "passphrase", "next")}
        return await run_in_threadpool(self._signed_in, request, said["login"].strip(), said["passphrase"], inside(said["next"]))

    def _form(self, goes_to: str, login: str = "", trouble: str = "", status: int = 200) -> Response:
        troubles = (Trouble(text=trouble, at="login"),) if trouble else ()
        page = SignInPage(frame=frame(self.office.about(), title=_("Sign in")), login=login, goes_to=goes_to, troubles=troubles)
        return HTMLResponse(render(page), status)

    def _signed_in(self, request: Request, login: str, passphrase: str, goes_to: str) -> Response:
        host = request.client.host if request.client else None
        refused = self.limits.may_try(host, login)
        if refused:
            raise refused
        key = self.doors.sign_in(login, passphrase) if len(passphrase) <= PASSPHRASE_LENGTH_MAX else None
        if key is None:
            self.limits.wrong(host, login)
            return self._form(goes_to, login, _(_WRONG), 403)
        return let_in(RedirectResponse(goes_to, 303), key, request.url.scheme)

    def sign_out(self, request: Request) -> Response:
        """End the session of this browser."""
        key = session_key(request.headers, request.url.scheme)
        if key:
            self.doors.sign_out(key)
        return let_out(RedirectResponse("/sign-in", 303), request.url.scheme)

    async def welcome(self, request: Request) -> Response:
        """Set a passphrase by a one-time link; whoever did is signed in."""
        key = request.path_params["key"]
        if request.method != "POST":
            return await run_in_threadpool(self._welcome, request, key)
        async with request.form(max_files=0, max_fields=10) as form:
            first, again = str(form.get("passphrase", "")), str(form.get("again", ""))
        return await run_in_threadpool(self._set, request, key, first, again)

    def _welcome(self, request: Request, key: str, *troubles: Trouble) -> Response:
        host = request.client.host if request.client else None
        refused = self.limits.may_try(host, "")
        if refused:
            raise refused
        account = self.doors.welcomed(key)
        if account is None:
            self.limits.wrong(host, "")
            raise spent()
        page = WelcomePage(
            frame=frame(self.office.about(), title=_("Welcome")),
            name=account.name,
            here=f"/welcome/{key}",
            length_min=PASSPHRASE_LENGTH_MIN,
            troubles=troubles,
        )
        return HTMLResponse(render(page), 400 if troubles else 200)

    def _set(self, request: Request, key: str, first: str, again: str) -> Response:
        if not PASSPHRASE_LENGTH_MIN <= len(first) <= PASSPHRASE_LENGTH_MAX:
            said = _(
                "A passphrase has %(least)s to %(most)s characters; this one has %(n)s.",
                least=PASSPHRASE_LENGTH_MIN,
                most=number(PASSPHRASE_LENGTH_MAX),
                n=number(len(first)),
            )
            return self._welcome(request, key, Trouble(text=said, at="passphrase"))
        if first != again:
            return self._welcome(request, key, Trouble(text=_("The two passphrases are not the same. Type both again."), at="again"))
        return let_in(RedirectResponse("/", 303), self.doors.set_passphrase(key, first), request.url.scheme)


def spent() -> Refusal:
    """What is said of a link that opens nothing any more, or never did."""
    return Refusal(
        what=_("this link does not open anything any more"),
        rule=_("a one-time link opens once, and only until its last day"),
        got="",
        do=_("ask a supervisor of the shop for a new one"),
    )
