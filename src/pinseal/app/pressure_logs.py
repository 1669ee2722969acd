"""The log of pressure tests by day: as a paper, as a table, and as plain values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.papers import Papers, dates_as

if TYPE_CHECKING:
    from pinseal.documents.paper import Paper, PaperHead
    from pinseal.documents.tables import Table
    from pinseal.records.record import Record
    from pinseal.records.registers import Instrument
    from pinseal.rules.requalification import Requalifier
    from pinseal.service.certification import Certification
    from pinseal.service.pressure_log_shapes import TestLog
    from pinseal.store import Settings, Shop

_WIDTHS = {"reason": 40, "not on record": 40, "stamp": 40, "owner and place": 30, "record": 38}


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOfDays:
    """The log of some days with the head of its paper."""

    log: TestLog
    settings: Settings
    head: PaperHead

    def paper(self) -> Paper:
        from pinseal.documents.paper import Paper
        from pinseal.service.pressure_log_words import sheet_data

        with dates_as(self.settings):
            return Paper(template="test_sheet", head=self.head, data=sheet_data(self.log))

    def pdf(self) -> bytes:
        return self.paper().draw().pages.pdf

    def table(self) -> Table:
        return table_of_tests(self.log)


class PressureLogs(Papers):
    """What was tested on which day."""

    def pressure_log(self, path: Path, first: date | None = None, last: date | None = None) -> TestLog:
        """The tests of a span of days; of today in the shop unless said. Raises `Refusal`."""
        with self._open(path, readonly=True) as shop:
            return self._log(shop, first, last)

    def pressure_sheet(self, path: Path, first: date | None = None, last: date | None = None) -> tuple[TestLog, Paper]:
        """The log as a paper. Raises `Refusal`."""
        found = self.pressure_days(path, first, last)
        return found.log, found.paper()

    def pressure_days(self, path: Path, first: date | None, last: date | None) -> SheetOfDays:
        """The log ready to be shown and to be handed out. Raises `Refusal`."""
        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            with dates_as(settings):
                log = self._log(shop, first, last)
                head = self._sheet_head(settings, log)
        return SheetOfDays(log=log, settings=settings, head=head)

    def _sheet_head(self, settings: Settings, log: TestLog) -> PaperHead:
        from pinseal.service.pressure_log_words import AS_RECORDED, OF_COPIES, sheet_title

        head = self._head(
            settings,
            title=sheet_title(log),
            kind="Pressure test sheet",
            right=[f"requalifier's number {log.requalifier.number}"] if log.requalifier else [],
            foot=[f"rule packs {', '.join(settings.packs)}" if settings.packs else "no rule packs chosen"],
            notes=[AS_RECORDED, OF_COPIES],
        )
        return replace(head, lying=True)

    def certificates(
        self, path: Path, units: Sequence[str], work: str, *, record: str | None = None
    ) -> tuple[tuple[Certification, ...], Paper]:
        """Certificates of a pressure test, or records of a yearly maintenance, one unit a page. Raises `Refusal`."""
        from pinseal.documents.paper import Paper
        from pinseal.service.certification_words import certificate_data, certificate_kind, certificate_title

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            with dates_as(settings):
                found = tuple(_certification(shop, unit, work, record) for unit in units)
        with dates_as(settings):
            form = (settings.form_at(found[0].state.site) or "") if found else ""
            head = self._head(settings, title=certificate_title(found), kind=certificate_kind(work), form=form)
            paper = Paper(template="certificate", head=head, data=certificate_data(found, settings.owner_at))
        return found, paper

    def write_pressure_table(self, path: Path, file: Path, first: date | None = None, last: date | None = None) -> tuple[TestLog, int]:
        """The log as a new file, `.xlsx` or `.csv`; returns the rows too. Raises `Refusal`."""
        from pinseal.app.tables import new_file

        with self._open(path, readonly=True) as shop:
            log, style = self._log(shop, first, last), shop.settings().date_style
        return log, new_file(file, table_of_tests(log), style)

    def _log(self, shop: Shop, first: date | None, last: date | None) -> TestLog:
        from pinseal.service.pressure_log import log_of_tests

        settings = shop.settings()
        begin = first or last or settings.today(self.now())
        return log_of_tests(
            _Kept(shop),
            first=begin,
            last=last or begin,
            requalifier=requalifier_of(settings),
            packs=settings.packs,
            owner_at=settings.owner_at,
        )


def _certification(shop: Shop, unit: str, work: str, record: str | None) -> Certification:
    from pinseal.service.certification import certification
    from pinseal.service.office import find_one

    uid = find_one(shop.find(unit), unit, where="in this shop").uid
    assert uid is not None, "a unit of a shop has its uid"
    veils = shop.veils()
    records = [veils.over_record(each) for each in shop.records(uid)]
    return certification(work, records, record=record, erased=frozenset(veils.shown.values()))


def table_of_tests(log: TestLog) -> Table:
    """The log as a table, one row for each test."""
    from pinseal.documents.tables import Column, Table
    from pinseal.service.pressure_log_words import COLUMNS, sheet_rows

    columns = [Column(head=head, width=_WIDTHS.get(head, 16)) for head, _ in COLUMNS]
    return Table(title="Pressure tests", columns=columns, rows=sheet_rows(log))


def requalifier_of(settings: Settings) -> Requalifier | None:
    """Whose number the shop strikes; None where it has none."""
    from pinseal.dates import parse_day
    from pinseal.rules.requalification import Requalifier, checked_requalifier

    number, until = settings.firm.get("requalifier"), settings.firm.get("requalifier-until")
    return Requalifier(number=checked_requalifier(number), until=parse_day(until) if until else None) if number else None


class _Kept:
    """A shop for `log_of_tests`: erased names are veiled, and lives come in few questions."""

    def __init__(self, shop: Shop) -> None:
        self.shop, self.veils = shop, shop.veils()

    def of_kinds(self, codes: Sequence[str]) -> list[Record]:
        from pinseal.store.looking import records_of_kinds

        return [self.veils.over_record(each) for each in records_of_kinds(self.shop, codes)]

    def lives(self, units: Sequence[str]) -> Mapping[str, list[Record]]:
        from pinseal.store.looking import records_of_units

        found = records_of_units(self.shop, units)
        return {uid: [self.veils.over_record(each) for each in some] for uid, some in found.items()}

    def instruments(self) -> list[Instrument]:
        return self.shop.instruments()

    def instrument_records(self) -> list[Record]:
        from pinseal.store.looking import records_of_units

        found = records_of_units(self.shop, [each.uid for each in self.shop.instruments()])
        return [self.veils.over_record(each) for some in found.values() for each in some]
