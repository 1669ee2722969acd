from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from record_makers import OTHER_UNIT, UNIT, Writer, uid

from pinseal.dates import PartialDate, parse_date
from pinseal.records.fold import fold, fold_all
from pinseal.units import Quantity


def dates(unit):
    return {fact: str(done) for fact, done in unit.state.dates.items()}


def texts(unit):
    return [str(mark) for mark in unit.marks]


@pytest.fixture
def writer():
    return Writer()


def registered(writer, on="2026-01-02", **more):
    said = {"id": "7", "serial": "KX-100", "site": "Pier", "place": "stair 2", "agent": "abc", "expelled_by": "stored-pressure"}
    return writer.write("registered", on, **said | {"size": "10 lb", "wheeled": "no", "manufactured": "2014-06"} | more)


def test_a_registered_unit_has_its_nameplate_its_place_and_its_last_dates(writer):
    record = registered(
        writer, last_inspection="2025-12-09", last_hydrostatic_test="2019", test_method="water-jacket", sheet="East", row="12"
    )
    state = fold([record]).state
    assert (state.uid, state.id, state.serial, state.site, state.place) == (UNIT, "7", "KX-100", "Pier", "stair 2")
    assert (state.sheet, state.row, state.test_method) == ("East", 12, "water-jacket")
    assert (state.nameplate.agent, state.nameplate.wheeled, state.nameplate.shell) == ("abc", False, None)
    assert state.nameplate.size == Quantity(value=10, unit="lb")
    assert state.dates["hydrostatic-test"] == PartialDate(2019)
    assert state.set_by["inspection"] == record.uid


def test_work_moves_the_last_dates_and_names_the_record_that_did(writer):
    first, later = registered(writer, last_inspection="2025-12-09"), writer.write("inspected", "2026-01-08")
    unit = fold([first, later])
    assert unit.state.dates["inspection"] == PartialDate(2026, 1, 8)
    assert unit.state.set_by["inspection"] == later.uid
    assert unit.marks == ()


def test_an_older_deed_that_comes_in_late_does_not_move_the_last_date_back(writer):
    records = [registered(writer, last_inspection="2025-12-09"), writer.write("inspected", "2025-11-08")]
    assert dates(fold(records))["inspection"] == "2025-12-09"


@pytest.mark.parametrize(
    ("one", "other", "last"),
    [
        ("2024", "2024-06-10", "2024-06-10"),
        ("2024", "2024-12-31", "2024-12-31"),
        ("2024-02", "2024-02-28", "2024-02-28"),
        ("2024", "2024-01-01", "2024"),
        ("2024", "2025-01-01", "2025-01-01"),
    ],
)
def test_of_two_partial_dates_the_last_is_by_earliest_day_then_by_latest(writer, one, other, last):
    records = [writer.write("inspected", one), writer.write("inspected", other)]
    assert dates(fold(records))["inspection"] == dates(fold(records[::-1]))["inspection"] == last


def test_a_pressure_test_does_not_say_that_an_internal_examination_was_done(writer):
    unit = fold([registered(writer), writer.write("hydrostatic-test", "2026-03-01", method="proof-pressure", pressure="585 psi")])
    assert dates(unit)["hydrostatic-test"] == "2026-03-01"
    assert "internal-examination" not in dates(unit)
    assert unit.state.test_method == "proof-pressure"


def test_the_method_is_that_of_the_last_test(writer):
    records = [writer.write("tested", "2019", method="water-jacket"), writer.write("tested", "2024-05-01")]
    assert fold(records).state.test_method is None
    assert fold([*records, writer.write("tested", "2024-05-01", method="water-jacket")]).state.test_method == "water-jacket"


@pytest.mark.parametrize("kind", ["tested", "hose-tested", "conductivity-tested", "expellant-cylinder-tested", "regulator-tested"])
def test_a_failed_test_restarts_no_clock(writer, kind):
    assert dates(fold([writer.write(kind, "2026-03-01", result="fail")])) == {}
    assert len(dates(fold([writer.write(kind, "2026-03-01", result="pass")]))) == 1
    assert len(dates(fold([writer.write(kind, "2026-03-01")]))) == 1


@pytest.mark.parametrize(
    ("opened", "facts"),
    [
        ({"opened": "yes"}, {"recharge", "recharge-opened", "recharge-maybe-opened"}),
        ({"opened": "no"}, {"recharge"}),
        ({}, {"recharge", "recharge-maybe-opened"}),
    ],
)
def test_a_recharge_says_whether_the_inside_work_was_done(writer, opened, facts):
    assert set(dates(fold([writer.write("recharged", "2025-05-05", **opened)]))) == facts


def test_an_unopened_recharge_leaves_the_last_opened_one(writer):
    records = [writer.write("recharged", "2020-05-05", opened="yes"), writer.write("recharged", "2025-05-05", opened="no")]
    assert dates(fold(records)) == {"recharge": "2025-05-05", "recharge-opened": "2020-05-05", "recharge-maybe-opened": "2020-05-05"}


def test_on_a_past_day_only_the_deeds_up_to_it_count(writer):
    records = [registered(writer, "2020-01-02"), writer.write("inspected", "2024-03"), writer.write("inspected", "2024-05-10")]
    assert "inspection" not in dates(fold(records, date(2024, 2, 29)))
    assert dates(fold(records, date(2024, 3, 1)))["inspection"] == "2024-03"
    assert dates(fold(records, date(2024, 5, 9)))["inspection"] == "2024-03"
    assert dates(fold(records, date(2024, 5, 10)))["inspection"] == "2024-05-10"


def test_a_list_read_today_says_what_was_true_before_today(writer):
    records = [registered(writer, "2026-01-02", last_inspection="2025-12-09", last_maintenance="2023-04")]
    assert dates(fold(records, date(2024, 1, 1))) == {"manufactured": "2014-06", "maintenance": "2023-04"}
    assert fold(records, date(2024, 1, 1)).state.nameplate.agent == "abc"


def test_a_unit_is_not_there_before_it_was_made(writer):
    records = [registered(writer, "2026-01-02")]
    assert fold_all(records, date(2014, 5, 31)) == {}
    assert list(fold_all(records, date(2014, 6, 1))) == [UNIT]


def test_a_correction_voids_a_record(writer):
    records = [registered(writer), wrong := writer.write("inspected", "2026-01-08")]
    records.append(writer.write("corrected", "2026-01-09", corrects=wrong.uid, void="yes", reason="another unit"))
    unit = fold(records)
    assert "inspection" not in dates(unit)
    assert [fact.uid for fact in unit.facts] == [records[0].uid]


def test_a_correction_mends_the_day_and_the_fields_of_a_record(writer):
    records = [registered(writer), wrong := writer.write("tested", "2026-01-08", method="proof-pressure", pressure="585 psi")]
    records.append(
        writer.write("corrected", "2026-02-01", corrects=wrong.uid, to_done="2025-11", to_method="water-jacket", to_pressure="not-said")
    )
    unit = fold(records)
    assert (dates(unit)["hydrostatic-test"], unit.state.test_method) == ("2025-11", "water-jacket")
    mended = unit.facts[0]
    assert (mended.fields, mended.corrected_by) == ({"method": "water-jacket"}, (records[2].uid,))


def test_a_correction_of_the_nameplate_holds_for_days_before_it_was_written(writer):
    first = registered(writer, "2020-01-02")
    mend = writer.write("corrected", "2026-02-01", corrects=first.uid, to_agent="co2", to_manufactured="2011")
    state = fold([first, mend], date(2021, 1, 1)).state
    assert (state.nameplate.agent, str(state.dates["manufactured"])) == ("co2", "2011")


def test_a_void_correction_does_nothing_and_the_later_of_two_holds(writer):
    records = [wrong := writer.write("inspected", "2026-01-08")]
    records.append(first := writer.write("corrected", "2026-01-09", corrects=wrong.uid, to_done="2026-01-07"))
    records.append(writer.write("corrected", "2026-01-10", corrects=wrong.uid, to_done="2026-01-06"))
    assert dates(fold(records))["inspection"] == "2026-01-06"
    records.append(writer.write("corrected", "2026-01-11", corrects=records[2].uid, void="yes"))
    assert dates(fold(records))["inspection"] == "2026-01-07"
    records.append(writer.write("corrected", "2026-01-12", corrects=first.uid, void="yes"))
    assert dates(fold(records))["inspection"] == "2026-01-08"


def test_corrections_that_cannot_take_hold_are_kept_and_marked(writer):
    stranger = writer.write("inspected", "2026-01-08", unit=OTHER_UNIT)
    mine = writer.write("inspected", "2026-01-08")
    early = writer.write("corrected", "2026-01-01", corrects=uid(7), void="yes")
    records = [
        mine,
        writer.write("corrected", "2026-01-09", corrects=stranger.uid, void="yes"),
        writer.write("corrected", "2026-01-09", corrects=mine.uid, to_method="water-jacket"),
        early,
        mend := writer.write("corrected", "2026-01-09", corrects=mine.uid, to_done="2026-01-07"),
        writer.write("corrected", "2026-01-10", corrects=mend.uid, to_done="2026-01-06"),
    ]
    assert mend.uid == uid(6)
    assert records[-1].uid == uid(7)
    unit = fold(records)
    assert dates(unit)["inspection"] == "2026-01-07"
    found = {mark.record: mark.text for mark in unit.marks}
    assert "which is no record of this unit; the correction does nothing" in found[records[1].uid]
    assert "has no such field" in found[records[2].uid]
    assert "a correction that was written later" in found[early.uid]
    assert "a correction can only be made void" in found[records[5].uid]


def test_the_four_identities_keep_their_history(writer):
    records = [
        registered(writer, "2020-01-02", tag="T-1"),
        writer.write("moved", "2021-02-03", place="stair 3"),
        writer.write("retagged", "2022-02-03", tag="T-2", id="8"),
        writer.write("moved", "2023-02-03", site="Depot"),
        writer.write("shell-exchanged", "2024-02-03", serial="KX-900", manufactured="2023"),
        writer.write("maintained", "2025-02-03", tag="T-2"),
    ]
    unit = fold(records)
    assert (unit.state.id, unit.state.serial, unit.state.site, unit.state.place, unit.tag) == ("8", "KX-900", "Depot", None, "T-2")
    held = {name: [(each.value, str(each.since)) for each in history] for name, history in unit.identities.items()}
    assert held == {
        "extinguisher": [("7", "2020-01-02"), ("8", "2022-02-03")],
        "shell": [("KX-100", "2020-01-02"), ("KX-900", "2024-02-03")],
        "place": [("Pier / stair 2", "2020-01-02"), ("Pier / stair 3", "2021-02-03"), ("Depot", "2023-02-03")],
        "tag": [("T-1", "2020-01-02"), ("T-2", "2022-02-03")],
    }


def test_another_shell_brings_its_own_dates(writer):
    records = [
        registered(writer, "2020-01-02", last_hydrostatic_test="2018-05", test_method="water-jacket", last_maintenance="2019-12"),
        writer.write("condemned", "2024-02-01", reason="pitted"),
        writer.write("shell-exchanged", "2024-02-03", serial="KX-900", manufactured="2023"),
    ]
    unit = fold(records)
    assert dates(unit) == {"manufactured": "2023", "maintenance": "2019-12"}
    assert (unit.state.test_method, unit.condemned, unit.state.removed) == (None, None, None)


def test_a_removed_unit_owes_nothing_until_it_returns(writer):
    records = [registered(writer, "2020-01-02"), writer.write("removed", "2021-01-01", reason="stolen")]
    assert fold(records).state.removed == "stolen"
    records.append(writer.write("inspected", "2021-03-01"))
    assert texts(fold(records)) == ["inspected after the unit was removed; it stays removed"]
    records.append(writer.write("returned", "2021-02-01", place="stair 4"))
    back = fold(records)
    assert (back.state.removed, back.state.place, back.marks) == (None, "stair 4", ())


def test_a_condemned_unit_stays_condemned(writer):
    records = [registered(writer, "2020-01-02"), writer.write("condemned", "2021-01-01", reason="pitted")]
    records += [
        writer.write("recharged", "2022-01-01"),
        writer.write("returned", "2022-01-02"),
        writer.write("removed", "2022-01-03", reason="scrapped"),
    ]
    unit = fold(records)
    assert (unit.condemned, unit.state.removed) == ("pitted", "condemned: pitted")
    assert texts(unit) == [
        "recharged after the unit was condemned; it stays condemned",
        "returned after the unit was condemned; it stays condemned",
    ]
    assert dates(unit)["recharge"] == "2022-01-01"


def test_a_placeholder_that_was_matched_owes_nothing(writer):
    records = [writer.write("registered", "2026-01-02", placeholder="yes", size="5 lb")]
    assert fold(records).state.placeholder
    records.append(writer.write("matched", "2026-01-09", to=OTHER_UNIT))
    unit = fold(records)
    assert (unit.matched_to, unit.state.removed) == (OTHER_UNIT, f"matched to the seen unit {OTHER_UNIT}")


def test_a_unit_on_a_recall_list_says_which(writer):
    records = [registered(writer), *(writer.write("recalled", "2026-01-09", list="Brindle PX-10") for _ in range(2))]
    assert fold(records).recalled == ("Brindle PX-10",)


def test_next_years_list_adds_to_what_is_known(writer):
    first = registered(writer, "2025-01-02", last_inspection="2024-12-01")
    second = writer.write("registered", "2026-01-02", id="7", place="stair 9", last_inspection="2025-12-01", shell="mild-steel")
    unit = fold([second, first])
    assert (unit.state.nameplate.agent, unit.state.nameplate.shell, unit.state.place) == ("abc", "mild-steel", "stair 9")
    assert dates(unit)["inspection"] == "2025-12-01"
    assert texts(unit) == []


def test_a_nameplate_that_is_registered_differently_is_marked(writer):
    second = writer.write("registered", "2026-01-02", agent="co2")
    unit = fold([registered(writer, "2025-01-02"), second])
    assert unit.state.nameplate.agent == "co2"
    assert texts(unit) == ["agent was registered differently before; what this record says holds from here on"]


def test_odd_records_are_kept_and_marked(writer):
    assert texts(fold([registered(writer), writer.write("tested", "2013-05-05")])) == [
        "last hydrostatic test is dated 2013-05-05, before the manufacture of the unit (2014-06)"
    ]
    assert texts(fold([writer.write("inspected", "2026-01-02")])) == ["the unit was never registered: its nameplate is not known"]
    assert texts(fold([registered(writer), writer.write("returned", "2026-01-02")])) == ["returned, but it was never removed"]
    assert texts(fold([registered(writer), writer.write("matched", "2026-01-02", to=OTHER_UNIT)])) == [
        "matched to another unit, but it is no placeholder"
    ]
    assert texts(fold([registered(writer), writer.write_raw("polished", "2026-01-03", {})])) == [
        "this program does not know records of the kind polished; it sets nothing"
    ]


def test_a_fill_with_another_agent_is_marked_unless_the_base_is_not_said(writer):
    wrong = [registered(writer), writer.write("recharged", "2026-02-01", agent="sodium-bicarbonate")]
    assert texts(fold(wrong)) == ["filled with sodium bicarbonate dry chemical, but the nameplate says ABC dry chemical"]
    assert texts(fold([registered(writer), writer.write("agent-renewed", "2026-02-01", agent="dry-chemical")])) == []


def test_a_deed_dated_after_its_receipt_is_marked(writer):
    at = datetime(2026, 1, 5, 23, 0, tzinfo=UTC)
    first = replace(registered(writer), received=at)
    assert texts(fold([first, replace(writer.write("inspected", "2026-01-06"), received=at)])) == []
    assert texts(fold([first, replace(writer.write("inspected", "2026-01-07"), received=at)])) == [
        "it is dated after the day on which it was received"
    ]


def test_two_different_records_with_one_uid_are_marked(writer):
    one = registered(writer)
    two = replace(one, digest="0" * 64, person="Bo Tarn")
    assert texts(fold([one, two])) == texts(fold([two, one])) == ["two different records came with this uid"]


def test_remarks_and_failed_visits_set_nothing(writer):
    records = [
        registered(writer),
        writer.write("noted", "2026-02-01", note="hook is loose"),
        writer.write("not-done", "2026-02-02", reason="no access"),
    ]
    assert fold(records).state == fold(records[:1]).state
    assert len(fold(records).facts) == 3


def test_each_unit_is_folded_by_itself(writer):
    records = [registered(writer), writer.write("inspected", "2026-01-09", unit=OTHER_UNIT)]
    folded = fold_all(records)
    assert sorted(folded) == sorted([UNIT, OTHER_UNIT])
    assert folded[UNIT] == fold(records[:1])
    assert parse_date("2026-01-09") in folded[OTHER_UNIT].state.dates.values()
