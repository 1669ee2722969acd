"""The owner's files of one shop's file, for the pages; and the addresses of calendars, each a key that opens one site's days."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from pinseal.app.memory import Followed
from pinseal.app.people import ALONE, digest_of
from pinseal.reasons import Refusal
from pinseal.store.accounts import KeptToken
from pinseal.web.account import OWNER, Account
from pinseal.web.owner_doors import Feed

if TYPE_CHECKING:
    from pinseal.app import App
    from pinseal.service.owner_file import OwnerFile
    from pinseal.store import Shop

CALENDAR = "calendar"
_SITE = "site:"
_BYTES = 24
_HELD = 2  # files that are kept ready: one of 6,000 units is some 100 MB


class ShopOwnerFiles:
    """Answers `web.owner_doors.OwnerFiles` for one shop's file."""

    def __init__(self, app: App, path: Path) -> None:
        self.app, self.path = app, path
        self._lock = Lock()
        self._held: dict[tuple[str, int | None, date], Followed[OwnerFile]] = {}

    def file(self, site: str, year: int | None) -> OwnerFile:
        with self.app._open(self.path, readonly=True) as shop:
            asked = (site, year, shop.settings().today(self.app.now()))
        with self._lock:
            held = self._held.pop(asked, None) or Followed(self.app, self.path, partial(self._made, site=site, year=year))
            self._held[asked] = held
            for old in list(self._held)[:-_HELD]:
                del self._held[old]
        return held.get()

    def _made(self, shop: Shop, *, site: str, year: int | None) -> OwnerFile:
        return self.app._owner_file(shop, site, year)

    def parts(self, file: OwnerFile) -> Sequence[int]:
        from pinseal.service.owner_file_words import parts_of

        return [len(part) for part in parts_of(file.units)]

    def pdf(self, file: OwnerFile, part: int) -> bytes:
        return self.app.owner_paper(self.path, file, part).draw().pages.pdf

    def calendar(self, site: str, duties: Sequence[str]) -> bytes:
        return self.app.calendar_bytes(self.app.site_calendar(self.path, site, duties=duties))

    # -- addresses of calendars

    def feeds(self, site: str) -> Sequence[Feed]:
        with self.app._open(self.path, readonly=True) as shop:
            tokens = shop.accounts().tokens()
        now = self.app.now()
        return [
            Feed(uid=token.uid, account=token.account, name=token.name, until=token.until, holds=token.holds(now))
            for token in reversed(tokens)
            if _site_of(token) == site
        ]

    def give_feed(self, site: str, *, name: str, days: int, by: Account) -> str:
        key, now = secrets.token_urlsafe(_BYTES), self.app.now()
        token = KeptToken(
            uid=self.app._new_uid(),
            account=by.uid,
            name=name,
            scopes=(CALENDAR, f"{_SITE}{site}"),
            digest=digest_of(key),
            until=now + timedelta(days=days),
        )
        with self.app._open(self.path) as shop:
            shop.accounts().put_token(token, received=now)
        return key

    def end_feed(self, site: str, uid: str) -> None:
        with self.app._open(self.path) as shop:
            for token in shop.accounts().tokens():
                if token.uid == uid and _site_of(token) == site and not token.ended:
                    shop.accounts().put_token(replace(token, ended=True), received=self.app.now())

    def fed(self, key: str) -> bytes | None:
        with self.app._open(self.path, readonly=True) as shop:
            token = shop.accounts().token(digest_of(key))
            site = _site_of(token) if token and token.holds(self.app.now()) else None
            if token is None or site is None or not _still_sees(shop, token.account, site):
                return None
        try:
            return self.calendar(site, ())
        except Refusal:  # the site has no unit on record any more
            return None


def _site_of(token: KeptToken) -> str | None:
    """The site whose calendar a key opens; None for a key of another kind."""
    if CALENDAR not in token.scopes:
        return None
    return next((scope.removeprefix(_SITE) for scope in token.scopes if scope.startswith(_SITE)), None)


def _still_sees(shop: Shop, uid: str, site: str) -> bool:
    """Whether who made an address may still come in, and see the site."""
    if uid == ALONE.uid:
        return True
    account = shop.accounts().find(uid)
    return account is not None and account.active and (account.role != OWNER or site in account.sites)
