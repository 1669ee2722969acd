"""The gates that hold a charge against a day, an agent, a gas or a pressure: below, at and above each limit."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sheet_walks import ON, UNITS, Asked, do, gate, make, walk, walked

from pinseal import kinds
from pinseal.dates import PartialDate, parse_date
from pinseal.sheets.job import TestDate
from pinseal.sheets.taking import begin

# -- the test date


@pytest.mark.parametrize(("days", "is_open"), [(-1, False), (0, True), (1, True)])
@pytest.mark.parametrize(
    ("unit", "work_name", "step"),
    [
        ("portable-powder", "recharge", "powder-gas-in"),
        ("portable-powder", "recharge", "filled-portable"),
        ("cartridge-powder", "maintenance", "cartridge-in"),
        ("carbon-dioxide", "recharge", "co2-fill"),
        ("gas-cylinder", "maintenance", "gas-armed"),
    ],
)
def test_on_the_last_day_it_is_still_charged_and_on_the_day_after_never(
    unit: str, work_name: str, step: str, days: int, is_open: bool
) -> None:
    last = PartialDate.of(ON + timedelta(days=days))
    work = walked(
        UNITS[unit],
        work_name,
        to="filled-portable" if "portable" in unit else step,
        asked=Asked(test_date=TestDate(owed="yes", last_day=last)),
    )
    found = gate(work, step, "test-date")
    assert found.open == is_open
    assert last.for_people() in found.because
    assert found.because.endswith(" never charged past it") != is_open


@pytest.mark.parametrize(("text", "is_open"), [("2026-05", False), ("2026-06", True), ("2026", False), ("2027", True)])
def test_a_date_known_to_the_month_or_year_counts_from_its_first_day(text: str, is_open: bool) -> None:
    work = walked(
        UNITS["portable-powder"], "recharge", to="filled-portable", asked=Asked(test_date=TestDate(owed="yes", last_day=parse_date(text)))
    )
    assert gate(work, "filled-portable", "test-date").open == is_open


@pytest.mark.parametrize(
    "test",
    [
        TestDate(owed="unknown", because="no date of manufacture"),
        TestDate(owed="yes", because="no date of manufacture"),
        TestDate(owed="unknown", last_day=PartialDate.of(date(2030, 1, 1)), because="no date of manufacture"),
    ],
)
def test_a_unit_whose_test_date_nobody_knows_is_not_charged(test: TestDate) -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="filled-portable", asked=Asked(test_date=test))
    found = gate(work, "filled-portable", "test-date")
    assert (found.open, found.because) == (False, "it is not known when its pressure test is due: no date of manufacture")


def test_a_test_that_is_passed_today_opens_the_charge_and_one_not_owed_does_not_shut_it() -> None:
    late = TestDate(owed="yes", last_day=PartialDate.of(date(2020, 1, 1)))
    work = walked(UNITS["portable-powder"], "hydrostatic-test", to="test-shell-proof", asked=Asked(test_date=late))
    assert not gate(work, "powder-gas-in", "test-date").open
    do(work, "test-shell-proof", "held")
    assert gate(work, "powder-gas-in", "test-date").because == "the pressure test was passed today"
    plain = begin(make(UNITS["portable-powder"], "recharge"))
    assert gate(plain, "powder-gas-in", "test-date").because == "no pressure test is owed"


# -- agent, gas and regulator


@pytest.mark.parametrize(
    ("agent", "mass", "words"),
    [
        ("abc", "20 lb", None),
        ("sodium-bicarbonate", "20 lb", "acid and alkaline powder make gas"),
        ("class-d-graphite", "20 lb", "different agents are never mixed"),
        ("abc", "19 lb", "filled in 19.00 lb"),
        ("abc", "21 lb", "filled in 21.00 lb"),
    ],
)
def test_gas_waits_for_the_right_agent_and_the_right_mass(agent: str, mass: str, words: str | None) -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="filled-portable")
    do(work, "filled-portable", agent=agent, mass=mass)
    found = gate(work, "powder-gas-in", "agent-right")
    assert found.open == (words is None)
    assert words is None or words in found.because


@pytest.mark.parametrize(
    ("last", "words"),
    [
        (None, "the nameplate's agent is in it"),
        ("abc", "the nameplate's agent is in it"),
        ("sodium-bicarbonate", "acid and alkaline powder make gas and a dangerous rise of pressure; no permission makes that safe"),
        ("class-d-graphite", "different agents are never mixed; only the maker's recorded permission would allow the change"),
    ],
)
def test_what_was_in_it_last_counts_too(last: str | None, words: str) -> None:
    work = walked(UNITS["cartridge-powder"], "maintenance", to="cartridge-in", asked=Asked(last_agent=last))
    found = gate(work, "cartridge-in", "agent-right")
    assert found.open == (last in (None, "abc"))
    assert found.because.endswith(words)
    assert found.open or kinds.agent_label(last or "") in found.because


@pytest.mark.parametrize(
    ("unit", "work_name", "arm", "is_open"),
    [
        ("portable-powder", "recharge", "powder-gas-in", False),
        ("cartridge-powder", "recharge", "cartridge-in", False),
        ("cartridge-powder", "maintenance", "cartridge-in", True),
        ("carbon-dioxide", "recharge", "co2-fill", True),
    ],
)
def test_a_recharge_waits_for_its_fill_to_be_judged(unit: str, work_name: str, arm: str, is_open: bool) -> None:
    found = gate(begin(make(UNITS[unit], work_name)), arm, "agent-right")
    assert found.open == is_open
    assert found.because.endswith("the nameplate's agent is in it" if is_open else ": not judged yet")


@pytest.mark.parametrize(
    ("unit", "work_name", "look", "arm"),
    [
        ("cartridge-powder", "maintenance", "cartridge-powder-look", "cartridge-in"),
        ("gas-cylinder", "maintenance", "gas-powder-look", "gas-armed"),
        ("cartridge-water", "maintenance", "cartridge-water-look", "cartridge-in"),
    ],
)
def test_a_unit_in_which_another_agent_was_seen_is_not_armed(unit: str, work_name: str, look: str, arm: str) -> None:
    work = walked(UNITS[unit], work_name, to=arm, answers={look: "another"})
    assert "another agent was found" in gate(work, arm, "agent-right").because


@pytest.mark.parametrize("unit", ["gas-cylinder foam", "cartridge-water"])
def test_a_fill_of_the_inside_work_is_judged_as_one_of_a_recharge_is(unit: str) -> None:
    fill, arm = ("gas-foam-filled", "gas-armed") if "foam" in unit else ("cartridge-water-filled", "cartridge-in")
    work = walked(UNITS[unit], "internal-examination", to=fill)
    do(work, fill, agent="water")
    assert not gate(work, arm, "agent-right").open


SUPPLIES = [
    ("portable-powder", {"regulator": "219 psi"}, None),
    ("portable-powder", {"regulator": "220 psi"}, None),
    ("portable-powder", {"regulator": "221 psi"}, "above the ceiling"),
    ("portable-powder", {"dew_point": "-61 F"}, None),
    ("portable-powder", {"dew_point": "-60 F"}, None),
    ("portable-powder", {"dew_point": "-59 F"}, "dew point"),
    ("wheeled-powder", {"dew_point": "-71 F"}, None),
    ("wheeled-powder", {"dew_point": "-70 F"}, None),
    ("wheeled-powder", {"dew_point": "-69 F"}, "as the unit is wheeled"),
    ("portable-powder", {"gas": "air"}, "is not the gas"),
    ("portable-powder", {"gas": "oxygen"}, "Oxygen and fuel gases can explode"),
    ("water-based", {"gas": "air"}, None),
    ("water-based", {"gas": "oxygen"}, "is not the gas"),
    ("water-based", {"regulator": "125 psi"}, None),
    ("water-based", {"regulator": "126 psi"}, "above the ceiling"),
    ("halogenated", {"dew_point": "-59 F"}, "dew point"),
    ("halogenated", {"gas": "air"}, "is not the gas"),
]
STEPS_OF = {
    "portable-powder": ("powder-gas-supply", "powder-gas-in"),
    "wheeled-powder": ("powder-gas-supply", "powder-gas-in"),
    "water-based": ("water-supply", "water-charge"),
    "halogenated": ("halogenated-supply", "halogenated-charge"),
}


@pytest.mark.parametrize(("unit", "readings", "words"), SUPPLIES)
def test_the_gas_flows_only_from_a_supply_that_was_judged_good(unit: str, readings: dict[str, str], words: str | None) -> None:
    supply, charge = STEPS_OF[unit]
    work = walked(UNITS[unit], "recharge", to=supply)
    do(work, supply, **readings)
    found = gate(work, charge, "supply-ready")
    assert found.open == (words is None)
    assert words is None or words in found.because


def test_every_charge_wants_its_supply_judged_again() -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="powder-pressure-settled")
    assert not gate(work, "powder-gas-in", "supply-ready").open
    do(work, "powder-gas-supply")
    assert gate(work, "powder-gas-in", "supply-ready").open


@pytest.mark.parametrize(("unit", "work_name"), [("carbon-dioxide", "recharge"), ("portable-powder", "recharge")])
def test_a_supply_that_is_said_to_be_wrong_keeps_the_charge_shut(unit: str, work_name: str) -> None:
    supply, charge = ("co2-supply", "co2-fill") if unit == "carbon-dioxide" else ("powder-gas-supply", "powder-gas-in")
    work = walked(UNITS[unit], work_name, to=supply)
    do(work, supply, "not-right")
    assert not gate(work, charge, "supply-ready").open


@pytest.mark.parametrize(("stopped", "verdict"), [("219 psi", "pass"), ("220 psi", "pass"), ("221 psi", "fail")])
def test_the_gas_is_stopped_at_the_ceiling_at_the_latest(stopped: str, verdict: str) -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="powder-gas-in")
    do(work, "powder-gas-in", stopped=stopped)
    assert work.judgements["powder-gas-in"].verdict == verdict
    assert ("overcharged" in {found.finding for found in work.open_stops()}) == (verdict == "fail")
    assert "nitrogen" not in work.state().values()


@pytest.mark.parametrize(("pressure", "verdict"), [("199 psi", "pass"), ("200 psi", "pass"), ("201 psi", "fail")])
def test_a_wheeled_shell_is_blown_out_with_two_hundred_pounds_at_most(pressure: str, verdict: str) -> None:
    work = walked(UNITS["wheeled-powder"], "recharge", to="blown-out")
    do(work, "blown-out", "blown-out", pressure=pressure)
    assert work.judgements["blown-out"].verdict == verdict
    assert not gate(work, "valve-off-wheeled", "no-pressure").open


def test_a_leak_is_not_cured_by_topping_up() -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="powder-leak-check")
    do(work, "powder-leak-check", "leaks")
    for step in ("powder-gas-supply", "powder-gas-in", "powder-pressure-settled", "powder-off-supply"):
        do(work, step)
    do(work, "powder-leak-check", "leak-free")
    assert [found.finding for found in work.open_stops()] == ["leak"]
    walk(work, to="pin-in-new-seal")
    assert not gate(work, "service-tag", "no-open-stops").open
