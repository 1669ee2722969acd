"""The gates that guard the hand and the shell: proved empty, blocked, the verdict on the shell, its test."""

from __future__ import annotations

import pytest
from sheet_walks import SUPERVISOR, TECHNICIAN, UNITS, Asked, do, gate, make, refused, walk, walked, with_plate

from pinseal.reasons import Refusal
from pinseal.sheets.asking import open_finding
from pinseal.sheets.closing import close
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import gates_of
from pinseal.sheets.taking import begin, take
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


def test_what_was_seen_to_leave_is_not_unsaid_by_an_answer_that_saw_nothing() -> None:
    work = walked(
        UNITS["wheeled-powder"], "recharge", to="hose-taken-off", answers={"blown-out": "not-needed", "blow-out-ended": "no-gas-let-in"}
    )
    do(work, "blow-out-ended", "still-leaving")
    assert not gate(work, "hose-taken-off", "no-pressure").open
    refused(work, "blow-out-ended", "no-gas-let-in")
    assert not gate(work, "hose-taken-off", "no-pressure").open
    do(work, "blow-out-ended", "left-then-ended")
    assert gate(work, "hose-taken-off", "no-pressure").open


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


def test_the_makers_method_says_to_programs_whether_it_is_open() -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="emptied-portable")
    said = {"gate": "is-blocked", "open": False, "because": "only for a unit that is blocked and under pressure", "override": False}
    assert gate(work, "relieve-by-makers-method", "is-blocked").as_json() == said
    assert gate(blocked(), "relieve-by-makers-method", "is-blocked").as_json() == {**said, "open": True, "because": "the unit is blocked"}


@pytest.mark.parametrize(("unit", "step"), [("portable-powder", "emptied-portable"), ("wheeled-powder", "bleed-gas-first")])
def test_emptying_lets_no_gas_in_and_waits_for_no_verdict_on_the_shell(unit: str, step: str) -> None:
    work = walked(UNITS[unit], "recharge", to=step, answers={"shell-past": "burned"})
    found = gate(work, step, "bears-gas")
    assert (found.open, found.because) == (True, "no gas is let in here")


def test_a_wheeled_shell_that_is_doubtful_is_still_emptied_without_blowing_it_out() -> None:
    work = walked(UNITS["wheeled-powder"], "hydrostatic-test", to="blown-out", answers={"shell-corrosion": "corroded"})
    refused(work, "blown-out", "blown-out")
    do(work, "blown-out", "not-needed")
    do(work, "blow-out-ended", "no-gas-let-in")
    assert work.picture.cycle == 0


@pytest.mark.parametrize(
    ("unit", "step", "answer", "action"),
    [
        ("portable-powder", "why-it-goes", "goes", "withdraw"),
        ("halogenated", "halogenated-papers", "not-fit", "recover"),
        ("nonrechargeable", "disposable-age", "twelve", "withdraw"),
    ],
)
def test_what_goes_out_of_use_may_be_emptied_on_the_sheet_for_it(unit: str, step: str, answer: str, action: str) -> None:
    job = make(UNITS[unit], "retirement")
    empties = next(each.id for each in job.steps if each.effect == "empty")
    work = begin(job)
    assert gate(work, empties, "goes-out").because == "nothing says yet that the unit goes out of use"
    do(work, step, answer)
    assert [found.action for found in work.findings] == [action]
    assert gate(work, empties, "goes-out").because == "the unit goes out of use"


@pytest.mark.parametrize("action", ["withdraw", "recover", "replace-unit", "condemn"])
def test_each_way_out_of_use_opens_the_emptying_and_no_other_finding_does(action: str) -> None:
    work = begin(make(UNITS["portable-powder"], "retirement"))
    code = next(each.id for each in work.job.findings.values() if each.action == action)
    work.findings.append(open_finding(work, work.job.findings["hose-cut"], "why-it-goes", (), 1))
    assert not gate(work, "emptied-portable", "goes-out").open
    work.findings.append(open_finding(work, work.job.findings[code], "why-it-goes", (), 1))
    assert gate(work, "emptied-portable", "goes-out").open


def test_on_any_other_sheet_the_work_itself_asks_for_the_emptying() -> None:
    work = begin(make(UNITS["portable-powder"], "recharge"))
    assert gate(work, "emptied-portable", "goes-out").because == "the work of this sheet asks for it"


# -- told straight to the picture, one token at a time


def told(unit: str, work_name: str, *tokens: str) -> Working:
    """A sheet on which nothing is entered, and to which each token is told by a step of its own."""
    work = begin(make(UNITS[unit], work_name))
    for number, token in enumerate(tokens):
        work.picture.tell(f"step-{number}", [token])
    return work


@pytest.mark.parametrize("token", ["never-tested", "shell-unfit", "test-failed"])
def test_each_bar_by_itself_keeps_the_shell_from_the_test(token: str) -> None:
    found = gate(told("portable-powder", "hydrostatic-test", token), "test-shell-proof", "may-be-tested")
    assert (found.open, found.because) == (
        False,
        "something bars the shell from being tested: it is taken out of service (29 CFR 1910.157(f)(2), (f)(14))",
    )
    assert gate(told("portable-powder", "hydrostatic-test", "shell-doubtful"), "test-shell-proof", "may-be-tested").open


def test_a_stamped_cylinder_is_tested_by_its_stamp_and_a_plain_shell_by_its_nameplate() -> None:
    stamped = begin(make(with_plate("portable-powder stamped", test_pressure=None), "hydrostatic-test"))
    assert gate(stamped, "test-cylinder-proof", "may-be-tested").open
    plain = begin(make(with_plate("portable-powder", test_pressure=None), "hydrostatic-test"))
    found = gate(plain, "test-shell-proof", "may-be-tested")
    assert not found.open
    assert found.because == (
        "the factory test pressure is not on record, and it is never derived: read it off the nameplate "
        "(pinseal record registered UNIT --test-pressure …)"
    )


@pytest.mark.parametrize(
    ("tokens", "is_open"),
    [
        ((), False),
        (("charged",), True),
        (("charged", "charged"), True),
        (("charged", "left-then-ended"), False),
        (("left-then-ended",), False),
        (("left-then-ended", "charged"), True),
    ],
)
def test_what_is_seen_of_a_charge_is_seen_while_it_is_charged(tokens: tuple[str, ...], is_open: bool) -> None:
    found = gate(told("portable-powder", "recharge", *tokens), "powder-pressure-settled", "charged")
    assert found.open is is_open
    assert found.because == ("it is charged" if is_open else "it is not charged yet")


@pytest.mark.parametrize(
    ("tokens", "is_open"),
    [
        ((), False),
        (("supply-ready",), True),
        (("supply-wrong",), False),
        (("supply-ready", "supply-wrong"), False),
        (("supply-wrong", "supply-ready"), True),
        (("supply-ready", "charged"), False),
    ],
)
def test_of_two_looks_at_the_supply_the_later_counts(tokens: tuple[str, ...], is_open: bool) -> None:
    assert gate(told("portable-powder", "recharge", *tokens), "powder-gas-in", "supply-ready").open == is_open


@pytest.mark.parametrize(
    ("tokens", "is_open"),
    [
        ((), False),
        (("stand-in",), True),
        (("no-stand-in",), False),
        (("stand-in", "no-stand-in"), False),
        (("no-stand-in", "stand-in"), True),
    ],
)
def test_of_two_words_on_the_stand_in_the_later_counts(tokens: tuple[str, ...], is_open: bool) -> None:
    assert gate(told("portable-powder", "maintenance", *tokens), "taken-away", "stand-in").open == is_open


def test_every_open_stop_is_named() -> None:
    work = walked(UNITS["portable-powder"], "maintenance", to="service-tag", answers={"hose-outside": "cut", "boots-off": "cannot"})
    words = gate(work, "service-tag", "no-open-stops").because
    assert words.startswith("open: ")
    assert sorted(words.removeprefix("open: ").split("; ")) == sorted(found.title for found in work.open_stops())
    assert len(work.open_stops()) == 2
