"""Where a list is handed over, read, asked about, and taken in.

Each step is a plain form that answers with a redirect. The list itself lies in the tray between the steps.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from pinseal.catalogue import gettext as _
from pinseal.catalogue import number
from pinseal.reasons import Refusal
from pinseal.web.asked import read_page
from pinseal.web.doors import Office, Upload
from pinseal.web.guards import TooLarge, size_words
from pinseal.web.import_pages import ANSWER_PREFIX, SHOWN, import_page, reading_page, rows_page, taken_page
from pinseal.web.refusals import in_one_line
from pinseal.web.render import render
from pinseal.web.tray import Draft, Tray
from pinseal.web.views import Trouble

_FIELDS_MAX = 5_000
_NAME_LENGTH_MAX = 200


class Desk:
    """The pages of the import, for one shop."""

    def __init__(self, office: Office, *, bytes_max: int) -> None:
        self.office, self.bytes_max, self.tray = office, bytes_max, Tray()

    def routes(self) -> list[Route]:
        return [
            Route("/import", self.hand_over, methods=["GET", "POST"], name="import"),
            Route("/import/{key}", self.reading, methods=["GET", "POST"], name="import-reading"),
            Route("/import/{key}/rows", self.rows, name="import-rows"),
            Route("/import/{key}/take-in", self.take_in, methods=["POST"], name="import-take-in"),
            Route("/import/{key}/taken", self.taken, name="import-taken"),
        ]

    async def hand_over(self, request: Request) -> Response:
        """The form for a list; a list that can be read leads to its own page."""
        if request.method != "POST":
            return await run_in_threadpool(self._import_page)
        async with request.form(max_files=1, max_fields=10) as form:
            upload = await _uploaded(form)
        if upload is None:
            return await run_in_threadpool(self._import_page, Trouble(text=_("No file was chosen. Choose the list first."), at="list"))
        return await run_in_threadpool(self._lay_down, upload)

    def _lay_down(self, upload: Upload) -> Response:
        draft = Draft(upload=upload)
        try:
            draft.register(self.office)
        except Refusal as refusal:
            return self._import_page(Trouble(text=_sentence(refusal), at="list"))
        return RedirectResponse(f"/import/{self.tray.put(draft)}", 303)

    def _import_page(self, *troubles: Trouble) -> Response:
        return _answer(import_page(self.office.about(), troubles, size_words(self.bytes_max)), bad=bool(troubles))

    async def reading(self, request: Request) -> Response:
        """What was read, with its questions; answers come back here."""
        key = request.path_params["key"]
        if request.method != "POST":
            return await run_in_threadpool(self._reading_page, key)
        async with request.form(max_files=0, max_fields=_FIELDS_MAX) as form:
            answers = _answers(form)
        return await run_in_threadpool(self._answered, key, answers)

    def _answered(self, key: str, answers: Mapping[str, str]) -> Response:
        draft = self.tray.get(key)
        try:
            draft.answer(answers, self.office)
        except Refusal as refusal:
            return self._reading_page(key, Trouble(text=_sentence(refusal), at="questions"), answers=answers)
        return RedirectResponse(f"/import/{key}", 303)

    def _reading_page(self, key: str, *troubles: Trouble, person: str = "", answers: Mapping[str, str] | None = None) -> Response:
        draft = self.tray.get(key)
        if draft.taken:
            return RedirectResponse(f"/import/{key}/taken", 303)
        register = draft.register(self.office)
        against, trouble = None, ""
        try:
            against = draft.plan(self.office)
        except Refusal as refusal:
            trouble = _sentence(refusal)
        page = reading_page(
            self.office.about(),
            key=key,
            draft=draft,
            register=register,
            answers=draft.answers if answers is None else answers,
            against=against,
            against_trouble=trouble,
            troubles=troubles,
            person=person,
        )
        return _answer(page, bad=bool(troubles))

    def rows(self, request: Request) -> Response:
        """Every row of the list, raw beside read."""
        key, troubles = request.path_params["key"], list[Trouble]()
        draft, shown = self.tray.get(key), request.query_params.get("show", "all")
        if shown not in SHOWN:
            raise HTTPException(404)
        number = read_page(request.query_params.get("page", ""), troubles)
        return _answer(rows_page(self.office.about(), key, draft.upload.name, draft.register(self.office), shown, number))

    async def take_in(self, request: Request) -> Response:
        """Take the list in, once."""
        key = request.path_params["key"]
        async with request.form(max_files=0, max_fields=10) as form:
            typed = str(form.get("person", "")).strip()
        account = request.state.account  # who signed in by name is that person; nobody signs for somebody else
        return await run_in_threadpool(self._take_in, key, account.name if account.uid else typed)

    def _take_in(self, key: str, person: str) -> Response:
        draft = self.tray.get(key)
        if not person or len(person) > _NAME_LENGTH_MAX:
            said = _("Your name is missing. The record says who took the list in.")
            if person:
                longest = number(_NAME_LENGTH_MAX)
                said = _("Your name is longer than %(n)s characters. The record says who took the list in.", n=longest)
            return self._reading_page(key, Trouble(text=said, at="person"), person=person)
        try:
            draft.take_in(self.office, person)
        except Refusal as refusal:
            return self._reading_page(key, Trouble(text=_sentence(refusal), at="person"), person=person)
        return RedirectResponse(f"/import/{key}/taken", 303)

    def taken(self, request: Request) -> Response:
        """What was written."""
        draft = self.tray.get(request.path_params["key"])
        if draft.taken is None:
            return RedirectResponse(f"/import/{request.path_params['key']}", 303)
        return _answer(taken_page(self.office.about(), draft.upload.name, draft.taken))


def _answer(page: Any, *, bad: bool = False) -> Response:
    return HTMLResponse(render(page), 400 if bad else 200)


def _sentence(refusal: Refusal) -> str:
    """A refusal on one line. A file that is too large is no trouble of the form: its page tells it."""
    if isinstance(refusal, TooLarge):
        raise refusal
    return in_one_line(refusal)


async def _uploaded(form: FormData) -> Upload | None:
    """The file that was chosen, its name without a folder; None where none was."""
    given = form.get("list")
    if not isinstance(given, UploadFile) or not given.filename:
        return None
    name = given.filename.replace("\\", "/").rsplit("/", 1)[-1][-_NAME_LENGTH_MAX:]
    return Upload(name=name or "list", content=await given.read())


def _answers(form: FormData) -> dict[str, str]:
    """The answers by the id of their question; what is left open is left out."""
    pairs = ((name.removeprefix(ANSWER_PREFIX), str(value).strip()) for name, value in form.multi_items() if name.startswith(ANSWER_PREFIX))
    return {name: value for name, value in pairs if value}
