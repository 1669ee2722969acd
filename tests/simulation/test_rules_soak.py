"""A million random units: the engine against a plain reader, one unit at a time; and what is not said only widens."""

from __future__ import annotations

import os
from collections import Counter
from datetime import date

import numpy as np
import pytest
from plain_rules import PlainDue, PlainUnit
from random_fleet import ON, random_fleet, said_less

from pinseal.dates import from_day_number
from pinseal.rules.columns import Fleet
from pinseal.rules.dues import evaluate
from pinseal.rules.matching import COMPONENT_DUTIES
from pinseal.rules.result import NO, STATE_CODES, WITHDRAW, Evaluation
from pinseal.rules.tables import FAR
from pinseal.standards import choose_packs
from pinseal.standards.model import ATTRIBUTES

MILLION = 1_000_000
SEED = int(os.environ.get("SEEDS", "20261124").split(",")[0])
CHOICES: tuple[tuple[str, date], ...] = (
    ("us-osha", ON),
    ("us-nfpa10", ON),
    ("us-dot", ON),
    ("us-ca", ON),
    ("gb", ON),
    ("au", ON),
    ("imo", ON),
    ("us-osha,us-nfpa10,us-dot", ON),
    ("us-ca,us-nfpa10,us-osha,us-dot", date(2024, 2, 29)),
    ("gb,au,imo", ON),
    ("us-nfpa10@2010,us-ca", date(2012, 6, 1)),
    ("imo,au,gb,us-ca,us-dot,us-nfpa10,us-osha", ON),
)


def plate_of(fleet: Fleet, row: int) -> dict[str, str]:
    return {name: ATTRIBUTES[name][codes[row]] for name, codes in fleet.attributes.items()}


def facts_of(fleet: Fleet, row: int) -> dict[str, tuple[date, date]]:
    return {
        fact: (from_day_number(int(days[row])), from_day_number(int(fleet.latest[fact][row])))
        for fact, days in fleet.earliest.items()
        if days[row] >= 0
    }


def engine_dues(found: Evaluation, row: int) -> dict[str, PlainDue]:
    """What the engine says of one unit, in the shape of the plain reader."""
    said = {}
    for duty, dues in found.duties.items():
        state = int(dues.state[row])
        if state == NO:
            continue
        days = int(dues.earliest[row]), int(dues.latest[row])
        span = None if days[0] == FAR else (from_day_number(days[0]), from_day_number(days[1]))
        governing = int(dues.governing[row])
        said[duty] = PlainDue(span, found.voices[governing].pack if governing >= 0 else None, STATE_CODES[state])
    return said


def compare(size: int, sample: int, packs: str, on: date, seed: int) -> Counter[str]:
    """The engine over `size` units; `sample` of them read plainly. Returns how often each state came."""
    fleet, chosen = random_fleet(size, seed), choose_packs(packs.split(","))
    found = evaluate(fleet, chosen, on)
    states: Counter[str] = Counter()
    for row in np.random.default_rng(seed + 1).choice(size, sample, replace=False):
        plate, facts = plate_of(fleet, int(row)), facts_of(fleet, int(row))
        plain, engine = PlainUnit(plate, facts, chosen, on).dues, engine_dues(found, int(row))
        assert engine == plain, f"seed {seed}, unit {row}, packs {packs}, on {on}: {plate}, {facts}: engine {engine}, plain reader {plain}"
        states.update(due.state for due in plain.values())
    return states


def check_containment(size: int, packs: str, on: date, seed: int) -> int:
    """What is not said leaves every plausible due inside. Returns how many dues were compared and wider."""
    full, chosen = random_fleet(size, seed), choose_packs(packs.split(","))
    less = said_less(full, seed + 2)
    known, vague = evaluate(full, chosen, on), evaluate(less, chosen, on)
    wider = 0
    for duty, exact in known.duties.items():
        wide = vague.duties.get(duty)
        owed = exact.state != NO
        if wide is None:
            assert duty in COMPONENT_DUTIES or duty == "retirement" or not owed.any(), f"seed {seed}, packs {packs}: no row says {duty}"
            continue
        if duty == "retirement":  # of a unit that may escape, nothing is said: it is never withdrawn on a guess
            guessed = (wide.state == WITHDRAW) & (exact.state != WITHDRAW)
            assert not guessed.any(), f"seed {seed}, packs {packs}: unit {np.flatnonzero(guessed)[0]} is withdrawn on a guess"
            continue
        if duty not in COMPONENT_DUTIES:
            silent = owed & (wide.state == NO)
            assert not silent.any(), f"seed {seed}, packs {packs}, {duty}: nothing is said of unit {np.flatnonzero(silent)[:1]}"
        if duty in COMPONENT_DUTIES and len(chosen) > 1:
            continue  # a pack that is silent of a part that may not be there does not make the due of another pack earlier
        dated = owed & (wide.state != NO) & (exact.earliest != FAR) & (wide.earliest != FAR)
        outside = dated & ((exact.earliest < wide.earliest) | (exact.latest > wide.latest))
        for row in np.flatnonzero(outside)[:1]:
            unsaid = [name for name, codes in less.attributes.items() if codes[row] < 0]
            spans = [(from_day_number(int(d.earliest[row])), from_day_number(int(d.latest[row]))) for d in (exact, wide)]
            raise AssertionError(
                f"seed {seed}, packs {packs}, {duty}, {int(outside.sum())} units: unit {row} {plate_of(full, int(row))}, "
                f"not said {unsaid}: {spans[0]} is not in {spans[1]}; {facts_of(full, int(row))}"
            )
        wider += int((dated & ((exact.earliest > wide.earliest) | (exact.latest < wide.latest))).sum())
    return wider


@pytest.mark.parametrize(("packs", "on"), [CHOICES[8], CHOICES[9]])
def test_some_units_are_read_alike(packs: str, on: date) -> None:
    states = compare(4_000, 400, packs, on, seed=1)
    assert set(states) >= {"overdue", "may be overdue", "ahead", "unknown", "withdraw"}


def test_some_units_are_read_alike_where_one_pack_leaves_much_unsaid() -> None:
    assert compare(4_000, 200, *CHOICES[2], seed=1)["unknown"] > 100


@pytest.mark.parametrize(("packs", "on"), [CHOICES[7], CHOICES[2]])
def test_some_units_that_say_less_are_only_wider(packs: str, on: date) -> None:
    assert check_containment(4_000, packs, on, seed=1) > 10


@pytest.mark.soak
@pytest.mark.parametrize(("packs", "on"), CHOICES)
def test_a_million_units_are_read_alike(packs: str, on: date) -> None:
    print(f"seed {SEED}")
    assert len(compare(MILLION, 4_000, packs, on, SEED)) >= 3


@pytest.mark.soak
@pytest.mark.parametrize(("packs", "on"), CHOICES)
def test_a_million_units_that_say_less_are_only_wider(packs: str, on: date) -> None:
    print(f"seed {SEED}")
    check_containment(MILLION, packs, on, SEED)
