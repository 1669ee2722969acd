"""The office pages' shop by hand: the invented shop of `fake_office`, with books, sheets and instruments in memory."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from fake_office import TODAY, FakeOffice, client_of, uid_of
from record_makers import Writer
from starlette.testclient import TestClient

from pinseal.dates import PartialDate
from pinseal.documents.tables import Column, Table
from pinseal.reasons import Refusal
from pinseal.records.batches import fold_batch
from pinseal.records.bottles import SupplyBottle
from pinseal.records.fold import Unit, fold
from pinseal.records.record import Record
from pinseal.records.registers import Instrument, InstrumentCheck, Person, Withdrawn
from pinseal.rules.leaks import LeakAnswer
from pinseal.service.agent_ledger import Lot, ledger
from pinseal.service.batches import BatchAccount, account_of
from pinseal.service.books import BOOK_KINDS, Books, SheetLine, make_books
from pinseal.service.disagreements import Disagreement, all_disagreements
from pinseal.service.impairments import IMPAIRMENT_KINDS, Impairment, impairments
from pinseal.service.leak_of_unit import leak_answer
from pinseal.service.price_keeping import PricesHeld
from pinseal.service.registry import Doubted, ListedInstrument, ListedPerson, listed_instrument, listed_person
from pinseal.service.search import UnitIndex
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.service.workshop import AskedSheet, Registers, due_works, make_job
from pinseal.sheets.closing import close
from pinseal.sheets.entries import Entry
from pinseal.sheets.model import WORKS
from pinseal.sheets.taking import replay, take
from pinseal.web.account import Account
from pinseal.web.office_doors import Entered, Offered, Photo

PACKS = ("us-osha", "us-nfpa10")
NOW = datetime(2026, 11, 24, 18, tzinfo=UTC)
PNG = b"\x89PNG\r\n\x1a\n" + bytes(40)
PLATE = {
    "size": "10 lb", "service-pressure": "195 psi", "water-capacity": "16 lb", "gross-weight": "17 lb", "gross-weight-low": "16 lb 8 oz",
    "gross-weight-high": "17 lb 8 oz", "gauge-low": "175 psi", "gauge-high": "215 psi", "charging-gas": "nitrogen", "wheeled": "no",
    "rechargeable": "yes", "hose": "none", "manufactured": "2019-03",
}  # fmt: skip
SCALE = Instrument(
    uid=uid_of(901),
    id="SC-1",
    what="scale",
    serial="S1",
    range_text="0 to 150 lb",
    checks=(InstrumentCheck(record="c1", done=PartialDate(2026, 1, 5), good=True, against="MW-1"),),
)
BAD_GAUGE = Instrument(
    uid=uid_of(902), id="TG-<2>", what="test-gauge", checks=(InstrumentCheck(record="c2", done=PartialDate(2026, 2, 2), good=False),)
)
OLD_SCALE = Instrument(uid=uid_of(903), id="SC-0", what="scale", withdrawn=Withdrawn(since=PartialDate(2020), reason="dropped"))


class FakeRooms(FakeOffice):
    """`OfficeRooms` by hand. Unit 0 has a whole nameplate, a deficiency and a loaner in its place."""

    def __init__(self, units: int = 30, *, deficient: int = 1, **kwargs: Any) -> None:
        super().__init__(units, **kwargs)
        self.kept: dict[str, tuple[SheetLine, list[Entry]]] = {}
        self.changes: list[tuple[dict[str, str], str]] = []
        self.holders: list[Person] = []
        self.writings = 0
        self.files: dict[str, tuple[str, bytes, str]] = {}
        self.batch_lives: list[list[Record]] = []
        self.papers: list[tuple[str, str, str]] = []
        self.samples: list[tuple[str, str, bool, str]] = []
        self.said: dict[str, Any] = {
            "packs": ["us-osha", "us-nfpa10@2022"], "units": "us", "maintenance_basis": "anniversary", "time_zone": "UTC",
            "date_order": None, "date_style": "words", "currency": None,
            "assume": {},
        }  # fmt: skip
        writer = Writer("office", first=90_000)
        for number in range(min(units, deficient)):
            more = [
                writer.write("registered", "2024-01-02", unit=uid_of(number), **PLATE),
                writer.write(
                    "found-deficient", "2026-10-01", unit=uid_of(number), finding="bracket-loose", words="bracket <loose>", action="repair"
                ),
                writer.write("noted", "2026-10-01", unit=uid_of(number), note="see the photo", file="a" * 64),
            ]
            self.lives[uid_of(number)] += more
        if units > 2:
            self.lives[uid_of(0)] += [
                writer.write(
                    "taken-away", "2026-11-20", unit=uid_of(0), **{"taken-to": "bench", "back-by": "2026-11-27", "loaner": uid_of(2)}
                )
            ]

    # -- books

    def _records(self) -> list[Record]:
        received = datetime(2026, 11, 23, 9, tzinfo=UTC)
        return [replace(record, received=record.received or received) for life in self.lives.values() for record in life]

    def books(self) -> Books:
        self._may_refuse()
        records = self._records()
        lines = [line for line, _ in self.kept.values()]
        return make_books([r for r in records if r.kind in BOOK_KINDS], lines, sorted(records, key=lambda r: r.done.latest)[-20:])

    def disagreements(self) -> Sequence[Disagreement]:
        return all_disagreements(self.lives.values())

    def index(self) -> UnitIndex:
        states = [fold(records).state for records in self.lives.values()]
        return UnitIndex(states, {uid_of(1): ("tag-4471",)})

    def system(self) -> str:
        return "us"

    def visit_report(self, site: str, first: Any, last: Any, *, prices: bool) -> Any:
        raise Refusal(what="this shop makes no reports", rule="a report needs a real shop", got=site, do="see tests/app")

    def pressure_sheet(self, first: Any, last: Any) -> Any:
        raise Refusal(what="this shop has no log", rule="a log needs a real shop", got=str(first), do="see tests/app")

    def certification(self, unit: str, work: str) -> bytes:
        raise Refusal(what="this shop certifies nothing", rule="a certificate needs a real shop", got=unit, do="see tests/app")

    # -- prices: this shop has none, and a real one is tried in tests/app

    def prices(self) -> PricesHeld:
        return PricesHeld(on=TODAY, kept=())

    def quotes(self) -> Sequence[Any]:
        return ()

    def draft_quote(self, site: str, until: Any) -> Any:
        raise Refusal(what="there are no prices for this day", rule="a quote rests on a price book", got=site, do="see tests/app")

    def keep_quote(self, site: str, **_: Any) -> str:
        return str(self.draft_quote(site, None))

    def invoice_figures(self, site: str, first: Any, last: Any) -> Any:
        return self.draft_quote(site, last)

    def worth(self, unit: str, years: int) -> Any:
        return self.draft_quote(unit, None)

    # -- sheets

    def _job(self, unit: str, works: Sequence[str] | None):
        whole = fold(self.lives[unit])
        dues = self.due_list(TODAY)
        place = next(i for i, state in enumerate(dues.states) if state.uid == unit)
        asked = AskedSheet(works=None if works is None else tuple(works), on=TODAY, packs=PACKS)
        return make_job(whole, dues.of_unit(place), asked, Registers(instruments=(SCALE, BAD_GAUGE)))

    def offered(self, unit: str) -> Offered:
        job = self._job(unit, ["inspection"])
        dues = self.due_list(TODAY)
        place = next(i for i, state in enumerate(dues.states) if state.uid == unit)
        return Offered(works={code: job.type.does_not_apply.get(code, "") for code in WORKS}, due=due_works(dues.of_unit(place)))

    def begin_sheet(self, unit: str, works: Sequence[str] | None, person: str) -> str:
        job = self._job(unit, works)
        uid = uid_of(800 + len(self.kept))
        self.kept[uid] = (
            SheetLine(uid=uid, unit=unit, on=TODAY, works=job.works, person=person, begun=NOW, entries=0, touched=NOW),
            [],
        )
        return uid

    def sheet(self, uid: str) -> OpenedSheet | None:
        if uid not in self.kept:
            return None
        line, entries = self.kept[uid]
        extended = [entry.subject for entry in entries if entry.kind == "extend"]
        work = replay(self._job(line.unit, (*line.works, *extended)), entries)
        return OpenedSheet(uid=uid, work=work, unit={}, others=(), next_number=len(entries) + 1, resumed=True)

    def open_sheets(self, works: frozenset[str]) -> Mapping[str, OpenedSheet]:
        wanted = [uid for uid, (line, _) in self.kept.items() if line.is_open and works & set(line.works)]
        return {uid: found for uid in wanted if (found := self.sheet(uid))}

    def trial_sheet(self, unit: str, works: Sequence[str]) -> OpenedSheet:
        return OpenedSheet(uid=uid_of(999), work=replay(self._job(unit, works), []), unit={}, others=())

    def sheet_kept(self, uid: str, unit: str) -> tuple[Sequence[Entered], Sequence[Record]]:
        entered = [(number, each.person, TODAY, each.as_json()) for number, each in enumerate(self.kept[uid][1], start=1)]
        return entered, self.history(unit)

    def enter(self, sheet: OpenedSheet, entry: Entry, person: str) -> None:
        line, entries = self.kept[sheet.uid]
        signed = replace(entry, person=person)
        if entry.kind == "extend":
            self._job(line.unit, (*line.works, entry.subject))
        else:
            take(sheet.work, signed)
        self.kept[sheet.uid] = (replace(line, entries=len(entries) + 1), [*entries, signed])

    def finish(self, sheet: OpenedSheet, person: str) -> None:
        closed = close(sheet.work, sheet=sheet.uid)
        line, entries = self.kept[sheet.uid]
        writer = Writer("sheets", first=95_000 + 100 * len(self.kept))
        self.lives[line.unit] = [
            *self.lives[line.unit],
            *(writer.write(m.kind, "2026-11-24", unit=line.unit, **m.fields) for m in closed.made),
        ]
        quick = tuple(each.group for each in sheet.work.confirmations if each.quick)
        self.kept[sheet.uid] = (replace(line, outcome=closed.outcome, state=closed.state_words, quick=quick), entries)

    def sample(self, sheet: str, group: str, agrees: bool, person: str) -> None:
        if group not in self.kept[sheet][0].quick:
            raise Refusal(what="there is no such confirmation", rule="a sample is one of the sheet", got=group, do="look again")
        self.samples.append((sheet, group, agrees, person))

    # -- the rest

    def record(self, *, kind: str, unit: str, done: PartialDate, fields: Mapping[str, str], person: str) -> None:
        self.writings += 1
        writer = Writer("desk", first=97_000 + 10 * self.writings)
        self.lives[unit] = [*self.lives[unit], replace(writer.write(kind, str(done), unit=unit, **fields), person=person)]

    def instruments(self) -> Sequence[ListedInstrument]:
        return [listed_instrument(each, on=TODAY, packs=PACKS) for each in (SCALE, BAD_GAUGE, OLD_SCALE)]

    def people(self) -> Sequence[ListedPerson]:
        return [listed_person(each, on=TODAY, packs=PACKS) for each in self.holders]

    def bottles(self) -> Sequence[SupplyBottle]:
        return ()

    def doubt(self, instrument: str) -> Doubted:
        found = next(each for each in (SCALE, BAD_GAUGE, OLD_SCALE) if each.uid == instrument)
        return Doubted(instrument=found, readings=3, found=())

    def units(self, uids: Sequence[str]) -> Mapping[str, Unit]:
        found = {uid: self.unit(uid) for uid in uids}
        return {uid: unit for uid, unit in found.items() if unit is not None}

    def leak(self, uid: str) -> LeakAnswer | None:
        return leak_answer(fold(self.lives[uid]), "001", TODAY)

    def photo(self, uid: str, sha256: str) -> Photo | None:
        if not any(record.fields.get("file") == sha256 for record in self.lives[uid]):
            return None
        if sha256 in self.files:
            return Photo(content=self.files[sha256][1], media_type="image/png")
        return Photo(content=PNG, media_type="image/png") if sha256 == "a" * 64 else Photo(content=b"<script>", media_type="")

    def files_of(self, names: Sequence[str]) -> Mapping[str, str]:
        return {name: "image/png" if name == "a" * 64 or name in self.files else "" for name in names if name != "c" * 64}

    def keep_file(self, name: str, content: bytes, person: str) -> None:
        self.files[hashlib.sha256(content).hexdigest()] = (name, content, person)

    def agent_lots(self) -> Sequence[Lot]:
        return ledger(record for record in self._records() if record.kind in ("recharged", "agent-taken-out", "corrected"))

    def moment(self) -> datetime:
        return NOW

    def impairments(self) -> Sequence[Impairment]:
        return impairments([r for r in self._records() if r.kind in IMPAIRMENT_KINDS], now=NOW, zone=ZoneInfo("UTC"))

    def batches(self) -> Sequence[BatchAccount]:
        found = [fold_batch(some) for some in self.batch_lives]
        return [account_of(each, (), scale_kg=Fraction(1, 20), on=TODAY) for each in found]

    def paper(self, what: str, subject: str, record: str = "") -> bytes:
        if (what == "return" and not 2000 < int(subject) <= TODAY.year) or (what == "certificate" and not self.batch_lives):
            raise Refusal(what="there is no such paper", rule="it must be there", got=subject, do="look again")
        self.papers.append((what, subject, record))
        return b"%PDF-1.7 of a test"

    def return_table(self, year: int) -> Table:
        if year > TODAY.year:
            raise Refusal(what="there are no figures of this year", rule="it must be over or run", got=str(year), do="look again")
        return Table(title="Agents", columns=[Column(head="Agent")], rows=[["HFC-236fa"]])

    def settings(self) -> Mapping[str, Any]:
        return self.said

    def change_settings(self, changes: Mapping[str, str], person: str) -> None:
        if changes.get("time_zone") == "Nowhere":
            raise Refusal(what="there is no such time zone", rule="a name of the IANA database", got="Nowhere", do="check it")
        self.changes.append((dict(changes), person))


def rooms_client(office: FakeRooms, account: Account | None = None) -> TestClient:
    """A browser on the office pages, signed in as a supervisor where nobody is named."""
    return client_of(office) if account is None else client_of(office, account=account)
