import json
import sqlite3
from contextlib import closing

import pytest
from record_makers import draft
from shop_makers import NOW, registering, unit_uid

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.store import Shop


@pytest.fixture
def filled(shop):
    shop.write(registering(3), writer="desk", received=NOW)
    shop.add_file("gauge.jpg", b"a photo", person="Ida Quill", received=NOW)
    return shop


def everything(path):
    with Shop.open(path, readonly=True) as shop:
        return {name: list(rows) for name, rows in shop.export()}


def test_a_backup_is_a_shop_with_its_files_and_can_be_restored(filled, tmp_path):
    made = filled.backup(tmp_path / "copy.shop")
    assert made.proof.holds
    assert (made.proof.records, made.proof.files) == (3, 1)
    assert made.as_json()["proof"]["records"] == 3
    restored = Shop.restore(tmp_path / "copy.shop", tmp_path / "again.shop")
    assert restored.proof.heads() == made.proof.heads() == filled.verify().heads()
    assert everything(tmp_path / "again.shop") == everything(filled.path)
    with Shop.open(tmp_path / "again.shop") as again:
        assert again.write([draft("inspected", "2026-01-04", unit=unit_uid(0))], writer="desk", received=NOW)
        assert again.verify().holds
    left = {path.name for path in tmp_path.iterdir()} - {"quay.shop", "quay.shop.files", "quay.shop-wal", "quay.shop-shm"}
    assert left == {"again.shop", "again.shop.files", "copy.shop", "copy.shop.files", "copy.shop.heads.json"}


def test_a_backup_holds_what_is_still_in_the_log(filled, tmp_path):
    with Shop.open(filled.path) as other:
        other.write([draft("inspected", "2026-01-04", unit=unit_uid(0))], writer="van-1", received=NOW)
        assert filled.backup(tmp_path / "copy.shop").proof.records == 4


@pytest.mark.parametrize("there", ["copy.shop", "copy.shop.files", "copy.shop.heads.json"])
def test_a_copy_takes_nothings_place(filled, tmp_path, there):
    (tmp_path / there).write_text("mine")
    with pytest.raises(Refusal, match="there is something at this path already"):
        filled.backup(tmp_path / "copy.shop")
    with pytest.raises(Refusal, match="there is something at this path already"):
        Shop.restore(filled.path, tmp_path / "copy.shop")
    assert (tmp_path / there).read_text() == "mine"


def test_a_copy_needs_a_folder_and_a_source(filled, tmp_path):
    with pytest.raises(Refusal, match="the folder for the copy is missing"):
        filled.backup(tmp_path / "nowhere" / "copy.shop")
    with pytest.raises(Refusal, match="there is no backup at this path"):
        Shop.restore(tmp_path / "none.shop", tmp_path / "copy.shop")


def not_kept(action, dest):
    with pytest.raises(ShopUnusable) as error:
        action()
    assert not list(dest.parent.glob(f"*{dest.name}*"))
    return str(error.value)


def test_a_shop_with_a_missing_file_is_not_called_backed_up(filled, tmp_path):
    next(tmp_path.glob("quay.shop.files/*")).unlink()
    message = not_kept(lambda: filled.backup(tmp_path / "copy.shop"), tmp_path / "copy.shop")
    assert "the copy could not be proved" in message
    assert "a file is missing" in message


def test_a_shop_with_a_broken_chain_is_not_called_backed_up(filled, tmp_path):
    with closing(sqlite3.connect(filled.path)) as raw:
        guard = raw.execute("SELECT sql FROM sqlite_master WHERE name = 'records_no_update'").fetchone()[0]
        raw.execute("DROP TRIGGER records_no_update")
        raw.execute("UPDATE records SET person = 'Bo Tarn' WHERE number = 1")
        raw.execute(guard)
        raw.commit()
    message = not_kept(lambda: filled.backup(tmp_path / "copy.shop"), tmp_path / "copy.shop")
    assert "the chain of desk breaks at" in message


def test_a_backup_whose_tail_was_cut_off_is_not_restored(filled, tmp_path):
    filled.backup(tmp_path / "copy.shop")
    with closing(sqlite3.connect(tmp_path / "copy.shop")) as raw:
        guards = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in guards:
            raw.execute(f"DROP TRIGGER {name}")
        gone = raw.execute("SELECT unit FROM records WHERE number = 3").fetchone()
        raw.execute("DELETE FROM receipts WHERE number = 3")
        raw.execute("DELETE FROM records WHERE number = 3")
        raw.execute("DELETE FROM unit_names WHERE unit = ?", gone)
        raw.execute("DELETE FROM units WHERE uid = ?", gone)
        for _, guard in guards:
            raw.execute(guard)
        raw.commit()
    with Shop.open(tmp_path / "copy.shop") as cut:
        assert cut.verify().holds
    message = not_kept(lambda: Shop.restore(tmp_path / "copy.shop", tmp_path / "again.shop"), tmp_path / "again.shop")
    assert "its chains are not those of copy.shop.heads.json" in message


def test_heads_that_cannot_be_read_stop_a_restore_and_missing_heads_do_not(filled, tmp_path):
    filled.backup(tmp_path / "copy.shop")
    heads = tmp_path / "copy.shop.heads.json"
    assert json.loads(heads.read_text())["chain of desk"][0] == 3
    heads.write_text("{")
    assert "copy.shop.heads.json cannot be read" in not_kept(
        lambda: Shop.restore(tmp_path / "copy.shop", tmp_path / "again.shop"), tmp_path / "again.shop"
    )
    heads.unlink()
    assert Shop.restore(tmp_path / "copy.shop", tmp_path / "again.shop").proof.holds
