"""What the API asks of the shop. `app` answers; tests answer with the same, on a shop of their own.

Every answer is plain JSON. Any call may raise `Refusal` or `ShopUnusable`. Calls come from several threads at once. What
an owner of sites may not see is not there for them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from pinseal.reasons import Refusal
from pinseal.web.account import Account

Json = dict[str, Any]
LIMIT_MAX, LIMIT_USUAL = 500, 100


class NotThere(Refusal):
    """There is no such thing: status 404."""


class NoToken(Refusal):
    """Nobody is signed in, and no token that holds was sent: status 401."""


class NotForYou(Refusal):
    """The role or the token does not open this: status 403."""


class WrongShape(Refusal):
    """The request cannot be read: status 422."""


class WrongMedia(Refusal):
    """The content is not of the kind that is taken here: status 415."""


class TooMuch(Refusal):
    """More was sent than is taken at once: status 413."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Which part of a list: so many rows from that place on."""

    start: int = 0
    limit: int = LIMIT_USUAL


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitsAsked:
    """Units that are asked for by words, by site, or all."""

    text: str = ""
    site: str = ""
    removed: bool = False
    page: Page = Page()


@dataclass(frozen=True, slots=True, kw_only=True)
class DuesAsked:
    """Dues that are asked for. Empty means every one."""

    on: date | None = None
    states: tuple[str, ...] = ()
    duty: str = ""
    site: str = ""
    page: Page = Page()


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWanted:
    """A job sheet that is asked for. `works` None: what is due; `on` None: today."""

    unit: str
    works: tuple[str, ...] | None = None
    on: date | None = None


class Api(Protocol):
    """The shop as programs read it and work with it."""

    def units(self, asked: UnitsAsked, account: Account) -> Json: ...
    def unit(self, uid: str, account: Account) -> Json: ...
    def dues(self, asked: DuesAsked, account: Account) -> Json: ...
    def deficiencies(self, site: str, every: bool, page: Page, account: Account) -> Json: ...
    def sheets(self, unit: str, only_open: bool, page: Page, account: Account) -> Json: ...
    def sheet(self, uid: str, account: Account) -> Json: ...
    def instruments(self, on: date | None) -> Json: ...
    def people(self, on: date | None) -> Json: ...
    def begin_sheet(self, wanted: SheetWanted, account: Account) -> Json: ...
    def enter(self, uid: str, entry: Mapping[str, Any], account: Account) -> Json: ...
    def finish(self, uid: str, account: Account) -> Json: ...
    def decide(self, wanted: SheetWanted, entries: Sequence[Mapping[str, Any]], account: Account) -> Json: ...


class Door(Protocol):
    """The sync door."""

    def take(self, said: object, account: Account) -> Json:
        """Keep what a device sends, item by item. Raises `Refusal` for a batch that cannot be read at all."""
        ...

    def keep_photo(self, sha256: str, content: bytes, *, name: str, account: Account) -> Json:
        """Keep a photo; the same one again changes nothing."""
        ...


class DayBook(Protocol):
    """What a phone takes along."""

    def day(self, sites: Sequence[str], on: date | None, account: Account) -> Json:
        """The units of some sites with all that a day there needs; no site named is every site that may be seen."""
        ...


class Tokens(Protocol):
    """Who brings a token."""

    def account_of(self, token: str) -> tuple[Account, frozenset[str]] | None:
        """The account and the scopes (read, work, door) of a token that holds, else None."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class ApiRooms:
    """All that the API stands on."""

    api: Api
    door: Door
    days: DayBook
    tokens: Tokens
