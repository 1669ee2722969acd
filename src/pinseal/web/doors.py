"""What the pages ask of the shop. `app.py` answers; tests answer with a hand-written fake.

Every answer is a plain value. Any call may raise `Refusal` (shown as a page that says what to do) or `ShopUnusable`.
Calls come from several threads at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from pinseal.intake.register import Register
from pinseal.records.fold import Unit
from pinseal.records.record import Record
from pinseal.service.duelist import DueList
from pinseal.service.taking_in import ImportPlan, TakenIn
from pinseal.standards.model import Chosen, Pack


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """Whose shop it is, which day it is there, how it reads and writes. `note` is a word beside the name, such as "invented"."""

    name: str
    today: date
    note: str = ""
    language: str = "en"
    date_style: str = "words"


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """A list as it was handed over: its file name (without a folder) and its bytes."""

    name: str
    content: bytes


class Office(Protocol):
    """The shop as the pages need it."""

    def within(self, sites: frozenset[str] | None) -> Office:
        """The same shop, as somebody sees it who may see these sites and nothing else; None is every site.

        A unit of another site, or of none, is not there: not in lists, not by its uid, not in its history.
        """
        ...

    def about(self) -> About:
        """Name and today, by the shop's time zone."""
        ...

    def packs(self) -> Sequence[Pack]:
        """Every rule pack that the program holds."""
        ...

    def chosen(self) -> Sequence[Chosen]:
        """The packs that the shop works by; empty where none is chosen."""
        ...

    def due_list(self, on: date) -> DueList:
        """Every unit of the shop, evaluated on a day. Each state has its uid. The same answer may be given again."""
        ...

    def unit(self, uid: str) -> Unit | None:
        """One unit with its facts, identities and marks; None where there is no such unit."""
        ...

    def history(self, uid: str) -> Sequence[Record]:
        """The records of a unit, corrections too; empty where there is no such unit."""
        ...

    def read(self, upload: Upload, answers: Mapping[str, str]) -> Register:
        """Read a list. `answers` maps the id of a question to its reading. Raises `Refusal` for a file that cannot be read."""
        ...

    def preview(self, upload: Upload, answers: Mapping[str, str]) -> ImportPlan:
        """What taking the list in would do. Writes nothing. `answers` settles its doubts (`ImportPlan.uncertain`) too."""
        ...

    def take_in(self, upload: Upload, answers: Mapping[str, str], person: str) -> TakenIn:
        """Take the list in, all or nothing. `person` is who says so."""
        ...
