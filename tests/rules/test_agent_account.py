"""The account of a batch of agent: book and scale, stretch by stretch, and which entry would make it close."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.dates import parse_date
from pinseal.measures import LB_KG
from pinseal.rules.agent_account import AccountEntry, book_kg, in_order, stretches

SCALE = Fraction(1, 20)


def entry(what: str, day: str, kg: str | None, number: int = 0) -> AccountEntry:
    return AccountEntry(record=f"r{number}", done=parse_date(day), what=what, kg=None if kg is None else Fraction(kg))


LIFE = [
    entry("bought", "2026-01-01", "20", 1),
    entry("charged", "2026-02-01", "4", 2),
    entry("recovered", "2026-03-01", "1.5", 3),
    entry("sent", "2026-04-01", "2", 4),
]


@pytest.mark.parametrize(
    ("day", "kg"), [("2025-12-31", "0"), ("2026-01-01", "20"), ("2026-01-31", "20"), ("2026-02-01", "16"), ("2026-12-31", "15.5")]
)
def test_the_book_follows_what_came_and_went(day: str, kg: str) -> None:
    assert book_kg(LIFE, date.fromisoformat(day)) == Fraction(kg)


def test_a_weighing_sets_the_book_anew() -> None:
    assert book_kg(
        [*LIFE, entry("weighed", "2026-05-01", "15.4", 5), entry("charged", "2026-06-01", "1", 6)], date(2026, 12, 31)
    ) == Fraction("14.4")


def test_an_entry_without_a_mass_leaves_the_book_open_until_the_next_weighing() -> None:
    life = [*LIFE, entry("charged", "2026-05-01", None, 5)]
    assert book_kg(life, date(2026, 5, 2)) is None
    assert book_kg([*life, entry("weighed", "2026-06-01", "3", 6)], date(2026, 6, 1)) == 3


# 5 weighings of 0.05 kg: in squares sqrt(5) x 0.05 = 0.1118 kg, at the most 0.25 kg
@pytest.mark.parametrize(
    ("weighed", "verdict"), [("15.5", "pass"), ("15.39", "pass"), ("15.38", "too-close"), ("15.25", "too-close"), ("15.24", "fail")]
)
def test_the_borders_of_a_stretch(weighed: str, verdict: str) -> None:
    [found] = stretches([*LIFE, entry("weighed", "2026-05-01", weighed, 5)], scale_kg=SCALE)
    assert found.balance is not None
    assert found.balance.verdict == verdict
    assert found.lost_kg == Fraction("15.5") - Fraction(weighed)


def test_a_difference_is_looked_for_between_two_weighings_and_nowhere_else() -> None:
    life = [
        *LIFE,
        entry("weighed", "2026-05-01", "15.5", 5),
        entry("charged", "2026-06-01", "3", 6),
        entry("weighed", "2026-07-01", "15.5", 7),
    ]
    first, second = stretches(life, scale_kg=SCALE)
    assert (first.balance and first.balance.verdict, second.balance and second.balance.verdict) == ("pass", "fail")
    assert [each.entry.record for each in second.suspects] == ["r6"]
    assert "never happened" in second.suspects[0].words


def test_pounds_written_as_kilograms_are_found() -> None:
    life = [entry("bought", "2026-01-01", "20", 1), entry("charged", "2026-02-01", "4", 2), entry("charged", "2026-03-01", "9", 3)]
    truth = Fraction(20 - 4) - 9 * LB_KG
    [found] = stretches([*life, AccountEntry(record="w", done=parse_date("2026-05-01"), what="weighed", kg=truth)], scale_kg=SCALE)
    assert [(each.entry.record, each.words) for each in found.suspects] == [("r3", "it closes if this was read in lb and written in kg")]


def test_without_a_scale_or_a_mass_nothing_is_judged() -> None:
    weighed = entry("weighed", "2026-05-01", "1", 5)
    [no_scale] = stretches([*LIFE, weighed], scale_kg=None)
    [no_mass] = stretches([*LIFE, entry("charged", "2026-04-02", None, 6), weighed], scale_kg=SCALE)
    assert (no_scale.balance, no_scale.why) == (None, "how far the scale may be wrong is not known")
    assert (no_mass.balance, no_mass.why, no_mass.suspects) == (None, "1 entry has no mass", ())


@given(st.permutations([*LIFE, entry("weighed", "2026-05-01", "15.5", 5), entry("charged", "2026-05-01", "1", 6)]))
def test_the_order_of_the_entries_does_not_matter(life: list[AccountEntry]) -> None:
    assert [each.record for each in in_order(life)] == ["r1", "r2", "r3", "r4", "r5", "r6"]
    assert book_kg(life, date(2026, 12, 31)) == Fraction("14.5")
