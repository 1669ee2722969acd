"""How a phone comes to trust this shop's own certificate authority, and whether it can work offline now.

Without a trusted certificate a phone gets no service worker and no camera. These pages answer on plain HTTP too: a phone
that trusts nobody yet must be able to read them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from importlib.resources import files

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.web.date_words import day_date
from pinseal.web.doors import Office
from pinseal.web.guards import Guard, WithHeaders
from pinseal.web.pages import frame
from pinseal.web.render import render, render_mark
from pinseal.web.speaking import Speaking
from pinseal.web.trust_views import CheckPage, TrustPage

_BYTES_MAX = 10_000  # nothing is sent to these pages


@dataclass(frozen=True, slots=True, kw_only=True)
class Trusted:
    """The root of a shop, as phones are given it. `address` is where the pages are, over TLS."""

    root_der: bytes
    fingerprint: str
    until: datetime
    names: tuple[str, ...]
    address: str


class TrustPages:
    """The pages of trust. `trusted` is None where the pages are served without TLS."""

    def __init__(self, office: Office, trusted: Trusted | None) -> None:
        self.office, self.trusted = office, trusted

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/trust", self.page, name="trust"),
            Route("/trust/root.crt", self.root, name="trust-root"),
            Route("/trust/check", self.check, name="trust-check"),
            Route("/trust/check.js", lambda _: _script("check.js"), name="trust-script"),
            Route("/trust/worker.js", lambda _: _script("worker.js"), name="trust-worker"),
        ]

    def page(self, _request: Request) -> Response:
        """What to do on the phone, and how to undo it."""
        it = self.trusted
        page = TrustPage(
            frame=frame(self.office.about(), title=_("Trust this shop on a phone")),
            address=it.address if it else "",
            fingerprint=it.fingerprint if it else "",
            until=day_date(it.until.date()) if it else "",
            names=it.names if it else (),
        )
        return HTMLResponse(render(page))

    def root(self, _: Request) -> Response:
        """The root itself; its key stays where it is."""
        if self.trusted is None:
            raise no_tls()
        headers = {"content-disposition": 'attachment; filename="pinseal-shop.crt"'}
        return Response(self.trusted.root_der, media_type="application/x-x509-ca-cert", headers=headers)

    def check(self, _request: Request) -> Response:
        """The page that tries what the field page needs, on the phone that opens it."""
        there = f"{self.trusted.address}/trust/check" if self.trusted else ""
        return HTMLResponse(render(CheckPage(frame=frame(self.office.about(), title=_("Can this phone work offline?")), there=there)))


def no_tls() -> Refusal:
    return Refusal(
        what=_("these pages are served without TLS"),
        rule=_("a root is there where the shop was started with --tls"),
        got="",
        do=_("start it with: pinseal serve SHOP --host 0.0.0.0 --tls"),
    )


def _script(name: str) -> Response:
    content = (files("pinseal.web") / "static" / "trust" / name).read_bytes()
    return Response(content, media_type="text/javascript", headers={"cache-control": "no-cache"})


def build_trust_site(office: Office, trusted: Trusted, *, hosts: Iterable[str], static: Mount) -> Starlette:
    """What answers on the plain port beside TLS: these pages, and nothing of the shop."""

    def refused(refusal: Refusal) -> Response:
        return Response(f"{refusal}\n", 403, media_type="text/plain")

    async def to_trust(_: Request, __: Exception) -> Response:
        return RedirectResponse("/trust", 303)

    routes: list[BaseRoute] = [
        *TrustPages(office, trusted).routes(),
        Route("/mark.svg", lambda _: Response(render_mark(), media_type="image/svg+xml"), name="mark"),
        static,
    ]
    guard = Middleware(Guard, hosts=tuple(hosts), bytes_max=_BYTES_MAX, answer=refused)
    return Starlette(
        routes=routes,
        middleware=[Middleware(WithHeaders), Middleware(Speaking, about=office.about), guard],
        exception_handlers={404: to_trust, 405: to_trust},
    )
