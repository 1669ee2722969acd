"""Backups that prove themselves: a copy is restored and verified before it counts, and so is a restored shop."""

from __future__ import annotations

import json
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.store import files, migrate, schema, sqlite
from pinseal.store.verify import Verification, verify

_WAIT_S = 5.0
_FILE = "sha256 of the file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """A copy that was proved: where it lies, and what the proof found."""

    path: Path
    proof: Verification
    size: int

    def as_json(self) -> dict[str, object]:
        return {"path": str(self.path), "bytes": self.size, "proof": self.proof.as_json()}


def heads_of(path: Path) -> Path:
    """`NAME.heads.json` beside a backup: length and head of each chain when it was made, and the SHA-256 of its file."""
    return path.with_name(path.name + ".heads.json")


def back_up(shop: Path, dest: Path) -> Backup:
    """Copy a shop to `dest` (a file, its folder of files and its heads), and prove the copy by restoring it.

    Raises `Refusal` when `dest` is taken, `ShopUnusable` when the shop or the copy does not hold.
    """
    _check_free(dest)
    with _unfinished(dest) as work:
        copied, tried = work / dest.name, work / f"{dest.name}.tried"
        _copy(shop, copied, shown=dest)
        _copy(copied, tried, shown=dest)
        proof = _proved(tried)
        noted = {**proof.heads(), _FILE: files.hash_of(copied)}
        heads_of(copied).write_text(json.dumps(noted, indent=1), encoding="utf-8")
        _put_in_place(copied, dest)
    return Backup(path=dest, proof=proof, size=dest.stat().st_size)


def restore(source: Path, dest: Path) -> Backup:
    """Make a shop of a backup at a free path, and prove it against the heads that were noted with the backup."""
    if not source.is_file():
        raise Refusal(
            what="there is no backup at this path",
            rule="a backup is one file with its folder of files",
            got=str(source),
            do="check the path",
        )
    _check_free(dest)
    with sqlite.told(source):
        if not sqlite.looks_like_a_shop(source):
            raise sqlite.not_a_shop(source)
    with _unfinished(dest) as work:
        copied = work / dest.name
        _copy(source, copied, shown=dest)
        _bring_up_to_date(copied, shown=source)
        proof = _proved(copied)
        _check_noted(source, proof)
        _put_in_place(copied, dest)
    return Backup(path=dest, proof=proof, size=dest.stat().st_size)


def _check_free(dest: Path) -> None:
    taken = next((path for path in (dest, files.folder_of(dest), heads_of(dest)) if path.exists()), None)
    if taken:
        raise Refusal(
            what="there is something at this path already",
            rule="a copy never takes the place of a shop",
            got=str(taken),
            do="choose another path",
        )
    if not dest.parent.is_dir():
        raise Refusal(
            what="the folder for the copy is missing",
            rule="a copy is made in a folder that is there",
            got=str(dest.parent),
            do="make the folder first",
        )


@contextmanager
def _unfinished(dest: Path) -> Iterator[Path]:
    """A folder beside `dest` to work in: nothing has its name before it is proved, and nothing is left behind."""
    work = dest.with_name(f".{dest.name}.{secrets.token_hex(4)}")
    with sqlite.told(dest):
        work.mkdir()
        try:
            yield work
        finally:
            shutil.rmtree(work, ignore_errors=True)


def _copy(source: Path, dest: Path, *, shown: Path) -> None:
    """Copy a shop's file and its files; `shown` is the name that the copy will have, for messages."""
    with sqlite.told(source, writes=shown):
        sqlite.copy(source, dest)
    engine = sqlite.open_engine(dest, readonly=True, wait_s=_WAIT_S)
    try:
        with sqlite.told(shown), sqlite.reading(engine) as connection:
            wanted = connection.execute(sa.select(schema.files.c.sha256)).scalars().all()
    finally:
        engine.dispose()
    try:
        files.copy_all(files.folder_of(source), files.folder_of(dest), wanted)
    except FileNotFoundError as missing:
        raise _not_proved(source, f"a file is missing: {missing.filename}") from missing


def _bring_up_to_date(copied: Path, *, shown: Path) -> None:
    """Give the copy of a backup of an older form the form that this program works with. The backup itself stays as it is."""
    engine = sqlite.open_engine(copied, readonly=False, wait_s=_WAIT_S)
    try:
        with sqlite.told(shown):
            migrate.make_current(engine, shown, readonly=False)
    finally:
        engine.dispose()


def _proved(path: Path) -> Verification:
    engine = sqlite.open_engine(path, readonly=True, wait_s=_WAIT_S)
    try:
        with sqlite.told(path), sqlite.reading(engine) as connection:
            proof = verify(connection, path)
    finally:
        engine.dispose()
    if not proof.holds:
        raise _not_proved(path, "; ".join(proof.problems[:3]))
    return proof


def _check_noted(source: Path, proof: Verification) -> None:
    """Compare with what was noted when the backup was made: the chains first, as they say more, then every byte of the file."""
    noted = heads_of(source)
    if not noted.is_file():
        return
    try:
        wanted = dict(json.loads(noted.read_text(encoding="utf-8")))
    except (ValueError, TypeError) as wrong:
        raise _not_proved(source, f"{noted.name} cannot be read") from wrong
    file = wanted.pop(_FILE, None)
    if wanted != {name: list(head) for name, head in proof.heads().items()}:
        raise _not_proved(source, f"its chains are not those of {noted.name}")
    if file not in (None, files.hash_of(source)):
        raise _not_proved(source, f"its file is not the one of {noted.name}: something in it was changed")


def _not_proved(path: Path, why: str) -> ShopUnusable:
    return ShopUnusable(
        what="the copy could not be proved, so it was not kept",
        rule="a backup is a restore that worked",
        got=f"{path}: {why}",
        do="run pinseal verify on the shop, and use an older backup if the shop is damaged",
    )


def _put_in_place(copied: Path, dest: Path) -> None:
    """Give the proved copy its name: the file last, so that a shop is never there without its files."""
    files.folder_of(copied).rename(files.folder_of(dest))
    if heads_of(copied).exists():
        heads_of(copied).rename(heads_of(dest))
    copied.rename(dest)
    sqlite.flush(dest.parent)
