"""The routes of the owner's file: its page, its papers, its tables, its calendar, and the addresses of the calendar.

Who may not see a site hears the same answer as for a site that is not there. An address of a calendar is read without signing in, by
programs that cannot: its key opens the days of one site and nothing else.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.documents.calendar import MEDIA_TYPE
from pinseal.reasons import Refusal
from pinseal.service.owner_file import OwnerFile
from pinseal.web.account import AUTHORITY, SUPERVISOR, Account
from pinseal.web.office_common import account_of, answer, form_of, not_here, one, reach_of, see_other
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_files import file_answer, pdf_answer
from pinseal.web.owner_doors import Feed, OwnerFiles
from pinseal.web.owner_page import months_table, owner_page
from pinseal.web.people_views import Handed
from pinseal.web.views import Trouble

DAYS_MAX = 730
_NAME_MAX = 200
_TOLD = marked("Put it into the calendar program now. Whoever has it sees the dues of this site and nothing else. It is not shown again.")


class OwnerFileDesk:
    """The owner's files of one shop, as pages."""

    def __init__(self, office: OfficeRooms, files: OwnerFiles) -> None:
        self.office, self.files = office, files

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/owner-file", self.page, name="owner-file"),
            Route("/owner-file.pdf", self.pdf, name="owner-file-paper"),
            Route("/owner-file.json", self.json, name="owner-file-paper"),
            Route("/owner-months.csv", self.months, name="owner-file-months"),
            Route("/owner-months.xlsx", self.months, name="owner-file-months"),
            Route("/owner-calendar.ics", self.calendar, name="owner-file-calendar"),
            Route("/owner-file/feed", self.give, methods=["POST"], name="owner-feed-make"),
            Route("/owner-file/feed/end", self.end, methods=["POST"], name="owner-feed-end"),
            Route("/calendar/{key}.ics", self.feed, name="calendar-feed"),
        ]

    def _site(self, request: Request) -> str:
        """The site that is asked for, if this person may see it."""
        site, reach = request.query_params.get("site", ""), reach_of(request)
        if not site or (reach is not None and site not in reach):
            raise not_here()
        return site

    def _file(self, request: Request) -> OwnerFile:
        year = request.query_params.get("year", "")
        if year and not (year.isascii() and year.isdigit() and len(year) == 4):
            raise not_here()
        try:
            return self.files.file(self._site(request), int(year) if year else None)
        except Refusal as refused:  # its words name other sites, which this person may not know
            raise not_here() from refused

    def page(self, request: Request) -> Response:
        """The file of a site for a year."""
        return self._page(request)

    def _page(self, request: Request, *troubles: Trouble, days: str = "365", handed: Handed | None = None) -> Response:
        file, account = self._file(request), account_of(request)
        page = owner_page(
            self.office.about(),
            file,
            parts=self.files.parts(file),
            feeds=self._own_feeds(account, file.site),
            may_feed=account is not None and account.role != AUTHORITY,
            days=days,
            troubles=troubles,
            handed=handed,
        )
        return answer(page, bad=bool(troubles))

    def _own_feeds(self, account: Account | None, site: str) -> Sequence[Feed]:
        """A supervisor sees every address of a site; everybody else the ones that they made."""
        if account is None:
            return ()
        return [feed for feed in self.files.feeds(site) if account.role == SUPERVISOR or feed.account == account.uid]

    def pdf(self, request: Request) -> Response:
        """One paper of the file."""
        file, part = self._file(request), request.query_params.get("part", "0")
        if not (part.isascii() and part.isdigit() and len(part) <= 4):
            raise not_here()
        try:
            content = self.files.pdf(file, int(part))
        except Refusal as refused:
            raise not_here() from refused
        name = f"owners-file-{file.year}" + (f"-part-{int(part)}" if int(part) else "")
        return pdf_answer(content, name)

    def json(self, request: Request) -> Response:
        """The same facts for programs."""
        content = json.dumps(self._file(request).as_json(), ensure_ascii=False)
        return Response(content, media_type="application/json")

    def months(self, request: Request) -> Response:
        """The monthly record as a table."""
        file = self._file(request)
        return file_answer(request, months_table(file), f"months-{file.year}", self.office.about())

    def calendar(self, request: Request) -> Response:
        """The dues of a site as a calendar."""
        duties = [duty for duty in request.query_params.getlist("duty") if duty in kinds.DUTIES]
        try:
            content = self.files.calendar(self._site(request), duties)
        except Refusal as refused:
            raise not_here() from refused
        return Response(content, media_type=MEDIA_TYPE, headers={"content-disposition": 'attachment; filename="dues.ics"'})

    # -- addresses of the calendar

    def feed(self, request: Request) -> Response:
        """What an address shows. It is kept out of search engines and of caches."""
        content = self.files.fed(request.path_params["key"])
        if content is None:
            raise not_here()
        return Response(content, media_type=MEDIA_TYPE, headers={"x-robots-tag": "noindex, nofollow"})

    async def give(self, request: Request) -> Response:
        """Make an address; it is shown once."""
        return await run_in_threadpool(self._give, request, await form_of(request))

    def _give(self, request: Request, form: Mapping[str, list[str]]) -> Response:
        name, days, account = one(form, "name"), one(form, "days"), account_of(request)
        site = self._file(request).site
        if account is None or account.role == AUTHORITY:
            raise not_here()
        if not 0 < len(name) <= _NAME_MAX:
            return self._page(request, Trouble(text=_("Say for which calendar the address is."), at="name"), days=days)
        if not (days.isascii() and days.isdigit() and len(days) <= 3 and 1 <= int(days) <= DAYS_MAX):
            return self._page(request, Trouble(text=_("An address holds from 1 to %(n)s days.", n=DAYS_MAX), at="days"), days=days)
        key = self.files.give_feed(site, name=name, days=int(days), by=account)
        address = str(request.base_url.replace(path=f"/calendar/{key}.ics", query=""))
        return self._page(request, handed=Handed(title=_("The address for %(name)s", name=name), text=address, told=_(_TOLD)))

    async def end(self, request: Request) -> Response:
        """End an address."""
        return await run_in_threadpool(self._end, request, await form_of(request))

    def _end(self, request: Request, form: Mapping[str, list[str]]) -> Response:
        site, uid = self._site(request), one(form, "feed")
        if uid in {feed.uid for feed in self._own_feeds(account_of(request), site)}:
            self.files.end_feed(site, uid)
        return see_other(f"/owner-file?{request.url.query}")
