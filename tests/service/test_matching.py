"""Next year's list against the known units: who is who, what waits for an answer, what a list can change. All invented."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from pinseal.dates import PartialDate, parse_date
from pinseal.reasons import Refusal
from pinseal.records.unit import Nameplate, UnitState
from pinseal.service.matching import plan_of
from pinseal.service.taking_in import ImportPlan, drafts
from pinseal.units import parse_quantity


def _unit(
    uid: str | None = None, *, made: str | None = "2014", agent: str | None = "abc", size: str = "10 lb", **said: object
) -> UnitState:
    dates = {"manufactured": parse_date(made)} if made else {}
    facts: dict[str, object] = {"site": "Mill", **said}
    return UnitState(uid=uid, nameplate=Nameplate(agent=agent, size=parse_quantity(size)), dates=dates, **facts)  # type: ignore[arg-type]


def _plan(
    known: list[UnitState], listed: list[UnitState], answers: dict[str, str] | None = None, counted: tuple[UnitState, ...] = ()
) -> ImportPlan:
    register = SimpleNamespace(units=listed, questions=())
    return plan_of(register, known=known, listed=listed, counted=counted, answers=answers or {}, name="list.csv", content=b"invented")


def _changes(plan: ImportPlan) -> dict[str, tuple[str, str]]:
    return {c.fact: (c.was, c.now) for line in plan.changed for c in line.changes}


def test_the_serial_tells_a_unit_even_where_it_moved_and_was_written_otherwise() -> None:
    plan = _plan(
        [_unit("u1", id="1", serial="SN-1", place="Hall")], [_unit(id="7", serial="sn1", site="Depot", place="Gate", made="2014-06")]
    )
    assert _changes(plan) == {"id": ("1", "7"), "site": ("Mill", "Depot"), "place": ("Hall", "Gate"), "manufactured": ("2014", "2014-06")}
    assert (plan.new, plan.vanished, plan.uncertain) == ((), (), ())


def test_without_a_serial_the_number_at_its_site_tells_it() -> None:
    plan = _plan([_unit("u1", id="1"), _unit("u2", id="1", site="Depot")], [_unit(id="1", site="MILL"), _unit(id="1", site="Depot")])
    assert [line.known.uid for line in plan.matched if line.known] == ["u1", "u2"]
    assert plan.changed == ()


def test_a_list_that_is_less_exact_changes_nothing() -> None:
    assert _plan([_unit("u1", id="1", made="2014-06-09")], [_unit(id="1", made="2014")]).changed == ()


def test_an_older_date_on_the_list_changes_nothing() -> None:
    known = UnitState(uid="u1", id="1", site="Mill", dates={"maintenance": PartialDate(2026, 3, 1)})
    listed = UnitState(id="1", site="Mill", dates={"maintenance": PartialDate(2025, 11, 3)})
    assert _plan([known], [listed]).changed == ()


def test_an_agent_of_which_the_base_is_not_said_contradicts_no_other() -> None:
    assert len(_plan([_unit("u1", serial="SN-1")], [_unit(serial="SN-1", agent="dry-chemical")]).matched) == 1


@pytest.mark.parametrize(
    "listed",
    [_unit(id="1", serial="SN-2", made="2020"), _unit(serial="SN-1", agent="co2"), _unit(serial="SN-1", made="2019")],
    ids=["another serial", "another agent", "another year"],
)
def test_a_pair_with_something_against_it_waits_for_an_answer(listed: UnitState) -> None:
    known = _unit("u1", id="1", serial="SN-1")
    plan = _plan([known], [listed])
    assert (plan.matched, plan.new, plan.vanished) == ((), (), ())
    [doubt] = plan.uncertain
    assert len(_plan([known], [listed], {doubt.id: "same"}).matched) == 1
    other = _plan([known], [listed], {doubt.id: "new"})
    assert ([line.listed for line in other.new], [line.known for line in other.vanished]) == ([listed], [known])
    assert _plan([known], [listed], {doubt.id: "unknown"}).uncertain == (doubt,)


def test_an_answer_that_is_no_reading_is_refused() -> None:
    known, listed = [_unit("u1", id="1", serial="SN-1")], [_unit(id="1", serial="SN-2")]
    [doubt] = _plan(known, listed).uncertain
    with pytest.raises(Refusal, match="none of its readings"):
        _plan(known, listed, {doubt.id: "maybe"})


def test_what_only_looks_alike_is_asked_about_and_never_joined() -> None:
    known = [_unit("u1", place="boiler room, door"), _unit("u2", place="office", agent="co2", size="5 lb")]
    plan = _plan(known, [_unit(place="Boiler room door"), _unit(place="attic", agent="water", size="2.5 gal")])
    assert (plan.matched, len(plan.uncertain)) == ((), 1)
    assert [line.listed.place for line in plan.new if line.listed] == ["attic"]
    assert [line.known.uid for line in plan.vanished if line.known] == ["u2"]


def test_a_serial_that_stands_twice_joins_nothing() -> None:
    plan = _plan([_unit("u1", serial="SN-1")], [_unit(serial="SN-1", id="1"), _unit(serial="SN-1", id="2", site="Depot")])
    assert plan.matched == ()
    assert plan.uncertain


def test_units_of_a_site_that_the_list_does_not_speak_of_have_not_vanished() -> None:
    assert _plan([_unit("u1", serial="SN-1", site="Depot")], [_unit(serial="SN-9", site="Mill", agent="co2")]).vanished == ()


def test_removed_units_are_not_matched() -> None:
    assert len(_plan([_unit("u1", serial="SN-1", removed="scrapped")], [_unit(serial="SN-1")]).new) == 1


def test_placeholders_are_not_doubled() -> None:
    held = UnitState(uid="p1", site="Mill", nameplate=Nameplate(agent="abc"), placeholder=True)
    counted = (UnitState(site="Mill", nameplate=Nameplate(agent="abc"), placeholder=True),) * 3
    assert _plan([held], [], counted=counted).placeholders == 2


def test_a_later_date_becomes_the_deed_of_that_day() -> None:
    known = UnitState(uid="u1", id="1", site="Mill", dates={"hydrostatic-test": PartialDate(2014)})
    listed = UnitState(id="1", site="Mill", dates={"hydrostatic-test": PartialDate(2026, 6)}, test_method="water-jacket")
    made, units = drafts(_plan([known], [listed]), on=PartialDate(2026, 11, 24), person="office", new_uid=lambda: "none")
    assert [(d.kind, str(d.done), d.fields["method"]) for d in made] == [("tested", "2026-06", "water-jacket")]
    assert units == {(None, None): "u1"}
