"""A nameplate fact that is not said is tried only with what is plausible for the rest of the plate (common practice, no source)."""

from datetime import date

import pytest

from pinseal.rules.matching import Plan, plan
from pinseal.standards import choose_packs
from pinseal.standards.model import ATTRIBUTES

ON = date(2026, 11, 24)


def asked(duty: str, pack: str = "us-osha", **said: str) -> Plan:
    chosen = choose_packs([pack])[0]
    provisions = [p for p in chosen.provisions if p.duty == duty and p.governs and p.in_force(ON)]
    return plan(provisions, {**dict.fromkeys(ATTRIBUTES), "rechargeable": "yes", **said}, duty)


def intervals(found: Plan) -> set[str]:
    return {str(p.clock.interval) for p in found.clocks if p.clock}


def test_an_unsaid_shell_is_one_that_holds_the_agent() -> None:
    found = asked("hydrostatic-test", agent="abc", expelled_by="stored-pressure")
    assert (intervals(found), found.may_not_apply, found.missing) == ({"5 years", "12 years"}, False, ("shell",))


def test_an_unsaid_expelling_means_is_one_that_drives_the_agent() -> None:
    found = asked("hydrostatic-test", agent="abc", shell="mild-steel")
    assert (intervals(found), found.may_not_apply, found.missing) == ({"12 years"}, False, ())


@pytest.mark.parametrize("shell", ["brazed-brass", "aluminium"])
def test_a_shell_that_the_table_lists_for_some_means_leaves_a_gap_for_the_others(shell: str) -> None:
    found = asked("hydrostatic-test", agent="abc", shell=shell)
    assert intervals(found) == {"12 years"}
    assert [p.id for p in found.gaps] == ["hydrostatic-driven-powder-other-shells"]
    assert (found.may_not_apply, found.missing) == (False, ("expelled_by",))


def test_an_unsaid_agent_leaves_the_interval_open() -> None:
    found = asked("hydrostatic-test", expelled_by="stored-pressure", shell="mild-steel")
    assert {"5 years", "12 years"} <= intervals(found)
    assert "agent" in found.missing


def test_water_may_be_in_a_pump_tank_and_carbon_dioxide_may_not() -> None:
    water, gas = asked("hydrostatic-test", agent="water"), asked("hydrostatic-test", agent="co2")
    assert (water.may_not_apply, water.missing) == (True, ("expelled_by",))
    assert (gas.may_not_apply, gas.missing) == (False, ())
