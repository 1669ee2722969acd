"""Job sheets in the store: only added to, one writer at a time, closed together with their records."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta

import pytest
from record_makers import draft, uid
from shop_makers import NOW, registering, run_python, unit_uid

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.store import KeptSheet, Shop
from pinseal.store.backup import heads_of

LATER = NOW + timedelta(hours=1)
SHEET = KeptSheet(
    uid=uid(900),
    unit=unit_uid(1),
    on_day=date(2026, 1, 5),
    works=("maintenance", "recharge"),
    content={"steps": [{"id": "pin"}], "type": "stored powder"},
    person="Ida Quill",
    writer="van-1",
    received=NOW,
)
CLOSING = {"closed": "finished"}


@pytest.fixture
def begun(shop):
    shop.write(registering(3), writer="desk", received=NOW)
    shop.begin_sheet(SHEET)
    return shop


def add(shop, number, entry=None, sheet=SHEET.uid):
    return shop.add_entry(sheet, entry or {"step": f"s{number}", "answer": "good"}, person="Ida Quill", received=LATER, expect=number)


def close(shop, number, *drafts, entry=CLOSING):
    return shop.close_sheet(SHEET.uid, entry, drafts, writer="van-1", person="Ida Quill", received=LATER, expect=number)


def test_a_sheet_reads_back_as_it_was_begun_with_its_entries_in_order(begun):
    assert begun.sheet(SHEET.uid) == SHEET
    assert [add(begun, 1, {"step": "pin", "answer": "bent", "n": 1.5}), add(begun, 2)] == [1, 2]
    begun.close()
    with Shop.open(begun.path, readonly=True) as again:
        kept = again.sheet(SHEET.uid)
    assert [(entry.number, entry.entry, entry.person, entry.received) for entry in kept.entries] == [
        (1, {"step": "pin", "answer": "bent", "n": 1.5}, "Ida Quill", LATER),
        (2, {"step": "s2", "answer": "good"}, "Ida Quill", LATER),
    ]
    assert (kept.closed, kept.next_number, replace(kept, entries=())) == (False, 3, SHEET)


def test_a_sheet_that_is_not_there_is_none(begun):
    assert begun.sheet(uid(901)) is None
    with pytest.raises(Refusal, match="no such job sheet"):
        add(begun, 1, sheet=uid(901))


def test_beginning_the_same_sheet_again_changes_nothing(begun):
    begun.begin_sheet(replace(SHEET, received=LATER))
    assert begun.sheets() == [SHEET]
    with pytest.raises(Refusal, match="another job sheet is kept under this uid"):
        begun.begin_sheet(replace(SHEET, works=("maintenance",)))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"unit": unit_uid(7)}, "no such unit in this shop"),
        ({"uid": "sheet 1"}, "not the uid of a record"),
        ({"person": " "}, "person cannot be kept"),
        ({"content": {"weight": float("nan")}}, "this cannot be kept"),
        ({"content": {"day": date(2026, 1, 5)}}, "this cannot be kept"),
    ],
)
def test_a_sheet_that_cannot_be_kept_is_refused_in_words(begun, change, words):
    with pytest.raises(Refusal, match=words):
        begun.begin_sheet(replace(SHEET, **{"uid": uid(902), **change}))
    assert begun.sheets() == [SHEET]


@pytest.mark.parametrize("expect", [0, 2, 4])
def test_an_entry_under_another_number_than_the_next_is_refused(begun, expect):
    add(begun, 1)
    add(begun, 2)
    with pytest.raises(Refusal, match="somebody else added") as refused:
        add(begun, expect)
    assert refused.value.rule == "the next entry is number 3"
    assert add(begun, 3) == 3


def test_closing_writes_the_records_and_the_entry_and_ends_the_sheet(begun):
    add(begun, 1)
    made = close(
        begun,
        2,
        draft("maintained", "2026-01-05", unit=unit_uid(1), sheet=SHEET.uid),
        draft("worked", "2026-01-05", unit=unit_uid(1), sheet=SHEET.uid, outcome="finished"),
    )
    assert [record.kind for record in made] == ["maintained", "worked"]
    assert [record.uid for record in begun.records(unit_uid(1))][1:] == [record.uid for record in made]
    assert str(begun.find("1")[0].dates["maintenance"]) == "2026-01-05"
    kept = begun.sheet(SHEET.uid)
    assert (kept.closed, kept.entries[-1].entry) == (True, CLOSING)
    assert (begun.open_sheets(), begun.sheets()) == ([], [kept])
    assert begun.verify().holds


def test_a_closed_sheet_takes_nothing_more(begun):
    close(begun, 1)
    for more in (lambda: add(begun, 2), lambda: close(begun, 2)):
        with pytest.raises(Refusal, match="this job sheet is closed"):
            more()


def test_a_record_that_is_refused_leaves_the_sheet_open_and_nothing_written(begun):
    good = draft("maintained", "2026-01-05", unit=unit_uid(1))
    bad = replace(good, kind="measured", fields={"quantity": "weight"})
    with pytest.raises(Refusal, match="value must be given"):
        close(begun, 1, good, bad)
    assert (begun.sheet(SHEET.uid), len(begun.records())) == (SHEET, 3)
    assert len(close(begun, 1, good)) == 1


def test_records_of_a_sheet_that_somebody_else_added_to_are_not_written(begun):
    add(begun, 1)
    with pytest.raises(Refusal, match="somebody else added"):
        close(begun, 1, draft("maintained", "2026-01-05", unit=unit_uid(1)))
    assert len(begun.records()) == 3


def test_only_the_entry_that_closes_says_so(begun):
    with pytest.raises(Refusal, match="this entry does not fit"):
        add(begun, 1, CLOSING)
    with pytest.raises(Refusal, match="this entry does not fit"):
        close(begun, 1, entry={"step": "pin"})
    assert begun.sheet(SHEET.uid).entries == ()


def test_a_program_that_dies_while_closing_leaves_the_sheet_open_and_no_record(begun):
    begun.close()
    died = run_python(
        f"""
import os
from pathlib import Path
from record_makers import draft
from shop_makers import NOW, unit_uid
from pinseal.store import Shop, projection
projection.refresh = lambda *_: os._exit(9)
with Shop.open(Path(sys.argv[1])) as shop:
    made = [draft("maintained", "2026-01-05", unit=unit_uid(1))]
    shop.close_sheet({SHEET.uid!r}, {{"closed": "x"}}, made, writer="van-1", person="Ida Quill", received=NOW, expect=1)
""",
        begun.path,
    )
    assert died.returncode == 9, died.stderr
    with Shop.open(begun.path) as again:
        assert (again.sheet(SHEET.uid), len(again.records()), again.verify().problems) == (SHEET, 3, ())


def test_the_sheets_of_one_unit_and_the_open_ones_are_found(begun):
    others = [
        replace(SHEET, uid=uid(910), unit=unit_uid(2), received=LATER),
        replace(SHEET, uid=uid(911), received=LATER),
    ]
    for sheet in others:
        begun.begin_sheet(sheet)
    close(begun, 1)
    closed = begun.sheet(SHEET.uid)
    assert begun.sheets() == [closed, *others]
    assert begun.sheets(unit_uid(1)) == [closed, others[1]]
    assert begun.open_sheets() == others
    assert begun.open_sheets(unit_uid(1)) == [others[1]]
    assert begun.open_sheets(unit_uid(0)) == []


def test_the_guards_keep_sheets_and_entries_from_being_changed(begun):
    add(begun, 1)
    begun.close()
    with closing(sqlite3.connect(begun.path)) as raw:
        for statement in ("UPDATE sheets SET person = 'x'", "DELETE FROM sheet_entries", "UPDATE sheet_entries SET number = 2"):
            with pytest.raises(sqlite3.IntegrityError, match="only added to"):
                raw.execute(statement)


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("DELETE FROM sheet_entries WHERE number = 1", "an entry of job sheet"),
        ("UPDATE sheet_entries SET number = 9 WHERE number = 2", "an entry of job sheet"),
        ("UPDATE sheet_entries SET entry = '{\"closed\":1}' WHERE number = 1", "an entry after the one that closed it"),
        ("UPDATE sheet_entries SET closes = 0", "does not say rightly whether it closes"),
        ("DELETE FROM sheets", "names a row of sheets that is not there"),
        ("UPDATE sheets SET on_day = 'noon'", "the shop is damaged"),
        ("UPDATE sheets SET on_day = on_day || ' '", "is not how a date is kept"),
        ("UPDATE sheets SET received = replace(received, 'T', 'P')", "is not how a moment is kept"),
        ("UPDATE sheet_entries SET received = replace(received, '.', ',')", "is not how a moment is kept"),
        ("UPDATE sheet_entries SET closes = 3 WHERE number = 2", "a number in it is no number, in sheet_entries.closes"),
        ("UPDATE sheets SET content = CAST(content AS BLOB)", "a text in it is no text, in sheets.content"),
        ("UPDATE sheets SET works = '7'", "the shop is damaged"),
        ("UPDATE sheet_entries SET entry = '7'", "the shop is damaged"),
    ],
)
def test_verify_finds_a_sheet_that_was_changed(begun, statement, words):
    add(begun, 1)
    close(begun, 2)
    begun.close()
    with closing(sqlite3.connect(begun.path)) as raw:
        guards = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in guards:
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute(statement)
        for _, guard in guards:
            raw.execute(guard)
        raw.commit()
    with Shop.open(begun.path) as shop:
        try:
            found = "; ".join(shop.verify().problems)
        except ShopUnusable as refused:
            found = str(refused)
    assert words in found


def test_a_backup_notes_the_head_of_the_sheets_and_a_restore_compares_it(begun):
    add(begun, 1)
    copy, other = begun.path.with_name("copy.shop"), begun.path.with_name("other.shop")
    made = begun.backup(copy).proof
    assert made.heads()["job sheets"] == (1, made.sheets_head)
    assert f"job sheets: 1, head {made.sheets_head}" in made.lines()
    add(begun, 2)
    assert begun.verify().sheets_head != made.sheets_head
    begun.backup(other)
    heads_of(copy).replace(heads_of(other))
    with pytest.raises(Refusal, match="its chains are not those of"):
        Shop.restore(other, begun.path.with_name("again.shop"))


def test_an_export_has_the_sheets_in_plain_values(begun):
    add(begun, 1)
    everything = {name: list(rows) for name, rows in begun.export()}
    assert [row["content"] for row in everything["sheets"]] == [SHEET.content]
    assert [row["entry"]["step"] for row in everything["sheet_entries"]] == ["s1"]
