"""Says for every request which language its pages speak: the one of the shop's settings, where it is held."""

from __future__ import annotations

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

from pinseal.catalogue import SOURCE, held_languages, speak
from pinseal.reasons import Refusal

_WITHOUT_WORDS = ("/static/",)


class Speaking:
    """`wanted` gives the language of the shop. It is not asked as long as English is the only one."""

    def __init__(self, app: ASGIApp, *, wanted: Callable[[], str]) -> None:
        self.app, self.wanted = app, wanted

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and not scope["path"].startswith(_WITHOUT_WORDS):
            speak(await run_in_threadpool(self._language) if len(held_languages()) > 1 else SOURCE)
        return await self.app(scope, receive, send)

    def _language(self) -> str:
        """A shop that cannot be read says so in English."""
        try:
            return self.wanted()
        except Refusal:
            return SOURCE
