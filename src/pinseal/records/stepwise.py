"""A history step by step: each fact with the unit as it stood just before it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.fold import Building, built, take
from pinseal.records.record import Record, distinct
from pinseal.records.unit import UnitState


def states_before(records: Iterable[Record]) -> Iterator[tuple[Fact, UnitState]]:
    """The facts of one unit in order, corrections applied, each with the state that the facts before it give."""
    kept, _ = distinct(records)
    facts, _ = apply_corrections(kept)
    building, passed = Building(), list[Fact]()
    for fact in facts:
        yield fact, built(building, kept[0].unit, passed).state
        take(building, fact, None)
        passed.append(fact)
