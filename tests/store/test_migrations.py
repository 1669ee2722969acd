"""The tables that migrations make are the tables of the schema, and a migration that is written tomorrow will run."""

import json
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from shop_makers import NOW, registering
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateIndex, CreateTable

from pinseal.reasons import ShopUnusable
from pinseal.store import Shop, files, migrate, schema, sqlite
from pinseal.store.backup import heads_of


def test_the_migrations_make_the_tables_of_the_schema(shop):
    with shop._engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "render_as_batch": True})
        assert compare_metadata(context, schema.metadata) == []
        assert migrate.form_of(connection) == schema.FORMS[-1]


def test_every_form_has_its_migration():
    names = sorted(path.stem for path in (migrate.FOLDER / "versions").glob("form_*.py"))
    assert names == [f"form_{form}" for form in schema.FORMS]


def test_every_table_that_is_only_added_to_is_guarded(shop):
    with shop._engine.connect() as connection:
        assert sqlite.missing_guards(connection, schema.APPEND_ONLY) == []
    assert set(schema.APPEND_ONLY) | set(schema.PROJECTION) | set(schema.PASSING) == set(schema.metadata.tables)


def test_the_tables_can_be_made_on_postgresql_too():
    for table in schema.metadata.sorted_tables:
        made = str(CreateTable(table).compile(dialect=postgresql.dialect()))
        assert "JSON " not in made
        for index in table.indexes:
            assert f"ix_{table.name}" in str(CreateIndex(index).compile(dialect=postgresql.dialect()))
    assert "JSONB" in str(CreateTable(schema.records).compile(dialect=postgresql.dialect()))


def test_what_is_sqlites_own_stands_in_one_module():
    own = re.compile(r"PRAGMA|sqlite_master|import sqlite3|OR IGNORE|ON CONFLICT|ROWID", re.IGNORECASE)
    found = {path.name for path in Path(sqlite.__file__).parent.rglob("*.py") if own.search(path.read_text(encoding="utf-8"))}
    assert found == {"sqlite.py"}


def _tables(path):
    """What the file says of its tables, indexes and guards."""
    with closing(sqlite3.connect(path)) as raw:
        return dict(raw.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name"))


def _first_form(path):
    """Take from a shop what forms after the first one added, so that it is as the first program left it."""
    with closing(sqlite3.connect(path)) as raw:
        for table in ("veils", "sessions", "tokens", "accounts", "sheet_entries", "sheets", "subjects"):
            raw.execute(f"DROP TABLE {table}")
        raw.execute("UPDATE alembic_version SET version_num = '0001'")
        raw.commit()


@pytest.fixture
def first_form(shop):
    shop.write(registering(2), writer="desk", received=NOW)
    shop.close()
    _first_form(shop.path)
    return shop.path


def test_a_shop_of_the_first_form_as_the_tests_make_it_is_what_the_first_migration_made(first_form, tmp_path):
    made = tmp_path / "first.shop"
    engine = sqlite.open_engine(made, readonly=False, wait_s=1, create=True)
    with sqlite.writing(engine) as connection:
        config = Config(attributes={"connection": connection})
        config.set_main_option("script_location", str(migrate.FOLDER))
        config.set_main_option("path_separator", "os")
        command.upgrade(config, "0001")
    engine.dispose()
    assert _tables(first_form) == _tables(made)


def test_a_shop_of_the_first_form_gets_its_sheets_and_keeps_its_records(first_form, tmp_path):
    with Shop.open(first_form) as shop:
        assert (len(shop.units()), shop.sheets(), shop.instruments(), shop.verify().problems) == (2, [], [], ())
        new = Shop.create(tmp_path / "new.shop", shop.settings(), person="Ida Quill", now=NOW)
    new.close()
    assert _tables(first_form) == _tables(new.path)


def test_a_shop_of_the_first_form_is_not_read_before_it_was_opened_for_writing(first_form):
    with pytest.raises(ShopUnusable, match="must be brought up to date"):
        Shop.open(first_form, readonly=True)


def test_a_backup_of_the_first_form_is_restored_in_the_newest_and_stays_as_it_is(shop, tmp_path):
    shop.write(registering(2), writer="desk", received=NOW)
    copy = tmp_path / "copy.shop"
    proof = shop.backup(copy).proof
    _first_form(copy)
    noted = heads_of(copy)
    noted.write_text(json.dumps({**json.loads(noted.read_text()), "sha256 of the file": files.hash_of(copy)}))
    before = files.hash_of(copy)
    made = Shop.restore(copy, tmp_path / "again.shop")
    assert (made.proof.heads(), files.hash_of(copy)) == (proof.heads(), before)
    with Shop.open(made.path, readonly=True) as again:
        assert (len(again.units()), again.open_sheets()) == (2, [])


@pytest.fixture
def tomorrow(tmp_path, monkeypatch):
    """The program of tomorrow: its schema has one more column, and the migration for it was written by Alembic."""
    folder = tmp_path / "migrations"
    shutil.copytree(migrate.FOLDER, folder, ignore=shutil.ignore_patterns("__pycache__"))
    wished = sa.MetaData(naming_convention=schema.NAMING)
    for table in schema.metadata.sorted_tables:
        table.to_metadata(wished)
    wished.tables["files"].append_column(sa.Column("seen", schema.json_type()))
    engine = sa.create_engine("sqlite://")
    monkeypatch.setattr(migrate, "FOLDER", folder)
    with engine.connect() as connection:
        migrate.bring_up_to_date(connection)
        with monkeypatch.context() as patched:
            patched.setattr(schema, "metadata", wished)
            config = Config(attributes={"connection": connection}, stdout=(tmp_path / "said").open("w"))
            config.set_main_option("script_location", str(folder))
            config.set_main_option("path_separator", "os")
            command.revision(config, "Files are seen", autogenerate=True, rev_id="0004")
    engine.dispose()
    config.stdout.close()
    monkeypatch.setattr(schema, "FORMS", (*schema.FORMS, "0004"))
    return wished


@pytest.fixture
def old_path(shop):
    shop.write(registering(2), writer="desk", received=NOW)
    shop.close()
    return shop.path


def test_a_shop_of_an_older_form_is_brought_up_to_date_when_it_is_opened_for_writing(old_path, tomorrow):
    with Shop.open(old_path) as shop:
        assert shop.verify().holds
        assert len(shop.units()) == 2
        with shop._engine.connect() as connection:
            context = MigrationContext.configure(connection, opts={"compare_type": True, "render_as_batch": True})
            assert compare_metadata(context, tomorrow) == []
            assert migrate.form_of(connection) == "0004"


def test_a_shop_of_an_older_form_cannot_be_read_before_that(old_path, tomorrow):
    with pytest.raises(ShopUnusable, match="must be brought up to date"):
        Shop.open(old_path, readonly=True)


def test_a_migration_that_fails_changes_nothing(old_path, tomorrow):
    (step,) = migrate.FOLDER.glob("versions/0004*.py")
    step.write_text(step.read_text().replace("    # ### end", "    op.execute('SELECT * FROM no_such_table')\n    # ### end"))
    with pytest.raises(ShopUnusable, match="the shop is damaged"):
        Shop.open(old_path)
    with closing(sqlite3.connect(old_path)) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == ("0003",)
        assert "seen" not in [column[1] for column in raw.execute("PRAGMA table_info(files)")]
