"""Many job sheets opened at one moment: what they lean on is fetched for all of them, with as many questions as for one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pinseal.records.fold import Unit, fold, is_unit
from pinseal.records.record import Record
from pinseal.records.registers import Instrument, Person
from pinseal.records.unit import UnitState
from pinseal.records.withdrawals import Withdrawal
from pinseal.store import sheets
from pinseal.store.door import states_named
from pinseal.store.looking import records_of_units
from pinseal.store.settings import Settings
from pinseal.store.sheets import KeptSheet
from pinseal.store.shop import Shop


class SheetsAtOnce(Shop):
    """A shop that is open for reading, as some of its job sheets need it; whatever they do not share it is asked for as ever."""

    def __init__(self, shop: Shop, uids: Sequence[str]) -> None:
        super().__init__(shop.path, shop._engine)
        with shop._reading() as connection:
            self.wanted = sheets.named(connection, shop.path, uids)
            units = list({kept.unit for kept in self.wanted})
            self._open = sheets.open_of(connection, shop.path, units)
        self._states = states_named(shop, units)
        self._lives = records_of_units(shop, units)
        self._settings = shop.settings()
        self._withdrawn, self._recalls = shop.withdrawals_and_recalls(units)
        self._registers = shop.instruments_and_people()

    def settings(self) -> Settings:
        return self._settings

    def find(self, text: str) -> list[UnitState]:
        return [self._states[text]] if text in self._states else super().find(text)

    def records(self, unit: str | None = None) -> list[Record]:
        return self._lives[unit] if unit in self._lives else super().records(unit)

    def unit(self, uid: str, on: date | None = None) -> Unit | None:
        found = self.records(uid)
        return fold(found, on) if found and is_unit(found) else None

    def withdrawals_and_recalls(self, uids: Sequence[str] | None = None) -> tuple[tuple[Withdrawal, ...], dict[str, tuple[str, ...]]]:
        if uids is None or not self._states.keys() >= set(uids):
            return super().withdrawals_and_recalls(uids)
        return self._withdrawn, {uid: self._recalls[uid] for uid in uids if uid in self._recalls}

    def instruments_and_people(self) -> tuple[list[Instrument], list[Person]]:
        return self._registers

    def open_sheets(self, unit: str | None = None) -> list[KeptSheet]:
        return [kept for kept in self._open if kept.unit == unit] if unit in self._states else super().open_sheets(unit)
