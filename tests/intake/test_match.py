"""Next year's list: the same units, changed ones, new ones, those that are gone, and those that only look alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.intake.lists import read

from pinseal.dates import PartialDate
from pinseal.intake.match import KnownUnit, match
from pinseal.intake.register import Register
from pinseal.reasons import Refusal
from pinseal.units import Quantity

TEN_POUNDS = Quantity(value=10, unit="lb")


def _known(uid: str, **facts: object) -> KnownUnit:
    given: dict[str, object] = {"site": "Mill", "agent": "abc", "size": TEN_POUNDS, "manufactured": PartialDate(2014)} | facts
    return KnownUnit(uid=uid, **given)  # type: ignore[arg-type]


def _list(folder: Path, *rows: str) -> Register:
    return read(folder, "id,serial,site,place,agent,size,manufactured\n" + "\n".join(rows) + "\n")


def test_the_serial_tells_a_unit_even_where_it_moved(tmp_path: Path) -> None:
    known = [_known("u1", id="1", serial="SN-1", place="Hall")]
    found = match(known, _list(tmp_path, "7,sn1,Depot,Gate,abc,10 lb,2014-06"))
    assert [(pair.known.uid, pair.by) for pair in found.same] == [("u1", "serial")]
    assert [(change.field, str(change.before), str(change.after)) for change in found.changed] == [
        ("id", "1", "7"),
        ("serial", "SN-1", "sn1"),
        ("site", "Mill", "Depot"),
        ("place", "Hall", "Gate"),
        ("manufactured", "2014", "2014-06"),
    ]
    assert (found.new, found.vanished, found.questions) == ((), (), ())


def test_without_a_serial_the_number_at_its_site_tells_it(tmp_path: Path) -> None:
    known = [_known("u1", id="1"), _known("u2", id="1", site="Depot")]
    found = match(known, _list(tmp_path, "1,,MILL,,abc,10 lb,2014", "1,,Depot,,abc,10 lb,2014"))
    assert [(pair.known.uid, pair.by) for pair in found.same] == [("u1", "id and site"), ("u2", "id and site")]
    assert found.changed == ()


def test_a_list_that_is_less_exact_changes_nothing(tmp_path: Path) -> None:
    known = [_known("u1", id="1", manufactured=PartialDate(2014, 6, 9))]
    assert match(known, _list(tmp_path, "1,,Mill,,,,2014")).changed == ()


def test_the_same_number_on_another_serial_is_asked_about(tmp_path: Path) -> None:
    known = [_known("u1", id="1", serial="SN-1")]
    register = _list(tmp_path, "1,SN-2,Mill,Hall,abc,10 lb,2020")
    found = match(known, register)
    assert (found.same, found.new, found.vanished) == ((), (), ())
    (question,) = found.questions
    assert question.readings == ("u1", "new")
    replaced = match(known, register, {question.id: "new"})
    assert ([unit.serial for unit in replaced.new], [each.uid for each in replaced.vanished]) == (["SN-2"], ["u1"])
    kept = match(known, register, {question.id: "u1"})
    assert [(pair.known.uid, pair.by) for pair in kept.same] == [("u1", "answer")]


def test_a_serial_that_stands_twice_is_asked_about(tmp_path: Path) -> None:
    found = match([_known("u1", serial="SN-1")], _list(tmp_path, "1,SN-1,Mill,,abc,10 lb,2014", "2,SN-1,Depot,,abc,10 lb,2014"))
    assert (found.same, len(found.questions)) == ((), 2)


def test_a_serial_with_another_agent_is_asked_about(tmp_path: Path) -> None:
    found = match([_known("u1", serial="SN-1")], _list(tmp_path, "1,SN-1,Mill,,co2,10 lb,2014"))
    assert (found.same, len(found.questions)) == ((), 1)


def test_what_only_looks_alike_is_asked_about_and_never_joined(tmp_path: Path) -> None:
    known = [_known("u1", place="boiler room, door"), _known("u2", place="office")]
    found = match(known, _list(tmp_path, ",,Mill,Boiler room door,abc,10 lb,2014", ",,Mill,attic,co2,5 lb,2014"))
    assert found.same == ()
    assert [question.readings for question in found.questions] == [("u1", "new")]
    assert [unit.place for unit in found.new] == ["attic"]
    assert [each.uid for each in found.vanished] == ["u2"]


def test_an_answer_that_names_no_candidate_is_refused(tmp_path: Path) -> None:
    register = _list(tmp_path, "1,SN-2,Mill,Hall,abc,10 lb,2020")
    known = [_known("u1", id="1", serial="SN-1")]
    name = match(known, register).questions[0].id
    with pytest.raises(Refusal, match="none of its readings"):
        match(known, register, {name: "u9"})
