"""What a fleet's failures say: intervals, not verdicts."""

from __future__ import annotations

import math

import pytest

from pinseal.dates import PartialDate, parse_date
from pinseal.reasons import Refusal
from pinseal.rules.lots import Followed, ages, comparison_words, group_words, learn


def followed(number: int, *, lot: str = "", model: str = "", born: str = "2015-03-01", good: str = "", bad: str = "") -> Followed:
    def day(text: str) -> PartialDate | None:
        return parse_date(text) if text else None

    return Followed(
        unit=f"{lot}{number}", model=model, lot=lot, in_service=parse_date(born), last_good=day(good), first_bad=day(bad)
    )  # fmt: skip


def lot(name: str, units: int, failed: int, model: str = "M") -> list[Followed]:
    return [
        followed(n, lot=name, model=model, good=f"{2017 + n % 4}-03-01", bad=f"{2018 + n % 4}-03-01")
        if n < failed
        else followed(n, lot=name, model=model, good="2025-03-01")
        for n in range(units)
    ]


def test_ages_widen_with_vague_dates() -> None:
    exact = ages(followed(1, good="2020-03-01", bad="2021-03-01"))
    vague = ages(followed(1, born="2015", good="2020", bad="2021"))
    assert exact is not None and vague is not None
    assert exact == pytest.approx((5.0, 6.0), abs=0.01)
    assert vague[0] < exact[0] and vague[1] > exact[1]
    assert ages(followed(1)) is None
    assert ages(followed(1, good="2020-03-01")) == (pytest.approx(5.0, abs=0.01), math.inf)
    assert ages(followed(1, bad="2020-03-01")) == (0.0, pytest.approx(5.0, abs=0.01))


@pytest.mark.parametrize(("good", "bad"), [("2010-01-01", ""), ("", "2010-01-01"), ("2021-01-01", "2020-01-01")])
def test_impossible_orders_are_refused(good: str, bad: str) -> None:
    with pytest.raises(Refusal, match="no possible order"):
        ages(followed(1, good=good, bad=bad))


def test_a_bad_lot_stands_out_and_is_still_no_verdict() -> None:
    answer = learn([*lot("A", 60, 3), *lot("B", 60, 2), *lot("C", 40, 20)])
    first = answer.comparisons[0]
    assert (first.lot, first.failed, first.rest_failed) == ("C", 20, 5)
    assert first.stands_out
    assert first.rate.low > 3
    assert first.chance_among_lots >= first.rate.chance
    said = comparison_words(first)
    assert "times the failures of the rest" in said
    assert not any(word in said for word in ("fail.", "condemn", "recall", "reject"))


def test_a_small_lot_proves_little() -> None:
    answer = learn([*lot("A", 60, 6), *lot("B", 4, 1)])
    small = next(one for one in answer.comparisons if one.lot == "B")
    assert not small.stands_out
    assert small.rate.low < 1 < small.rate.high
    assert "both more and fewer" in comparison_words(small)


def test_lots_are_compared_within_their_model() -> None:
    answer = learn([*lot("A", 30, 2, "dry"), *lot("B", 30, 2, "dry"), *lot("C", 30, 20, "wet")])
    assert {one.lot for one in answer.comparisons} == {"A", "B"}
    assert {group.name for group in answer.models} == {"dry", "wet"}


def test_few_failures_are_compared_by_the_time_followed() -> None:
    answer = learn([*lot("A", 10, 1), *lot("B", 30, 1)])
    assert not answer.comparisons[0].by_law
    assert sum(one.expected for one in answer.comparisons) == pytest.approx(2)
    assert any("cannot be fitted" in sentence for sentence in group_words(answer.fleet))
    none = learn([*lot("A", 10, 0), *lot("B", 30, 0)])
    assert "nothing failed" in comparison_words(none.comparisons[0])


def test_units_never_looked_at_count_for_nothing() -> None:
    answer = learn([*lot("A", 10, 3), followed(99)])
    assert answer.never_looked_at == ("99",)
    assert answer.fleet.units == 10
    with pytest.raises(Refusal, match="nothing can be learned"):
        learn([followed(1), followed(2)])
