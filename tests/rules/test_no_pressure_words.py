"""What the proof of no pressure says, whole: the state, why, and what is missing."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from typing import Any

import pytest

from pinseal.measures import LB_KG, PSI_PA, GaugePa
from pinseal.reasons import Refusal
from pinseal.rules.no_pressure import EVENTS, Emptying, Proof, prove

OPEN_IT = "with the unit held, open lever and shut-off both, see what is in it leave, and then see that nothing more comes"
LEFT, STILL, NOTHING = EVENTS["left-then-ended"], EVENTS["still-leaving"], EVENTS["nothing-from-start"]
STUCK = "its gauge shows 195.0 psi: it is under pressure, or the gauge is stuck"
IF_NOW = f"{STUCK}; if that is so now, it is not empty: stop"
FULL = "it weighs 29.00 lb (13.154 kg); without agent it weighs 19.00 lb (8.618 kg): agent is in it"
SPENT = "it weighs 19.00 lb (8.618 kg); without agent it weighs 19.00 lb (8.618 kg): no agent is in it"
NO_SCALE = "; nothing was said of the scale, so nothing is allowed for it"
AGREE = "weight and gauge agree: it was spent already"


def lb(pounds: float) -> Fraction:
    return Fraction(pounds) * LB_KG


def psi(pounds: float) -> GaugePa:
    return GaugePa(pounds * float(PSI_PA))


def unit(way: str | None, *seen: str, **said: Any) -> Proof:
    """What is proved of a unit of 29 lb full with 10 lb net that stands empty at 19 lb."""
    marks: dict[str, Any] = {
        "full_gross_kg": lb(29), "net_kg": lb(10), "empty_gross_kg": lb(19), "scale_u_kg": lb(0.125), "gauge_zero_u_pa": float(PSI_PA),
    }  # fmt: skip
    return prove(Emptying(expelled_by=way, seen=seen, **(marks | said)))


STOP = (
    "stop: nothing that holds the pressure in is touched, and nobody stands in line with valve or nozzle",
    "a supervisor has the pressure relieved by the maker's method",
)
ICE = "wait: ice can stop the way out while liquid is left; open it again, then weigh it again"
STAMP = "the empty weight that is stamped on it: what expels itself is proved empty by that alone"
ZERO = "its gauge shows 0.0 psi, zero within its doubt"
TOGETHER = "only weight and gauge together show that it was spent already"
VENT, CAP = "see to it that the agent chamber is vented", "see to it that the cartridge that came out is capped"
PARTING = ("see to it that the cartridge is out", CAP, VENT)
CASES: tuple[tuple[Callable[[], Proof], str, tuple[str, ...], tuple[str, ...]], ...] = (
    (partial(unit, "stored-pressure"), "not-yet", ("nobody has seen anything leave",), (OPEN_IT,)),
    (partial(unit, "stored-pressure", gauge_gauge_pa=psi(0)), "not-yet",
     ("nobody has seen anything leave", "a gauge at zero alone is no proof"),
     (OPEN_IT,)),
    (partial(unit, "stored-pressure", "left-then-ended"), "proved", (LEFT,), ()),
    (partial(unit, "stored-pressure", "left-then-ended", gauge_gauge_pa=psi(195)), "proved", (LEFT, IF_NOW), ()),
    (partial(unit, "stored-pressure", "still-leaving"), "not-yet", (STILL,), ("wait until nothing more comes",)),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(19), gauge_gauge_pa=psi(0)),
        "proved", (NOTHING, SPENT, ZERO, AGREE), (),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(19), gauge_gauge_pa=psi(0), scale_u_kg=None),
        "proved", (NOTHING, SPENT + NO_SCALE, ZERO, AGREE), (),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(19), gauge_gauge_pa=psi(0), net_kg=None, full_gross_kg=None),
        "proved",
        (NOTHING, f"{SPENT}; the charge is not said, so whether the scale is fine enough is not known",
         ZERO, AGREE), (),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(19)),
        "not-yet", (NOTHING, SPENT, "its gauge was not read", TOGETHER), ("read its gauge",),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gauge_gauge_pa=psi(0)),
        "not-yet",
        (NOTHING, "it was not weighed", ZERO, TOGETHER),
        ("weigh it, with the same parts on as when the mark was made",),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(19), gauge_gauge_pa=psi(0), full_gross_kg=None,
             empty_gross_kg=None),
        "not-yet",
        (NOTHING, "nothing says what it weighs when it is empty", ZERO,
         TOGETHER),
        ("its empty weight, or its full weight and its net agent, from nameplate or stamp",),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(19), gauge_gauge_pa=psi(-5)),
        "not-yet",
        (NOTHING, SPENT, "its gauge stands below zero, at -5.0 psi: it is broken and says nothing",
         TOGETHER),
        ("a gauge that can be believed: this one stands below zero",),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(19), gauge_gauge_pa=psi(0), scale_u_kg=lb(2)),
        "not-yet",
        (NOTHING, "the scale is good to 2.00 lb (0.907 kg), too coarse for a charge of 10.00 lb (4.536 kg)",
         ZERO, TOGETHER),
        ("weigh it on a scale whose U is at most a tenth of the charge",),
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gross_kg=lb(29)),
        "blocked", ("nothing came from the start, and it is not empty: the way out is blocked", FULL), STOP,
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", gauge_gauge_pa=psi(195)),
        "blocked", ("nothing came from the start, and it is not empty: the way out is blocked", STUCK), STOP,
    ),
    (
        partial(unit, "stored-pressure", "nothing-from-start", "relieved-by-makers-method", gross_kg=lb(29)),
        "proved", (f"{EVENTS['relieved-by-makers-method']}; agent may still be in it",), (),
    ),
    (
        partial(unit, "stored-pressure", "relieved-by-makers-method", gauge_gauge_pa=psi(195)),
        "proved", (f"{EVENTS['relieved-by-makers-method']}; agent may still be in it", IF_NOW), (),
    ),
    (
        partial(unit, "stored-pressure", "left-then-ended", "charged"),
        "not-yet", ("nobody has seen anything leave", "gas was let into it: what was seen before that counts no more"), (OPEN_IT,),
    ),
    (partial(unit, "self-expelling"), "not-yet", ("nobody has seen anything leave", "it was not weighed"),
     (OPEN_IT, "weigh it, with the same parts on as when the mark was made")),
    (partial(unit, "self-expelling", "still-leaving", gross_kg=lb(19)), "not-yet", (STILL, SPENT), ("wait until nothing more comes",)),
    (partial(unit, "self-expelling", "left-then-ended", gross_kg=lb(19)), "proved", (LEFT, SPENT), ()),
    (partial(unit, "self-expelling", "left-then-ended", gross_kg=lb(19), gauge_gauge_pa=psi(195)), "proved", (LEFT, SPENT, IF_NOW), ()),
    (partial(unit, "self-expelling", "left-then-ended", gross_kg=lb(29)), "not-yet", (LEFT, FULL), (ICE,)),
    (partial(unit, "self-expelling", "left-then-ended", gross_kg=lb(19), empty_gross_kg=None), "not-yet", (LEFT, SPENT), (STAMP,)),
    (
        partial(unit, "self-expelling", "nothing-from-start", gross_kg=lb(29)),
        "blocked", ("nothing came from the start, and it is not empty: the way out is blocked", FULL), STOP,
    ),
    (partial(unit, "cartridge"), "not-yet", ("not yet so: the cartridge is out",), PARTING),
    (partial(unit, "cartridge", "left-then-ended"), "not-yet",
     ("not yet so: the cartridge is out", "a lever before that is no proof: the cartridge is out first"),
     PARTING),
    (partial(unit, "cartridge", "chamber-vented"), "not-yet", ("not yet so: the cartridge is out",),
     PARTING),
    (partial(unit, "cartridge", "cartridge-out", "cartridge-capped"), "not-yet", ("the cartridge is out",), (VENT,)),
    (partial(unit, "cartridge", "chamber-vented", "cartridge-out", "cartridge-capped"), "not-yet",
     ("the cartridge is out",), (VENT,)),
    (partial(unit, "cartridge", "cartridge-out", "cartridge-capped", "still-leaving"), "not-yet", ("the cartridge is out",), (VENT,)),
    (partial(unit, "cartridge", "cartridge-out", "chamber-vented"), "not-yet", ("the cartridge is out",), (CAP,)),
    (partial(unit, "cartridge", "cartridge-out", "cartridge-capped", "chamber-vented"), "proved",
     ("the cartridge is out", "the cartridge that came out is capped", "the agent chamber is vented"), ()),
    (partial(unit, "cartridge", "cartridge-out", "cartridge-capped", "chamber-vented", gauge_gauge_pa=psi(195)), "proved",
     ("the cartridge is out", "the cartridge that came out is capped", "the agent chamber is vented", IF_NOW), ()),
    (partial(unit, "cartridge", "cartridge-out", "cartridge-capped", "chamber-vented", "still-leaving"), "not-yet", (STILL,),
     ("wait until nothing more comes, then see that the agent chamber is vented",)),
    (partial(unit, "cartridge", "cartridge-out", "cartridge-capped", "still-leaving", "chamber-vented"), "proved",
     ("the cartridge is out", "the cartridge that came out is capped", "the agent chamber is vented"), ()),
    (partial(unit, "cylinder", "cylinder-shut", "line-vented"), "not-yet", ("the gas cylinder is shut",), (VENT,)),
    (partial(unit, "cylinder", "line-vented", "cylinder-shut", "chamber-vented"), "not-yet", ("the gas cylinder is shut",),
     ("see to it that the line from the gas cylinder is vented",)),
    (partial(unit, "cylinder", "cylinder-shut", "line-vented", "chamber-vented"), "proved",
     ("the gas cylinder is shut", "the line from the gas cylinder is vented", "the agent chamber is vented"), ()),
    (partial(unit, "pump"), "proved", ("a hand pump holds no pressure: there is nothing to prove",), ()),
    (partial(unit, None, "left-then-ended"), "not-yet", ("it is not said what expels the agent, so no way of proving it holds",),
     ("what expels the agent, from the nameplate",)),
)  # fmt: skip


@pytest.mark.parametrize("number", range(len(CASES)))
def test_the_proof_says_its_state_its_reasons_and_what_is_missing(number: int) -> None:
    made, state, because, missing = CASES[number]
    found = made()
    assert (found.state, found.because, found.missing) == (state, because, missing)


def test_a_proof_is_told_to_programs_with_its_source() -> None:
    assert unit("pump").as_json() == {
        "state": "proved", "because": ["a hand pump holds no pressure: there is nothing to prove"], "missing": [],
        "source": "common practice, no source",
    }  # fmt: skip


def test_below_at_and_above_the_empty_mark_with_the_doubt_of_the_scale() -> None:
    for pounds, state in ((18.9, "proved"), (19.0, "proved"), (19.125, "proved"), (19.126, "not-yet")):
        assert unit("self-expelling", "left-then-ended", gross_kg=lb(pounds)).state == state, pounds


def test_of_two_marks_that_differ_the_lower_counts() -> None:
    assert unit("self-expelling", "left-then-ended", gross_kg=lb(19), full_gross_kg=lb(28.5)).state == "not-yet"


@pytest.mark.parametrize(("pounds", "state"), [(0.0, "proved"), (1.0, "proved"), (1.1, "blocked"), (-1.0, "proved"), (-1.1, "not-yet")])
def test_a_gauge_says_zero_within_its_doubt_alone(pounds: float, state: str) -> None:
    assert unit("stored-pressure", "nothing-from-start", gross_kg=lb(19), gauge_gauge_pa=psi(pounds)).state == state


@pytest.mark.parametrize(
    ("said", "what"),
    [
        ({"gross_kg": Fraction(0)}, "the weight cannot be right"),
        ({"gross_kg": Fraction(10_001)}, "the weight cannot be right"),
        ({"full_gross_kg": Fraction(-1)}, "the full weight cannot be right"),
        ({"net_kg": Fraction(0)}, "the net agent cannot be right"),
        ({"empty_gross_kg": Fraction(0)}, "the empty weight cannot be right"),
        ({"net_kg": lb(29)}, "the full weight is not above the empty weight and the net agent"),
        ({"empty_gross_kg": lb(29)}, "the full weight is not above the empty weight and the net agent"),
        ({"gauge_gauge_pa": GaugePa(float("nan"))}, "a reading of the gauge or a doubt is no number that can be used"),
        ({"scale_u_kg": Fraction(-1)}, "a reading of the gauge or a doubt is no number that can be used"),
    ],
)
def test_figures_that_cannot_be_are_refused(said: dict[str, Any], what: str) -> None:
    with pytest.raises(Refusal) as found:
        unit("stored-pressure", **said)
    assert found.value.what == what
    assert found.value.rule and found.value.got and found.value.do


SPENT_NOW = {"gross_kg": lb(19), "gauge_gauge_pa": psi(0)}
FULL_NOW = {"gross_kg": lb(29), "gauge_gauge_pa": psi(0)}


@pytest.mark.parametrize(
    ("seen", "unspent", "spent"),
    [
        (("left-then-ended", "nothing-from-start"), "blocked", LEFT),
        (("left-then-ended", "nothing-from-start", "nothing-from-start"), "blocked", LEFT),
        (("nothing-from-start", "nothing-from-start"), "blocked", NOTHING),
        (("still-leaving", "nothing-from-start"), "blocked", NOTHING),
        (("still-leaving", "left-then-ended", "nothing-from-start"), "blocked", LEFT),
        (("left-then-ended", "still-leaving", "nothing-from-start"), "blocked", NOTHING),
        (("nothing-from-start", "left-then-ended"), "blocked", LEFT),
        (("nothing-from-start", "relieved-by-makers-method", "left-then-ended"), "proved", LEFT),
    ],
)
def test_nothing_more_coming_confirms_an_end_and_never_a_flow(seen: tuple[str, ...], unspent: str, spent: str) -> None:
    assert unit("stored-pressure", *seen, **FULL_NOW).state == unspent
    found = unit("stored-pressure", *seen, **SPENT_NOW)
    assert (found.state, found.because[0]) == ("proved", spent)


@pytest.mark.parametrize(
    "seen", [("left-then-ended", "nothing-from-start"), ("left-then-ended", "nothing-from-start", "nothing-from-start")]
)
def test_an_end_that_was_seen_needs_no_witness(seen: tuple[str, ...]) -> None:
    assert unit("stored-pressure", *seen).state == "proved"
    assert unit("stored-pressure", "still-leaving", *seen[1:]).state == "not-yet"


def test_the_heaviest_weight_that_is_believed_and_a_word_that_is_not_known() -> None:
    assert unit("stored-pressure", gross_kg=Fraction(10_000), full_gross_kg=Fraction(10_000)).state == "not-yet"
    with pytest.raises(Refusal) as word:
        unit("stored-pressure", "hissing")
    said = word.value
    assert (said.what, said.rule, said.got, said.do) == (
        "nothing of this kind can be seen here", f"one of {', '.join(EVENTS)}", "hissing", "use a listed word",
    )  # fmt: skip
    with pytest.raises(Refusal, match="expelled by"):
        unit("magic")


def test_the_refusals_say_what_to_do() -> None:
    with pytest.raises(Refusal) as weight:
        unit("stored-pressure", gross_kg=Fraction(0))
    assert weight.value.do == "zero the empty scale and weigh again"
    with pytest.raises(Refusal) as doubt:
        unit("stored-pressure", gauge_gauge_pa=GaugePa(2.0), gauge_zero_u_pa=-1.0, scale_u_kg=None)
    said = doubt.value
    assert (said.rule, said.got, said.do) == ("doubts are zero or above", "2, -1, 0", "read the instrument and its papers again")
    with pytest.raises(Refusal) as unread:
        unit("stored-pressure", gauge_zero_u_pa=-1.0, scale_u_kg=None)
    assert unread.value.got == "0, -1, 0"


def test_a_unit_lighter_than_a_kilogram_is_weighed_too() -> None:
    light = {"gross_kg": Fraction(1, 2), "full_gross_kg": Fraction(9, 10), "net_kg": Fraction(4, 10), "empty_gross_kg": Fraction(1, 2)}
    assert unit("self-expelling", "left-then-ended", **light, scale_u_kg=Fraction(1, 100)).state == "proved"
