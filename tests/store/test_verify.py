"""What `verify` finds when a shop was changed behind the program's back."""

import sqlite3
from contextlib import closing

import pytest
from record_makers import draft
from shop_makers import NOW, registering, unit_uid

from pinseal.reasons import ShopUnusable
from pinseal.store import Register, Shop


@pytest.fixture
def path(shop):
    shop.write(registering(4), writer="desk", received=NOW)
    shop.write([draft("inspected", "2026-01-03", unit=unit_uid(2))], writer="van-1", received=NOW)
    shop.close()
    return shop.path


def problems(path, *statements, guarded=True):
    with closing(sqlite3.connect(path)) as raw:
        guards = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in guards:
            raw.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            raw.execute(statement)
        for _, guard in guards if guarded else ():
            raw.execute(guard)
        raw.commit()
    with Shop.open(path) as shop:
        return shop.verify().problems


def test_a_whole_shop_holds_and_says_each_chains_length_and_head(path):
    with Shop.open(path) as shop:
        proof, records = shop.verify(), shop.records()
    assert proof.holds
    assert proof.lines() == [
        "5 records, 4 units, 0 files",
        f"chain of desk: 4 long, head {records[3].digest}",
        f"chain of van-1: 1 long, head {records[4].digest}",
        f"receipts: 5 long, head {proof.receipts.head}",
        "everything holds",
    ]
    assert proof.as_json()["chains"][0] == {"writer": "desk", "length": 4, "head": records[3].digest, "waiting": 0, "break": None}


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE records SET person = 'Bo Tarn' WHERE number = 2", "the chain of desk breaks at"),
        ('UPDATE records SET fields = \'{"id":"9"}\' WHERE number = 2', "the chain of desk breaks at"),
        ("UPDATE records SET done = '2020' WHERE number = 5", "the chain of van-1 breaks at"),
        ("UPDATE receipts SET received = '2025-01-01T00:00:00.000000Z' WHERE number = 3", "the chain of receipts breaks at"),
        ("DELETE FROM receipts WHERE number = 5", "expected a receipt, found none"),
        ("UPDATE units SET removed = 'stolen'", "the kept state of unit"),
        ("UPDATE units SET said = '{}' WHERE uid LIKE '%2'", "the kept state of unit"),
        ("DELETE FROM unit_names WHERE name = 'kx-2'", "the kept state of unit"),
        ("INSERT INTO units VALUES ('ghost', '{}', '{}', NULL, '[]', '[]')", "the kept state of unit ghost"),
    ],
)
def test_a_change_behind_the_programs_back_is_found(path, statement, words):
    found = problems(path, statement)
    assert any(words in problem for problem in found), found


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE receipts SET received = replace(received, 'T', 'P') WHERE number = 3", "a record cannot be read"),
        ("UPDATE receipts SET received = replace(received, '.', ',') WHERE number = 3", "a record cannot be read"),
        ("UPDATE records SET done = done || ' ' WHERE number = 3", "a record cannot be read"),
        ("UPDATE registers SET received = replace(received, 'T', ' ')", "a register cannot be read"),
        ("UPDATE receipts SET record_digest = CAST(record_digest AS BLOB)", "a text in it is no text, in receipts.record_digest"),
        ("UPDATE records SET fields = CAST(fields AS BLOB) WHERE number = 3", "a text in it is no text, in records.fields"),
        ("UPDATE unit_names SET name = CAST(name AS BLOB) WHERE name = 'kx-1'", "a text in it is no text, in unit_names.name"),
        ("UPDATE unit_names SET held_now = 3 WHERE name = 'kx-1'", "a number in it is no number, in unit_names.held_now"),
    ],
)
def test_a_value_that_is_kept_in_another_way_is_damage_though_it_reads_alike(path, statement, words):
    with Shop.open(path) as shop:
        list_taken = Register(name="list.csv", sha256="0" * 64, size=1, person="Ida Quill")
        shop.write([], writer="desk", received=NOW, register=list_taken)
    with pytest.raises(ShopUnusable, match=words):
        problems(path, statement)
    with pytest.raises(ShopUnusable):
        Shop.restore(path, path.with_name("again.shop"))
    assert not path.with_name("again.shop").exists()


def test_a_record_taken_away_with_its_receipt_is_found(path):
    found = problems(path, "DELETE FROM receipts WHERE number = 2", "DELETE FROM records WHERE number = 2")
    assert any("receipt number 2" in problem for problem in found)


def test_missing_guards_are_found(path):
    assert "the guard records_no_update is missing: rows could be changed unseen" in problems(path, guarded=False)


def test_a_file_that_is_missing_or_changed_is_found(path):
    with Shop.open(path) as shop:
        one = shop.add_file("one.jpg", b"one", person="Ida Quill", received=NOW)
        two = shop.add_file("two.jpg", b"two", person="Ida Quill", received=NOW)
        shop.file(one).unlink()
        shop.file(two).write_bytes(b"too")
        found = shop.verify().problems
        assert found == (
            *sorted(
                [f"the file {one} is missing from quay.shop.files", f"the file {two} in quay.shop.files does not hold what was kept"],
                key=lambda text: text.split()[2],
            ),
        )
        assert shop.add_file("two.jpg", b"two", person="Ida Quill", received=NOW) == two
        assert len(shop.verify().problems) == 1


def test_a_projection_that_went_wrong_can_be_made_anew(path):
    assert len(problems(path, "DELETE FROM unit_names", "DELETE FROM units")) == 4
    with Shop.open(path) as shop:
        assert shop.units() == []
        assert shop.rebuild() == 4
        assert shop.verify().problems == ()
        assert len(shop.units()) == 4
