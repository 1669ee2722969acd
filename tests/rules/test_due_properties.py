"""What must hold for every unit, whatever its nameplate and history."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st
from rule_strategies import DEEDS, ON, OPENED, choices, histories, partial_dates, plates, units
from trade_cases import nameplate

from pinseal.dates import PartialDate
from pinseal.records.unit import UnitState, with_recharge
from pinseal.rules.rows import Due, PackDue
from pinseal.service.duelist import due_list
from pinseal.standards import choose_packs, held_packs

PACKS = tuple(held_packs())

# Documents that themselves make a due earlier after a deed: twelve years and then seven; six years from manufacture and
# then five; a test that is joined with the annual of its year.
EARLIER_BY_RULE = {("us-dot", "hydrostatic-test"), ("gb", "internal-examination"), ("us-ca", "hydrostatic-test")}

# Provisions whose day comes from what the other packs give.
LEANS_ON_OTHERS = {"hydrostatic-with-the-annual", "dry-chemical-before-october-1984"}


def rows(state: UnitState, packs: Sequence[str]) -> dict[str, Due]:
    return {due.duty: due for due in due_list([state], choose_packs(packs), ON).all()}


def counting(due: Due) -> list[PackDue]:
    """The packs that count, beside the one that governs."""
    return [o for o in due.others if o.latest and o.governing and o.governing.checked != "unsure"]


def lies_in(inner: Due, outer: Due) -> bool:
    assert inner.earliest and inner.latest and outer.earliest and outer.latest
    return outer.earliest <= inner.earliest and inner.latest <= outer.latest


@given(units(vague=True), choices(), st.integers(0, 400))
def test_the_ends_are_in_order_and_the_state_follows_from_them(state: UnitState, packs: list[str], horizon: int) -> None:
    for due in due_list([state], choose_packs(packs), ON, horizon_days=horizon).all():
        assert (due.earliest is None) == (due.latest is None) == (due.state == "unknown")
        if due.earliest and due.latest:
            assert due.earliest <= due.latest
            assert due.not_before is None or due.not_before <= due.earliest
            late = "withdraw" if due.duty == "retirement" else "overdue"
            ahead = "due" if (due.earliest - ON).days <= horizon else "ahead"
            assert due.state == (late if due.latest < ON else "may be overdue" if due.earliest < ON else ahead)


@given(units(vague=True), choices())
def test_an_unknown_due_says_what_is_missing_or_why(state: UnitState, packs: list[str]) -> None:
    for due in due_list([state], choose_packs(packs), ON).all():
        assert due.because
        assert due.earliest or due.missing or "table" in " ".join(due.because).lower() or "not" in " ".join(due.because)


@given(plates(), histories(), choices())
def test_the_least_latest_governs(said: dict[str, Any], dates: dict[str, PartialDate], packs: list[str]) -> None:
    order = list(packs)
    for due in rows(UnitState(nameplate=nameplate(said), dates=dates, test_method="water-jacket"), packs).values():
        if due.earliest is None or due.governing is None:
            continue
        others = counting(due)
        # The row's own pack is not repeated in others; alone it is asked for by itself.
        own = rows(UnitState(nameplate=nameplate(said), dates=dates, test_method="water-jacket"), [due.governing.pack])
        mine = due if due.governing.provision in LEANS_ON_OTHERS else own[due.duty]
        keys = {o.pack: (o.latest, o.earliest, order.index(o.pack)) for o in others}
        keys[due.governing.pack] = (mine.latest, mine.earliest, order.index(due.governing.pack))
        assert min(keys, key=lambda pack: keys[pack]) == due.governing.pack
        assert due.latest == min(key[0] for key in keys.values())
        assert due.earliest == min(key[1] for key in keys.values())


@given(plates(), histories(), st.sampled_from(PACKS), st.sampled_from(DEEDS), st.sampled_from(OPENED), st.data())
def test_a_later_record_never_makes_a_due_earlier(
    said: dict[str, Any], dates: dict[str, PartialDate], pack: str, deed: str, opened: bool | None, data: st.DataObject
) -> None:
    done = data.draw(partial_dates(max((d.latest for d in dates.values() if d.latest <= ON), default=date(1990, 1, 1))))
    before = UnitState(nameplate=nameplate(said), dates=dates, test_method="proof-pressure")
    after = replace(before, dates=with_recharge(dates, done, opened=opened) if deed == "recharge" else {**dates, deed: done})
    packs = [pack] if pack != "us-ca" else ["us-ca", "us-osha"]
    was = rows(before, packs)
    for duty, due in rows(after, packs).items():
        known = was.get(duty)
        if known and known.earliest and due.earliest and (pack, duty) not in EARLIER_BY_RULE:
            assert known.earliest <= due.earliest
            assert known.latest <= due.latest  # type: ignore[operator]


@given(plates(), histories(exact=True), st.data())
def test_knowing_less_of_a_date_only_widens_the_due(said: dict[str, Any], dates: dict[str, PartialDate], data: st.DataObject) -> None:
    assume(dates)
    fact = data.draw(st.sampled_from(sorted(dates)))
    packs = data.draw(choices(most=2))
    day = dates[fact].earliest
    wider = data.draw(st.sampled_from([PartialDate(day.year), PartialDate(day.year, day.month)]))
    exact = UnitState(nameplate=nameplate(said), dates=dates, test_method="proof-pressure")
    vague = rows(replace(exact, dates={**dates, fact: wider}), packs)
    # A label that shows only a year is due on 1 January of the next: California says so, and it is no widening.
    by_rule = fact == "manufactured" and wider.month is None and "us-ca" in packs
    for duty, due in rows(exact, packs).items():
        if due.earliest and not (by_rule and duty in ("maintenance", "hydrostatic-test")):
            assert vague[duty].earliest is None or lies_in(due, vague[duty]), duty


@given(plates(), histories(), choices(most=2), st.data())
def test_knowing_more_of_the_nameplate_only_narrows_the_due(
    said: dict[str, Any], dates: dict[str, PartialDate], packs: list[str], data: st.DataObject
) -> None:
    unsaid = data.draw(st.lists(st.sampled_from(["expelled_by", "shell", "wheeled", "hose", "water_capacity"]), min_size=1, unique=True))
    # Two documents that are silent on different readings (ships on wheeled units, NFPA 10 on driven powder in aluminium)
    # bound each other's late end: a known limit of the engine.
    assume(not ("imo" in packs and len(packs) > 1 and "wheeled" in unsaid))
    learnt = data.draw(st.sampled_from(sorted(unsaid)))
    vague_plate = {name: None if name in unsaid else value for name, value in said.items()}
    vague = UnitState(nameplate=nameplate(vague_plate), dates=dates, test_method="proof-pressure")
    fuller = replace(vague, nameplate=nameplate({**vague_plate, learnt: said[learnt]}))
    was = rows(vague, packs)
    for duty, due in rows(fuller, packs).items():
        known = was.get(duty)
        if duty == "retirement" or not (known and known.earliest and due.earliest):
            continue
        assert lies_in(due, known), f"{duty}: {due.earliest} to {due.latest} is not in {known.earliest} to {known.latest}"


@given(st.lists(units(vague=True), min_size=1, max_size=8), choices())
def test_a_fleet_is_its_units_one_by_one(states: list[UnitState], packs: list[str]) -> None:
    together = list(due_list(states, choose_packs(packs), ON).all())
    apart = [replace(due, index=i) for i, state in enumerate(states) for due in due_list([state], choose_packs(packs), ON).all()]
    assert together == apart
    assert [(d.index, d.duty) for d in together] == sorted((d.index, d.duty) for d in together)


@given(st.lists(units(vague=True), min_size=2, max_size=8), choices(most=2), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(states: list[UnitState], packs: list[str], chance: Any) -> None:
    places = list(range(len(states)))
    chance.shuffle(places)
    mixed = due_list([states[p] for p in places], choose_packs(packs), ON)
    plain = due_list(states, choose_packs(packs), ON)
    for index, place in enumerate(places):
        assert [replace(due, index=place) for due in mixed.of_unit(index)] == plain.of_unit(place)
