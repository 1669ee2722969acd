"""A search that is narrowed to some sites answers as if there were no others: no word, no count and no order tells of them."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from pinseal.records.unit import Nameplate, UnitState
from pinseal.service.search import Found, UnitIndex
from pinseal.units import Quantity

SITES = ("Mill", "School", "Pier")
PLACES = ("Boiler, left", "Boilers", "Kitchen", "Reading room", "Vestry", "Turbine hall", "Kitchens, upper")
QUESTIONS = (
    "boiler", "vestry", "vestri", "turbin", "turbine kitchen", "kitchen 2014", "kitchin boiler", "room 5lb", "q-1", "q1", "tag-3", "10 lb",
    "reading kitchen turbine vestry", "zzzz", "kitch", "the", "co2 boiler left", "mill", "pier",
)  # fmt: skip


def units_of(seed: int) -> tuple[list[UnitState], dict[str, tuple[str, ...]]]:
    dice = Random(seed)
    plates = [Nameplate(agent=agent, size=Quantity(value=size, unit="lb")) for agent in ("abc", "co2") for size in (5.0, 10.0)]
    states = [
        UnitState(uid=f"u{n}", id=f"Q-{n}", site=dice.choice(SITES), place=dice.choice(PLACES), nameplate=dice.choice(plates))
        for n in range(dice.choice((0, 1, 4, 30)))
    ]
    return states, {f"u{n}": (f"tag-{n}",) for n in range(len(states)) if n % 3 == 0}


def told(found: Found, states) -> tuple[object, ...]:
    """A finding without the places in the list, which differ."""
    return [(states[hit.index].uid, hit.words) for hit in found.hits], found.unknown, found.near, found.more


@pytest.mark.parametrize("seed", range(12))
def test_it_is_as_if_there_were_no_other_sites(seed: int) -> None:
    states, names = units_of(seed)
    index = UnitIndex(states, names)
    for only in (frozenset({"Mill"}), frozenset({"Mill", "Pier"}), frozenset({"nowhere"})):
        own = [state for state in states if state.site in only]
        alone = UnitIndex(own, names)
        for text in QUESTIONS:
            assert told(index.find(text, only=only, most=3), states) == told(alone.find(text, most=3), own), text


def test_it_stays_so_after_a_unit_came_to_another_site() -> None:
    states, names = units_of(3)
    moved = [replace(state, site="School", place="Vestry") for state in states if state.site == "Mill"]
    index = UnitIndex(states, names).with_changes(moved, names)
    found = index.find("vestry", only=frozenset({"Mill"}))
    assert (found.hits, found.unknown) == ((), ("vestry",))


def test_a_word_of_another_site_is_one_that_no_unit_has() -> None:
    states = [UnitState(uid="a", id="A-1", site="Mill", place="Boiler"), UnitState(uid="b", id="B-1", site="Pier", place="Reactor boiler")]
    index = UnitIndex(states)
    found = index.find("reactor boiler", only=frozenset({"Mill"}))
    assert ([hit.index for hit in found.hits], found.unknown, found.near) == ([0], ("reactor",), ())
    assert index.find("reactr", only=frozenset({"Mill"})).near == ()
    assert index.find("reactr").near == (("reactr", "reactor"),)
