"""The picture of the unit by itself: what tokens and readings make of it, told one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from sheet_walks import SCALE, UNITS, make, with_plate

from pinseal.sheets.job import Job
from pinseal.sheets.model import Want
from pinseal.sheets.picture import Picture
from pinseal.sheets.readings import Reading, read

POWDER = make(UNITS["portable-powder"], "recharge")
UNFIT = {
    "shell-unfit": "the shell is unfit: it is never charged again",
    "never-tested": "something bars the shell from being tested: it is never charged again",
    "test-failed": "the shell failed its pressure test: it is never charged again",
}


def picture(*tokens: str, job: Job = POWDER) -> Picture:
    """A picture to which each token was told by a step of its own, in this order."""
    made = Picture(job=job)
    for number, token in enumerate(tokens):
        made.tell(f"step-{number}", [token])
    return made


def reading(name: str, text: str, quantity: str = "mass") -> Reading:
    step = POWDER.steps[0]
    return read(Want(name=name, label=name, quantity=quantity), text, step=step)


# -- what is told


def test_a_step_that_is_answered_again_takes_the_place_of_what_it_told_but_not_of_gas() -> None:
    found = Picture(job=POWDER)
    found.tell("a", ["shell-doubtful"])
    found.tell("b", ["shell-sound"])
    found.tell("a", ["shell-sound"])
    assert [each.token for each in found.told] == ["shell-sound", "shell-sound"]
    assert [each.step for each in found.told] == ["b", "a"]
    found.tell("c", ["charged"])
    found.tell("c", [])
    assert found.cycle == 1
    found.tell("a", ["shell-doubtful"])
    assert [(each.token, each.step, each.cycle) for each in found.told if each.step == "a"] == [
        ("shell-sound", "a", 0),
        ("shell-doubtful", "a", 1),
    ]


def test_each_charge_begins_a_cycle_and_its_own_token_belongs_to_the_one_before() -> None:
    found = picture("left-then-ended", "charged", "leak-free", "charged")
    assert found.cycle == 2
    assert [each.cycle for each in found.told] == [0, 0, 1, 1]


def test_the_last_of_some_tokens_and_that_of_this_cycle() -> None:
    found = picture("supply-ready", "charged", "leak-free")
    assert found.last(("supply-ready", "supply-wrong")) == "supply-ready"
    assert found.last(("supply-ready", "supply-wrong"), this_cycle=True) is None
    assert found.last(("leak-free", "charged"), this_cycle=True) == "leak-free"
    assert found.last(("away",)) is None
    assert found.has("away", "leak-free")
    assert not found.has("away", "returned")


def test_the_last_reading_counts_of_a_stage_and_of_a_cycle() -> None:
    found = Picture(job=POWDER)
    found.read("weigh", "weigh", [reading("gross", "35 lb"), reading("gauge", "195 psi", "pressure")])
    found.read("weigh-again", "empty", [reading("gross", "15 lb")])
    assert found.reading("gross").text == "15 lb"  # type: ignore[union-attr]
    assert found.reading("gross", stage="weigh").text == "35 lb"  # type: ignore[union-attr]
    assert found.reading("gross", stage="leak") is None
    found.read("weigh", "weigh", [reading("gross", "34 lb")])
    assert found.reading("gross", stage="weigh").text == "34 lb"  # type: ignore[union-attr]
    assert found.reading("gauge") is None  # the same step, read again without it
    found.tell("gas", ["charged"])
    assert found.reading("gross") is None
    assert found.reading("gross", this_cycle=False).text == "34 lb"  # type: ignore[union-attr]
    found.read("weigh", "weigh", [])
    assert found.reading("gross", this_cycle=False).text == "34 lb"  # type: ignore[union-attr]


def test_the_temperature_at_which_it_is_charged_is_that_of_the_supply() -> None:
    found = Picture(job=POWDER)
    assert found.charging_k is None
    found.read("gauge", "weigh", [reading("temperature", "20 F", "temperature")])
    assert found.charging_k is None
    found.read("supply", "charge", [reading("temperature", "70 F", "temperature")])
    assert found.charging_k == pytest.approx(294.261, abs=1e-3)


# -- open, closed, parted


@pytest.mark.parametrize(
    ("tokens", "is_open"),
    [
        ((), False),
        (("valve-off",), True),
        (("cap-off",), True),
        (("valve-off", "closed"), False),
        (("closed", "cap-off"), True),
        (("valve-off", "closed", "charged", "valve-off"), True),
    ],
)
def test_open_is_what_was_opened_since_it_was_closed(tokens: Sequence[str], is_open: bool) -> None:
    assert picture(*tokens).is_open == is_open


@pytest.mark.parametrize(
    ("unit", "tokens", "is_away"),
    [
        ("portable-powder", (), True),
        ("cartridge-powder", (), False),
        ("cartridge-powder", ("cartridge-out",), False),
        ("cartridge-powder", ("cartridge-capped",), False),
        ("cartridge-powder", ("cartridge-out", "cartridge-capped"), True),
        ("cartridge-powder", ("cartridge-out", "cartridge-capped", "charged"), False),
        ("gas-cylinder", (), False),
        ("gas-cylinder", ("cylinder-shut",), True),
        ("gas-cylinder", ("cylinder-shut", "charged"), False),
    ],
)
def test_what_drives_it_is_away_until_it_is_put_back(unit: str, tokens: Sequence[str], is_away: bool) -> None:
    assert picture(*tokens, job=make(UNITS[unit], "recharge")).source_is_away == is_away


# -- whole


@pytest.mark.parametrize(
    ("unit", "tokens", "said"),
    [
        ("portable-powder", (), (True, "it is closed and charged")),
        ("portable-powder", ("valve-off",), (False, "the shell is open")),
        ("portable-powder", ("agent-out",), (False, "the agent is out")),
        ("portable-powder", ("agent-out", "filled"), (True, "it is closed and charged")),
        ("portable-powder", ("left-then-ended",), (False, "not charged since: pressure was seen leaving, and then it ended")),
        ("portable-powder", ("still-leaving",), (False, "not charged since: something still comes out")),
        ("portable-powder", ("nothing-from-start",), (False, "not charged since: nothing came out from the start")),
        ("portable-powder", ("left-then-ended", "charged"), (True, "it is closed and charged")),
        ("portable-powder", ("charged", "left-then-ended"), (False, "not charged since: pressure was seen leaving, and then it ended")),
        ("portable-powder", ("valve-off", "closed"), (False, "not charged since: the valve is off")),
        ("cartridge-powder", ("cartridge-out",), (False, "not charged since: the cartridge is out")),
        ("cartridge-powder", ("cartridge-out", "cap-off", "closed", "charged"), (True, "it is closed and charged")),
        ("gas-cylinder", ("cylinder-shut",), (False, "not charged since: the gas cylinder is shut")),
        ("gas-cylinder", ("line-vented",), (False, "not charged since: regulator and hose are vented")),
        ("gas-cylinder", ("chamber-vented",), (False, "not charged since: the chamber is vented")),
        ("pump-tank", ("agent-out", "cap-off", "filled", "closed"), (True, "it is closed")),
        ("pump-tank", ("cap-off",), (False, "the shell is open")),
        ("carbon-dioxide", ("left-then-ended", "agent-out"), (False, "the agent is out")),
        ("carbon-dioxide", ("left-then-ended", "agent-out", "charged"), (True, "it is closed and charged")),
    ],
)
def test_a_unit_is_whole_when_it_could_be_used_as_it_stands(unit: str, tokens: Sequence[str], said: tuple[bool, str]) -> None:
    assert picture(*tokens, job=make(UNITS[unit], "recharge")).whole() == said


@pytest.mark.parametrize(
    ("tokens", "is_whole"),
    [
        (("charged", "leaks"), False),
        (("charged", "leak-free"), True),
        (("charged", "leaks", "leak-free"), True),
        (("charged", "leak-free", "leaks"), False),
        (("charged", "leaks", "charged"), False),
    ],
)
def test_a_unit_that_leaks_is_not_whole_until_a_leak_check_comes_out_well(tokens: Sequence[str], is_whole: bool) -> None:
    words = "it is closed and charged" if is_whole else "it leaks, and no leak check has come out well since"
    assert picture(*tokens).whole() == (is_whole, words)
    assert picture(*tokens).charged_up() == (True, "it is closed and charged")


def test_a_unit_that_the_makers_method_relieved_is_not_whole() -> None:
    assert not picture("relieved-by-makers-method").whole()[0]


# -- the shell


@pytest.mark.parametrize("token", UNFIT)
@pytest.mark.parametrize("more", [(), ("shell-sound",), ("test-passed",)])
def test_an_unfit_shell_bears_no_gas_whatever_else_is_told(token: str, more: tuple[str, ...]) -> None:
    for tokens in ((token, *more), (*more, token)):
        found = picture(*tokens)
        assert found.shell() == (False, UNFIT[token])
        assert found.bears_gas() == (False, "the shell is unfit: no gas goes in")


@pytest.mark.parametrize(
    ("tokens", "shell", "bears"),
    [
        ((), (False, "nobody has looked at the shell and found it sound on this sheet"), True),
        (("shell-sound",), (True, "the shell was looked at and found sound"), True),
        (("test-passed",), (True, "the shell was looked at and found sound"), True),
        (("shell-sound", "shell-doubtful"), (False, "the shell has damage, and no pressure test has passed since"), False),
        (("shell-doubtful", "test-passed"), (True, "the shell was looked at and found sound"), True),
        (("shell-doubtful", "shell-sound"), (False, "the shell has damage, and no pressure test has passed since"), False),
    ],
)
def test_a_shell_may_be_charged_when_somebody_found_it_sound_or_a_test_did(
    tokens: Sequence[str], shell: tuple[bool, str], bears: bool
) -> None:
    found = picture(*tokens)
    assert found.shell() == shell
    words = "nothing speaks against the shell so far" if bears else "the shell has damage that no pressure test has judged: no gas goes in"
    assert found.bears_gas() == (bears, words)


def test_a_shell_that_is_condemned_or_of_a_kind_never_charged_is_refused_first() -> None:
    condemned = picture("shell-sound", job=replace(POWDER, condemned="burned"))
    assert condemned.shell() == (False, "the shell is condemned: burned")
    assert condemned.bears_gas() == (False, "the shell is unfit: no gas goes in")
    assert picture("shell-sound", job=make(UNITS["nonrechargeable"], "maintenance")).shell() == (False, "nonrechargeable: never charged")
    assert picture("shell-sound", job=make(UNITS["obsolete"], "retirement")).shell() == (False, "obsolete type: never charged")


def test_on_a_sheet_with_a_pressure_test_only_the_test_speaks_for_the_shell() -> None:
    job = make(UNITS["portable-powder"], "hydrostatic-test")
    assert picture("shell-sound", job=job).shell() == (False, "the pressure test of this sheet is not passed yet")
    assert picture("shell-sound", "test-passed", job=job).shell() == (True, "the shell was looked at and found sound")


@pytest.mark.parametrize(
    ("tokens", "is_wet"),
    [
        ((), False),
        (("test-passed",), True),
        (("test-failed",), True),
        (("dried", "test-passed"), True),
        (("test-passed", "dried"), False),
        (("test-passed", "dried", "test-passed"), True),
    ],
)
def test_a_shell_is_wet_from_its_test_until_it_is_dried(tokens: Sequence[str], is_wet: bool) -> None:
    assert picture(*tokens).must_dry == is_wet
    for agent in ("water", "antifreeze", "afff", "wet-chemical", "water-mist"):
        job = make(with_plate("water-based", agent=agent), "recharge")
        assert not picture(*tokens, job=job).must_dry


# -- pressure


def test_figures_that_cannot_be_prove_nothing_and_say_so() -> None:
    job = make(with_plate("portable-powder", empty_weight="36 lb"), "recharge")
    found = picture("left-then-ended", job=job)
    assert found.proof.state == "not-yet"
    assert found.proof.because == (
        "the full weight is not above the empty weight and the net agent: full is gross: shell, valve and agent",
    )
    assert found.proof.missing == ("read the marks again",)
    assert not found.is_blocked


def test_the_proof_takes_the_last_weight_and_gauge_of_this_cycle() -> None:
    found = Picture(job=POWDER)
    found.read("gauge", "weigh", [reading("gauge", "195 psi", "pressure")])
    found.tell("empty", ["nothing-from-start"])
    assert found.is_blocked
    found.read("gauge", "weigh", [reading("gauge", "0 psi", "pressure")])
    assert not found.is_blocked
    found.read("gross", "weigh", [reading("gross", "35 lb")])
    assert found.is_blocked
    found.read("gross", "weigh", [reading("gross", "15 lb")])
    assert found.proof.state == "proved"
    found.tell("gas", ["charged"])
    assert found.proof.state == "not-yet"


@pytest.mark.parametrize(
    ("gross", "instrument", "state"),
    [("15 lb", None, "proved"), ("15 lb 0.4 oz", None, "not-yet"), ("15 lb 0.05 oz", SCALE, "proved"), ("15 lb 8 oz", SCALE, "not-yet")],
)
def test_the_weight_is_allowed_the_doubt_of_the_scale_that_weighed_it(gross: str, instrument: str | None, state: str) -> None:
    found = Picture(job=make(with_plate("portable-powder", agent="halon-1301", expelled_by="self-expelling"), "recharge"))
    found.read("weigh", "empty", [replace(reading("gross", gross), instrument=instrument)])
    found.tell("empty", ["left-then-ended"])
    assert found.proof.state == state


def test_the_mark_without_agent_is_also_full_less_net() -> None:
    job = make(with_plate("portable-powder", empty_weight=None), "recharge")
    found = Picture(job=job)
    found.read("weigh", "weigh", [reading("gross", "15 lb"), reading("gauge", "0 psi", "pressure")])
    found.tell("empty", ["nothing-from-start"])
    assert found.proof.state == "proved"


@pytest.mark.parametrize(("gauge", "is_blocked"), [("0 psi", False), ("2 psi", False), ("60 psi", True)])
def test_a_gauge_that_stands_near_zero_says_zero(gauge: str, is_blocked: bool) -> None:
    found = Picture(job=POWDER)
    found.read("gauge", "weigh", [reading("gauge", gauge, "pressure")])
    found.tell("empty", ["nothing-from-start"])
    assert found.is_blocked == is_blocked


@pytest.mark.parametrize(("tokens", "was_off"), [((), False), (("cap-off",), False), (("valve-off", "closed"), True)])
def test_the_valve_was_off_once_is_what_a_collar_asks(tokens: Sequence[str], was_off: bool) -> None:
    assert picture(*tokens).valve_was_off == was_off
