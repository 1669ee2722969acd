"""What the pages of the owner's file ask of the shop. Calls come from several threads at once; each may raise `Refusal`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from pinseal.service.owner_file import OwnerFile
from pinseal.web.account import Account


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """An address that shows the calendar of one site, without its key. `account` is the uid of who made it."""

    uid: str
    account: str
    name: str
    until: datetime
    holds: bool


class OwnerFiles(Protocol):
    """The owner's files of a shop. Who may see a site is asked before."""

    def file(self, site: str, year: int | None) -> OwnerFile:
        """The file of a site for a year, this one where none is said. The same answer may be given again."""
        ...

    def parts(self, file: OwnerFile) -> Sequence[int]:
        """The numbers of units in each part; one number where the file is one paper."""
        ...

    def pdf(self, file: OwnerFile, part: int) -> bytes:
        """One paper of a file: 0 is the front, or the whole."""
        ...

    def calendar(self, site: str, duties: Sequence[str]) -> bytes:
        """The dues of a site as an iCalendar file."""
        ...

    def feeds(self, site: str) -> Sequence[Feed]:
        """The addresses that were given for a site, the latest first."""
        ...

    def give_feed(self, site: str, *, name: str, days: int, by: Account) -> str:
        """A new address: its key."""
        ...

    def end_feed(self, site: str, uid: str) -> None:
        """End an address of a site."""
        ...

    def fed(self, key: str) -> bytes | None:
        """The calendar that an address shows; None where it shows nothing, or not any more."""
        ...
