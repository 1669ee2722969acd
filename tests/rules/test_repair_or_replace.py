"""Keep it or replace it: figures, a margin that is stated, and no answer where one side could still grow past the other."""

from datetime import date
from fractions import Fraction

import pytest

from pinseal.money import Money
from pinseal.rules.quoting import Line, Unpriced
from pinseal.rules.repair_or_replace import Cost, Side, weigh

TODAY = date(2026, 11, 24)
GAP = (Unpriced(words="hydrostatic test", why="due", reason="no price"),)


def side(minor: int, *, lacks: bool = False, unknown: tuple[str, ...] = ()) -> Side:
    line = Line(number="1", service="maintenance", words="maintenance", amount=Money(minor, "USD"), why="due", source="price M")
    return Side(currency="USD", costs=(Cost(on=TODAY, line=line),), unpriced=GAP if lacks else (), unknown=unknown)


# The margin is 10 % of the dearer way.
@pytest.mark.parametrize(
    ("keep", "new", "answer"),
    [
        (side(100_00), side(200_00), "keep"),
        (side(200_00), side(100_00), "replace"),
        (side(100_00), side(100_00), "too close"),
        (side(100_00), side(90_00), "too close"),  # exactly the margin
        (side(100_00), side(89_99), "replace"),
        (side(89_99), side(100_00), "keep"),
        (side(100_00, lacks=True), side(200_00), "unknown"),  # keeping it may come to more
        (side(200_00, lacks=True), side(100_00), "replace"),  # it is dearer already
        (side(200_00), side(100_00, lacks=True), "unknown"),
        (side(100_00), side(200_00, lacks=True), "keep"),
        (side(100_00), side(100_00, lacks=True), "unknown"),
        (side(100_00, unknown=("hydrostatic test: its day is not known",)), side(200_00), "unknown"),
        (side(0), side(0), "too close"),
    ],
)
def test_the_answer(keep: Side, new: Side, answer: str) -> None:
    found = weigh(keep, new, margin_percent=Fraction(10))
    assert found.answer == answer
    assert found.because


def test_a_unit_that_may_not_be_kept_is_replaced_whatever_it_costs() -> None:
    found = weigh(side(1_00), side(500_00), margin_percent=Fraction(10), must_go=["the shell is condemned: dent"])
    assert (found.answer, found.because) == ("replace", ("the shell is condemned: dent",))


def test_the_margin_and_what_is_missing_are_said() -> None:
    close = weigh(side(100_00), side(95_00), margin_percent=Fraction(10))
    assert close.because == ("the two ways differ by 5.00 USD", "the margin is 10 % of the dearer way: 10.00 USD")
    open_one = weigh(side(100_00, lacks=True), side(200_00), margin_percent=Fraction(10))
    assert open_one.because == ("what keeping it costs lacks hydrostatic test: no price",)
