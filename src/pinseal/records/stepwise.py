"""A history step by step: each fact with the unit as it stood just before it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from pinseal.dates import PartialDate, parse_date
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.fold import Building, built, take
from pinseal.records.record import Record, distinct
from pinseal.records.record_kinds import FACT_OF_FIELD, KINDS, ORIGINS
from pinseal.records.unit import UnitState

# What a later list says of its own day alone: it was not so before.
_OF_ITS_DAY = ("removed", "placeholder", "site", "place")


def states_before(records: Iterable[Record]) -> Iterator[tuple[Fact, UnitState]]:
    """The facts of one unit in order, corrections applied, each with the state just before it.

    That state comes from the facts before it, and from what a list that was read later says was true by then: its
    nameplate, and the dates that lie before the fact.
    """
    kept, _ = distinct(records)
    facts, _ = apply_corrections(kept)
    building, passed = Building(), list[Fact]()
    for place, fact in enumerate(facts):
        later = [other for other in facts[place + 1 :] if _is_knowledge(other)]
        if later:
            yield fact, _with_later(passed, later, fact, kept[0].unit)
        else:
            yield fact, built(building, kept[0].unit, passed).state
        take(building, fact, None)
        passed.append(fact)


def _is_knowledge(fact: Fact) -> bool:
    return fact.kind in KINDS and KINDS[fact.kind].knowledge


def _with_later(passed: Sequence[Fact], later: Sequence[Fact], fact: Fact, unit: str) -> UnitState:
    building = Building()
    known = [replace(other, fields=_true_before(other.fields, fact.done)) for other in later]
    for each in (*known, *passed):
        take(building, each, None)
    return built(building, unit, [*known, *passed]).state


def _true_before(said: Mapping[str, str], done: PartialDate) -> dict[str, str]:
    """The fields of a later list that were true just before a day."""
    return {name: value for name, value in said.items() if name not in _OF_ITS_DAY and not _too_late(name, value, done)}


def _too_late(name: str, value: str, done: PartialDate) -> bool:
    """Whether a dated field lies after a deed. One that may be the very deed does too; an origin comes before any deed."""
    if name not in FACT_OF_FIELD:
        return False
    dated = parse_date(value)
    return dated.earliest > done.latest if name in ORIGINS else dated.latest >= done.earliest
