"""Says for every request who is asking, and lets it through only where the table of rights has a row for it.

Plain ASGI, inside the guards: what stands here has a known host and comes from our own page.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable, Iterable
from http.cookies import CookieError, SimpleCookie
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Match
from starlette.types import ASGIApp, Receive, Scope, Send

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.web.account import AUTHORITY, SIGNED_IN, Account
from pinseal.web.guards import NotAllowed, bearer_of
from pinseal.web.limits import Limits
from pinseal.web.people_doors import Doors
from pinseal.web.rights import ASKS_ITSELF, PUBLIC, may_open

SESSION_DAYS = 14
_READING = ("GET", "HEAD")


class NotSignedIn(Refusal):
    """Nobody is signed in: status 401."""


def cookie_name(scheme: str) -> str:
    """Under TLS the name binds the cookie to this host and to TLS (RFC 6265bis, the prefix `__Host-`)."""
    return "__Host-pinseal" if scheme == "https" else "pinseal"


def let_in(response: Response, key: str, scheme: str) -> Response:
    """Give a browser the key of its session. No script can read it, and other sites' forms do not bring it."""
    age = SESSION_DAYS * 86_400
    response.set_cookie(cookie_name(scheme), key, max_age=age, path="/", httponly=True, samesite="lax", secure=scheme == "https")
    return response


def let_out(response: Response, scheme: str) -> Response:
    response.delete_cookie(cookie_name(scheme), path="/", httponly=True, samesite="lax", secure=scheme == "https")
    return response


def session_key(headers: Headers, scheme: str) -> str:
    """The key of the session that a browser brings; empty where it brings none."""
    try:
        cookies = SimpleCookie(headers.get("cookie", ""))
    except CookieError:
        return ""
    found = cookies.get(cookie_name(scheme))
    return found.value if found else ""


def route_name(routes: Iterable[BaseRoute], scope: Scope) -> str | None:
    """The name of the route that will answer; empty where none will, None where it has no name."""
    partly: str | None = ""
    for route in routes:
        found = route.matches(scope)[0]
        name = getattr(route, "name", None) or None
        if found is Match.FULL:
            return name
        if found is Match.PARTIAL and partly == "":  # the address is right and the method is not: the same rights hold
            partly = name
    return partly


class Doorkeeper:
    """`doors` says who is who; without it nobody is. `answer` makes the page for a refusal."""

    def __init__(
        self, app: ASGIApp, *, routes: Iterable[BaseRoute], doors: Doors | None, limits: Limits, answer: Callable[[Refusal], ASGIApp]
    ) -> None:
        self.app, self.routes, self.doors, self.limits, self.answer = app, tuple(routes), doors, limits, answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        client = scope.get("client")
        SIGNED_IN.set(None)
        refusal: Refusal | None = self.limits.request(client[0] if client else None)
        if refusal is None:
            try:
                account = await self._account(scope)
            except Refusal as unusable:
                account, refusal = None, unusable
            scope.setdefault("state", {})["account"] = account
            SIGNED_IN.set(account)
            refusal = refusal or self._refusal(scope, account)
        if refusal is None:
            return await self.app(scope, receive, send)
        return await self._instead(refusal, scope)(scope, receive, send)

    async def _account(self, scope: Scope) -> Account | None:
        headers = Headers(scope=scope)
        if self.doors is None or bearer_of(headers) is not None:  # who brings a token is asked by the API, and by nobody else
            return None
        key = session_key(headers, scope.get("scheme", "http"))
        found = await run_in_threadpool(self.doors.of_session, key) if key else None
        return found or (self.doors.by_itself() if at_this_machine(scope) else None)

    def _refusal(self, scope: Scope, account: Account | None) -> Refusal | None:
        name = route_name(self.routes, scope)
        if name == "" or name in PUBLIC or name in ASKS_ITSELF:
            return None
        if account is None:
            return _sign_in_first(scope["path"])
        reads_only = account.role == AUTHORITY and scope["method"] not in _READING
        if may_open(account.role, name) and not reads_only:
            return None
        return NotAllowed(
            what=_("this page is not for your role"),
            rule=_("each role opens what its work needs, and nothing more"),
            got=_(account.role),
            do=_("ask a supervisor of the shop"),
        )

    def _instead(self, refusal: Refusal, scope: Scope) -> ASGIApp:
        if isinstance(refusal, NotSignedIn) and scope["method"] in _READING:
            return RedirectResponse(f"/sign-in?next={quote(_asked_path(scope), safe='')}", 303, headers={"cache-control": "no-store"})
        return self.answer(refusal)


def _sign_in_first(path: str) -> NotSignedIn:
    return NotSignedIn(
        what=_("nobody is signed in"),
        rule=_("who does something here is known by name"),
        got=path,
        do=_("sign in, go back, and send the form again"),
    )


def _asked_path(scope: Scope) -> str:
    return Request(scope).url.path + (f"?{Request(scope).url.query}" if Request(scope).url.query else "")


def at_this_machine(scope: Scope) -> bool:
    """Whether the request comes from the machine itself."""
    client = scope.get("client")
    try:
        return client is not None and ipaddress.ip_address(client[0]).is_loopback
    except ValueError:
        return False


def inside(path: str) -> str:
    """A path of this site to go to after signing in; what leads anywhere else leads to the first page.

    >>> inside("/dues?state=overdue"), inside("//evil.example"), inside("https://evil.example"), inside("/\\\\evil.example")
    ('/dues?state=overdue', '/', '/', '/')
    """
    plain = path.isprintable() and path.startswith("/") and not path.startswith("//") and "\\" not in path
    return path if plain and not path.startswith(("/sign-in", "/sign-out", "/welcome")) else "/"
