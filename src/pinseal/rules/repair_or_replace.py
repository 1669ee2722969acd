"""Repair or replace: what a unit comes to over the years ahead, against a new one in its place over the same years.

Today's prices, no interest, no inflation; monthly inspections are the same either way and are not counted. What has no price makes a
side a lower bound, and then the answer is only given where it holds whatever that comes to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from pinseal.money import Money, total
from pinseal.rules.price_book import percent_words
from pinseal.rules.quoting import Line, Unpriced

ANSWERS = {
    "keep": "keep the unit",
    "replace": "replace the unit",
    "too close": "too close to call",
    "unknown": "unknown",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """One thing to be paid for, and the day on which it is due."""

    on: date
    line: Line

    def as_json(self) -> dict[str, Any]:
        return {"on": self.on.isoformat(), **self.line.as_json()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One of the two ways: its costs by day, what has no price, and what is not known of it."""

    currency: str
    costs: tuple[Cost, ...]
    unpriced: tuple[Unpriced, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def total(self) -> Money:
        return total((each.line.amount for each in self.costs), self.currency)

    @property
    def is_whole(self) -> bool:
        return not self.unpriced and not self.unknown

    @property
    def missing(self) -> tuple[str, ...]:
        """What the total lacks, each once."""
        return tuple(dict.fromkeys([*(f"{each.words}: {each.reason}" for each in self.unpriced), *self.unknown]))

    def as_json(self) -> dict[str, Any]:
        return {
            "total_minor": self.total.minor,
            "currency": self.currency,
            "whole": self.is_whole,
            "missing": list(self.missing),
            "costs": [each.as_json() for each in self.costs],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """The answer (a key of `ANSWERS`) with why, the two sides, and the margin within which it is too close to call."""

    answer: str
    because: tuple[str, ...]
    keep: Side
    replace: Side
    margin: Money

    def as_json(self) -> dict[str, Any]:
        return {
            "answer": self.answer,
            "because": list(self.because),
            "keep": self.keep.as_json(),
            "replace": self.replace.as_json(),
            "margin_minor": self.margin.minor,
        }


def weigh(keep: Side, new: Side, *, margin_percent: Fraction, must_go: Sequence[str] = ()) -> Weighed:
    """Which way costs less. `must_go` are reasons for which the unit may not be kept whatever it costs."""
    larger = max(keep.total.minor, new.total.minor)
    margin = Money(int(larger * margin_percent / 100), keep.currency)
    answer, because = _answer(keep, new, margin.minor, margin_percent, must_go)
    return Weighed(answer=answer, because=because, keep=keep, replace=new, margin=margin)


def _answer(keep: Side, new: Side, margin: int, percent: Fraction, must_go: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    if must_go:
        return "replace", tuple(must_go)
    more = keep.total.minor - new.total.minor
    within = f"the margin is {percent_words(percent)} % of the dearer way: {Money(margin, keep.currency)}"
    # A sum that lacks something can only grow: what it says already may be enough.
    if more > margin and new.is_whole:
        return "replace", (_less("a new unit", more, keep), within, *_lacks("keeping it", keep))
    if -more > margin and keep.is_whole:
        return "keep", (_less("keeping it", -more, keep), within, *_lacks("a new unit", new))
    if keep.is_whole and new.is_whole:
        return "too close", (f"the two ways differ by {Money(abs(more), keep.currency)}", within)
    return "unknown", (*_lacks("keeping it", keep), *_lacks("a new unit", new))


def _less(way: str, minor: int, side: Side) -> str:
    return f"{way} costs {Money(minor, side.currency)} less"


def _lacks(way: str, side: Side) -> tuple[str, ...]:
    return tuple(f"what {way} costs lacks {each}" for each in side.missing)
