"""The gates that guard the hand and the shell: proved empty, blocked, the verdict on the shell, its test."""

from __future__ import annotations

import pytest
from sheet_walks import SUPERVISOR, TECHNICIAN, UNITS, Asked, do, gate, refused, walk, walked, with_plate

from pinseal.reasons import Refusal
from pinseal.sheets.closing import close
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import gates_of
from pinseal.sheets.taking import take
from pinseal.sheets.working import Working

# -- blocked, and the maker's method


def blocked() -> Working:
    return do(walked(UNITS["portable-powder"], "recharge", to="emptied-portable"), "emptied-portable", "nothing-from-start")


def test_the_makers_method_is_only_for_a_unit_that_is_blocked() -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="emptied-portable")
    assert "is-blocked: only for a unit that is blocked and under pressure" in refused(
        work, "relieve-by-makers-method", "relieved", SUPERVISOR
    )
    do(blocked(), "relieve-by-makers-method", "relieved", SUPERVISOR)


@pytest.mark.parametrize("person", [TECHNICIAN, "Nobody", ""])
def test_the_makers_method_is_entered_by_a_supervisor_alone(person: str) -> None:
    work = blocked()
    assert "only a supervisor may enter this" in refused(work, "relieve-by-makers-method", "relieved", person)
    assert work.picture.is_blocked


def test_nothing_is_touched_while_it_is_blocked_but_it_may_be_marked_and_looked_at() -> None:
    work = blocked()
    for step in work.job.steps:
        shut = {each.code for each in gates_of(work, step) if not each.open}
        assert ("not-blocked" in shut) == (
            step.effect not in ("look", "collar", "label", "leave") and step.id != "relieve-by-makers-method"
        ), step.id
    assert [found.finding for found in work.open_stops()] == ["blocked-and-pressurised"]
    assert close(work, sheet="sheet-1").outcome == "blocked"


@pytest.mark.parametrize("answer", ["left-then-ended", "still-leaving"])
def test_a_blocked_unit_is_not_unblocked_by_saying_that_the_step_was_not_done(answer: str) -> None:
    work = blocked()
    with pytest.raises(Refusal, match="this answer stays: it was done"):
        take(work, Entry(kind="step", subject="emptied-portable", said={"answer": "not-done", "note": "a slip"}))
    assert "not-blocked" in refused(work, "emptied-portable", answer)


@pytest.mark.parametrize(
    ("gauge", "gross", "state"),
    [
        ("0 psi", "15 lb", "proved"),
        ("0 psi", "35 lb", "blocked"),
        ("195 psi", "15 lb", "blocked"),
        ("195 psi", "35 lb", "blocked"),
    ],
)
def test_nothing_came_out_is_proof_only_where_weight_and_gauge_both_say_spent(gauge: str, gross: str, state: str) -> None:
    read = {"gauge-reading": {"gauge": gauge}, "gross-weight": {"gross": gross}}
    work = walked(UNITS["portable-powder"], "recharge", to="emptied-portable", readings=read)
    do(work, "emptied-portable", "nothing-from-start")
    assert work.picture.proof.state == state
    assert gate(work, "valve-off-portable", "no-pressure").open == (state == "proved")


def test_a_gauge_at_zero_alone_proves_nothing() -> None:
    plate = with_plate("portable-powder", empty_weight=None, gross_weight=None, gross_weight_low=None, gross_weight_high=None)
    work = walked(plate, "recharge", to="emptied-portable", readings={"gauge-reading": {"gauge": "0 psi"}})
    do(work, "emptied-portable", "nothing-from-start")
    assert work.picture.proof.state == "not-yet"
    assert not gate(work, "valve-off-portable", "no-pressure").open


def test_a_hiss_takes_the_proof_away() -> None:
    work = walked(UNITS["wheeled-powder"], "recharge", to="fill-cap-off")
    do(work, "fill-cap-off", "hissed")
    assert "no-pressure" in refused(work, "valve-off-wheeled", "off")
    do(work, "emptied-wheeled", "left-then-ended")
    do(work, "valve-off-wheeled", "off")


@pytest.mark.parametrize(("gross", "is_open"), [("19 lb 6 oz", True), ("19 lb 8 oz", False), ("29 lb 6 oz", False)])
def test_carbon_dioxide_is_opened_only_at_its_stamped_empty_weight(gross: str, is_open: bool) -> None:
    work = walked(UNITS["carbon-dioxide"], "internal-examination", to="co2-open", readings={"co2-empty-weight": {"gross": gross}})
    assert gate(work, "co2-open", "no-pressure").open == is_open


@pytest.mark.parametrize(
    ("done", "missing"),
    [((), "the gas cylinder is not shut yet"), (("gas-cylinder-shut",), None)],
)
def test_the_shut_off_of_a_unit_with_a_gas_cylinder_waits_for_the_cylinder(done: tuple[str, ...], missing: str | None) -> None:
    work = walked(UNITS["gas-cylinder"], "recharge", to="gas-cylinder-shut")
    for step in done:
        do(work, step)
    found = gate(work, "gas-line-vented", "source-away")
    assert found.open == (missing is None)
    assert missing is None or found.because == missing


@pytest.mark.parametrize(
    ("unit", "step", "vented"),
    [("cartridge-powder", "cartridge-cap-off", "cartridge-chamber-vented"), ("gas-cylinder", "gas-fill-cap-off", "gas-line-vented")],
)
def test_a_driven_chamber_is_opened_only_when_it_was_vented_after_its_gas_was_parted(unit: str, step: str, vented: str) -> None:
    work = walked(UNITS[unit], "maintenance", to=vented)
    assert not gate(work, step, "no-pressure").open
    walk(work, to=step)
    assert gate(work, step, "no-pressure").open


# -- the shell


@pytest.mark.parametrize(
    ("step", "answer", "words"),
    [
        ("shell-corrosion", "corroded", "the shell has damage, and no pressure test has passed since"),
        ("shell-past", "burned", "the shell is unfit: it is never charged again"),
        ("shell-dents", "bulged", "the shell is unfit: it is never charged again"),
        ("shell-inside-looked-at", "pitted", "the shell is unfit: it is never charged again"),
        ("shell-inside-looked-at", "threads", "the shell is unfit: it is never charged again"),
        ("shell-inside-looked-at", "doubtful", "the shell has damage, and no pressure test has passed since"),
    ],
)
def test_a_shell_that_is_unfit_or_doubtful_gets_neither_agent_nor_gas(step: str, answer: str, words: str) -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="filled-portable", answers={step: answer})
    for effect in ("filled-portable", "powder-gas-in"):
        found = gate(work, effect, "shell-verdict")
        assert (found.open, found.because) == (False, words)


def test_a_doubtful_shell_that_passed_its_test_is_charged() -> None:
    work = walked(UNITS["portable-powder"], "hydrostatic-test", answers={"shell-corrosion": "corroded"})
    assert work.picture.has("test-passed", "charged")
    assert close(work, sheet="sheet-1").outcome == "tag"


@pytest.mark.parametrize("answer", ["leaked", "fell", "bulged"])
def test_a_failed_test_ends_in_no_charge_no_second_test_and_no_tag(answer: str) -> None:
    work = walked(UNITS["portable-powder"], "hydrostatic-test", to="test-shell-proof")
    do(work, "test-shell-proof", answer)
    with pytest.raises(Refusal, match="this answer stays: the shell failed its pressure test"):
        do(work, "test-shell-proof", "held")
    assert gate(work, "filled-portable", "shell-verdict").because == "the shell failed its pressure test: it is never charged again"
    assert not gate(work, "test-shell-proof", "may-be-tested").open
    with pytest.raises(Refusal, match="the sheet is not finished: condemn the shell"):
        close(work, sheet="sheet-1")


@pytest.mark.parametrize(("pressure", "held", "passed"), [("585 psi", "60", True), ("585 psi", "59", False), ("584 psi", "60", False)])
def test_a_test_counts_only_at_the_factory_figure_and_held_long_enough(pressure: str, held: str, passed: bool) -> None:
    work = walked(UNITS["portable-powder"], "hydrostatic-test", to="test-shell-proof")
    do(work, "test-shell-proof", "held", pressure=pressure, held=held)
    assert work.picture.has("test-passed") == passed
    assert not work.picture.has("test-failed")
    assert gate(work, "filled-portable", "shell-verdict").open == passed


def test_no_shell_is_tested_whose_factory_figure_is_not_on_record() -> None:
    work = walked(with_plate("portable-powder", test_pressure=None), "hydrostatic-test", to="test-shell-proof")
    assert "the factory test pressure is not on record, and it is never derived" in gate(work, "test-shell-proof", "may-be-tested").because


def test_a_condemned_shell_is_never_charged() -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="filled-portable", asked=Asked(condemned="burned"))
    assert gate(work, "filled-portable", "shell-verdict").because == "the shell is condemned: burned"


@pytest.mark.parametrize(("agent", "is_shut"), [("abc", True), ("sodium-bicarbonate", True), ("class-d-graphite", True)])
def test_a_powder_shell_is_dried_after_water_was_in_it(agent: str, is_shut: bool) -> None:
    plate = with_plate("portable-powder", agent=agent)
    work = walked(plate, "hydrostatic-test", to="dry-drained")
    assert gate(work, "filled-portable", "dry-shell").open != is_shut


def test_a_water_shell_needs_no_drying() -> None:
    work = walked(UNITS["water-based"], "hydrostatic-test", to="dry-drained")
    assert gate(work, "water-fill", "dry-shell").because == "the shell is dry"
