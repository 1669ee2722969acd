"""When a unit is proved empty of pressure: by what was seen, never by a gauge alone; blocked stays blocked."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.kinds import EXPELLED_BY
from pinseal.measures import LB_KG, PSI_PA, GaugePa
from pinseal.reasons import Refusal
from pinseal.rules.no_pressure import EVENTS, STATES, Emptying, Proof, prove

ZERO_U_PA = 3 * float(PSI_PA)


def lb(pounds: str) -> Fraction:
    return Fraction(pounds) * LB_KG


def psi(value: float) -> GaugePa:
    return GaugePa(value * float(PSI_PA))


# An invented ten-pound powder unit, and an invented carbon dioxide unit with its empty weight stamped on it.
POWDER = Emptying(expelled_by="stored-pressure", full_gross_kg=lb("18"), net_kg=lb("10"), scale_u_kg=lb("0.2"), gauge_zero_u_pa=ZERO_U_PA)
CO2 = Emptying(expelled_by="self-expelling", full_gross_kg=lb("30"), net_kg=lb("10"), empty_gross_kg=lb("20"), scale_u_kg=lb("0.2"))
NOTHING = ("nothing-from-start",)


def state(emptying: Emptying, *seen: str) -> str:
    return prove(replace(emptying, seen=seen)).state


def test_what_was_seen_to_leave_and_then_to_end_proves_it() -> None:
    assert state(POWDER, "left-then-ended") == "proved"
    assert state(POWDER, "still-leaving", "left-then-ended") == "proved"


def test_what_still_leaves_is_no_proof_even_after_an_end_was_seen() -> None:
    assert state(POWDER, "still-leaving") == "not-yet"
    assert state(POWDER, "left-then-ended", "still-leaving") == "not-yet"


def test_a_gauge_at_zero_alone_is_no_proof() -> None:
    found = prove(replace(POWDER, gauge_gauge_pa=psi(0)))
    assert found.state == "not-yet"
    assert "a gauge at zero alone is no proof" in found.because
    assert found.missing


def test_nobody_looked_is_no_proof_whatever_weight_and_gauge_say() -> None:
    assert state(replace(POWDER, gauge_gauge_pa=psi(0), gross_kg=lb("8"))) == "not-yet"


@pytest.mark.parametrize(
    ("pounds", "gauge", "expected"),
    [
        ("8", 0, "proved"),
        ("8.2", 3, "proved"),
        ("8.2", -3, "proved"),
        ("8.201", 0, "blocked"),
        ("18", 0, "blocked"),
        ("8", 3.01, "blocked"),
        ("8", 195, "blocked"),
        ("18", 195, "blocked"),
        ("8", -3.01, "not-yet"),
    ],
)
def test_nothing_from_the_start_needs_weight_and_gauge_to_agree(pounds: str, gauge: float, expected: str) -> None:
    assert state(replace(POWDER, gross_kg=lb(pounds), gauge_gauge_pa=psi(gauge)), *NOTHING) == expected


def test_nothing_from_the_start_names_the_reading_that_is_missing() -> None:
    no_gauge = prove(replace(POWDER, seen=NOTHING, gross_kg=lb("8")))
    assert (no_gauge.state, no_gauge.missing) == ("not-yet", ("read its gauge",))
    no_weight = prove(replace(POWDER, seen=NOTHING, gauge_gauge_pa=psi(0)))
    assert no_weight.state == "not-yet"
    assert [text.startswith("weigh it") for text in no_weight.missing] == [True]
    assert len(prove(replace(POWDER, seen=NOTHING)).missing) == 2


def test_without_a_mark_for_the_empty_weight_a_weight_says_nothing() -> None:
    bare = replace(POWDER, full_gross_kg=None, seen=NOTHING, gross_kg=lb("8"), gauge_gauge_pa=psi(0))
    assert prove(bare).state == "not-yet"
    assert "its empty weight, or its full weight" in prove(bare).missing[0]


def test_of_two_marks_the_lower_decides() -> None:
    both = replace(POWDER, empty_gross_kg=lb("7"), gauge_gauge_pa=psi(0))
    assert state(replace(both, gross_kg=lb("7.2")), *NOTHING) == "proved"
    assert state(replace(both, gross_kg=lb("8")), *NOTHING) == "blocked"


@pytest.mark.parametrize(("doubt", "expected"), [("0.99", "proved"), ("1", "proved"), ("1.01", "not-yet")])
def test_a_scale_whose_doubt_is_over_a_tenth_of_the_charge_is_no_witness(doubt: str, expected: str) -> None:
    assert state(replace(POWDER, gross_kg=lb("8"), scale_u_kg=lb(doubt), gauge_gauge_pa=psi(0)), *NOTHING) == expected


def test_blocked_stays_blocked_until_the_makers_method() -> None:
    full = replace(POWDER, gross_kg=lb("18"), gauge_gauge_pa=psi(195))
    assert state(full, "nothing-from-start", "left-then-ended", "chamber-vented", "still-leaving") == "blocked"
    assert state(full, "left-then-ended", "nothing-from-start") == "blocked"
    assert state(full, "nothing-from-start", "relieved-by-makers-method") == "proved"
    assert state(full, "nothing-from-start", "relieved-by-makers-method", "nothing-from-start") == "blocked"
    stop = prove(replace(full, seen=NOTHING))
    assert "blocked" in stop.because[0]
    assert any("supervisor" in text for text in stop.missing)


def test_a_gauge_that_showed_pressure_before_is_said_beside_the_proof() -> None:
    found = prove(replace(POWDER, seen=("left-then-ended",), gauge_gauge_pa=psi(195)))
    assert found.state == "proved"
    assert "if that is so now, it is not empty" in found.because[1]


def test_gas_that_was_let_in_makes_every_proof_before_it_worthless() -> None:
    for kind, seen in {
        "stored-pressure": ("left-then-ended",),
        "cartridge": ("cartridge-out", "cartridge-capped", "chamber-vented"),
        "cylinder": ("cylinder-shut", "line-vented", "chamber-vented"),
    }.items():
        unit = Emptying(expelled_by=kind)
        assert state(unit, *seen) == "proved"
        assert state(unit, *seen, "charged") == "not-yet"
        assert state(unit, *seen, "charged", *seen) == "proved"


def test_a_spent_unit_that_was_charged_since_is_not_called_blocked() -> None:
    assert state(replace(POWDER, gross_kg=lb("18"), gauge_gauge_pa=psi(195)), "nothing-from-start", "charged") == "not-yet"


@pytest.mark.parametrize(
    ("kind", "needed"),
    [
        ("cartridge", ("cartridge-out", "cartridge-capped", "chamber-vented")),
        ("cylinder", ("cylinder-shut", "line-vented", "chamber-vented")),
    ],
)
def test_a_unit_with_its_gas_apart_needs_all_three_and_the_parting_first(kind: str, needed: tuple[str, ...]) -> None:
    unit = Emptying(expelled_by=kind)
    for order in permutations(needed):
        assert (state(unit, *order) == "proved") == (order[0] == needed[0])
    for left_out in needed:
        found = prove(replace(unit, seen=tuple(each for each in needed if each != left_out)))
        assert found.state == "not-yet"
        assert any(EVENTS[left_out] in text for text in found.missing)


def test_a_lever_before_the_cartridge_is_out_is_no_proof() -> None:
    unit = Emptying(expelled_by="cartridge")
    found = prove(replace(unit, seen=("left-then-ended", "chamber-vented")))
    assert found.state == "not-yet"
    assert any("lever before that is no proof" in text for text in found.because)
    assert state(unit, "chamber-vented", "cartridge-out", "cartridge-capped") == "not-yet"
    assert state(unit, "left-then-ended", "cartridge-out", "cartridge-capped", "chamber-vented") == "proved"
    assert state(unit, "cartridge-out", "cartridge-capped", "chamber-vented", "still-leaving") == "not-yet"


@pytest.mark.parametrize(
    ("pounds", "seen", "expected"),
    [
        ("20", "left-then-ended", "proved"),
        ("20.2", "left-then-ended", "proved"),
        ("20.201", "left-then-ended", "not-yet"),
        ("20", "nothing-from-start", "proved"),
        ("20.2", "nothing-from-start", "proved"),
        ("20.201", "nothing-from-start", "blocked"),
        ("30", "nothing-from-start", "blocked"),
        ("20", "still-leaving", "not-yet"),
    ],
)
def test_carbon_dioxide_is_proved_by_its_weight(pounds: str, seen: str, expected: str) -> None:
    assert state(replace(CO2, gross_kg=lb(pounds)), seen) == expected


def test_carbon_dioxide_without_a_weighing_or_a_stamped_empty_weight_is_not_proved() -> None:
    assert state(CO2, "left-then-ended") == "not-yet"
    assert state(CO2, "nothing-from-start") == "not-yet"
    assert state(replace(CO2, gross_kg=lb("20"))) == "not-yet"
    unstamped = prove(replace(CO2, empty_gross_kg=None, gross_kg=lb("20"), seen=("left-then-ended",)))
    assert unstamped.state == "not-yet"
    assert "stamped" in unstamped.missing[0]
    assert state(replace(CO2, empty_gross_kg=None, gross_kg=lb("30")), *NOTHING) == "blocked"


def test_the_makers_method_on_carbon_dioxide_still_needs_the_weight() -> None:
    full = replace(CO2, gross_kg=lb("30"))
    assert state(full, "nothing-from-start", "relieved-by-makers-method") == "not-yet"
    assert state(replace(full, gross_kg=lb("20")), "nothing-from-start", "relieved-by-makers-method") == "proved"


def test_a_hand_pump_has_nothing_to_prove_and_what_is_not_said_proves_nothing() -> None:
    assert state(Emptying(expelled_by="pump")) == "proved"
    assert state(Emptying(expelled_by=None), "left-then-ended") == "not-yet"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"seen": ("it-hissed",)}, "nothing of this kind"),
        ({"expelled_by": "magic"}, "unknown expelled by"),
        ({"gross_kg": Fraction(0)}, "the weight cannot be right"),
        ({"net_kg": lb("-1")}, "the net agent cannot be right"),
        ({"net_kg": lb("18")}, "not above the empty weight"),
        ({"empty_gross_kg": lb("18")}, "not above the empty weight"),
        ({"scale_u_kg": lb("-0.1")}, "doubt"),
        ({"gauge_zero_u_pa": float("nan")}, "doubt"),
        ({"gauge_gauge_pa": GaugePa(float("inf"))}, "doubt"),
    ],
)
def test_words_and_figures_that_cannot_be_are_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        prove(replace(POWDER, **change))  # type: ignore[arg-type]


# -- properties

_EVENT = st.sampled_from(sorted(EVENTS))
_HARMLESS = st.sampled_from(sorted(set(EVENTS) - {"charged", "relieved-by-makers-method"}))
_POUNDS = st.sampled_from(["6", "8", "8.2", "8.3", "12", "18"])


@st.composite
def emptyings(draw: st.DrawFn) -> Emptying:
    maybe = st.booleans()
    return Emptying(
        expelled_by=draw(st.sampled_from(sorted(EXPELLED_BY))),
        seen=tuple(draw(st.lists(_EVENT, max_size=6))),
        gross_kg=lb(draw(_POUNDS)) if draw(maybe) else None,
        full_gross_kg=lb("18") if draw(maybe) else None,
        net_kg=lb("10") if draw(maybe) else None,
        empty_gross_kg=lb("8") if draw(maybe) else None,
        scale_u_kg=lb("0.2") if draw(maybe) else None,
        gauge_gauge_pa=psi(draw(st.sampled_from([-5.0, 0.0, 2.0, 5.0, 195.0]))) if draw(maybe) else None,
        gauge_zero_u_pa=ZERO_U_PA,
    )


@given(emptyings(), _HARMLESS, st.integers(0, 6))
def test_no_event_turns_blocked_into_proved_but_the_makers_method_and_a_new_charge(unit: Emptying, event: str, at: int) -> None:
    if prove(unit).state == "blocked":
        assert state(unit, *unit.seen[:at], event, *unit.seen[at:]) != "proved"
        assert state(unit, *unit.seen, event) == "blocked"
        assert state(unit, *unit.seen, "relieved-by-makers-method") != "blocked"


@given(emptyings())
def test_a_proof_never_rests_on_a_gauge_alone(unit: Emptying) -> None:
    if prove(unit).state == "proved" and unit.expelled_by != "pump":
        assert unit.seen, "somebody saw something"
        blind = replace(unit, gross_kg=None, full_gross_kg=None, net_kg=None, empty_gross_kg=None)
        without_gauge = replace(unit, gauge_gauge_pa=None)
        assert prove(blind).state != "proved" or prove(replace(blind, gauge_gauge_pa=None)).state == "proved"
        assert prove(without_gauge).state != "blocked"


@given(emptyings(), st.permutations(["gross_kg", "full_gross_kg", "net_kg", "empty_gross_kg", "gauge_gauge_pa"]))
def test_the_order_in_which_readings_come_does_not_matter(unit: Emptying, order: list[str]) -> None:
    built = replace(unit, gross_kg=None, full_gross_kg=None, net_kg=None, empty_gross_kg=None, gauge_gauge_pa=None)
    for name in order:
        built = replace(built, **{name: getattr(unit, name)})
    assert prove(built) == prove(unit)


@given(emptyings())
def test_an_answer_that_is_no_proof_always_says_what_is_missing(unit: Emptying) -> None:
    found: Proof = prove(unit)
    assert found.state in STATES
    assert found.because
    assert bool(found.missing) == (found.state != "proved")
