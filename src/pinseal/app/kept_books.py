"""How the books of a shop are made from nothing, and kept up with what was written: unit by unit and sheet by sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pinseal.app.ground import Ground
    from pinseal.records.record import Record
    from pinseal.service.books import Books, SheetLine, UnitBook
    from pinseal.service.disagreements import Disagreement
    from pinseal.service.sheet_shapes import OpenedSheet
    from pinseal.store import Shop
    from pinseal.store.changes import Mark
    from pinseal.store.looking import SheetHead
    from pinseal.store.veils import Veils

_LATEST = 200
_DISPUTED = timedelta(days=90)  # what came in longer ago is told on the page of its unit alone
_DISPUTED_MAX = 1_000  # units


@dataclass(frozen=True, slots=True, kw_only=True)
class Dispute:
    """A unit to which more than one person wrote: when its last record came in, and what they disagree about."""

    last: datetime
    found: tuple[Disagreement, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundBooks:
    """The books with what they are bound from."""

    units: Mapping[str, UnitBook]
    sheets: Mapping[str, SheetLine]
    books: Books


class KeptBooks:
    """The books of one shop."""

    def __init__(self, app: Ground) -> None:
        self.app = app

    def make(self, shop: Shop) -> BoundBooks:
        from pinseal.service.books import BOOK_KINDS, unit_books
        from pinseal.store.looking import records_of_kinds, sheet_heads

        veils = shop.veils()
        units = unit_books(veils.over_record(record) for record in records_of_kinds(shop, BOOK_KINDS))
        sheets = {head.uid: sheet_line(head, veils.over(head.person)) for head in sheet_heads(shop)}
        return self._bound(shop, veils, units, sheets)

    def keep_up(self, shop: Shop, old: BoundBooks, mark: Mark) -> BoundBooks | None:
        """The books with those units and sheets read again that were touched."""
        from pinseal.service.books import BOOK_KINDS, unit_books
        from pinseal.store.changes import touched_sheets, touched_units
        from pinseal.store.looking import records_of_units, sheet_heads

        veils, uids = shop.veils(), touched_units(shop, mark)
        found = records_of_units(shop, uids, BOOK_KINDS)
        fresh = unit_books(veils.over_record(record) for some in found.values() for record in some)
        lines = [sheet_line(head, veils.over(head.person)) for head in sheet_heads(shop, touched_sheets(shop, mark))]
        return self._bound(shop, veils, {**old.units, **fresh}, {**old.sheets, **{line.uid: line for line in lines}})

    def _bound(self, shop: Shop, veils: Veils, units: Mapping[str, UnitBook], sheets: Mapping[str, SheetLine]) -> BoundBooks:
        from pinseal.service.books import bound
        from pinseal.store.looking import latest_records

        latest = [veils.over_record(record) for record in latest_records(shop, _LATEST)]
        lines = sorted(sheets.values(), key=lambda each: (each.begun, each.uid))
        return BoundBooks(units=units, sheets=sheets, books=bound(units, lines, latest))


@dataclass(frozen=True, slots=True, kw_only=True)
class Disputes:
    """The units to which more than one person wrote, the last written about first, and what stands unsettled among all of them."""

    units: Mapping[str, Dispute]
    found: tuple[Disagreement, ...]


class KeptDisputes:
    """What people disagree about, in the units that were written about lately."""

    def __init__(self, app: Ground) -> None:
        self.app = app

    def make(self, shop: Shop) -> Disputes:
        return self._bound(self._read(shop, None))

    def keep_up(self, shop: Shop, old: Disputes, mark: Mark) -> Disputes | None:
        """The same with the lives of those units read again that were touched."""
        from pinseal.store.changes import touched_units
        from pinseal.store.rows import CHUNK

        uids = touched_units(shop, mark)
        if len(uids) > CHUNK:
            return None
        newest = self._read(shop, uids)
        return self._bound(newest | {uid: each for uid, each in old.units.items() if uid not in newest})

    def _read(self, shop: Shop, among: Sequence[str] | None) -> dict[str, Dispute]:
        from pinseal.store.looking import disputed_lives

        veils, lives = shop.veils(), disputed_lives(shop, self._since(), most=_DISPUTED_MAX, among=among)
        return {uid: _dispute([veils.over_record(each) for each in life]) for uid, life in lives.items()}

    def _bound(self, units: Mapping[str, Dispute]) -> Disputes:
        from pinseal.service.disagreements import in_order

        since = self._since()
        held = dict([(uid, each) for uid, each in units.items() if each.last >= since][:_DISPUTED_MAX])
        return Disputes(units=held, found=in_order(found for each in held.values() for found in each.found))

    def _since(self) -> datetime:
        return self.app.now() - _DISPUTED


def _dispute(life: Sequence[Record]) -> Dispute:
    from pinseal.service.disagreements import disagreements

    return Dispute(last=max(record.received for record in life if record.received), found=disagreements(life))


def untouched_sheets(shop: Shop, old: Mapping[str, OpenedSheet], since: Mark, books: Books) -> Mapping[str, OpenedSheet] | None:
    """Those of some opened sheets that are as they were: neither they nor their units were written about.

    None where an instrument or a person was written about, since every sheet leans on the registers. A sheet that names a unit
    standing in leans on that one too, and is read again.
    """
    from pinseal.store.changes import are_units, touched_sheets, touched_units

    units, sheets = touched_units(shop, since), touched_sheets(shop, since)
    if not are_units(shop, units):
        return None
    about = {*units, *(line.unit for uid in sheets if (line := books.sheet(uid)))}

    def leans_on_no_other(opened: OpenedSheet) -> bool:
        return opened.work.job.unit.uid not in about and not any(entry.readings.get("loaner") for entry in opened.work.entries)

    return {uid: opened for uid, opened in old.items() if uid not in sheets and leans_on_no_other(opened)}


def sheet_line(head: SheetHead, person: str) -> SheetLine:
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
