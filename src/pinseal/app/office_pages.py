"""The office pages' shop: books, search, sheets and registers of one file, remembered as long as nothing was written to it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, TypeVar

from pinseal.app.pages import ShopOffice
from pinseal.dates import written_for_good
from pinseal.reasons import Refusal
from pinseal.web.office_doors import Entered, Offered, Photo

if TYPE_CHECKING:
    from pinseal.app import App
    from pinseal.dates import PartialDate
    from pinseal.records.bottles import SupplyBottle
    from pinseal.records.record import Draft, Record
    from pinseal.records.registers import Instrument, Person
    from pinseal.records.unit import UnitState
    from pinseal.rules.leaks import LeakAnswer
    from pinseal.service.agent_ledger import Lot
    from pinseal.service.books import Books, SheetLine
    from pinseal.service.disagreements import Disagreement
    from pinseal.service.registry import Doubted, ListedInstrument
    from pinseal.service.search import UnitIndex
    from pinseal.service.sheet_shapes import OpenedSheet
    from pinseal.sheets.entries import Entry
    from pinseal.store import Shop
    from pinseal.store.looking import SheetHead

_WRITER = "office"
_LATEST = 200
_SHEETS_AT_ONCE = 100  # a bench with more open sheets than this shows its newest
_DISPUTED = timedelta(days=90)  # what came in longer ago is told on the page of its unit alone
# What a picture begins with, and what it is then. Anything else is handed out as a plain file.
_TYPES = ((b"\x89PNG\r\n\x1a\n", "image/png"), (b"\xff\xd8\xff", "image/jpeg"))
_HEAD_MAX = 8
_SHA256 = re.compile(r"[0-9a-f]{64}", re.ASCII)
Answer = TypeVar("Answer")


def _media_type(content: bytes) -> str:
    return next((kind for head, kind in _TYPES if content.startswith(head)), "")


class ShopRooms(ShopOffice):
    """Answers `web.office_doors.OfficeRooms` for one shop's file."""

    app: App

    def __init__(self, app: App, path: Path) -> None:
        super().__init__(app, path)
        self._shelf: dict[object, tuple[object, Any]] = {}
        self._shelf_lock = Lock()

    @property
    def _folder(self) -> Path:
        from pinseal.store.files import folder_of

        return folder_of(self.path)

    def _remember(self, name: object, make: Callable[[Shop], Answer]) -> Answer:
        """The same answer again as long as the shop's file has not changed."""
        version = self._version()
        with self._shelf_lock:
            kept = self._shelf.get(name)
        if kept and kept[0] == version:
            answer: Answer = kept[1]
            return answer
        with self.app._open(self.path, readonly=True) as shop:
            made = make(shop)
        with self._shelf_lock:
            self._shelf[name] = (version, made)
        return made

    def books(self) -> Books:
        return self._remember("books", _books)

    def disagreements(self) -> Sequence[Disagreement]:
        since = self.app.now() - _DISPUTED
        return self._remember("disagreements", lambda shop: _disagreements(shop, since))

    def index(self) -> UnitIndex:
        return self._remember(("index", self._sites), self._index)

    def _index(self, shop: Shop) -> UnitIndex:
        """Over the states of the due list, which are read already. They are asked for after the version was taken, so none is too old."""
        from pinseal.service.search import UnitIndex
        from pinseal.store.looking import unit_names

        return UnitIndex(self.due_list(self.about().today).states, unit_names(shop))

    def system(self) -> str:
        with self.app._open(self.path, readonly=True) as shop:
            return "metric" if shop.settings().units == "metric" else "us"

    # -- sheets

    def offered(self, unit: str) -> Offered:
        from pinseal.service.sheet_shapes import SheetAsked
        from pinseal.sheets.model import WORKS

        opened = self.app.sheet(self.path, SheetAsked(unit=unit, works=["inspection"]))
        kind, due = opened.work.job.type, self._due_works(unit)
        return Offered(works={code: kind.does_not_apply.get(code, "") for code in WORKS}, due=due, others=opened.others)

    def _due_works(self, unit: str) -> tuple[str, ...]:
        from pinseal.app.ground import Asked
        from pinseal.service.workshop import due_works

        with self.app._open(self.path, readonly=True) as shop:
            states = [state for state in shop.find(unit) if state.uid == unit]
            return due_works(self.app._shop_dues(shop, Asked(), only=states).of_unit(0)) if states and shop.settings().packs else ()

    def begin_sheet(self, unit: str, works: Sequence[str] | None, person: str) -> str:
        from pinseal.service.sheet_shapes import SheetAsked

        return self.app.begin_or_resume(self.path, SheetAsked(unit=unit, works=works), person=person or None, writer=_WRITER).uid

    def sheet(self, uid: str) -> OpenedSheet | None:
        if self.books().sheet(uid) is None:
            return None
        return self.app.resume(self.path, uid)

    def open_sheets(self, works: frozenset[str]) -> Mapping[str, OpenedSheet]:
        return self._remember(("sheets", works), lambda _: self._open_sheets(works))

    def _open_sheets(self, works: frozenset[str]) -> Mapping[str, OpenedSheet]:
        wanted = [line.uid for line in self.books().sheets if line.is_open and works & set(line.works)]
        return {uid: self.app.resume(self.path, uid) for uid in wanted[-_SHEETS_AT_ONCE:]}

    def trial_sheet(self, unit: str, works: Sequence[str]) -> OpenedSheet:
        from pinseal.service.sheet_shapes import SheetAsked

        return self.app.sheet(self.path, SheetAsked(unit=unit, works=works))

    def sheet_kept(self, uid: str, unit: str) -> tuple[Sequence[Entered], Sequence[Record]]:
        with self.app._open(self.path, readonly=True) as shop:
            kept, veils = shop.sheet(uid), shop.veils()
            records = [veils.over_record(record) for record in shop.records(unit)]
        entries = kept.entries if kept else ()
        return [(each.number, veils.over(each.person), each.received.date(), each.entry) for each in entries], records

    def enter(self, sheet: OpenedSheet, entry: Entry, person: str) -> None:
        self.app.enter(self.path, sheet, entry, person=person or None)

    def finish(self, sheet: OpenedSheet, person: str) -> None:
        with written_for_good():  # the reasons go into the record: they are made anew, not taken from the page
            fresh = replace(self.app.resume(self.path, sheet.uid), next_number=sheet.next_number)
            self.app.close_sheet(self.path, fresh, person=person or None, writer=_WRITER)

    def sample(self, sheet: str, group: str, agrees: bool, person: str) -> None:
        line = self.books().sheet(sheet)
        if line is None or group not in line.quick:
            raise Refusal(
                what="there is no such confirmation to check",
                rule="a sample is a confirmation of a closed sheet",
                got=group,
                do="open the sheet again from the list",
            )
        fields = {"sheet": sheet, "confirmation": group, "agrees": "yes" if agrees else "no"}
        self._record(kind="sample-checked", unit=line.unit, done=None, fields=fields, person=person)

    def record(self, *, kind: str, unit: str, done: PartialDate, fields: Mapping[str, str], person: str) -> None:
        self._record(kind=kind, unit=unit, done=done, fields=fields, person=person)

    def _record(self, *, kind: str, unit: str, done: PartialDate | None, fields: Mapping[str, str], person: str) -> None:
        self.app.record(self.path, kind=kind, unit=unit, done=done, fields=fields, uid=None, writer=_WRITER, person=person or None)

    # -- registers

    def instruments(self) -> Sequence[ListedInstrument]:
        return self._remember("instruments", self._instruments)

    def _instruments(self, shop: Shop) -> tuple[ListedInstrument, ...]:
        from pinseal.service.registry import listed_instrument

        settings = shop.settings()
        day = settings.today(self.app.now())
        return tuple(listed_instrument(each, on=day, packs=settings.packs) for each in shop.instruments())

    def check_instrument(self, instrument: str, fields: Mapping[str, str], person: str) -> None:
        from pinseal.service.registry import Signed

        self.app.check_instrument(self.path, instrument, fields, Signed(person=person or None, device=_WRITER))

    def bottles(self) -> Sequence[SupplyBottle]:
        return self._remember("bottles", lambda shop: tuple(shop.bottles()))

    def write_bottle(self, deed: str, uid: str, fields: Mapping[str, str], person: str) -> None:
        self.app.write_bottle(self.path, deed, uid, fields, person=person or None, device=_WRITER)

    def doubt(self, instrument: str) -> Doubted:
        from pinseal.service.registry import doubt

        with self.app._open(self.path, readonly=True) as shop:
            return doubt(_Whole(shop), instrument, packs=shop.settings().packs)

    # -- a unit

    def leak(self, uid: str) -> LeakAnswer | None:
        from pinseal.service.leak_of_unit import leak_answer

        with self.app._open(self.path, readonly=True) as shop:
            unit, today = shop.unit(uid), shop.settings().today(self.app.now())
        if unit is None:
            return None
        try:
            return leak_answer(unit, unit.state.id or unit.state.serial or uid, today)
        except Refusal:  # outside the range of the gas model: nothing is said rather than something wrong
            return None

    def photo(self, uid: str, sha256: str) -> Photo | None:
        with self.app._open(self.path, readonly=True) as shop:
            named = any(record.fields.get("file") == sha256 for record in shop.records(uid))
            kept = shop.file(sha256) if named else None
        if kept is None or not kept.is_file():
            return None
        content = kept.read_bytes()
        return Photo(content=content, media_type=_media_type(content))

    def files_of(self, names: Sequence[str]) -> Mapping[str, str]:
        found: dict[str, str] = {}
        for name in names:
            kept = self._folder / name
            if _SHA256.fullmatch(name) and kept.is_file():
                with kept.open("rb") as file:
                    found[name] = _media_type(file.read(_HEAD_MAX))
        return found

    def keep_file(self, name: str, content: bytes, person: str) -> None:
        with self.app._open(self.path) as shop:
            shop.add_file(name, content, person=self.app._person(person or None), received=self.app.now())

    def agent_lots(self) -> Sequence[Lot]:
        from pinseal.service.agent_ledger import LEDGER_KINDS, ledger
        from pinseal.store.looking import records_of_kinds

        return self._remember("agent", lambda shop: ledger(records_of_kinds(shop, LEDGER_KINDS)))

    # -- settings

    def settings(self) -> Mapping[str, Any]:
        return self.app.settings(self.path, {}, person=None)

    def change_settings(self, changes: Mapping[str, str], person: str) -> None:
        self.app.settings(self.path, changes, person=person or None)


def _disagreements(shop: Shop, since: datetime) -> tuple[Disagreement, ...]:
    from pinseal.service.disagreements import all_disagreements
    from pinseal.store.looking import disputed_lives

    veils = shop.veils()
    return all_disagreements([veils.over_record(each) for each in life] for life in disputed_lives(shop, since).values())


def _books(shop: Shop) -> Books:
    from pinseal.service.books import BOOK_KINDS, make_books
    from pinseal.store.looking import latest_records, records_of_kinds, sheet_heads

    veils = shop.veils()
    sheets = [_line(head, veils.over(head.person)) for head in sheet_heads(shop)]
    records, latest = ([veils.over_record(r) for r in some] for some in (records_of_kinds(shop, BOOK_KINDS), latest_records(shop, _LATEST)))
    return make_books(records, sheets, latest)


def _line(head: SheetHead, person: str) -> SheetLine:
    from pinseal.service.books import SheetLine

    return SheetLine(
        uid=head.uid,
        unit=head.unit,
        on=head.on_day,
        works=head.works,
        person=person,
        begun=head.received,
        entries=head.entries - ("closed" in head.last),
        touched=head.last_received or head.received,
        outcome=str(head.last.get("closed", "")),
        state=str(head.last.get("state", "")),
        quick=tuple(head.last.get("quick", ())),
    )


class _Whole:
    """A shop for `registry.doubt`, which asks unit by unit: everything is fetched at once instead."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self._records: dict[str, list[Record]] = {}
        self._states: dict[str, UnitState] | None = None

    def instruments(self) -> list[Instrument]:
        return self.shop.instruments()

    def people(self) -> list[Person]:
        return self.shop.people()

    def records(self, unit: str | None = None) -> list[Record]:
        return self.shop.records() if unit is None else self._records.get(unit, [])

    def units_read_on(self, names: Iterable[str]) -> list[str]:
        from pinseal.store.looking import records_of_units

        units = self.shop.units_read_on(names)
        self._records = records_of_units(self.shop, units)
        return units

    def find(self, text: str) -> list[UnitState]:
        if self._states is None:
            self._states = {state.uid: state for state in self.shop.units() if state.uid}
        return [self._states[text]] if text in self._states else []

    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]:
        return self.shop.write(drafts, writer=writer, received=received)
