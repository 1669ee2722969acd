"""What became of each unit on a visit, and sums that reconcile whatever happened."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.records.record_kinds import KINDS
from pinseal.rules.visits import (
    FOUND,
    RESULTS,
    SEEN_KINDS,
    SHAPES,
    WHAT_TO_DO,
    WHEREABOUTS,
    Standing,
    count,
    needs_decision,
    result,
    whereabouts,
)

STANDINGS = st.builds(
    Standing,
    kinds=st.frozensets(st.sampled_from(sorted(KINDS)), max_size=4),
    listed=st.booleans(),
    at_site=st.booleans(),
    elsewhere=st.booleans(),
    looked_for=st.booleans(),
    not_done=st.booleans(),
    removed=st.booleans(),
    away_before=st.booleans(),
    away=st.sampled_from(("", "loaner", "bare")),
    stages=st.lists(st.sampled_from(("found", "quoted", "agreed", "declined")), max_size=2).map(tuple),
    impaired=st.booleans(),
    due_states=st.frozensets(st.sampled_from(("ahead", "due", "overdue", "may be overdue", "unknown", "withdraw")), max_size=3),
)


@given(st.lists(STANDINGS, max_size=40))
def test_the_parts_sum_to_the_whole_and_nothing_is_counted_twice(units):
    counts = count(units)
    assert counts.listed + counts.added == len(units)
    assert sum(counts.where.values()) == counts.listed
    assert sum(counts.results.values()) == counts.listed + counts.added
    lost = sum(counts.where[code] for code in WHEREABOUTS if code not in FOUND)
    assert counts.listed == counts.found + lost
    assert counts.decisions <= counts.listed + counts.added


@given(STANDINGS)
def test_a_unit_that_is_called_ready_was_looked_at_with_nothing_open(unit):
    if result(unit) == "ready":
        assert not unit.stages and not unit.impaired and not unit.away and not unit.removed
        assert not unit.due_states & {"overdue", "may be overdue", "unknown", "withdraw"}
        assert unit.is_seen or whereabouts(unit) == "away" or not unit.listed


@given(STANDINGS)
def test_a_decision_is_asked_only_where_something_is_not_ready(unit):
    assert not (needs_decision(unit) and result(unit) == "ready")


def of(*kinds, **more):
    return Standing(kinds=frozenset(kinds), **more)


@pytest.mark.parametrize(
    ("unit", "where", "how"),
    [
        (of("inspected"), "place", "ready"),
        (of("moved", elsewhere=True), "elsewhere", "ready"),
        (of("moved", at_site=False), "gone", "gone"),
        (of("not-done", looked_for=True, not_done=True), "missing", "missing"),
        (of("not-done", "inspected", looked_for=True, not_done=True), "place", "ready"),
        (of("not-done", not_done=True), "not-done", "not-done"),
        (of(), "unlooked", "unlooked"),
        (of(due_states=frozenset({"overdue"})), "unlooked", "overdue"),
        (of("inspected", "taken-away", away="loaner", stages=("found",)), "place", "loaned"),
        (of("taken-away", away="bare"), "place", "bare"),
        (of("recharged", away_before=True, away="loaner"), "away", "loaned"),
        (of("brought-back", away_before=True), "place", "ready"),
        (of("condemned", removed=True), "place", "out"),
        (of(removed=True), "out", "out"),
        (of("inspected", stages=("agreed",)), "place", "open"),
        (of("inspected", due_states=frozenset({"unknown"})), "place", "doubt"),
        (of("deficiency-quoted"), "unlooked", "unlooked"),
    ],
)
def test_each_unit_falls_in_one_place(unit, where, how):
    assert (whereabouts(unit), result(unit)) == (where, how)


def test_papers_of_the_office_do_not_count_as_having_looked():
    papers = {"registered", "corrected", "deficiency-quoted", "quote-answered", "noted", "recalled", "matched", "notice-given", "removed"}
    assert not papers & SEEN_KINDS
    assert set(KINDS) >= SEEN_KINDS


def test_every_result_has_a_shape_that_the_papers_draw():
    assert set(SHAPES) == set(RESULTS)
    assert set(SHAPES.values()) <= {"full", "cross", "half", "diamond", "ring", "broken"}


def test_whatever_is_not_ready_says_what_to_do():
    assert set(WHAT_TO_DO) == set(RESULTS) - {"ready"}
