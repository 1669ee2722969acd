"""The office's page for a phone's file of unsent work: the same door, the same checks, each item answered by itself."""

from __future__ import annotations

from functools import partial

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.reasons import Refusal
from pinseal.service.unsent import ItemSaid, TakenIn, hand_in, read_unsent
from pinseal.web.account import Account
from pinseal.web.api_doors import Door
from pinseal.web.doors import Office
from pinseal.web.pages import frame
from pinseal.web.render import render
from pinseal.web.unsent_views import UnsentCount, UnsentPage, UnsentRefused
from pinseal.web.views import Trouble

_WHAT = {"fact": marked("facts"), "job sheet": marked("job sheets"), "photo": marked("photos")}
_ONE = {"fact": marked("fact"), "job sheet": marked("job sheet"), "photo": marked("photo")}


class UnsentDesk:
    """Where the file is handed over, and what became of it."""

    def __init__(self, office: Office, door: Door) -> None:
        self.office, self.door = office, door

    def routes(self) -> list[BaseRoute]:
        return [Route("/unsent", self.page, methods=["GET", "POST"], name="unsent")]

    async def page(self, request: Request) -> Response:
        """The form; a file that can be read is handed to the door."""
        if request.method != "POST":
            return await run_in_threadpool(self._shown)
        async with request.form(max_files=1, max_fields=10) as form:
            given = form.get("file")
            content = await given.read() if isinstance(given, UploadFile) and given.filename else None
        if content is None:
            trouble = Trouble(text=_("No file was chosen. Choose the file that the phone saved."), at="file")
            return await run_in_threadpool(self._shown, trouble)
        return await run_in_threadpool(self._taken, content, request.state.account)

    def _taken(self, content: bytes, account: Account) -> Response:
        try:
            unsent = read_unsent(content)
            found = hand_in(
                unsent,
                take=partial(self.door.take, account=account),
                keep=partial(self.door.keep_photo, name="", account=account),
            )
        except Refusal as refused:
            if refused.exit_code != 2:
                raise
            text = str(refused).rstrip(".")
            return self._shown(Trouble(text=f"{text[:1].upper()}{text[1:]}.", at="file"))
        return self._shown(found=found)

    def _shown(self, *troubles: Trouble, found: TakenIn | None = None) -> Response:
        page = UnsentPage(
            frame=frame(self.office.about(), title=_("Unsent work of a phone"), here="/unsent"),
            troubles=troubles,
            counts=tuple(UnsentCount(what=_WHAT[what], **words) for what, words in found.counts().items()) if found else (),
            refused=tuple(map(_row, found.refused)) if found else (),
        )
        return HTMLResponse(render(page), 400 if troubles else 200)


def _row(item: ItemSaid) -> UnsentRefused:
    why = item.refusal or {}
    parts = (why.get(name, "") for name in ("what", "rule", "do"))
    words = " ".join(f"{part[:1].upper()}{part[1:].rstrip('.')}." for part in parts if part)
    return UnsentRefused(what=_ONE[item.what], subject=item.subject, uid=item.uid, words=words)
