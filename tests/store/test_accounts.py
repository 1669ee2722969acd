"""Who may come in: the newest row counts, one supervisor stays, and what is erased is gone from the file."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta

import pytest
import sqlalchemy as sa
from record_makers import draft
from shop_makers import NOW, registering, unit_uid

from pinseal.reasons import Refusal
from pinseal.store import KeptAccount, KeptToken, Session, schema

LEAD = KeptAccount(uid=unit_uid(900), name="Rosamund Vale", login="rosamund", role="supervisor", secret="hash-of-rosamund")
TECH = KeptAccount(uid=unit_uid(901), name="Tobiah Marsh", login="tobiah", role="technician", secret="hash-of-tobiah")
LATER = NOW + timedelta(days=7)


@pytest.fixture
def peopled(shop):
    for account in (LEAD, TECH):
        shop.accounts().put(account, received=NOW)
    return shop


def token(**said):
    return replace(
        KeptToken(uid=unit_uid(950), account=TECH.uid, name="van tablet", scopes=("door",), digest="d" * 64, until=LATER), **said
    )


def session(digest="a" * 64, account=TECH.uid, made=NOW, until=LATER):
    return Session(digest=digest, account=account, made=made, until=until)


def test_the_newest_row_of_an_account_counts(peopled):
    peopled.accounts().put(replace(TECH, role="bench"), received=NOW)
    assert peopled.accounts().find(TECH.uid).role == "bench"
    assert [one.login for one in peopled.accounts().all()] == ["rosamund", "tobiah"]


@pytest.mark.parametrize(("typed", "found"), [("tobiah", TECH), (" TOBIAH ", TECH), ("tobia", None), ("", None)])
def test_an_account_is_found_by_what_is_typed(peopled, typed, found):
    assert peopled.accounts().by_login(typed) == found


def test_a_name_for_signing_in_is_had_once(peopled):
    with pytest.raises(Refusal, match="taken"):
        peopled.accounts().put(replace(TECH, uid=unit_uid(902), login="ROSAMUND"), received=NOW)
    peopled.accounts().end(TECH.uid, received=NOW)
    peopled.accounts().put(replace(TECH, uid=unit_uid(902)), received=NOW)
    assert peopled.accounts().by_login("tobiah").uid == unit_uid(902)


@pytest.mark.parametrize(
    "change",
    [
        lambda doors: doors.end(LEAD.uid, received=NOW),
        lambda doors: doors.erase(LEAD.uid, received=NOW),
        lambda doors: doors.put(replace(LEAD, role="bench"), received=NOW),
    ],
)
def test_the_last_supervisor_stays_and_a_second_one_frees_the_first(peopled, change):
    with pytest.raises(Refusal, match="last supervisor"):
        change(peopled.accounts())
    assert peopled.accounts().find(LEAD.uid) == LEAD
    peopled.accounts().put(replace(TECH, role="supervisor"), received=NOW)
    change(peopled.accounts())
    assert peopled.accounts().find(LEAD.uid) != LEAD


def test_an_ended_account_leaves_no_door_open(peopled):
    doors = peopled.accounts()
    doors.put_token(token(), received=NOW)
    doors.begin_session(session())
    doors.begin_session(session(digest="b" * 64, account=LEAD.uid))
    doors.end(TECH.uid, received=NOW)
    assert doors.session("a" * 64) is None
    assert doors.session("b" * 64) == session(digest="b" * 64, account=LEAD.uid)
    assert not doors.token("d" * 64).holds(NOW)


@pytest.mark.parametrize(("seconds", "holds"), [(-1, True), (0, False), (1, False)])
def test_a_key_holds_until_its_end(peopled, seconds, holds):
    assert token().holds(LATER + timedelta(seconds=seconds)) is holds


def test_a_one_time_key_opens_once_and_ends_the_sessions(peopled):
    doors = peopled.accounts()
    doors.put_token(token(), received=NOW)
    doors.begin_session(session())
    doors.use_once("d" * 64, replace(TECH, secret="another hash"), now=NOW)
    assert doors.find(TECH.uid).secret == "another hash"
    assert doors.session("a" * 64) is None
    with pytest.raises(Refusal, match="does not open anything"):
        doors.use_once("d" * 64, replace(TECH, secret="a third hash"), now=NOW)
    assert doors.find(TECH.uid).secret == "another hash"


def test_a_one_time_key_of_another_account_changes_nothing(peopled):
    doors = peopled.accounts()
    doors.put_token(token(), received=NOW)
    with pytest.raises(Refusal, match="does not open anything"):
        doors.use_once("d" * 64, replace(LEAD, secret="mine now"), now=NOW)
    assert doors.find(LEAD.uid) == LEAD


def test_a_session_that_is_over_is_forgotten(peopled):
    doors = peopled.accounts()
    doors.begin_session(session(until=NOW + timedelta(seconds=1)))
    doors.begin_session(session(digest="b" * 64, made=NOW + timedelta(seconds=1)))
    assert doors.session("a" * 64) is None
    assert doors.session("b" * 64) is not None


def test_what_is_erased_is_nowhere_in_the_file(peopled):
    peopled.accounts().put(replace(TECH, role="bench"), received=NOW)
    peopled.accounts().put_token(token(name="tablet of Tobiah"), received=NOW)
    peopled.accounts().erase(TECH.uid, received=NOW)
    kept = peopled.accounts().find(TECH.uid)
    assert (kept.name, kept.login, kept.secret, kept.state) == ("", "", "", "erased")
    peopled.close()
    for path in peopled.path.parent.glob(f"{peopled.path.name}*"):
        if path.is_file():
            content = path.read_bytes()
            assert not [word for word in (b"Tobiah", b"tobiah") if word in content], path


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE accounts SET role = 'supervisor'",
        "UPDATE accounts SET name = 'Somebody', login = '', secret = ''",
        "UPDATE accounts SET name = '', login = '', secret = '', role = 'supervisor'",
        "UPDATE accounts SET secret = 'mine'",
        "DELETE FROM accounts",
        "UPDATE tokens SET ended = 0, name = ''",
        "DELETE FROM tokens",
        "UPDATE veils SET shown = 'somebody'",
    ],
)
def test_nothing_else_may_be_changed_in_the_file(peopled, change):
    peopled.accounts().put_token(token(ended=True), received=NOW)
    peopled.veil("Ida Quill", received=NOW)
    peopled.close()
    with closing(sqlite3.connect(peopled.path)) as raw, pytest.raises(sqlite3.IntegrityError, match="only added to"):
        raw.execute(change)


def test_no_secret_leaves_by_an_export(peopled):
    peopled.accounts().put_token(token(), received=NOW)
    peopled.accounts().begin_session(session())
    said = {name: list(rows) for name, rows in peopled.export()}
    assert [row["login"] for row in said["accounts"]] == ["rosamund", "tobiah"]
    assert len(said["tokens"]) == len(said["sessions"]) == 1
    assert not [text for text in ("hash-of", "d" * 64, "a" * 64) if text in repr(said)]


def test_every_secret_column_is_one_of_the_tables():
    for table, names in schema.SECRET.items():
        assert set(names) <= set(schema.metadata.tables[table].columns.keys())


def test_a_backup_brings_the_accounts_along(peopled, tmp_path):
    peopled.backup(tmp_path / "copy.shop")
    with type(peopled).restore(tmp_path / "copy.shop", tmp_path / "again.shop") and type(peopled).open(tmp_path / "again.shop") as again:
        assert again.accounts().all() == [LEAD, TECH]


def test_a_missing_guard_over_the_accounts_is_noticed(peopled):
    with peopled._engine.begin() as connection:
        connection.execute(sa.text("DROP TRIGGER accounts_no_update"))
    assert any("accounts_no_update" in problem for problem in peopled.verify().problems)


def test_a_veiled_name_is_shown_as_something_else_and_the_chain_holds(shop):
    shop.write(registering(1), writer="desk", received=NOW)
    shop.write([replace(draft("inspected", "2026-01-03", unit=unit_uid(0)), person="Ida  Quill")], writer="desk", received=NOW)
    assert shop.veil("ida quill", received=NOW) == "erased person 1"
    assert shop.veil("Ida Quill", received=NOW) == "erased person 1"
    assert shop.veil("Tobiah Marsh", received=NOW) == "erased person 2"
    records = shop.records(unit_uid(0))
    assert shop.veils().over_record(records[-1]).person == "erased person 1"
    assert records[-1].person == "Ida  Quill"
    assert shop.verify().holds
