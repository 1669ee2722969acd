"""Instruments and people in a shop: on the same chains, and never among the extinguishers."""

import sqlite3
from contextlib import closing
from datetime import date

import pytest
from record_makers import Writer, draft
from shop_makers import NOW, new_shop, registering, unit_uid

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.service.office import by_unit
from pinseal.store import Shop

SCALE, PERSON = unit_uid(500), unit_uid(600)


@pytest.fixture
def stocked(shop):
    shop.write(registering(2), writer="desk", received=NOW)
    shop.write(
        [
            draft("instrument-registered", "2026-01-02", unit=SCALE, id="S-1", what="scale"),
            draft("instrument-checked", "2026-01-03", unit=SCALE, check="good"),
            draft("person-registered", "2026-01-02", unit=PERSON, name="Ida Quill", role="technician"),
            draft("paper-held", "2026-01-02", unit=PERSON, paper="licence", number="L-1", until="2026-12-31"),
        ],
        writer="desk",
        received=NOW,
    )
    return shop


def test_they_are_found_in_their_registers_alone(stocked):
    assert [(one.uid, one.id, len(one.checks)) for one in stocked.instruments()] == [(SCALE, "S-1", 1)]
    assert [(one.uid, one.name, len(one.papers)) for one in stocked.people()] == [(PERSON, "Ida Quill", 1)]


def test_they_are_no_extinguishers_anywhere(stocked):
    units = {unit_uid(0), unit_uid(1)}
    assert {unit.uid for unit in stocked.units()} == units
    assert set(stocked.state()) == units
    assert set(by_unit(stocked.records())) == units
    assert (stocked.unit(SCALE), stocked.unit(PERSON, date(2026, 6, 1))) == (None, None)
    assert (stocked.find("S-1"), stocked.find(SCALE), stocked.find("Ida Quill")) == ([], [], [])
    proof = stocked.verify()
    assert (proof.problems, proof.units, proof.records, len(proof.chains)) == ((), 2, 6, 1)


def test_they_stay_apart_when_the_present_states_are_made_anew(stocked):
    assert stocked.rebuild() == 2
    assert [one.id for one in stocked.instruments()] == ["S-1"]
    assert stocked.verify().holds


def test_a_correction_and_a_note_can_be_about_any_subject(stocked):
    check = stocked.records(SCALE)[1]
    more = [
        draft("corrected", "2026-01-04", unit=SCALE, corrects=check.uid, **{"to-check": "bad"}),
        draft("noted", "2026-01-04", unit=PERSON, note="left-handed"),
    ]
    stocked.write(more, writer="desk", received=NOW)
    assert [check.good for check in stocked.instruments()[0].checks] == [False]
    assert len(stocked.units()) == 2


@pytest.mark.parametrize(
    ("kind", "subject", "fields", "words"),
    [
        ("tested", SCALE, {}, "a record tested is about an extinguisher, and this uid stands for an instrument"),
        ("moved", PERSON, {"site": "Pier"}, "about an extinguisher, and this uid stands for a person"),
        ("instrument-checked", unit_uid(0), {"check": "good"}, "about an instrument, and this uid stands for an extinguisher"),
        ("paper-held", SCALE, {"paper": "licence"}, "about a person, and this uid stands for an instrument"),
    ],
)
def test_a_record_of_the_wrong_subject_is_refused_in_words(stocked, kind, subject, fields, words):
    with pytest.raises(Refusal, match=words):
        stocked.write([draft(kind, "2026-01-05", unit=subject, **fields)], writer="desk", received=NOW)
    with pytest.raises(Refusal, match=words):
        stocked.append([Writer("van-1").write(kind, "2026-01-05", unit=subject, **fields)], received=NOW)
    assert len(stocked.records()) == 6


def test_one_batch_cannot_make_one_uid_two_things(shop):
    both = [
        draft("registered", "2026-01-02", unit=SCALE, id="S-1"),
        draft("instrument-registered", "2026-01-02", unit=SCALE, id="S-1", what="scale"),
    ]
    for batch in (both, both[::-1]):
        with pytest.raises(Refusal, match="this uid stands for an"):
            shop.write(batch, writer="desk", received=NOW)
    assert shop.records() == []


def test_a_check_may_come_in_before_the_registering(shop):
    writer = Writer("van-1")
    registered = writer.write("instrument-registered", "2026-01-02", unit=SCALE, id="S-1", what="scale")
    checked = writer.write("instrument-checked", "2026-01-01", unit=SCALE, check="good")
    shop.append([checked], received=NOW)
    assert [(one.id, len(one.checks)) for one in shop.instruments()] == [("", 1)]
    shop.append([registered], received=NOW)
    assert [(one.id, len(one.checks)) for one in shop.instruments()] == [("S-1", 1)]


def test_a_shop_that_got_the_records_by_post_has_the_same_registers(stocked, tmp_path):
    with new_shop(tmp_path, "other.shop") as other:
        other.append(reversed(stocked.records()), received=NOW)
        assert (other.instruments(), other.people(), other.units()) == (stocked.instruments(), stocked.people(), stocked.units())
        assert other.verify().holds


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM subjects WHERE about = 'person'",
        "UPDATE subjects SET about = 'person'",
        "INSERT INTO subjects VALUES ('ghost', 'instrument')",
    ],
)
def test_verify_finds_a_wrong_list_of_subjects(stocked, statement):
    stocked.close()
    with closing(sqlite3.connect(stocked.path)) as raw:
        raw.execute(statement)
        raw.commit()
    with Shop.open(stocked.path) as shop:
        assert any("stands for is not what its records say" in problem for problem in shop.verify().problems)
        shop.rebuild()
        assert shop.verify().holds


def test_a_name_in_the_list_of_subjects_that_is_no_text_any_more_is_told_as_damage(stocked, tmp_path):
    copied = tmp_path / "copy.shop"
    stocked.backup(copied)
    with closing(sqlite3.connect(copied)) as raw:
        (page,) = raw.execute("SELECT rootpage FROM sqlite_master WHERE name = 'sqlite_autoindex_subjects_1'").fetchone()
        (size,) = raw.execute("PRAGMA page_size").fetchone()
    content = bytearray(copied.read_bytes())
    says_text = content.index(SCALE.encode(), (page - 1) * size) - 2
    assert content[says_text] == 13 + 2 * len(SCALE)  # how SQLite marks a text; one less is a row of bytes
    content[says_text] ^= 1
    copied.write_bytes(content)
    with Shop.open(copied) as shop:
        assert any("sqlite_autoindex_subjects_1" in problem for problem in shop.verify().problems)
    with pytest.raises(ShopUnusable, match="the copy could not be proved"):
        Shop.restore(copied, tmp_path / "again.shop")


def test_units_that_were_read_on_an_instrument_are_found_by_any_of_its_names(stocked):
    read = draft("measured", "2026-01-05", unit=unit_uid(0), quantity="gross weight", value="9 kg", instrument="s-1 ")
    (reading,) = stocked.write([read], writer="desk", received=NOW)
    assert stocked.units_read_on(["S-1", SCALE]) == [unit_uid(0)]
    assert stocked.units_read_on(["S-2"]) == []
    mend = draft("corrected", "2026-01-06", unit=unit_uid(0), corrects=reading.uid, **{"to-instrument": "S-2"})
    stocked.write([mend], writer="desk", received=NOW)
    assert stocked.units_read_on(["S-2"]) == [unit_uid(0)]
