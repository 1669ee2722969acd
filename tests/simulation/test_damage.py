"""Damage that the simulation found to be told badly or not at all: a clear word, and no restore."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from random import Random

import deeds
import pytest
from damage import change_copy

from pinseal.reasons import ShopUnusable
from pinseal.store import Settings, Shop

NOW = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A backup of a small shop."""
    random = Random(1)
    drafts = [deeds.registering(random, deeds.new_uid(random, NOW), number, NOW.date(), NOW) for number in range(5)]
    with Shop.create(tmp_path / "quay.shop", Settings(packs=("us-osha",)), person="Ida Quill", now=NOW) as shop:
        shop.write(drafts, writer="desk", received=NOW)
        shop.backup(tmp_path / "copy.shop")
    return tmp_path / "copy.shop"


def refused(source: Path) -> str:
    dest = source.with_name("again.shop")
    with pytest.raises(ShopUnusable) as error:
        Shop.restore(source, dest)
    assert not dest.exists()
    return str(error.value)


def verified(source: Path) -> str:
    """What verify says: its problems, or that the shop is damaged."""
    try:
        with Shop.open(source) as shop:
            return "; ".join(shop.verify().problems)
    except ShopUnusable as damaged:
        return str(damaged)


def test_a_byte_that_is_no_text_is_said_as_damage(copy: Path) -> None:
    copy.write_bytes(copy.read_bytes().replace(b"Ida Quill", b"Ida \xffuill"))
    assert "the shop is damaged" in verified(copy)
    assert "a text in it is no text" in verified(copy)
    refused(copy)


@pytest.mark.parametrize(
    ("statement", "word"),
    [
        ("UPDATE receipts SET received = 'never'", "a record cannot be read"),
        ("UPDATE receipts SET received = 'never', record = 'x' || record", "a receipt cannot be read"),
        ("UPDATE records SET writer = CAST(writer AS BLOB)", "a text in it is no text"),
        ("UPDATE records SET fields = '{\"id\":'", "a value in it cannot be read"),
        ('UPDATE records SET fields = \'{"manufactured":"20x4"}\' WHERE number = 1', "the records make no state"),
        ("UPDATE units SET said = '{\"id\":'", "a value in it cannot be read"),
        ("ALTER TABLE settings RENAME COLUMN said TO sbid", "no such column"),
    ],
)
def test_what_cannot_be_read_is_said_as_damage(copy: Path, statement: str, word: str) -> None:
    change_copy(copy, statement)
    assert word in verified(copy)
    refused(copy)


def test_a_change_that_no_chain_binds_is_found_by_restore(copy: Path) -> None:
    copy.write_bytes(copy.read_bytes().replace(b"us-osha", b"us-osho"))
    assert verified(copy) == ""
    assert "its file is not the one of copy.shop.heads.json: something in it was changed" in refused(copy)


def test_looking_into_a_backup_does_not_spoil_it(copy: Path) -> None:
    before = copy.read_bytes()
    for readonly in (True, False):
        with Shop.open(copy, readonly=readonly) as shop:
            assert shop.verify().holds
            assert len(shop.units()) == 5
    assert copy.read_bytes() == before
    assert Shop.restore(copy, copy.with_name("again.shop")).proof.holds
