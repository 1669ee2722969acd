"""What stands before every page: who may ask, how much may be sent, and what the browser may do with a page.

Plain ASGI, so that nothing is read before it is allowed.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable, Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal

POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    # `same-origin` and not `no-referrer`: with the latter, browsers send `Origin: null` with our own forms.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
SCRIPTED = ("/bench/test",)  # these pages run one file of ours beside a form; all they can do without it, they do without it
SCRIPTED_HEADERS = HEADERS | {"content-security-policy": f"{POLICY}; script-src 'self'"}
FIELD_PAGE = "/field"
TRYING = "/trust/"  # the page that tries whether a phone can run the field page needs what that page needs
# The field page and the page that tries a phone run scripts, all of them files of this site, and may use the camera.
TRYING_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self' blob: data:",
        "media-src 'self' blob:",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
# The reader of codes is WebAssembly, and the field page alone may start it: `wasm-unsafe-eval` (W3C Content Security Policy
# Level 3) opens nothing to text that would be run as a script.
FIELD_POLICY = TRYING_POLICY.replace("script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'")
TRYING_HEADERS = HEADERS | {"content-security-policy": TRYING_POLICY, "permissions-policy": "camera=(self), geolocation=(), microphone=()"}
FIELD_HEADERS = TRYING_HEADERS | {"content-security-policy": FIELD_POLICY}
_ASKING = ("GET", "HEAD")
_DRAINED_TIMES = 8  # so much more than the limit is read and thrown away, so that the browser hears the answer


class NotAllowed(Refusal):
    """A request that is not answered at all: status 403."""


class TooLarge(Refusal):
    """More was sent than a page takes: status 413."""


class WithHeaders:
    """Adds the security headers to every answer. Pages are not kept by caches; static files are."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await self.app(scope, receive, send)

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in headers_of(scope["path"]).items():
                    headers[name] = value
                headers.setdefault("cache-control", "no-store")
            await send(message)

        return await self.app(scope, receive, with_headers)


def headers_of(path: str) -> dict[str, str]:
    """The security headers for an address.

    >>> headers_of("/field/worker.js") == FIELD_HEADERS, headers_of("/fields") == HEADERS
    (True, True)
    """
    if path.startswith(TRYING):
        return TRYING_HEADERS
    if path == FIELD_PAGE or path.startswith(f"{FIELD_PAGE}/"):
        return FIELD_HEADERS
    return SCRIPTED_HEADERS if path.startswith(SCRIPTED) else HEADERS


def refusal_of(method: str, headers: Headers, hosts: Iterable[str]) -> Refusal | None:
    """Why a request is not answered, or None.

    The host must be an address, `localhost` or a known name, so that a strange site cannot point its own name at us. A
    form counts only when the browser says that it comes from our own page (`Sec-Fetch-Site`, else `Origin`). A program
    that brings its own token is no browser that was led astray: no site can make a browser send that header here.
    """
    host = headers.get("host", "")
    if not _known_host(host, frozenset(hosts)):
        return NotAllowed(
            what=_("this name does not belong to the shop"),
            rule=_("pages answer to an address, to localhost, and to the names that they were started with"),
            got=host,
            do=_("open the address that the program printed when it started"),
        )
    if method in _ASKING or bearer_of(headers) is not None or _from_own_page(headers, host):
        return None
    return NotAllowed(
        what=_("this form was not sent from a page of this program"),
        rule=_("what changes the shop is taken only from its own pages"),
        got=headers.get("origin") or headers.get("sec-fetch-site") or _("no origin"),
        do=_("open the page here and send the form again"),
    )


def bearer_of(headers: Headers) -> str | None:
    """The token that a program brings (RFC 6750, `Authorization: Bearer`), or None."""
    scheme, _, token = headers.get("authorization", "").partition(" ")
    return token.strip() if scheme.lower() == "bearer" else None


def _known_host(host: str, names: frozenset[str]) -> bool:
    try:
        name = urlsplit(f"//{host}").hostname or ""
        ipaddress.ip_address(name)
    except ValueError:
        return bool(host) and (urlsplit(f"//{host}").hostname if "[" not in host else "") in {"localhost", *names}
    return True


def _from_own_page(headers: Headers, host: str) -> bool:
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    origin = headers.get("origin", "")
    return bool(host) and urlsplit(origin).netloc == host


class Guard:
    """Refuses strangers' requests (`answer` makes the page), and cuts off what is too long."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str], bytes_max: int, answer: Callable[[Refusal], ASGIApp]) -> None:
        self.app, self.hosts, self.bytes_max, self.answer = app, tuple(hosts), bytes_max, answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        refusal = refusal_of(scope["method"], Headers(scope=scope), self.hosts)
        if refusal:
            return await self.answer(refusal)(scope, receive, send)
        return await self.app(scope, self._limited(receive), send)

    def _limited(self, receive: Receive) -> Receive:
        seen = 0

        async def limited() -> Message:
            nonlocal seen
            message = await receive()
            seen += len(message.get("body", b""))
            if seen <= self.bytes_max:
                return message
            await self._drain(receive, message, seen)
            raise too_large(self.bytes_max)

        return limited

    async def _drain(self, receive: Receive, message: Message, seen: int) -> None:
        while message.get("more_body") and seen <= self.bytes_max * _DRAINED_TIMES:
            message = await receive()
            seen += len(message.get("body", b""))


def size_words(count: int) -> str:
    return f"{count / 1_000_000:g} MB"


def too_large(bytes_max: int) -> TooLarge:
    return TooLarge(
        what=_("the file is too large for this page"),
        rule=_("a page takes %(size)s at most", size=size_words(bytes_max)),
        got=_("more than that"),
        do=_("choose a smaller file; a list can be read with the command: pinseal import FILE"),
    )
