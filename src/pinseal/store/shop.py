"""A shop: one file, its folder of files, and the few things that can be done with it."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

import sqlalchemy as sa

from pinseal.reasons import Refusal
from pinseal.records.batches import AgentBatch, fold_batches
from pinseal.records.bottles import SupplyBottle, fold_bottles
from pinseal.records.fold import Unit, fold, fold_all, is_unit
from pinseal.records.proof import Proof, prove
from pinseal.records.record import Draft, Record, instant_text
from pinseal.records.registers import Instrument, Person, fold_instruments, fold_people
from pinseal.records.unit import UnitState
from pinseal.records.withdrawals import Withdrawal, load_withdrawals
from pinseal.store import files, migrate, projection, rows, schema, sheets, sqlite, taking
from pinseal.store.accounts import Accounts
from pinseal.store.backup import Backup, back_up, restore
from pinseal.store.making import WAIT_S, check_free, keep_settings, make, next_number
from pinseal.store.registers import Register, RegisterRow, TakenRegister, keep_register, rows_of, taken_registers
from pinseal.store.settings import Settings, read_settings
from pinseal.store.sheets import KeptSheet
from pinseal.store.veils import Veils, add_veil, read_veils
from pinseal.store.verify import Verification, verify


class Shop:
    """An open shop. Use it in a `with`, or `close` it.

    Every change is one transaction: it is on the disk when the call returns, or nothing was changed. Whatever is wrong
    with the file itself (locked, read-only, full, damaged, newer) raises `ShopUnusable`; wrong input raises `Refusal`.
    """

    def __init__(self, path: Path, engine: sa.Engine) -> None:
        self.path, self._engine = path, engine

    # Opening and closing

    @classmethod
    def create(cls, path: Path, settings: Settings, *, person: str, now: datetime) -> Shop:
        """Make a new shop and open it. Raises `Refusal` when the path is taken or its folder is missing."""
        check_free(path)
        with sqlite.told(path):
            make(path, settings, person, now)
        return cls.open(path)

    @classmethod
    def open(cls, path: Path, *, readonly: bool = False, wait_s: float = WAIT_S) -> Shop:
        """Open a shop. One of an older form is brought up to date, unless it is opened only for reading."""
        if not path.is_file():
            raise Refusal(
                what="there is no shop at this path",
                rule="a shop is one file",
                got=str(path),
                do="check the path, or make a shop with pinseal init",
            )
        with sqlite.told(path):
            if not sqlite.looks_like_a_shop(path):
                raise sqlite.not_a_shop(path)
            if not readonly and not sqlite.can_be_written(path):
                raise sqlite.read_only(path)
            shop = cls(path, sqlite.open_engine(path, readonly=readonly, wait_s=wait_s))
            try:
                migrate.make_current(shop._engine, path, readonly=readonly)
            except BaseException:
                shop.close()
                raise
        return shop

    def close(self) -> None:
        self._engine.dispose()

    def __enter__(self) -> Shop:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        with sqlite.told(self.path), sqlite.writing(self._engine) as connection:
            yield connection

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with sqlite.told(self.path), sqlite.reading(self._engine) as connection:
            yield connection

    # Writing

    def write(
        self,
        drafts: Sequence[Draft],
        *,
        writer: str,
        received: datetime,
        register: Register | None = None,
        chance: taking.Chance = os.urandom,
    ) -> list[Record]:
        """Record facts here and now: bind them into this writer's chain and keep them, all or none.

        With `register`, the list that they were read from is kept in the same step. A draft with a uid that is kept
        already changes nothing and gives the kept record. Raises `Refusal`.
        """
        with self._writing() as connection:
            made = taking.write(connection, drafts, writer=writer, received=received, chance=chance)
            if register is not None:
                keep_register(connection, register, received)
            projection.refresh(connection, {record.unit for record in made})
        return made

    def append(self, records: Iterable[Record], *, received: datetime) -> taking.Taken:
        """Take in records that were written and bound elsewhere, all or none; repeats change nothing. Raises `Refusal`."""
        sent = list(records)
        with self._writing() as connection:
            taken = taking.append(connection, sent, received=received)
            new = set(taken.new)
            projection.refresh(connection, {record.unit for record in sent if record.uid in new})
        return taken

    def change_settings(self, settings: Settings, *, person: str, received: datetime) -> None:
        """Choose anew. What was chosen before stays on record."""
        with self._writing() as connection:
            keep_settings(connection, settings, person, received)

    def add_withdrawals(self, text: str, *, name: str, person: str, received: datetime) -> tuple[Withdrawal, ...]:
        """Keep a list of withdrawn units (TOML); one of the same name takes the place of the last. Raises `Refusal`."""
        entries = load_withdrawals(text, name=name)
        with self._writing() as connection:
            number = next_number(connection, schema.withdrawal_lists)
            row = {"number": number, "name": name, "content": text, "person": person, "received": instant_text(received)}
            connection.execute(sa.insert(schema.withdrawal_lists), row)
        return entries

    def add_file(self, name: str, content: bytes, *, person: str, received: datetime) -> str:
        """Keep a photo or a paper. Returns its SHA-256, which a record can name in its field `file`."""
        with self._writing() as connection:
            sha256 = files.put(files.folder_of(self.path), content)
            kept = connection.execute(sa.select(schema.files.c.sha256).where(schema.files.c.sha256 == sha256)).scalar()
            if kept is None:
                row = {"sha256": sha256, "name": name, "size": len(content), "person": person, "received": instant_text(received)}
                connection.execute(sa.insert(schema.files), row)
        return sha256

    def rebuild(self) -> int:
        """Make the present states anew from the records. Returns how many units there are."""
        with self._writing() as connection:
            return projection.rebuild(connection)

    # People who come in

    def accounts(self) -> Accounts:
        """Who may come in: accounts, tokens, sessions."""
        return Accounts(self._writing, self._reading, lambda: sqlite.wipe(self._engine))

    def veil(self, name: str, *, received: datetime) -> str:
        """Show a name that stands in records as something else from now on, and say as what. The records stay as they are."""
        with self._writing() as connection:
            return add_veil(connection, name, received)

    def veils(self) -> Veils:
        """What is shown in the place of veiled names."""
        with self._reading() as connection:
            return read_veils(connection)

    # Job sheets

    def begin_sheet(self, sheet: KeptSheet) -> None:
        """Keep a new job sheet; the same one again changes nothing. Raises `Refusal`."""
        with self._writing() as connection:
            sheets.begin(connection, sheet)

    def add_entry(self, sheet_uid: str, entry: Mapping[str, Any], *, person: str, received: datetime, expect: int) -> int:
        """Add an entry to an open job sheet under the number `expect`, and give that number back.

        Raises `Refusal` where that is not the next number (somebody else added one), and for a closed sheet.
        """
        with self._writing() as connection:
            return sheets.add(connection, self.path, sheet_uid, entry, person=person, received=received, expect=expect)

    def close_sheet(
        self,
        sheet_uid: str,
        entry: Mapping[str, Any],
        drafts: Sequence[Draft],
        *,
        writer: str,
        person: str,
        received: datetime,
        expect: int,
        chance: taking.Chance = os.urandom,
    ) -> list[Record]:
        """Write the records of a job sheet and the entry that closes it (it has the key `closed`), all or none. Raises `Refusal`."""
        with self._writing() as connection:
            sheets.add(connection, self.path, sheet_uid, entry, person=person, received=received, expect=expect, closes=True)
            made = taking.write(connection, drafts, writer=writer, received=received, chance=chance)
            projection.refresh(connection, {record.unit for record in made})
        return made

    def sheet(self, uid: str) -> KeptSheet | None:
        """One job sheet with its entries, or None."""
        with self._reading() as connection:
            return sheets.find(connection, self.path, uid)

    def sheets(self, unit: str | None = None) -> list[KeptSheet]:
        """The job sheets of one unit, or all, in the order in which they were begun."""
        with self._reading() as connection:
            return sheets.kept_sheets(connection, self.path, unit, only_open=False)

    def open_sheets(self, unit: str | None = None) -> list[KeptSheet]:
        """Those that are not closed."""
        with self._reading() as connection:
            return sheets.kept_sheets(connection, self.path, unit, only_open=True)

    # Reading

    def settings(self) -> Settings:
        """What the shop has chosen last."""
        table = schema.settings
        with self._reading() as connection:
            said = connection.execute(sa.select(table.c.said).order_by(table.c.number.desc()).limit(1)).scalar()
        if said is None:
            raise sqlite.damaged(self.path, "it has no settings")
        return read_settings(said)

    def made_by(self) -> str:
        """Who made the shop."""
        table = schema.settings
        with self._reading() as connection:
            return str(connection.execute(sa.select(table.c.person).order_by(table.c.number).limit(1)).scalar() or "")

    def records(self, unit: str | None = None) -> list[Record]:
        """The records of one unit, or all, in the order in which they were received."""
        with self._reading() as connection:
            return rows.all_records(connection, self.path, unit)

    def proofs(self, unit: str) -> list[Proof]:
        """Every record of one unit with what stands behind it, in the order in which they were received."""
        with self._reading() as connection:
            found = rows.all_records(connection, self.path, unit)
            chains = {writer: rows.chain_of(connection, writer) for writer in {record.writer for record in found}}
            receipts = rows.receipts_of(connection, [record.uid for record in found])
        return [prove(record, chain=chains[record.writer], receipt=receipts.get(record.uid)) for record in found]

    def units(self) -> list[UnitState]:
        """The present state of every unit, removed ones too, in the order of registering."""
        with self._reading() as connection:
            return projection.read_units(connection)

    def unit(self, uid: str, on: date | None = None) -> Unit | None:
        """One unit with its facts, identities and marks, folded from its records; None when there is no such unit."""
        found = self.records(uid)
        return fold(found, on) if found and is_unit(found) else None

    def find(self, text: str) -> list[UnitState]:
        """The units that an id, a serial, a tag or a uid can mean: none, the one, or the candidates."""
        with self._reading() as connection:
            return projection.find(connection, text)

    def state(self, on: date | None = None) -> dict[str, Unit]:
        """Every unit by its uid, folded from all records, as it stood at the end of a day."""
        return fold_all(self.records(), on)

    def instruments(self) -> list[Instrument]:
        """Every instrument with its checks, withdrawn ones too, in the order of registering."""
        return fold_instruments(self._records_about("instrument"))

    def people(self) -> list[Person]:
        """Every person with their papers, in the order of registering."""
        return fold_people(self._records_about("person"))

    def bottles(self) -> list[SupplyBottle]:
        """Every supply bottle with its readings, returned ones too, in the order of receiving."""
        return fold_bottles(self._records_about("bottle"))

    def batches(self) -> list[AgentBatch]:
        """Every batch of agent with its entries, ended ones too, in the order of the uids."""
        return fold_batches(self._records_about("batch"))

    def instruments_and_people(self) -> tuple[list[Instrument], list[Person]]:
        """Both registers, as `instruments` and `people` give them, read at one moment."""
        with self._reading() as connection:
            found = {uid: about for uid, about in projection.subjects(connection).items() if about in ("instrument", "person")}
            records = self._records_among(connection, list(found))
        instruments = [record for record in records if found[record.unit] == "instrument"]
        return fold_instruments(instruments), fold_people([record for record in records if found[record.unit] == "person"])

    def _records_about(self, subject: str) -> list[Record]:
        with self._reading() as connection:
            return self._records_among(connection, [uid for uid, about in projection.subjects(connection).items() if about == subject])

    def _records_among(self, connection: sa.Connection, uids: Sequence[str]) -> list[Record]:
        return [record for some in rows.chunks(uids) for record in rows.records_among(connection, self.path, some)]

    def units_read_on(self, names: Iterable[str]) -> list[str]:
        """The uids of the units of which a record names an instrument, by any of its names; letter case aside."""
        with self._reading() as connection:
            return rows.units_read_on(connection, {name.strip().casefold() for name in names})

    def units_with_loaner(self, uid: str) -> list[str]:
        """The uids of the units that were taken away while this one stood in for them, if only once."""
        with self._reading() as connection:
            return rows.units_with_loaner(connection, uid)

    def recalls(self) -> dict[str, tuple[str, ...]]:
        """The recall lists on which units were found, by the uid of the unit."""
        with self._reading() as connection:
            return projection.recalls(connection, None)

    def withdrawals_and_recalls(self, uids: Sequence[str] | None = None) -> tuple[tuple[Withdrawal, ...], dict[str, tuple[str, ...]]]:
        """What takes units (or these units) out of use: the entries of all lists, and the recall lists on which units were found."""
        with self._reading() as connection:
            kept, recalls = self._lists(connection), projection.recalls(connection, uids)
        return _entries_of(kept), recalls

    def registers(self) -> list[TakenRegister]:
        """The lists that were taken in, in order."""
        with self._reading() as connection:
            return taken_registers(connection, self.path)

    def register_rows(self, number: int) -> list[RegisterRow]:
        """The rows of one list: the raw cells beside what was read."""
        with self._reading() as connection:
            return list(rows_of(connection, number))

    def withdrawals(self) -> tuple[Withdrawal, ...]:
        """The entries of all lists of withdrawn units, the last one of each name."""
        with self._reading() as connection:
            return _entries_of(self._lists(connection))

    def _lists(self, connection: sa.Connection) -> dict[str, str]:
        table = schema.withdrawal_lists
        return {row.name: row.content for row in connection.execute(sa.select(table).order_by(table.c.number))}

    def file(self, sha256: str) -> Path | None:
        """Where a kept file lies, or None."""
        with self._reading() as connection:
            kept = connection.execute(sa.select(schema.files.c.sha256).where(schema.files.c.sha256 == sha256)).scalar()
        return None if kept is None else files.folder_of(self.path) / kept

    def export(self) -> Iterator[tuple[str, Iterator[dict[str, Any]]]]:
        """Everything but secrets, table by table: a name and its rows in plain values, all from one moment.

        Read each table before the next. `schema.SECRET` names the columns that are left out.
        """
        with self._reading() as connection:
            for table in schema.EVERYTHING:
                columns = [column for column in table.columns if column.name not in schema.SECRET.get(table.name, ())]
                found = connection.execute(sa.select(*columns).order_by(*table.primary_key.columns)).mappings()
                yield table.name, (dict(row) for row in found)

    # Care

    def verify(self) -> Verification:
        """Check the file, every chain, the receipts, the present states and the files beside it."""
        with self._reading() as connection:
            return verify(connection, self.path)

    def backup(self, dest: Path) -> Backup:
        """Copy the shop while it is in use, restore the copy to try it, and only then give it its name. Raises `Refusal`."""
        return back_up(self.path, dest)

    @staticmethod
    def restore(source: Path, dest: Path) -> Backup:
        """Make a shop of a backup and prove it. Never takes the place of a shop that is there. Raises `Refusal`."""
        return restore(source, dest)


def _entries_of(lists: Mapping[str, str]) -> tuple[Withdrawal, ...]:
    """The entries of withdrawal lists, from their texts by name."""
    return tuple(entry for name, text in lists.items() for entry in load_withdrawals(text, name=name))
