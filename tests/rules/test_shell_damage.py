"""The condemn guide under its packs; dents and pits below, at and above their limits, with and without the instrument's doubt."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.measures import INCH_M, parse_measure
from pinseal.reasons import Refusal
from pinseal.rules.proof_tests import NEVER_TESTED
from pinseal.rules.shell_damage import LIST_TITLES, condemnation_needs, guide, judge_dent, judge_pit


def length(text: str) -> Fraction:
    return parse_measure("length", text).exact


def dent(depth: str, width: str, step: str | None = None, *, weld: bool = False) -> str:
    return judge_dent(
        depth_m=length(depth), greatest_width_m=length(width), at_weld=weld, resolution_m=length(step) if step else None
    ).verdict  # fmt: skip


def pit(depth: str, wall: str | None, step: str | None = None) -> str:
    return judge_pit(
        depth_m=length(depth), wall_m=length(wall) if wall else None, resolution_m=length(step) if step else None
    ).verdict  # fmt: skip


@pytest.mark.parametrize(("depth", "verdict"), [("0 mm", "pass"), ("3.99 mm", "pass"), ("4 mm", "pass"), ("4.01 mm", "fail")])
def test_a_dent_deeper_than_a_tenth_of_its_greatest_width_condemns(depth: str, verdict: str) -> None:
    assert dent(depth, "40 mm") == verdict


@pytest.mark.parametrize(("depth", "verdict"), [("0.249 in", "pass"), ("0.25 in", "pass"), ("0.251 in", "fail")])
def test_at_a_weld_a_quarter_inch_is_the_limit_too(depth: str, verdict: str) -> None:
    assert dent(depth, "5 in") == "pass"
    assert dent(depth, "5 in", weld=True) == verdict
    assert dent(depth, "2 in", weld=True) == "fail"


# A step of 0.1 mm gives U = 2 x 0.1 mm x sqrt(1.01 / 12) = 0.058 mm.
@pytest.mark.parametrize(
    ("depth", "verdict"),
    [("3.94 mm", "pass"), ("3.95 mm", "too-close"), ("4 mm", "too-close"), ("4.05 mm", "too-close"), ("4.06 mm", "fail")],
)
def test_what_the_instrument_cannot_tell_is_too_close(depth: str, verdict: str) -> None:
    assert dent(depth, "40 mm", "0.1 mm") == verdict


@pytest.mark.parametrize(
    ("depth", "verdict"), [("6.29 mm", "pass"), ("6.30 mm", "too-close"), ("6.40 mm", "too-close"), ("6.41 mm", "fail")]
)
def test_at_a_weld_only_the_depth_is_read(depth: str, verdict: str) -> None:
    assert dent(depth, "500 mm", "0.1 mm", weld=True) == verdict


@pytest.mark.parametrize(("depth", "verdict"), [("0.29 mm", "pass"), ("0.3 mm", "pass"), ("0.31 mm", "fail"), ("3 mm", "fail")])
def test_a_pit_deeper_than_a_tenth_of_the_wall_condemns(depth: str, verdict: str) -> None:
    assert pit(depth, "3 mm") == verdict


def test_a_pit_near_the_limit_is_too_close_for_a_coarse_instrument() -> None:
    assert pit("0.29 mm", "3 mm", "0.02 mm") == "too-close"
    assert pit("0.28 mm", "3 mm", "0.02 mm") == "pass"
    assert pit("0.32 mm", "3 mm", "0.02 mm") == "fail"


def test_without_the_wall_a_pit_is_unknown_and_still_bars_a_test() -> None:
    found = judge_pit(depth_m=length("0.1 mm"), wall_m=None)
    assert found.verdict == "unknown"
    assert found.limit_m is None
    assert found.because[0].startswith("the wall is not said")


@pytest.mark.parametrize("wall", [None, "3 mm"])
def test_every_pit_is_told_that_it_bars_a_pressure_test(wall: str | None) -> None:
    found = judge_pit(depth_m=length("0.1 mm"), wall_m=length(wall) if wall else None)
    assert any("29 CFR 1910.157(f)(2), public copy" in text for text in found.because)


def test_a_verdict_names_its_source_and_how_it_was_read() -> None:
    found = judge_dent(depth_m=length("4 mm"), greatest_width_m=length("40 mm"), at_weld=False)
    assert found.source.checked == "second-hand"
    assert "second-hand" in found.because[0]
    assert "exactly the limit passes" in found.because[0]
    assert found.limit_m == length("4 mm")
    assert any("nothing was said of the instrument" in text for text in found.because)


@pytest.mark.parametrize(
    "depth_width_step", [("-1 mm", "40 mm", None), ("1 mm", "0 mm", None), ("1 mm", "40 mm", "0 mm"), ("1 mm", "11 m", None)]
)
def test_lengths_that_cannot_be_are_refused(depth_width_step: tuple[str, str, str | None]) -> None:
    depth, width, step = (None if text is None else parse_measure("length", text, negative=True).exact for text in depth_width_step)
    assert depth is not None
    assert width is not None
    with pytest.raises(Refusal, match="cannot be right"):
        judge_dent(depth_m=depth, greatest_width_m=width, at_weld=False, resolution_m=step)


def test_a_pit_is_not_deeper_than_its_wall() -> None:
    with pytest.raises(Refusal, match="deeper than the wall"):
        pit("3.01 mm", "3 mm")


_TENTHS = st.integers(1, 300).map(lambda tenths: Fraction(tenths, 10_000))


@given(_TENTHS, _TENTHS, st.booleans(), st.sampled_from([None, Fraction(1, 10_000), Fraction(1, 1000)]), st.integers(1, 50))
def test_a_deeper_dent_is_never_judged_better(depth: Fraction, width: Fraction, weld: bool, step: Fraction | None, more: int) -> None:
    order = ("pass", "too-close", "fail")
    first, second = (
        judge_dent(depth_m=each, greatest_width_m=width, at_weld=weld, resolution_m=step).verdict
        for each in (depth, depth + Fraction(more, 10_000))
    )
    assert order.index(first) <= order.index(second)


# -- the guide


def test_the_guide_shows_the_lists_of_the_united_states_unless_packs_are_named() -> None:
    shown = guide()
    assert shown.packs == ("us-ca", "us-dot", "us-nfpa10", "us-osha")
    assert set(shown.lists) == set(LIST_TITLES)
    assert all(shown.lists.values())
    assert [row.id for row in shown.measured] == ["dent", "dent-at-weld", "pit"]
    assert shown.notes == ()


def test_the_british_list_stands_under_its_own_pack_alone() -> None:
    everywhere = [row.id for rows in guide().lists.values() for row in rows]
    assert not any(code.startswith("gb-") for code in everywhere)
    british = guide(["gb"])
    assert [row.id for row in british.lists["condemned"]] == ["gb-threads", "gb-weld", "gb-corrosion", "gb-dents", "gb-fire"]
    assert {row.source.checked for row in british.lists["condemned"]} == {"second-hand"}
    assert not british.measured
    assert "no measure of a dent or a pit is held for gb" in british.notes[0]
    assert len(guide(["gb", "us-osha"]).lists["condemned"]) == len(guide(["us-osha"]).lists["condemned"]) + 5


def test_a_pack_without_a_list_says_so_and_an_unknown_one_is_refused() -> None:
    assert "no list is held for au" in guide(["au"]).notes[0]
    with pytest.raises(Refusal, match="no such rule pack"):
        guide(["atlantis"])


def test_what_is_never_tested_is_worded_as_in_the_proof_test() -> None:
    assert {row.id: row.words for row in guide().lists["never-tested"]} == dict(NEVER_TESTED)


def test_the_limits_of_expansion_are_those_of_the_jacket_test() -> None:
    words = [row.words for row in guide().lists["condemned"] if row.id.startswith("expansion")]
    assert words[0].startswith("its permanent expansion is over 10 % of the total: 3, 3A")
    assert words[1] == "its permanent expansion is over 12 % of the total: 4E"


def test_the_disagreement_over_heated_aluminium_is_said() -> None:
    row = next(row for row in guide().lists["condemned"] if row.id == "overheated-aluminium")
    assert "NFPA 10" in row.source.note
    assert "350 F" in row.words


def test_condemning_needs_proof_a_mark_or_a_cut_and_a_word_to_the_owner() -> None:
    assert [need.id for need in condemnation_needs()] == ["proof", "marked-condemned", "made-unusable", "owner-told"]
    assert [need.id for need in condemnation_needs(stamped=True)] == ["proof", "marked-condemned", "owner-told"]
    assert [need.id for need in condemnation_needs(stamped=False)] == ["proof", "made-unusable", "owner-told"]
    stamp = condemnation_needs(stamped=True)[1]
    assert "Documents differ" in stamp.source.note


def test_a_quarter_inch_is_kept_as_printed() -> None:
    found = judge_dent(depth_m=INCH_M / 4, greatest_width_m=INCH_M * 4, at_weld=True)
    assert found.verdict == "pass"
    assert any("1/4 in at a weld" in text for text in found.because)
