"""What must hold at every place after every round, whatever the post did and wherever the power failed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from places import Place
from world import PACKS, World

from pinseal.records.fold import Unit, fold_all
from pinseal.records.record import Record
from pinseal.service.duelist import due_list
from pinseal.standards import choose_packs, held_packs
from pinseal.store import Shop

# The one mark that speaks of the day of receipt, which is each place's own.
_OF_RECEIPT = "it is dated after the day on which it was received"


def check_round(world: World) -> None:
    """Everything that is checked after each round, at every place."""
    states = {}
    for place in world.places.values():
        _nothing_is_lost(world, place)
        _chains_hold_as_far_as_they_reach(world, place)
        states[place.name] = _the_projection_is_the_full_fold(world, place)
        _repeats_change_nothing(world, place)
    _same_records_same_state(world, states)
    _a_fleet_is_its_units(world, world.random.choice(list(world.places.values())))


def _nothing_is_lost(world: World, place: Place) -> None:
    records = place.shop.records()
    assert {record.uid: record.digest for record in records} == place.kept, f"{place.name} does not hold what it acknowledged"
    assert len(records) == len(place.kept), f"{place.name} holds a record twice"
    for record in records:
        assert _bare(record) == _bare(world.true[record.uid]), f"{place.name} holds another record {record.uid}"


def _bare(record: Record) -> Record:
    return replace(record, received=None)


def _chains_hold_as_far_as_they_reach(world: World, place: Place) -> None:
    """Each chain is as long as the place has its records without a gap; the rest of them wait; nothing is broken."""
    proof = place.shop.verify()
    assert proof.problems == (), f"{place.name}: {proof.problems}"
    assert proof.receipts.length == proof.records == len(place.kept)
    assert {chain.writer for chain in proof.chains} == {world.true[uid].writer for uid in place.kept}
    for chain in proof.chains:
        whole = world.chains[chain.writer]
        reach = next((number for number, record in enumerate(whole) if record.uid not in place.kept), len(whole))
        waiting = sum(record.uid in place.kept for record in whole[reach:])
        head = whole[reach - 1].digest if reach else ""
        assert (chain.length, chain.head, chain.waiting) == (reach, head, waiting), (
            f"{place.name} tells the chain of {chain.writer} wrongly"
        )
        assert not waiting or chain.writer != place.name, f"{place.name} has a gap in its own chain"


def _the_projection_is_the_full_fold(world: World, place: Place) -> dict[str, Any]:
    kept = place.shop.units()
    folded = place.shop.state()
    assert kept == [unit.state for unit in folded.values()], f"{place.name}: the projection is not the full fold"
    if world.random.random() < 0.2:
        place.shop.rebuild()
        assert place.shop.units() == kept, f"{place.name}: a rebuilt projection differs"
    records = place.shop.records()
    mixed = [*records, *world.random.sample(records, len(records) // 3)]
    world.random.shuffle(mixed)
    assert fold_all(mixed) == folded, f"{place.name}: the order of the records changes the state"
    past = world.today.replace(year=world.today.year - world.random.randrange(4), day=1)
    assert fold_all(mixed, past) == place.shop.state(past), f"{place.name}: the order of the records changes a past state"
    return {uid: _shared(unit) for uid, unit in folded.items()}


def _shared(unit: Unit) -> Unit:
    """A unit without what each place says for itself: when it received the records."""
    facts = tuple(replace(fact, received=None) for fact in unit.facts)
    return replace(unit, facts=facts, marks=tuple(mark for mark in unit.marks if mark.text != _OF_RECEIPT))


def _repeats_change_nothing(world: World, place: Place) -> None:
    records = place.shop.records()
    if not records:
        return
    before = place.shop.verify().heads()
    again = [_bare(record) for record in world.random.choices(records, k=min(40, len(records)))]
    taken = place.shop.append(again, received=place.clock(world.now))
    assert taken.new == (), f"{place.name} took a record twice"
    assert place.shop.verify().heads() == before, f"{place.name}: a repeat changed a chain"


def _same_records_same_state(world: World, states: dict[str, dict[str, Any]]) -> None:
    """Places compared unit by unit: where both have the same records of a unit, they have the same unit."""
    held: dict[tuple[str, frozenset[str]], tuple[str, Any]] = {}
    for name, units in states.items():
        by_unit: dict[str, set[str]] = {}
        for uid in world.places[name].kept:
            by_unit.setdefault(world.true[uid].unit, set()).add(uid)
        for unit, uids in by_unit.items():
            other, state = held.setdefault((unit, frozenset(uids)), (name, units[unit]))
            assert state == units[unit], f"{name} and {other} have the same records of unit {unit}, and not the same state"


def _a_fleet_is_its_units(world: World, place: Place) -> None:
    states = place.shop.units()
    chosen = choose_packs(world.random.sample(sorted(held_packs()), world.random.randint(1, 3)))
    together = list(due_list(states, chosen, world.today).all())
    apart = [replace(due, index=i) for i, state in enumerate(states) for due in due_list([state], chosen, world.today).all()]
    assert together == apart, f"{place.name}: the dues of the fleet are not those of its units"


def check_end(world: World) -> None:
    """After everything reached everybody: one state everywhere, whole chains, the same dues."""
    check_round(world)
    wanted = fold_all(_bare(record) for record in world.true.values())
    for place in world.places.values():
        assert place.kept.keys() == world.true.keys(), f"{place.name} did not get everything"
        assert not any(chain.waiting for chain in place.shop.verify().chains), f"{place.name} still waits for a record"
        assert {uid: _shared(unit) for uid, unit in place.shop.state().items()} == {uid: _shared(unit) for uid, unit in wanted.items()}
    dues = [list(due_list(place.shop.units(), choose_packs(PACKS), world.today).all()) for place in world.places.values()]
    assert all(each == dues[0] for each in dues), "the same records give other dues elsewhere"


def check_backup(world: World, place: Place) -> None:
    """A backup taken now restores, verifies, and says the same."""
    folder = world.folder / f"backup-{world.counts.get('backup', 0)}"
    folder.mkdir()
    world.say(f"backup: {place.name}")
    made = place.shop.backup(folder / "copy.shop")
    restored = Shop.restore(folder / "copy.shop", folder / "again.shop")
    heads = place.shop.verify().heads()
    assert made.proof.heads() == restored.proof.heads() == heads
    with Shop.open(folder / "again.shop") as again:
        assert everything(again) == everything(place.shop), "a restored shop says something else"


def everything(shop: Shop) -> dict[str, list[dict[str, Any]]]:
    return {name: list(rows) for name, rows in shop.export()}
