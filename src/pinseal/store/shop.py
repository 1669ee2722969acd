"""A shop: one file, its folder of files, and the few things that can be done with it."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

import sqlalchemy as sa

from pinseal.reasons import Refusal
from pinseal.records.fold import Unit, fold, fold_all
from pinseal.records.record import Draft, Record, instant_text
from pinseal.records.unit import UnitState
from pinseal.records.withdrawals import Withdrawal, load_withdrawals
from pinseal.store import files, migrate, projection, rows, schema, sqlite, taking
from pinseal.store.backup import Backup, back_up, restore
from pinseal.store.registers import Register, RegisterRow, TakenRegister, keep_register, rows_of, taken_registers
from pinseal.store.settings import Settings, read_settings
from pinseal.store.verify import Verification, verify

WAIT_S = 5.0  # how long a writer waits for another one


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
        _check_free(path)
        with sqlite.told(path):
            _make(path, settings, person, now)
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
                shop._check_form(readonly=readonly)
            except BaseException:
                shop.close()
                raise
        return shop

    def _check_form(self, *, readonly: bool) -> None:
        with sqlite.reading(self._engine) as connection:
            form = migrate.form_of(connection)
        newest = schema.FORMS[-1]
        if form == newest:
            return
        if form.isdecimal() and len(form) == len(newest) and form > newest:
            raise sqlite.newer(self.path, form, newest)
        if form not in schema.FORMS:
            raise sqlite.damaged(self.path, f"its form is {form or 'not said'}")
        if readonly:
            raise sqlite.older(self.path, form, newest)
        with sqlite.writing(self._engine) as connection:
            migrate.bring_up_to_date(connection)

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
            _keep_settings(connection, settings, person, received)

    def add_withdrawals(self, text: str, *, name: str, person: str, received: datetime) -> tuple[Withdrawal, ...]:
        """Keep a list of withdrawn units (TOML); one of the same name takes the place of the last. Raises `Refusal`."""
        entries = load_withdrawals(text, name=name)
        with self._writing() as connection:
            number = _next(connection, schema.withdrawal_lists)
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

    # Reading

    def settings(self) -> Settings:
        """What the shop has chosen last."""
        table = schema.settings
        with self._reading() as connection:
            said = connection.execute(sa.select(table.c.said).order_by(table.c.number.desc()).limit(1)).scalar()
        if said is None:
            raise sqlite.damaged(self.path, "it has no settings")
        return read_settings(said)

    def records(self, unit: str | None = None) -> list[Record]:
        """The records of one unit, or all, in the order in which they were received."""
        with self._reading() as connection:
            return rows.all_records(connection, self.path, unit)

    def units(self) -> list[UnitState]:
        """The present state of every unit, removed ones too, in the order of registering."""
        with self._reading() as connection:
            return projection.read_units(connection)

    def unit(self, uid: str, on: date | None = None) -> Unit | None:
        """One unit with its facts, identities and marks, folded from its records; None when there is no record of it."""
        found = self.records(uid)
        return fold(found, on) if found else None

    def find(self, text: str) -> list[UnitState]:
        """The units that an id, a serial, a tag or a uid can mean: none, the one, or the candidates."""
        with self._reading() as connection:
            return projection.find(connection, text)

    def state(self, on: date | None = None) -> dict[str, Unit]:
        """Every unit by its uid, folded from all records, as it stood at the end of a day."""
        return fold_all(self.records(), on)

    def recalls(self) -> dict[str, tuple[str, ...]]:
        """The recall lists on which units were found, by the uid of the unit."""
        with self._reading() as connection:
            found = connection.execute(sa.select(schema.units.c.uid, schema.units.c.recalled).order_by(schema.units.c.uid))
            return {row.uid: tuple(row.recalled) for row in found if row.recalled}

    def registers(self) -> list[TakenRegister]:
        """The lists that were taken in, in order."""
        with self._reading() as connection:
            return taken_registers(connection)

    def register_rows(self, number: int) -> list[RegisterRow]:
        """The rows of one list: the raw cells beside what was read."""
        with self._reading() as connection:
            return list(rows_of(connection, number))

    def withdrawals(self) -> tuple[Withdrawal, ...]:
        """The entries of all lists of withdrawn units, the last one of each name."""
        table = schema.withdrawal_lists
        with self._reading() as connection:
            kept = {row.name: row.content for row in connection.execute(sa.select(table).order_by(table.c.number))}
        return tuple(entry for name, text in kept.items() for entry in load_withdrawals(text, name=name))

    def file(self, sha256: str) -> Path | None:
        """Where a kept file lies, or None."""
        with self._reading() as connection:
            kept = connection.execute(sa.select(schema.files.c.sha256).where(schema.files.c.sha256 == sha256)).scalar()
        return None if kept is None else files.folder_of(self.path) / kept

    def export(self) -> Iterator[tuple[str, Iterator[dict[str, Any]]]]:
        """Everything, table by table: a name and its rows in plain values, all from one moment. Read each before the next."""
        with self._reading() as connection:
            for table in schema.EVERYTHING:
                found = connection.execute(sa.select(table).order_by(*table.primary_key.columns)).mappings()
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


def _check_free(path: Path) -> None:
    folder = files.folder_of(path)
    if path.exists() or (folder.exists() and not _is_empty_folder(folder)):
        raise _taken(path)
    if not path.parent.is_dir():
        raise Refusal(
            what="the folder for the shop is missing",
            rule="a shop is made in a folder that is there",
            got=str(path.parent),
            do="make the folder first",
        )


def _is_empty_folder(path: Path) -> bool:
    """An empty folder of files is what a program leaves that was killed while it made a shop."""
    return path.is_dir() and next(path.iterdir(), None) is None


def _taken(path: Path) -> Refusal:
    return Refusal(
        what="there is something at this path already",
        rule="a new shop never takes the place of a file or of its folder of files",
        got=str(path),
        do="choose another path",
    )


def _make(path: Path, settings: Settings, person: str, now: datetime) -> None:
    """Make the file under another name, and give it its own when it is whole and on the disk."""
    unfinished = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    folder = files.folder_of(path)
    try:
        _fill(unfinished, settings, person, now)
        folder.mkdir(exist_ok=True)
        sqlite.give_name(unfinished, path)
    except FileExistsError as there:
        raise _taken(path) from there
    finally:
        for name in (unfinished.name, f"{unfinished.name}-wal", f"{unfinished.name}-shm", f"{unfinished.name}-journal"):
            unfinished.with_name(name).unlink(missing_ok=True)
        if not path.exists() and folder.exists() and _is_empty_folder(folder):
            folder.rmdir()


def _fill(path: Path, settings: Settings, person: str, now: datetime) -> None:
    engine = sqlite.open_engine(path, readonly=False, wait_s=WAIT_S, create=True)
    try:
        sqlite.mark_as_shop(engine)
        with sqlite.writing(engine) as connection:
            migrate.bring_up_to_date(connection)
            _keep_settings(connection, settings, person, now)
    finally:
        engine.dispose()


def _keep_settings(connection: sa.Connection, settings: Settings, person: str, received: datetime) -> None:
    row = {"number": _next(connection, schema.settings), "said": settings.as_json(), "person": person, "received": instant_text(received)}
    connection.execute(sa.insert(schema.settings), row)


def _next(connection: sa.Connection, table: sa.Table) -> int:
    return int(connection.execute(sa.select(sa.func.max(table.c.number))).scalar() or 0) + 1
