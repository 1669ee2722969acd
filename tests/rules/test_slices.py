"""A fleet in many slices, on threads, and by both ways of finding its nameplates: always the same answer."""

from datetime import date
from itertools import product

import numpy as np
import pytest
from trade_cases import KINDS, state

from pinseal.records.unit import UnitState
from pinseal.rules import columns as columns_module
from pinseal.rules import slices
from pinseal.rules.columns import columns, parse_assumptions
from pinseal.rules.dues import evaluate
from pinseal.rules.result import Evaluation
from pinseal.standards import choose_packs

ON = date(2026, 11, 24)
PACKS = ("us-osha,us-nfpa10,us-dot,us-ca", "gb,au,imo", "us-nfpa10@2010")


def a_fleet() -> list[UnitState]:
    """Every kind of unit at several ages, some with a fact taken from the plate; an odd number of them."""
    ages = ("1953", "1984-09", "2014", "2021-06-10", "2026-11-24")
    unsaid = ({}, {"shell": "not said"}, {"wheeled": "not said", "rechargeable": "not said"}, {"cylinder_specification": "4BW500"})
    fleet = [
        state(kind, {"manufactured": made, "maintenance": "2025-12-10", "recharge": "2022"}, but=but)
        for (number, kind), made, but in product(enumerate(KINDS), ages, unsaid)
        if number % 2 or made != "1953"
    ]
    return [*fleet, state("steel powder", {}), state("water", {"hydrostatic-test": "2030-01-01"})][: len(fleet) // 2 * 2 + 1]


def same(one: Evaluation, other: Evaluation) -> None:
    assert one.duties.keys() == other.duties.keys()
    assert one.spoken.keys() == other.spoken.keys()
    for duty in one.duties:
        for name in ("earliest", "latest", "state", "governing"):
            assert np.array_equal(getattr(one.duties[duty], name), getattr(other.duties[duty], name)), f"{duty}, {name}"
    for key, dues in one.spoken.items():
        assert np.array_equal(dues.earliest, other.spoken[key].earliest)
        assert np.array_equal(dues.latest, other.spoken[key].latest)
        if dues.not_before is not None:
            dated = dues.earliest != 2**31 - 1
            assert np.array_equal(dues.not_before[dated & (dues.earliest >= 0)], other.spoken[key].not_before[dated & (dues.earliest >= 0)])


@pytest.mark.parametrize("packs", PACKS)
@pytest.mark.parametrize("length", [1, 7, 64])
def test_small_slices_give_the_same_as_one(packs: str, length: int, monkeypatch: pytest.MonkeyPatch) -> None:
    fleet, chosen = a_fleet(), choose_packs(packs.split(","))
    whole = evaluate(columns(fleet), chosen, ON)
    monkeypatch.setattr(slices, "SLICE", length)
    same(whole, evaluate(columns(fleet), chosen, ON))


@pytest.mark.parametrize("packs", PACKS)
def test_a_large_fleet_finds_its_nameplates_as_a_small_one_does(packs: str, monkeypatch: pytest.MonkeyPatch) -> None:
    fleet, chosen = a_fleet(), choose_packs(packs.split(","))
    small = evaluate(columns(fleet), chosen, ON)
    monkeypatch.setattr(columns_module, "_SMALL", 0)
    same(small, evaluate(columns(fleet), chosen, ON))


def test_the_fleet_of_the_test_holds_every_state() -> None:
    found = evaluate(columns(a_fleet()), choose_packs(PACKS[0].split(",")), ON)
    assert {int(code) for dues in found.duties.values() for code in dues.state} == set(range(7))


def test_an_empty_fleet_has_no_rows() -> None:
    assert evaluate(columns([]), choose_packs(["us-osha"]), ON).duties.keys() <= {"inspection", "maintenance", "hydrostatic-test"}


def test_an_assumption_marks_only_the_units_that_did_not_say() -> None:
    fleet = columns([state("steel powder", {}), state("steel powder", {}, but={"shell": "not said"})], parse_assumptions("shell=aluminium"))
    assert fleet.assumed["shell"].tolist() == [False, True]
