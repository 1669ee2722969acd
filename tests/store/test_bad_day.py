"""What happens to a shop on a bad day: a clear word, nothing lost, nothing half done."""

import sqlite3
from contextlib import closing

import pytest
from record_makers import draft
from shop_makers import NOW, new_shop, read_only, registering, run_python, unit_uid

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.store import Settings, Shop

SAYS = """
from pathlib import Path
from datetime import timedelta
from shop_makers import NOW, registering, unit_uid
from pinseal.reasons import ShopUnusable
from pinseal.store import Shop
path = Path(sys.argv[1])
"""


def refused(action) -> str:
    with pytest.raises(ShopUnusable) as error:
        action()
    assert error.value.exit_code == 3
    assert error.value.do
    return str(error.value)


def write_one(path, **more):
    with Shop.open(path, **more) as shop:
        shop.write(registering(1, first=900), writer="desk", received=NOW)


@pytest.fixture
def path(shop):
    shop.write(registering(5), writer="desk", received=NOW)
    shop.close()
    return shop.path


def still_whole(path, units=5):
    with Shop.open(path) as shop:
        assert shop.verify().problems == ()
        assert len(shop.units()) == len(shop.records()) == units


def test_a_locked_shop_says_so_and_can_still_be_read(path):
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert "the shop is locked: another program is writing to it" in refused(lambda: write_one(path, wait_s=0.05))
        with Shop.open(path, readonly=True, wait_s=0.05) as reader:
            assert len(reader.units()) == 5
    still_whole(path)


def test_a_read_only_shop_says_so_and_can_still_be_read(path):
    with read_only(path.parent):
        assert "the shop cannot be written to: it is read-only" in refused(lambda: write_one(path))
        with Shop.open(path, readonly=True) as reader:
            assert len(reader.units()) == 5
            assert reader.verify().problems == ()
            assert "it is read-only" in refused(lambda: reader.write(registering(1, first=900), writer="desk", received=NOW))
    still_whole(path)


def test_a_shop_cannot_be_made_or_copied_where_nothing_can_be_written(path, tmp_path):
    target = tmp_path / "target"
    target.mkdir()
    with read_only(target):
        assert "it is read-only" in refused(lambda: new_shop(target, "new.shop"))
        with Shop.open(path) as shop:
            assert "it is read-only" in refused(lambda: shop.backup(target / "copy.shop"))
    assert list(target.iterdir()) == []


def test_a_shop_on_media_that_cannot_change_can_be_backed_up_elsewhere(path, tmp_path_factory):
    dest = tmp_path_factory.mktemp("elsewhere") / "copy.shop"
    with read_only(path.parent), Shop.open(path, readonly=True) as shop:
        assert shop.backup(dest).proof.records == 5
    still_whole(dest)


def test_a_shop_opened_for_reading_is_never_written_to(path):
    with Shop.open(path, readonly=True) as reader:
        assert "it is read-only" in refused(lambda: reader.write(registering(1, first=900), writer="desk", received=NOW))
    still_whole(path)


def test_a_full_disk_says_so_and_keeps_nothing_of_the_import(path):
    code = (
        SAYS
        + """
import resource
resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))
try:
    with Shop.open(path) as shop:
        shop.write(registering(3000, first=100), writer="desk", received=NOW)
except ShopUnusable as full:
    print(full)
"""
    )
    result = run_python(code, path)
    assert (result.returncode, result.stderr) == (0, "")
    assert "the disk is full, or the file may not grow" in result.stdout
    assert "nothing was changed" in result.stdout
    still_whole(path)


def test_a_shop_that_may_not_grow_says_so(path):
    with Shop.open(path) as shop:
        with shop._engine.connect() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 3}")
        message = refused(lambda: shop.write(registering(3000, first=100), writer="desk", received=NOW))
        assert "the disk is full" in message
    still_whole(path)


def test_a_file_that_cannot_be_kept_for_want_of_room_leaves_no_trace(path):
    code = (
        SAYS
        + """
import resource
with Shop.open(path) as shop:
    resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))
    try:
        shop.add_file("photo.jpg", bytes(100_000), person="Ida Quill", received=NOW)
    except ShopUnusable as full:
        print(full)
"""
    )
    result = run_python(code, path)
    assert (result.returncode, result.stderr) == (0, "")
    assert "the disk is full" in result.stdout
    assert list(path.with_name("quay.shop.files").iterdir()) == []
    still_whole(path)


def test_a_copy_for_which_there_is_no_room_says_where_and_leaves_no_trace(path):
    code = (
        SAYS
        + """
import resource
with Shop.open(path) as shop:
    resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))
    for action in (shop.backup, lambda dest: Shop.restore(path, dest)):
        try:
            action(path.with_name("copy.shop"))
        except ShopUnusable as full:
            print(full)
"""
    )
    result = run_python(code, path)
    assert (result.returncode, result.stderr) == (0, "")
    assert result.stdout.count(f"the disk is full, or the file may not grow (got {path.with_name('copy.shop')})") == 2
    assert not list(path.parent.glob("*copy*"))
    still_whole(path)


def test_a_new_shop_on_a_full_disk_leaves_no_trace(tmp_path):
    code = (
        SAYS
        + """
import resource
from shop_makers import new_shop
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
try:
    new_shop(path)
except ShopUnusable as full:
    print(full)
"""
    )
    result = run_python(code, tmp_path)
    assert (result.returncode, result.stderr) == (0, "")
    assert "the disk is full" in result.stdout
    assert list(tmp_path.iterdir()) == []


KILLED = (
    SAYS
    + """
import os, signal
calls = 0
def chance(size):
    global calls
    calls += 1
    if calls == 2600:
        os.kill(os.getpid(), signal.SIGKILL)
    return os.urandom(size)
with Shop.open(path) as shop:
    # A small cache makes SQLite write unfinished work to its log, as a large import does.
    from sqlalchemy import event
    event.listen(shop._engine, "connect", lambda raw, record: raw.execute("PRAGMA cache_size = 10"))
    shop._engine.dispose()
    shop.write(registering(3000, first=100), writer="desk", received=NOW, chance=chance)
"""
)


def test_a_program_killed_in_the_middle_of_an_import_leaves_nothing_half_done(path):
    result = run_python(KILLED, path)
    assert result.returncode == -9
    assert path.with_name("quay.shop-wal").stat().st_size > 100_000
    with Shop.open(path, readonly=True) as reader:
        assert len(reader.units()) == 5
    still_whole(path)
    write_one(path)
    still_whole(path, units=6)


@pytest.mark.parametrize("content", [b"", b"id,serial\n7,KX-7\n", b"\x89PNG\r\n\x1a\n" + bytes(200), b"SQLite format 3\x00"])
def test_a_file_that_is_not_a_shop_says_so(tmp_path, content):
    path = tmp_path / "thing.shop"
    path.write_bytes(content)
    assert "this file is not a shop" in refused(lambda: Shop.open(path))
    assert "this file is not a shop" in refused(lambda: Shop.restore(path, tmp_path / "new.shop"))
    assert path.read_bytes() == content


def test_another_programs_database_is_not_a_shop(tmp_path):
    with closing(sqlite3.connect(tmp_path / "other.db")) as other:
        other.execute("CREATE TABLE records (uid)")
    assert "this file is not a shop" in refused(lambda: Shop.open(tmp_path / "other.db"))


def test_a_folder_is_not_a_shop(tmp_path):
    with pytest.raises(Refusal, match="there is no shop at this path"):
        Shop.open(tmp_path)


@pytest.mark.parametrize("share", [0.02, 0.3, 0.5, 0.7, 0.9])
def test_a_damaged_shop_says_so_wherever_the_damage_is(path, share):
    content = bytearray(path.read_bytes())
    start = 100 + int(share * (len(content) - 5000))
    content[start : start + 4200] = b"\xa5" * 4200
    path.write_bytes(bytes(content))

    def use_all():
        with Shop.open(path, readonly=True) as shop:
            shop.units()
            proof = shop.verify()
            if not proof.holds:
                raise ShopUnusable(what="found by verify", rule="", got="", do="restore")

    refused(use_all)


def test_a_shop_cut_short_says_so(path):
    path.write_bytes(path.read_bytes()[:20_000])

    def read_all():
        with Shop.open(path, readonly=True) as shop:
            shop.units()
            shop.records()

    assert "the shop is damaged" in refused(read_all)


def spoil(path, *statements):
    """Change a shop behind the program's back."""
    with closing(sqlite3.connect(path)) as raw:
        for name in ("records_no_update", "records_no_delete", "receipts_no_delete"):
            guard = raw.execute("SELECT sql FROM sqlite_master WHERE name = ?", (name,)).fetchone()[0]
            raw.execute(f"DROP TRIGGER {name}")
            statements = (*statements, guard)
        for statement in statements:
            raw.execute(statement)
        raw.commit()


def test_a_record_that_can_no_longer_be_read_is_damage(path):
    spoil(path, "UPDATE records SET done = 'soon' WHERE number = 2")
    with Shop.open(path) as shop:
        assert "a record cannot be read" in refused(shop.records)
        assert "a record cannot be read" in refused(shop.verify)


def test_a_shop_from_a_newer_program_is_left_alone(path):
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '0999'")
        raw.commit()
    before = path.read_bytes()
    for readonly in (False, True):
        message = refused(lambda readonly=readonly: Shop.open(path, readonly=readonly))
        assert "the shop was written by a newer version of this program (got" in message
        assert "form 0999" in message
    assert path.read_bytes() == before


@pytest.mark.parametrize("form", ["", "0000", "old"])
def test_a_shop_whose_form_is_none_that_ever_was_is_damaged(path, form):
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = ?", (form,))
        raw.commit()
    assert "the shop is damaged" in refused(lambda: Shop.open(path))


def test_a_shop_without_its_tables_is_damaged(path):
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("DROP TABLE alembic_version")
    assert "the shop is damaged" in refused(lambda: Shop.open(path))


def test_a_shop_without_settings_is_damaged(path):
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("DROP TRIGGER settings_no_delete")
        raw.execute("DELETE FROM settings")
        raw.commit()
    with Shop.open(path) as shop:
        assert "it has no settings" in refused(shop.settings)


def test_a_refused_write_does_not_block_the_next_one(path):
    with Shop.open(path) as shop:
        with pytest.raises(Refusal):
            shop.write([draft("corrected", "2026-01-03", unit=unit_uid(0), corrects=unit_uid(3), void="yes")], writer="desk", received=NOW)
        write_one(path, wait_s=0.05)
        assert shop.settings() == Settings()
    still_whole(path, units=6)
