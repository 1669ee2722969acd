"""Situations that begin with an owner's list: what was read, what is asked, and what may be claimed of it."""

from datetime import date
from pathlib import Path

from pinseal.intake.reader import read_register
from pinseal.intake.register import Register
from pinseal.service.duelist import DueList, due_list
from pinseal.service.listed import placeholders, states_of
from pinseal.standards import choose_packs

TODAY = date(2026, 1, 10)


def read(folder: Path, *lines: str, **how: str) -> Register:
    file = folder / "list.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return read_register(file, how, today=TODAY)


def dues_of(register: Register) -> DueList:
    states = [*states_of(register.units, register.problems), *placeholders(register.problems)]
    return due_list(states, choose_packs(["us-osha"]), TODAY)


def test_a_spreadsheet_day_number_is_a_reading_to_confirm(tmp_path: Path) -> None:
    """Day 41791 of a spreadsheet that counts from 1900 is 1 June 2014 (common practice, no source)."""
    register = read(
        tmp_path,
        "id,agent,expelled by,shell,manufactured",
        "A1,abc,stored-pressure,mild-steel,41791",
        "A2,abc,stored-pressure,mild-steel,2015-02-03",
    )
    assert [str(unit.manufactured) for unit in register.units] == ["2014-06-01", "2015-02-03"]
    (problem,) = register.problems
    assert (problem.kind, problem.raw, problem.row) == ("spreadsheet-serial", "41791", 2)
    assert "2014-06-01" in problem.why
    (due,) = [row for row in dues_of(register).of_unit(0) if row.duty == "hydrostatic-test"]
    assert (due.earliest, due.latest) == (date(2026, 6, 1), date(2026, 6, 1))


MIXED = ("id,agent,last maintenance", "A1,abc,14/06/2024", "A2,abc,25/06/2024", "A3,abc,06/14/2024", "A4,abc,03/04/2024")


def test_a_column_in_two_orders_is_asked_about_once(tmp_path: Path) -> None:
    """The dates that only one order can read are read; the other stays open between its two readings."""
    register = read(tmp_path, *MIXED)
    assert register.date_order == "mixed"
    assert [str(unit.last_maintenance) for unit in register.units[:3]] == ["2024-06-14", "2024-06-25", "2024-06-14"]
    (question,) = register.questions
    assert question.rows == (5,)
    assert {"MDY", "DMY"} <= set(question.readings)
    (due,) = [row for row in dues_of(register).of_unit(3) if row.duty == "maintenance"]
    assert due.earliest is None or (due.earliest <= date(2025, 3, 4) and date(2025, 4, 3) <= due.latest)  # type: ignore[operator]


def test_the_answer_settles_the_open_date(tmp_path: Path) -> None:
    (question,) = read(tmp_path, *MIXED).questions
    for answer, expected in (("DMY", "2024-04-03"), ("MDY", "2024-03-04")):
        register = read(tmp_path, *MIXED, **{question.id: answer})
        assert str(register.units[3].last_maintenance) == expected
        assert register.questions == ()


def test_a_count_becomes_seven_placeholders_and_no_date(tmp_path: Path) -> None:
    register = read(tmp_path, "site,extinguishers,manufactured", "Plant 1,7 x 5# ABC,2014")
    assert register.units == ()
    dues = dues_of(register)
    rows = list(dues.all())
    assert len(rows) == 7
    assert {(row.state, row.earliest, row.latest, row.duty) for row in rows} == {("unknown", None, None, "inspection")}
    assert dues.summary()["units"] == 7
    assert {(s.site, s.nameplate.agent, str(s.nameplate.size), s.dates == {}) for s in dues.states} == {("Plant 1", "abc", "5 lb", True)}
