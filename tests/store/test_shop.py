import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from record_makers import UNIT, Writer, draft, uid
from shop_makers import NOW, chance, new_shop, registering, run_python, unit_uid

from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.record import check_sealed
from pinseal.store import Register, RegisterRow, Settings, Shop

LATER = NOW + timedelta(hours=1)


def write(shop, *drafts, writer="desk", at=NOW, **more):
    return shop.write(list(drafts), writer=writer, received=at, **more)


def test_what_was_written_is_there_when_the_file_is_opened_again(shop):
    (record,) = write(shop, draft("registered", "2026-01-02", id="7", agent="abc", last_inspection="2025-12"))
    shop.close()
    with Shop.open(shop.path, readonly=True) as again:
        assert again.records() == [replace(record, received=NOW)]
        (state,) = again.units()
    assert (state.uid, state.id, state.nameplate.agent, state.dates["inspection"]) == (UNIT, "7", "abc", PartialDate(2025, 12))
    assert state.set_by["inspection"] == record.uid
    assert sorted(path.name for path in shop.path.parent.iterdir()) == ["quay.shop", "quay.shop.files"]


def test_a_deed_moves_the_present_state(shop):
    write(shop, *registering(3))
    (record,) = write(shop, draft("hydrostatic-test", "2026-01-04", unit=unit_uid(1), test_method="water-jacket"), at=LATER)
    first, tested, last = shop.units()
    assert (tested.dates["hydrostatic-test"], tested.test_method, tested.set_by["hydrostatic-test"]) == (
        PartialDate(2026, 1, 4),
        "water-jacket",
        record.uid,
    )
    assert "hydrostatic-test" not in first.dates
    assert "hydrostatic-test" not in last.dates


def test_every_record_is_bound_to_its_writers_record_before(shop):
    one, two = write(shop, *registering(2))
    (other,) = write(shop, draft("inspected", "2026-01-03", unit=unit_uid(0)), writer="van-1", at=LATER)
    (three,) = write(shop, draft("inspected", "2026-01-04", unit=unit_uid(0)), at=LATER)
    assert [record.previous for record in (one, two, three, other)] == ["", one.digest, two.digest, ""]
    for record in shop.records():
        check_sealed(record)


def test_a_code_of_a_duty_is_kept_as_the_kind_that_answers_it(shop):
    (record,) = shop.write([replace(draft("inspected", "2026-01-03"), kind="inspection")], writer="desk", received=NOW)
    assert record.kind == "inspected"


def test_writing_the_same_uid_again_changes_nothing(shop):
    said = draft("inspected", "2026-01-03", uid=uid(5))
    (first,) = write(shop, said)
    write(shop, draft("inspected", "2026-01-04"))
    (again,) = write(shop, said, at=LATER)
    assert again.digest == first.digest
    assert len(shop.records()) == 2


def test_another_deed_under_the_same_uid_is_refused_and_nothing_of_the_batch_is_kept(shop):
    write(shop, draft("inspected", "2026-01-03", uid=uid(5)))
    with pytest.raises(Refusal, match="another record is kept under this uid"):
        write(shop, draft("inspected", "2026-01-04"), draft("inspected", "2026-01-09", uid=uid(5)))
    assert len(shop.records()) == 1


def test_the_same_uid_twice_in_one_batch_is_one_record(shop):
    write(shop, draft("inspected", "2026-01-03", uid=uid(5)), draft("inspected", "2026-01-03", uid=uid(5)))
    assert len(shop.records()) == 1


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: replace(draft("inspected", "2026-01-03"), kind="polished"), "there is no such kind of record"),
        (lambda: replace(draft("inspected", "2026-01-03"), fields={"weather": "fine"}), "has no such field"),
        (lambda: replace(draft("inspected", "2026-01-03"), person=" "), "person cannot be kept: it is empty"),
        (lambda: draft("inspected", "2026-01-03", uid="7"), "this is not the uid of a record"),
        (lambda: draft("corrected", "2026-01-03", corrects=uid(9), void="yes"), "there is no such record to correct"),
        (lambda: draft("corrected", "2026-01-03", corrects=uid(1), to_method="water-jacket"), "has no such field"),
        (lambda: draft("corrected", "2026-01-03", unit=unit_uid(8), corrects=uid(1), void="yes"), "there is no such record to correct"),
    ],
)
def test_a_wrong_draft_is_refused_and_nothing_is_kept(shop, wrong, words):
    write(shop, draft("inspected", "2026-01-03", uid=uid(1)))
    with pytest.raises(Refusal) as refused:
        write(shop, draft("inspected", "2026-01-04"), wrong(), at=LATER)
    assert words in str(refused.value)
    assert len(shop.records()) == 1


def test_a_correction_written_here_takes_hold(shop):
    (wrong,) = write(shop, draft("inspected", "2026-01-03"))
    write(shop, draft("corrected", "2026-01-04", corrects=wrong.uid, void="yes"), at=LATER)
    assert shop.units()[0].dates == {}
    assert [fact.kind for fact in shop.unit(UNIT).facts] == []


def test_records_from_a_device_may_come_in_any_order_and_more_than_once(shop):
    device = Writer("van-1")
    sent = [device.write("registered", "2026-01-01", id="7"), device.write("inspected", "2026-01-02"), device.write("opened", "2026-01-03")]
    first = shop.append([sent[2], sent[0]], received=NOW)
    assert (first.new, first.known) == ((sent[2].uid, sent[0].uid), ())
    early = shop.verify()
    assert (early.holds, [chain.waiting for chain in early.chains]) == (True, [1])
    assert any("1 more wait for a record that has not come in" in line for line in early.lines())
    second = shop.append(sent, received=LATER)
    assert (second.new, second.known) == ((sent[1].uid,), (sent[0].uid, sent[2].uid))
    assert shop.append(sent, received=LATER).new == ()
    proof = shop.verify()
    assert proof.problems == ()
    assert proof.heads()["chain of van-1"] == (3, sent[2].digest)
    assert proof.heads()["receipts"][0] == 3


def test_the_state_does_not_depend_on_the_order_of_arrival(tmp_path):
    device = Writer("van-1")
    sent = [device.write("registered", "2026-01-01", id="7"), device.write("removed", "2026-01-02"), device.write("returned", "2026-01-03")]
    states = []
    for number, order in enumerate(([0, 1, 2], [2, 1, 0], [1, 2, 0])):
        with new_shop(tmp_path, f"{number}.shop") as shop:
            for place in order:
                shop.append([sent[place]], received=NOW)
            states.append(shop.units())
    assert states[0] == states[1] == states[2]
    assert states[0][0].removed is None


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda record, writer: replace(record, person="Bo Tarn"), "does not carry the digest of its content"),
        (lambda record, writer: writer.write_raw("polished", "2026-01-02", {}), "there is no such kind of record"),
        (lambda record, writer: writer.write_raw("inspected", "2026-01-02", {"weather": "fine"}), "has no such field"),
        (lambda record, writer: writer.write_raw("inspection", "2026-01-02", {}), "is not in the form that is kept"),
        (
            lambda record, writer: writer.write_raw("tested", "2026-01-02", {"test-method": "water-jacket"}),
            "is not in the form that is kept",
        ),
    ],
)
def test_a_record_that_is_not_what_it_says_is_not_taken_in(shop, spoil, words):
    writer = Writer("van-1")
    good = writer.write("inspected", "2026-01-01")
    with pytest.raises(Refusal) as refused:
        shop.append([good, spoil(good, writer)], received=NOW)
    assert words in str(refused.value)
    assert shop.records() == []


def test_two_different_records_with_one_uid_are_refused(shop):
    one, other = Writer("van-1").write("inspected", "2026-01-01"), Writer("van-1").write("inspected", "2026-01-02")
    assert one.uid == other.uid
    with pytest.raises(Refusal, match="another record is kept under this uid"):
        shop.append([one, other], received=NOW)
    shop.append([one], received=NOW)
    with pytest.raises(Refusal, match="another record is kept under this uid"):
        shop.append([other], received=NOW)


def test_two_programs_that_write_at_once_both_stay(shop):
    write(shop, *registering(1))
    code = """
from datetime import timedelta
from pathlib import Path
from record_makers import draft
from shop_makers import NOW, unit_uid
from pinseal.store import Shop
with Shop.open(Path(sys.argv[1]), wait_s=60) as shop:
    for number in range(20):
        shop.write([draft("noted", "2026-01-03", unit=unit_uid(0), note=f"{sys.argv[2]} {number}")], writer="desk", received=NOW)
"""
    import threading

    results = []
    threads = [threading.Thread(target=lambda name=name: results.append(run_python(code, shop.path, name))) for name in ("one", "two")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [(result.returncode, result.stderr) for result in results] == [(0, "")] * 2
    notes = [record.fields["note"] for record in shop.records() if record.kind == "noted"]
    assert sorted(notes) == sorted(f"{name} {number}" for name in ("one", "two") for number in range(20))
    assert shop.verify().problems == ()


def test_a_unit_is_found_by_id_serial_tag_or_uid(shop):
    write(shop, *registering(3), draft("retagged", "2026-01-03", unit=unit_uid(2), tag="T-77"))
    for text in ("1", "kx-1", " KX-1 ", unit_uid(1), unit_uid(1).upper()):
        assert [unit.id for unit in shop.find(text)] == ["1"]
    assert [unit.id for unit in shop.find("t-77")] == ["2"]
    assert shop.find("99") == []
    assert shop.find("") == []


def test_what_a_unit_is_called_now_goes_before_what_it_was_called_once(shop):
    write(shop, *registering(3), draft("retagged", "2026-01-03", unit=unit_uid(2), id="1", tag="T-1"))
    assert [unit.uid for unit in shop.find("1")] == [unit_uid(1), unit_uid(2)]
    assert [unit.uid for unit in shop.find("2")] == [unit_uid(2)]
    write(shop, draft("removed", "2026-01-04", unit=unit_uid(1)), at=LATER)
    assert [unit.uid for unit in shop.find("1")] == [unit_uid(2)]
    assert [unit.uid for unit in shop.find("KX-1")] == [unit_uid(1)]


def test_the_state_of_a_past_day_is_a_full_fold(shop):
    write(shop, *registering(2), draft("inspected", "2026-01-04", unit=unit_uid(0)), draft("inspected", "2025-06", unit=unit_uid(0)))
    assert shop.state(date(2025, 12, 31))[unit_uid(0)].state.dates["inspection"] == PartialDate(2025, 6)
    assert shop.state()[unit_uid(0)].state.dates["inspection"] == PartialDate(2026, 1, 4)
    assert [unit.state for unit in shop.state().values()] == shop.units()
    assert shop.unit(unit_uid(0), date(2025, 12, 31)).state == shop.state(date(2025, 12, 31))[unit_uid(0)].state
    assert shop.unit(unit_uid(99)) is None


def test_the_number_of_statements_does_not_grow_with_the_units(shop):
    import sqlalchemy as sa

    counts = []
    for count in (1, 3):
        write(shop, *registering(count, first=10 * count), at=NOW + timedelta(hours=count))
        seen = []
        sa.event.listen(shop._engine, "before_cursor_execute", lambda *a, seen=seen: seen.append(a[2]))
        shop.units()
        shop.find("10")
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_a_register_is_kept_with_its_records_in_one_step(shop):
    rows = [
        RegisterRow(sheet="East", row=2, outcome="unit", raw={"Ext. no": "7", "Made": "6/14"}, read={"id": "7"}, unit=unit_uid(0)),
        RegisterRow(sheet="East", row=3, outcome="not-unit", raw=["Total", "1"], read={}),
    ]
    register = Register(name="list.xlsx", sha256="0" * 64, size=812, person="Ida Quill", answers={"q1": "month first"}, rows=rows)
    with pytest.raises(Refusal):
        write(shop, *registering(1), replace(registering(1)[0], kind="polished"), register=register)
    assert shop.registers() == []
    write(shop, *registering(1), register=register)
    (taken,) = shop.registers()
    assert (taken.number, taken.name, taken.answers, taken.received) == (1, "list.xlsx", {"q1": "month first"}, NOW)
    assert shop.register_rows(1) == rows


def test_settings_are_kept_and_what_was_chosen_before_stays_on_record(shop):
    chosen = Settings(
        packs=("us-osha", "us-nfpa10@2010"), units="us", date_order="MDY", time_zone="Pacific/Auckland", assume={"shell": "mild-steel"}
    )
    assert shop.settings() == Settings()
    shop.change_settings(chosen, person="Ida Quill", received=LATER)
    assert shop.settings() == chosen
    assert len({name: list(rows) for name, rows in shop.export()}["settings"]) == 2


LIST = """
[[withdrawal]]
title = "Brindle PX-10"
source = "invented"
published = "2024-05"
model = "PX-10"
reason = "recall"
action = "take out of use"
checked = "memory"
"""


def test_lists_of_withdrawn_units_belong_to_the_shop(shop):
    shop.add_withdrawals(LIST, name="brindle.toml", person="Ida Quill", received=NOW)
    shop.add_withdrawals(LIST.replace("PX-10", "PX-11"), name="other.toml", person="Ida Quill", received=NOW)
    shop.add_withdrawals(LIST.replace("PX-10", "PX-12"), name="brindle.toml", person="Ida Quill", received=LATER)
    assert [entry.model for entry in shop.withdrawals()] == [("PX-12",), ("PX-11",)]
    with pytest.raises(Refusal, match="this is no TOML"):
        shop.add_withdrawals("[[", name="bad.toml", person="Ida Quill", received=NOW)
    write(shop, *registering(2), draft("recalled", "2026-01-03", unit=unit_uid(1), list="Brindle PX-12"))
    assert shop.recalls() == {unit_uid(1): ("Brindle PX-12",)}


def test_a_file_is_kept_under_its_hash_once(shop):
    sha256 = shop.add_file("gauge.jpg", b"a photo", person="Ida Quill", received=NOW)
    assert shop.add_file("again.jpg", b"a photo", person="Ida Quill", received=LATER) == sha256
    assert shop.file(sha256).read_bytes() == b"a photo"
    assert shop.file("0" * 64) is None
    write(shop, draft("noted", "2026-01-03", file=sha256))
    assert shop.verify().files == 1


def test_export_gives_everything_in_plain_values(shop):
    write(shop, *registering(2), register=Register(name="l.csv", sha256="1" * 64, size=1, person="Ida Quill"))
    shop.add_file("gauge.jpg", b"a photo", person="Ida Quill", received=NOW)
    everything = {name: list(rows) for name, rows in shop.export()}
    assert {name: len(rows) for name, rows in everything.items()} == {
        "settings": 1, "records": 2, "receipts": 2, "registers": 1, "register_rows": 0, "withdrawal_lists": 0, "files": 1, "units": 2,
        "sheets": 0, "sheet_entries": 0, "accounts": 0, "tokens": 0, "sessions": 0, "veils": 0,
    }  # fmt: skip
    assert json.loads(json.dumps(everything)) == everything


def test_a_row_that_is_kept_cannot_be_changed_or_taken_away(shop):
    write(shop, *registering(1))
    shop.add_file("gauge.jpg", b"a photo", person="Ida Quill", received=NOW)
    shop.close()
    with closing(sqlite3.connect(shop.path)) as raw:
        for statement in ("UPDATE records SET person = 'x'", "DELETE FROM receipts", "DELETE FROM settings", "UPDATE files SET name = 'x'"):
            with pytest.raises(sqlite3.IntegrityError, match="is only added to"):
                raw.execute(statement)
            raw.rollback()


def test_a_new_shop_takes_no_ones_place(tmp_path, shop):
    with pytest.raises(Refusal, match="there is something at this path already"):
        new_shop(tmp_path)
    (tmp_path / "other.shop.files").mkdir()
    (tmp_path / "other.shop.files" / "paper.pdf").write_text("mine")
    with pytest.raises(Refusal, match="there is something at this path already"):
        new_shop(tmp_path, "other.shop")
    with pytest.raises(Refusal, match="the folder for the shop is missing"):
        new_shop(tmp_path / "nowhere")
    with pytest.raises(Refusal, match="there is no shop at this path"):
        Shop.open(tmp_path / "none.shop")


def test_a_shop_can_be_made_where_a_killed_program_left_an_empty_folder(tmp_path):
    (tmp_path / "quay.shop.files").mkdir()
    with new_shop(tmp_path) as shop:
        assert shop.units() == []


def test_a_file_that_appears_meanwhile_keeps_its_name(tmp_path):
    from pinseal.store import sqlite

    (tmp_path / "new").write_text("new")
    (tmp_path / "there").write_text("there")
    with pytest.raises(FileExistsError):
        sqlite.give_name(tmp_path / "new", tmp_path / "there")
    assert (tmp_path / "there").read_text() == "there"
    sqlite.give_name(tmp_path / "new", tmp_path / "free")
    assert (tmp_path / "free").read_text() == "new"


def test_ids_made_in_one_batch_differ_and_sort_as_they_were_made(shop):
    made = write(shop, *registering(5), chance=chance)
    assert sorted(record.uid for record in made) == [record.uid for record in made]
    assert len({record.uid for record in made}) == 5


def test_the_day_is_that_of_the_shop():
    late = datetime(2026, 1, 5, 23, 30, tzinfo=UTC)
    assert Settings(time_zone="Europe/Madrid").today(late) == date(2026, 1, 6)
    assert Settings(time_zone="America/New_York").today(late) == date(2026, 1, 5)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"units": "cubits"}, "units is one of si, us, metric"),
        ({"date_order": "YDM"}, "date_order is one of MDY, DMY, YMD"),
        ({"maintenance_basis": "whim"}, "maintenance_basis is one of anniversary"),
        ({"time_zone": "Quay/Town"}, "a name of the IANA time zone database"),
        ({"time_zone": "../etc"}, "a name of the IANA time zone database"),
        ({"packs": ("",)}, "each pack is a name"),
        ({"assume": {"weather": "fine"}}, "only a fact of the nameplate"),
        ({"assume": {"shell": "wood"}}, "shell is one of mild-steel"),
    ],
)
def test_a_wrong_setting_is_refused_in_words(said, words):
    with pytest.raises(Refusal) as refused:
        Settings(**said)
    assert words in str(refused.value)


def test_an_unknown_setting_is_refused_in_words():
    from pinseal.store import read_settings

    with pytest.raises(Refusal, match="the settings are assume, currency, date_order, date_style"):
        read_settings({"colour": "red"})


def test_importing_the_store_loads_neither_sqlalchemy_nor_alembic_and_opening_a_shop_no_alembic(shop):
    code = """
from pathlib import Path
import pinseal.store
print([name for name in ("sqlalchemy", "alembic") if name in sys.modules])
with pinseal.store.Shop.open(Path(sys.argv[1])) as shop:
    shop.units()
print("alembic" in sys.modules)
"""
    assert run_python(code, shop.path).stdout == "[]\nFalse\n"
