"""What the office pages ask of the shop beside `doors.Office`: its books, its sheets, its registers, what is on the bench.

Every answer is a plain value, and costs the same few questions to the store however many rows there are. Any call may raise
`Refusal` or `ShopUnusable`. Calls come from several threads at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol

from pinseal.dates import PartialDate
from pinseal.documents.tables import Table
from pinseal.records.bottles import SupplyBottle
from pinseal.records.fold import Unit
from pinseal.records.record import Record
from pinseal.records.tie import Tie
from pinseal.rules.leaks import LeakAnswer
from pinseal.service.agent_ledger import Lot
from pinseal.service.batches import BatchAccount
from pinseal.service.books import Books
from pinseal.service.disagreements import Disagreement
from pinseal.service.impairments import Impairment
from pinseal.service.pressure_log_shapes import TestLog
from pinseal.service.registry import Doubted, ListedInstrument, ListedPerson
from pinseal.service.search import UnitIndex
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.service.visits import Visit
from pinseal.sheets.entries import Entry
from pinseal.web.doors import Office
from pinseal.web.price_doors import PriceRooms

# Number, person, day received, and the entry.
Entered = tuple[int, str, date, Mapping[str, Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What work a unit can be given today: the code of each work, and why not, where it does not apply. `due` are those that are due."""

    works: Mapping[str, str]
    due: tuple[str, ...]
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A kept file as it is shown: its bytes and the type that its first bytes say it is."""

    content: bytes
    media_type: str


class ReportOfVisit(Protocol):
    """The report of a visit, ready to be shown and to be handed out."""

    @property
    def visit(self) -> Visit: ...

    @property
    def tie(self) -> Tie:
        """The hash over the records that it rests on."""
        ...

    def pdf(self) -> bytes: ...

    def as_json(self) -> Mapping[str, Any]: ...

    def proof(self) -> str:
        """The page, in HTML, that works the hash out again."""
        ...


class SheetOfTests(Protocol):
    """The log of pressure tests of some days, ready to be shown and to be handed out."""

    @property
    def log(self) -> TestLog: ...

    def pdf(self) -> bytes: ...

    def table(self) -> Table: ...


class OfficeRooms(Office, PriceRooms, Protocol):
    """The shop as the office pages need it."""

    def books(self) -> Books:
        """Deficiencies, units away, sheets and what came in. The same answer may be given again."""
        ...

    def disagreements(self) -> Sequence[Disagreement]:
        """Where records disagree that came in lately, the latest first. The same answer may be given again."""
        ...

    def index(self) -> UnitIndex:
        """Every unit of the shop, ready to be searched by anything half-known. The same answer may be given again."""
        ...

    def system(self) -> str:
        """The units that the shop writes in: us or metric."""
        ...

    def offered(self, unit: str) -> Offered:
        """What a new sheet of a unit could be for. Raises `Refusal` for a unit without work."""
        ...

    def begin_sheet(self, unit: str, works: Sequence[str] | None, person: str) -> str:
        """Begin a sheet, or go on with the one that this person has open for the unit; its uid. Raises `Refusal`."""
        ...

    def sheet(self, uid: str) -> OpenedSheet | None:
        """A kept sheet with all that was entered, open or closed; None where there is no such sheet."""
        ...

    def open_sheets(self, works: frozenset[str]) -> Mapping[str, OpenedSheet]:
        """The open sheets that hold one of some works, by uid, to be read and not to be entered on. The same answer may be given again."""
        ...

    def trial_sheet(self, unit: str, works: Sequence[str]) -> OpenedSheet:
        """A sheet as it would be begun now, with nothing entered. It is not kept. Raises `Refusal`."""
        ...

    def sheet_kept(self, uid: str, unit: str) -> tuple[Sequence[Entered], Sequence[Record]]:
        """What was entered on a sheet, as it was kept, and the records of its unit; names are veiled. Empty where there is none."""
        ...

    def enter(self, sheet: OpenedSheet, entry: Entry, person: str) -> None:
        """Take one entry, kept before this returns. Raises `Refusal`, and then nothing is changed."""
        ...

    def finish(self, sheet: OpenedSheet, person: str) -> None:
        """Close a sheet with its records, all or none. Raises `Refusal` that says what is missing."""
        ...

    def sample(self, sheet: str, group: str, agrees: bool, person: str) -> None:
        """Record that a second person looked at one confirmation of a closed sheet. Raises `Refusal`."""
        ...

    def record(self, *, kind: str, unit: str, done: PartialDate, fields: Mapping[str, str], person: str) -> None:
        """Write one record about a unit. Raises `Refusal`."""
        ...

    def instruments(self) -> Sequence[ListedInstrument]:
        """Every instrument with its standing today."""
        ...

    def check_instrument(self, instrument: str, fields: Mapping[str, str], person: str) -> None:
        """Record a comparison of an instrument, by its uid, with a better one. Raises `Refusal`."""
        ...

    def people(self) -> Sequence[ListedPerson]:
        """Everybody of the register with how their papers stand today; an erased person's name is veiled."""
        ...

    def bottles(self) -> Sequence[SupplyBottle]:
        """Every supply bottle, returned ones too. The same answer may be given again."""
        ...

    def write_bottle(self, deed: str, uid: str, fields: Mapping[str, str], person: str) -> None:
        """Receive, read or return a supply bottle (`uid` empty for one that comes). Raises `Refusal`."""
        ...

    def doubt(self, instrument: str) -> Doubted:
        """The readings that an instrument puts in doubt. Raises `Refusal`."""
        ...

    def units(self, uids: Sequence[str]) -> Mapping[str, Unit]:
        """Some units by uid, as `unit` gives each; one that is not there, or may not be seen, is left out."""
        ...

    def leak(self, uid: str) -> LeakAnswer | None:
        """What the readings of a unit say about a leak; None where there are none that can be used."""
        ...

    def visit_report(self, site: str, first: date, last: date, *, prices: bool) -> ReportOfVisit:
        """What was done at a site on these days; `prices`: whether the reader may see what was quoted. Raises `Refusal`."""
        ...

    def pressure_sheet(self, first: date, last: date) -> SheetOfTests:
        """The pressure tests of these days. Raises `Refusal`."""
        ...

    def certification(self, unit: str, work: str) -> bytes:
        """That a unit was tested by pressure or given its yearly maintenance, as PDF. Raises `Refusal` where the rule is not met."""
        ...

    def photo(self, uid: str, sha256: str) -> Photo | None:
        """A file that a record of this unit names; None where none does."""
        ...

    def files_of(self, names: Sequence[str]) -> Mapping[str, str]:
        """Those of some files (by SHA-256) that are kept, each with its type as `photo` gives it."""
        ...

    def keep_file(self, name: str, content: bytes, person: str) -> None:
        """Keep a file under the SHA-256 of its content; the same one again changes nothing. Raises `Refusal`."""
        ...

    def agent_lots(self) -> Sequence[Lot]:
        """Agent that went into units and out of them, by lot. The same answer may be given again."""
        ...

    def moment(self) -> datetime:
        """Now, in the time zone of the shop."""
        ...

    def impairments(self) -> Sequence[Impairment]:
        """Every impairment with its clocks as they stand now, the newest first."""
        ...

    def batches(self) -> Sequence[BatchAccount]:
        """Every batch of agent with its account up to today."""
        ...

    def paper(self, what: str, subject: str, record: str = "") -> bytes:
        """A paper as PDF: `notice` or `condemnation` of a unit, `certificate` of a batch, `return` of a year. Raises `Refusal`."""
        ...

    def return_table(self, year: int) -> Table:
        """The figures of a year for halogenated agents. Raises `Refusal` for a year that has none."""
        ...

    def settings(self) -> Mapping[str, Any]:
        """What the shop has chosen, in plain values."""
        ...

    def change_settings(self, changes: Mapping[str, Any], person: str) -> None:
        """Choose anew. Raises `Refusal` for what cannot be chosen."""
        ...
