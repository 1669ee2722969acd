"""Says for every request which language its pages speak and how they write dates: as the settings of the shop say."""

from __future__ import annotations

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

from pinseal.catalogue import SOURCE, held_languages, speak
from pinseal.dates import DATE_STYLE
from pinseal.reasons import Refusal
from pinseal.web.doors import About

_WITHOUT_WORDS = ("/static/",)
_PROGRAMS = ("/api/",)  # what devices hand in is kept with its reasons, so that these say the same in every shop


class Speaking:
    """`about` tells the language of the shop and how it writes dates."""

    def __init__(self, app: ASGIApp, *, about: Callable[[], About]) -> None:
        self.app, self.about = app, about

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and not scope["path"].startswith(_WITHOUT_WORDS):
            language, style = await run_in_threadpool(self._wanted)
            speak(language)
            DATE_STYLE.set("words" if scope["path"].startswith(_PROGRAMS) else style)
        return await self.app(scope, receive, send)

    def _wanted(self) -> tuple[str, str]:
        """A shop that cannot be read says so in English."""
        try:
            about = self.about()
        except Refusal:
            return SOURCE, "words"
        return (about.language if len(held_languages()) > 1 else SOURCE), about.date_style
