"""Shops on a bad day: locked, read-only, no room, newer, none at all. After each the shop verifies, and holds what it held."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from tests.bad_input.bad_input_tools import (
    check_refusal,
    check_refusal_as_json,
    check_whole,
    command,
    long_list,
    ran,
    read_only,
    small_disk,
)
from tests.cli.conftest import Command

from pinseal.store import shop as store_shop

READS = [
    ("due",),
    ("explain", "T-1"),
    ("forecast",),
    ("history", "T-1"),
    ("audit",),
    ("settings",),
    ("withdrawals",),
    ("verify",),
    ("instruments",),
    ("people",),
]
WRITES = [("record", "noted", "T-1", "--note", "seen"), ("settings", "--units", "us"), ("instruments", "add", "S-1", "--what", "scale")]


@contextmanager
def locked(shop: Path) -> Iterator[None]:
    """Another program that is writing and does not end."""
    with closing(sqlite3.connect(shop, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield


@pytest.fixture
def small_list(tmp_path: Path) -> Path:
    path = tmp_path / "list.csv"
    path.write_text(long_list(3), encoding="utf-8")
    return path


@pytest.fixture
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """A locked shop is refused at once, not after the seconds that a person would wait."""
    defaults = dict(store_shop.Shop.open.__func__.__kwdefaults__ or {})  # type: ignore[attr-defined]
    monkeypatch.setattr(store_shop.Shop.open.__func__, "__kwdefaults__", {**defaults, "wait_s": 0.05})  # type: ignore[attr-defined]


def test_a_locked_shop_refuses_writers_and_answers_readers(pinseal: Command, shop: Path, small_list: Path, no_waiting: None) -> None:
    with locked(shop):
        for words in (*WRITES, ("import", small_list, "--json")):
            done = pinseal(*words)
            if "--json" in words:
                check_refusal_as_json(done, 3, "the shop is locked")
            else:
                check_refusal(done, 3, "the shop is locked", "nothing was changed")
        for words in READS:
            assert pinseal(*words).code == 0
    check_whole(pinseal, shop, records=1)
    assert pinseal("settings", "--json").json["units"] == "si"


def test_a_read_only_shop_answers_readers_and_refuses_writers(pinseal: Command, shop: Path, small_list: Path, tmp_path: Path) -> None:
    with read_only(shop.parent):
        for words in READS:
            assert pinseal(*words).code == 0
        for words in WRITES:
            check_refusal(pinseal(*words), 3, "it is read-only")
        done = pinseal("import", small_list)
        assert (done.code, "it is read-only" in done.err) == (3, True)
        check_refusal(pinseal("init", shop.with_name("other.pinseal")), 3, "it is read-only")
        check_refusal(pinseal("backup", shop.with_name("copy.pinseal")), 3, "it is read-only")
        check_refusal(pinseal("export", shop.with_name("out")), 2, "the export cannot be written", "nothing was left behind")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["list.csv", "shop.pinseal", "shop.pinseal.files"]
    check_whole(pinseal, shop, records=1)


def test_a_file_that_may_not_grow_keeps_nothing_of_an_import(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text(long_list(3000), encoding="utf-8")
    done = ran(command("import", path, "--shop", shop, "--json", limit_bytes=300_000))
    check_refusal_as_json(done, 3, "the disk is full")
    check_whole(pinseal, shop, records=1)
    assert pinseal("due", "--json").json["summary"]["units"] == 1


@pytest.mark.parametrize(
    "words", [("backup", "copy.pinseal"), ("export", "out"), ("init", "new.pinseal"), ("demo", "--shop", "demo.pinseal")]
)
def test_a_full_disk_is_said_and_nothing_is_left_on_it(
    pinseal: Command, shop: Path, tmp_path: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    with small_disk(disk, size_kib=24):
        target = disk / words[-1]
        done = pinseal(*words[:-1], target)
        if words[0] == "export":
            check_refusal(done, 2, "the export cannot be written", "No space left on device")
        else:
            check_refusal(done, 3, "the disk is full")
        assert list(disk.iterdir()) == []
    check_whole(pinseal, shop, records=1)


def test_a_shop_on_a_full_disk_keeps_what_it_has(pinseal: Command, tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    path = tmp_path / "long.csv"
    path.write_text(long_list(3000), encoding="utf-8")
    with small_disk(disk, size_kib=700):
        shop = disk / "shop.pinseal"
        assert pinseal("init", shop, "--packs", "us-osha").code == 0
        assert pinseal("record", "registered", "T-1", "--agent", "abc", "--shop", shop).code == 0
        done = pinseal("import", path, "--shop", shop)
        assert (done.code, "the disk is full" in done.err) == (3, True), done
        check_whole(pinseal, shop, records=1)
        assert pinseal("record", "noted", "T-1", "--note", "still here", "--shop", shop).code == 0
        check_whole(pinseal, shop, records=2)


@pytest.mark.parametrize("content", [b"", b"id,serial\n7,KX-7\n", b"\x89PNG\r\n\x1a\n" + bytes(200), b"SQLite format 3\x00" + bytes(200)])
def test_a_file_that_is_no_shop_is_left_alone(pinseal: Command, shop: Path, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "thing.pinseal"
    path.write_bytes(content)
    for words in (("verify", path), ("settings", "--shop", path), ("serve", path), ("restore", path, tmp_path / "new.pinseal")):
        check_refusal(pinseal(*words), 3, "this file is not a shop")
    check_refusal(pinseal("init", path), 2, "there is something at this path already")
    assert path.read_bytes() == content


@pytest.mark.parametrize("name", ["nothing.pinseal", "folder"])
def test_a_path_without_a_shop_is_said(pinseal: Command, tmp_path: Path, name: str) -> None:
    (tmp_path / "folder").mkdir()
    path = tmp_path / name
    for words in (("verify", path), ("serve", path), ("history", "T-1", "--shop", path), ("backup", tmp_path / "b", "--shop", path)):
        check_refusal(pinseal(*words), 2, "there is no shop at this path")


def test_a_shop_from_a_newer_version_is_left_alone(pinseal: Command, shop: Path) -> None:
    with closing(sqlite3.connect(shop)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '0999'")
        raw.commit()
    before = shop.read_bytes()
    for words in (*READS, *WRITES, ("serve",)):
        check_refusal(pinseal(*words), 3, "a newer version of this program", "0999")
    check_refusal_as_json(pinseal("due", "--json"), 3, "a newer version of this program")
    assert shop.read_bytes() == before


def test_a_damaged_shop_is_said(pinseal: Command, shop: Path) -> None:
    content = bytearray(shop.read_bytes())
    content[4096:] = b"\xa5" * (len(content) - 4096)
    shop.write_bytes(bytes(content))
    for words in (("verify",), ("due",), ("record", "noted", "T-1", "--note", "x"), ("export", shop.with_name("out"))):
        check_refusal(pinseal(*words), 3, "the shop is damaged", "pinseal restore")
    assert not shop.with_name("out").exists()


def test_a_backup_never_takes_the_place_of_anything(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.pinseal"
    assert pinseal("backup", copy).code == 0
    before = copy.read_bytes()
    check_refusal(pinseal("backup", copy), 2, "there is something at this path already")
    check_refusal(pinseal("backup", shop), 2, "there is something at this path already")
    check_refusal(pinseal("restore", copy, shop), 2, "there is something at this path already")
    check_refusal(pinseal("backup", tmp_path / "no" / "copy"), 2, "the folder for the copy is missing")
    assert copy.read_bytes() == before
    check_whole(pinseal, shop, records=1)
