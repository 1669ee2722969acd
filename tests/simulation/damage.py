"""Copies that were cut or changed behind the program's back: verify and restore must find it."""

from __future__ import annotations

import contextlib
import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from random import Random
from typing import Any

import pytest
from checks import everything
from places import Place
from world import World

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.store import Shop, Verification
from pinseal.store.sqlite import guards_on

Everything = dict[str, list[dict[str, Any]]]
_CHANGES = (
    "UPDATE records SET done = '2001-02-03' WHERE number = {n}",
    "UPDATE records SET fields = json_set(fields, '$.note', 'never said') WHERE number = {n}",
    "UPDATE records SET person = 'Nobody' WHERE number = {n}",
    "UPDATE records SET writer = 'another' WHERE number = {n}",
    "UPDATE records SET digest = lower(hex(randomblob(32))) WHERE number = {n}",
    "UPDATE records SET unit = (SELECT unit FROM records ORDER BY number DESC LIMIT 1) || 'x' WHERE number = {n}",
    "UPDATE receipts SET received = '2001-02-03T00:00:00.000000Z' WHERE number = {n}",
    "DELETE FROM receipts WHERE number = {n}",
    "UPDATE units SET said = json_set(said, '$.serial', 'other') WHERE uid = (SELECT unit FROM records WHERE number = {n})",
)


def check_damage(world: World, place: Place, *, bytes_changed: int) -> None:
    """Damage a backup in many ways: each must be found by verify or restore, and said as damage."""
    folder = world.folder / f"damage-{world.counts.get('damage', 0)}"
    folder.mkdir()
    world.say(f"damage: copies of {place.name}")
    source = folder / "copy.shop"
    proof = place.shop.backup(source).proof
    whole = everything(place.shop)
    content = source.read_bytes()
    for number in range(bytes_changed):
        at = world.random.randrange(len(content))
        changed = bytearray(content)
        changed[at] ^= 1 << world.random.randrange(8)
        _refused(source, bytes(changed), folder / f"byte-{number}", f"byte {at} changed")
        _refused_or_harmless(source, bytes(changed), folder / f"byte-{number}", whole, f"byte {at} changed")
    for number in range(3):
        size = world.random.randrange(1, len(content))
        _refused(source, content[:size], folder / f"cut-{number}", f"cut to {size} bytes")
    for number, change in enumerate(_CHANGES):
        _found_by_verify(source, folder / f"change-{number}.shop", change, world.random.randint(1, proof.records))
    _cut_tail_shows(world.random, source, folder / "tail.shop", proof)
    shutil.rmtree(folder)


def _refused(source: Path, content: bytes, folder: Path, what: str) -> None:
    """A copy with other bytes than those that were backed up is not restored."""
    folder.mkdir()
    copied = _copy(source, folder / source.name)
    copied.write_bytes(content)
    with contextlib.suppress(ShopUnusable, Refusal):
        Shop.restore(copied, folder / "again.shop")
        raise AssertionError(f"{what}: restore took it")
    assert not (folder / "again.shop").exists()
    shutil.rmtree(folder)


def _refused_or_harmless(source: Path, content: bytes, folder: Path, whole: Everything, what: str) -> None:
    """The same without the noted heads: refused, or (a byte in unused room) every record, receipt and state is as it was."""
    folder.mkdir()
    copied = _copy(source, folder / source.name)
    copied.write_bytes(content)
    copied.with_name(f"{copied.name}.heads.json").unlink()
    with contextlib.suppress(ShopUnusable, Refusal):
        Shop.restore(copied, folder / "again.shop")
        with Shop.open(folder / "again.shop", readonly=True) as again:
            said = everything(again)
        for table in ("records", "receipts", "units"):
            assert said[table] == whole[table], f"{what}: restore took a shop with other {table}"
    shutil.rmtree(folder)


def _copy(source: Path, dest: Path) -> Path:
    shutil.copy2(source, dest)
    shutil.copytree(source.with_name(f"{source.name}.files"), dest.with_name(f"{dest.name}.files"))
    shutil.copy2(source.with_name(f"{source.name}.heads.json"), dest.with_name(f"{dest.name}.heads.json"))
    return dest


def change_copy(path: Path, *statements: str) -> None:
    """Somebody who knows SQL takes the guards down, changes what they want, puts the guards up and notes the new file."""
    with closing(sqlite3.connect(path)) as opened:
        for table in ("records", "receipts"):
            for deed in ("update", "delete"):
                opened.execute(f"DROP TRIGGER {table}_no_{deed}")
        for statement in statements:
            opened.execute(statement)
        for table in ("records", "receipts"):
            for guard in guards_on(table):
                opened.execute(guard)
        opened.commit()
    heads = path.with_name(f"{path.name}.heads.json")
    noted = json.loads(heads.read_text(encoding="utf-8"))
    heads.write_text(json.dumps({name: head for name, head in noted.items() if isinstance(head, list)}), encoding="utf-8")


def _found_by_verify(source: Path, copied: Path, change: str, number: int) -> None:
    _copy(source, copied)
    change_copy(copied, change.format(n=number))
    try:
        with Shop.open(copied) as shop:
            assert not shop.verify().holds, f"verify does not see: {change.format(n=number)}"
    except ShopUnusable:
        pass
    with pytest.raises(ShopUnusable):
        Shop.restore(copied, copied.with_name(f"{copied.name}.again"))


def _cut_tail_shows(random: Random, source: Path, copied: Path, proof: Verification) -> None:
    """The last records, their receipts and the kept states are taken away so that all agrees: the noted heads tell."""
    _copy(source, copied)
    keep = proof.records - random.randint(1, min(5, proof.records - 1))
    change_copy(copied, f"DELETE FROM receipts WHERE number > {keep}", f"DELETE FROM records WHERE number > {keep}")
    with Shop.open(copied) as shop:
        shop.rebuild()
        left = shop.verify()
        assert left.holds
        assert left.heads() != proof.heads()
        assert left.receipts.length == keep
    with pytest.raises(ShopUnusable, match="its chains are not those of"):
        Shop.restore(copied, copied.with_name("tail-again.shop"))
