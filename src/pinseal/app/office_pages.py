"""The office pages' shop: books, search, sheets and registers of one file, remembered as long as nothing was written to it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.app.office_papers import ShopPapers
from pinseal.app.price_rooms import ShopPrices
from pinseal.dates import written_for_good
from pinseal.reasons import Refusal
from pinseal.web.office_doors import Entered, Offered, Photo

if TYPE_CHECKING:
    from pinseal.app import App
    from pinseal.app.pressure_logs import SheetOfDays
    from pinseal.app.visits import VisitReport
    from pinseal.dates import PartialDate
    from pinseal.records.bottles import SupplyBottle
    from pinseal.records.fold import Unit
    from pinseal.records.record import Draft, Record
    from pinseal.records.registers import Instrument, Person
    from pinseal.records.unit import UnitState
    from pinseal.rules.leaks import LeakAnswer
    from pinseal.service.agent_ledger import Lot
    from pinseal.service.books import Books
    from pinseal.service.disagreements import Disagreement
    from pinseal.service.duelist import DueList
    from pinseal.service.registry import Doubted, ListedInstrument, ListedPerson
    from pinseal.service.search import UnitIndex
    from pinseal.service.sheet_shapes import OpenedSheet
    from pinseal.sheets.entries import Entry
    from pinseal.store import Shop
    from pinseal.store.changes import Mark

_WRITER = "office"
_SHEETS_AT_ONCE = 100  # a bench with more open sheets than this shows its newest
# What a picture begins with, and what it is then. Anything else is handed out as a plain file.
_TYPES = ((b"\x89PNG\r\n\x1a\n", "image/png"), (b"\xff\xd8\xff", "image/jpeg"))
_HEAD_MAX = 8
_SHA256 = re.compile(r"[0-9a-f]{64}", re.ASCII)


def _media_type(content: bytes) -> str:
    return next((kind for head, kind in _TYPES if content.startswith(head)), "")


class ShopRooms(ShopPrices, ShopPapers):
    """Answers `web.office_doors.OfficeRooms` for one shop's file."""

    app: App

    @property
    def _folder(self) -> Path:
        from pinseal.store.files import folder_of

        return folder_of(self.path)

    def books(self) -> Books:
        from pinseal.app.kept_books import KeptBooks

        kept = KeptBooks(self.app)
        return self._memory.get("books", kept.make, kept.keep_up).books

    def disagreements(self) -> Sequence[Disagreement]:
        from pinseal.app.kept_books import KeptDisputes

        kept = KeptDisputes(self.app)
        return self._memory.get("disagreements", kept.make, kept.keep_up).found

    def index(self) -> UnitIndex:
        from pinseal.app.kept_lists import keep_index_up

        return self._memory.get("index", self._make_index, keep_index_up)

    def _make_index(self, shop: Shop) -> UnitIndex:
        """Over the states of the due list, which are read already. They are asked for after the mark was taken, so none is too old."""
        from pinseal.service.search import UnitIndex
        from pinseal.store.looking import unit_names

        return UnitIndex(self._whole_list(self.about().today).states, unit_names(shop))

    def system(self) -> str:
        return "metric" if self._settings().units == "metric" else "us"

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
        def make(_: Shop) -> Mapping[str, OpenedSheet]:
            return self._open_sheets(works, {})

        def keep_up(shop: Shop, old: Mapping[str, OpenedSheet], since: Mark) -> Mapping[str, OpenedSheet] | None:
            from pinseal.app.kept_books import untouched_sheets

            known = untouched_sheets(shop, old, since, self.books())
            return None if known is None else self._open_sheets(works, known)

        return self._memory.get(("sheets", works), make, keep_up)

    def _open_sheets(self, works: frozenset[str], known: Mapping[str, OpenedSheet]) -> Mapping[str, OpenedSheet]:
        """The open sheets for some works; those that are `known` are not read again."""
        wanted = [line.uid for line in self.books().sheets if line.is_open and works & set(line.works)]
        shown = wanted[-_SHEETS_AT_ONCE:]
        whole = {**known, **self.app.resume_all(self.path, [uid for uid in shown if uid not in known])}
        return {uid: whole[uid] for uid in shown if uid in whole}

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
        from pinseal.app.kept_lists import as_before_for_units

        return self._memory.get(("instruments", self.about().today), self._instruments, as_before_for_units)

    def _instruments(self, shop: Shop) -> tuple[ListedInstrument, ...]:
        from pinseal.service.registry import listed_instrument

        settings = shop.settings()
        day = settings.today(self.app.now())
        return tuple(listed_instrument(each, on=day, packs=settings.packs) for each in shop.instruments())

    def people(self) -> Sequence[ListedPerson]:
        return self.app.people(self.path, on=None).listed

    def check_instrument(self, instrument: str, fields: Mapping[str, str], person: str) -> None:
        from pinseal.service.registry import Signed

        self.app.check_instrument(self.path, instrument, fields, Signed(person=person or None, device=_WRITER))

    def bottles(self) -> Sequence[SupplyBottle]:
        from pinseal.app.kept_lists import as_before_for_units

        def make(shop: Shop) -> tuple[SupplyBottle, ...]:
            return tuple(shop.bottles())

        return self._memory.get("bottles", make, as_before_for_units)

    def write_bottle(self, deed: str, uid: str, fields: Mapping[str, str], person: str) -> None:
        self.app.write_bottle(self.path, deed, uid, fields, person=person or None, device=_WRITER)

    def doubt(self, instrument: str) -> Doubted:
        from pinseal.service.registry import doubt

        dues = self._whole_list(self.about().today)
        with self.app._open(self.path, readonly=True) as shop:
            return doubt(_Whole(shop, dues), instrument, packs=shop.settings().packs)

    # -- a unit

    def units(self, uids: Sequence[str]) -> Mapping[str, Unit]:
        from pinseal.store.door import units_named

        with self.app._open(self.path, readonly=True) as shop:
            found = units_named(shop, uids)
        return {uid: unit for uid, unit in found.items() if self._may_see(unit.state.site)}

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

    def visit_report(self, site: str, first: date, last: date, *, prices: bool) -> VisitReport:
        return self.app.visit_report(self.path, site, first=first, last=last, prices=prices)

    def pressure_sheet(self, first: date, last: date) -> SheetOfDays:
        return self.app.pressure_days(self.path, first, last)

    def certification(self, unit: str, work: str) -> bytes:
        return self.app.certificates(self.path, [unit], work)[1].draw().pages.pdf

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
        from pinseal.app.kept_lists import as_before_without
        from pinseal.service.agent_ledger import LEDGER_KINDS, ledger
        from pinseal.store.looking import records_of_kinds

        return self._memory.get("agent", lambda shop: ledger(records_of_kinds(shop, LEDGER_KINDS)), as_before_without(LEDGER_KINDS))

    # -- settings

    def settings(self) -> Mapping[str, Any]:
        return self.app.settings(self.path, {}, person=None)

    def change_settings(self, changes: Mapping[str, Any], person: str) -> None:
        self.app.settings(self.path, changes, person=person or None)


class _Whole:
    """A shop for `registry.doubt`, which asks unit by unit: everything is fetched at once instead."""

    def __init__(self, shop: Shop, dues: DueList) -> None:
        self.shop, self._dues = shop, dues
        self._records: dict[str, list[Record]] = {}

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
        from pinseal.service.following import places_by_uid

        place = self._dues.kept.once(places_by_uid).get(text)
        return [] if place is None else [self._dues.states[place]]

    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]:
        return self.shop.write(drafts, writer=writer, received=received)
