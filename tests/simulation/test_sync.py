"""The bad day: devices and an office that write about the same units, over a post that loses, repeats, delays and shuffles.

Everything comes from a seed that each failure prints. After each round: what was acknowledged is there, places that hold
the same records hold the same states, every chain verifies, and the projection is what a full fold gives.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from pinseal.dates import PartialDate
from pinseal.reasons import ShopUnusable
from pinseal.records.fold import fold_all
from pinseal.records.record import FIRST, Draft, Record, seal, uuid7
from pinseal.rules.columns import columns
from pinseal.rules.dues import evaluate
from pinseal.standards import choose_packs
from pinseal.store import Settings, Shop

START = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)
UNITS = tuple(uuid7(at=START, randomness=n.to_bytes(8, "big"), sequence=n) for n in range(6))
DEEDS = ("inspected", "maintained", "opened", "tested", "recharged", "moved", "noted", "not-done")


@dataclass
class Device:
    """A phone: its own chain, its outbox, and a clock that may be wrong."""

    name: str
    clock_off: timedelta
    head: str = FIRST
    made: list[Record] = field(default_factory=list)
    waiting: dict[str, Record] = field(default_factory=dict)

    def write(self, rng: Random, now: datetime, number: int) -> None:
        draft = _draft(rng, (now + self.clock_off).date(), [r.uid for r in self.made if r.kind not in ("corrected", "registered")])
        uid = uuid7(at=now + self.clock_off, randomness=rng.randbytes(8), sequence=number)
        record = seal(draft, uid=uid, writer=self.name, previous=self.head)
        self.head = record.digest
        self.made.append(record)
        self.waiting[record.uid] = record


def _draft(rng: Random, day: date, mine: list[str]) -> Draft:
    unit, kind = rng.choice(UNITS), rng.choice(DEEDS)
    done = rng.choice((PartialDate.of(day), PartialDate(day.year, day.month), PartialDate(day.year)))
    fields = {
        "moved": {"place": f"bay {rng.randint(1, 9)}"},
        "noted": {"note": "invented"},
        "not-done": {"reason": "no access"},
        "recharged": rng.choice(({"opened": "yes"}, {"opened": "no"}, {})),
        "tested": rng.choice(({"method": "proof-pressure"}, {"result": "fail"}, {})),
    }.get(kind, {})
    if mine and rng.random() < 0.1:
        return Draft(
            kind="corrected", unit=unit, person="B. Tide", done=PartialDate.of(day), fields={"corrects": rng.choice(mine), "void": "yes"}
        )
    return Draft(kind=kind, unit=unit, person="B. Tide", done=done, fields=fields)


def _registering() -> list[Draft]:
    plate = {
        "agent": "abc",
        "expelled-by": "stored-pressure",
        "shell": "mild-steel",
        "rechargeable": "yes",
        "manufactured": "2014-06",
        "site": "Pier",
    }
    return [
        Draft(kind="registered", unit=u, person="office", done=PartialDate(2026, 1, 5), fields={**plate, "id": f"P-{n}"})
        for n, u in enumerate(UNITS)
    ]


def _post(rng: Random, device: Device, shop: Shop, now: datetime) -> list[str]:
    """One try to send: some records are lost on the way, some are sent again, the order is anybody's guess."""
    batch = [r for r in device.waiting.values() if rng.random() < 0.7]
    batch += [r for r in device.made if rng.random() < 0.1]
    rng.shuffle(batch)
    if not batch:
        return []
    taken = shop.append(batch, received=now)
    if rng.random() < 0.3:
        return []  # the answer is lost: the device will send again
    return [*taken.new, *taken.known]


def _check(shop: Shop, acknowledged: set[str], devices: list[Device]) -> None:
    held = {r.uid: r for r in shop.records()}
    assert acknowledged <= set(held), "an acknowledged record is not there"
    proof = shop.verify()
    assert proof.holds, proof.problems
    whole = all(r.uid in held for d in devices for r in d.made)
    assert not whole or not any(chain.waiting for chain in proof.chains)
    folded = fold_all(list(held.values()))
    assert {s.uid: s for s in shop.units()} == {uid: unit.state for uid, unit in folded.items()}


def _simulate(seed: int, folder: Path, rounds: int) -> None:
    rng = Random(seed)
    offs = (timedelta(0), timedelta(hours=-7), timedelta(days=400))
    devices = [Device(f"phone-{n}", off) for n, off in enumerate(offs)]
    acknowledged: set[str] = set()
    now, path = START, folder / f"shop-{seed}.pinseal"
    Shop.create(path, Settings(packs=("us-osha",)), person="office", now=START).close()
    with Shop.open(path) as shop:
        shop.write(_registering(), writer="office", received=START)
    for number in range(rounds):
        now += timedelta(days=rng.randint(1, 40))
        for device in devices:
            for _ in range(rng.randint(0, 4)):
                device.write(rng, now, number)
        with Shop.open(path) as shop:  # opened anew each round, as after a stop
            shop.write([_draft(rng, now.date(), [])], writer="office", received=now)
            for device in rng.sample(devices, len(devices)):
                for uid in _post(rng, device, shop, now):
                    acknowledged.add(uid)
                    device.waiting.pop(uid, None)
            _check(shop, acknowledged, devices)
        if number == rounds // 2:
            _backup_proves_itself(path, folder / f"backup-{seed}.pinseal", folder / f"restored-{seed}.pinseal")
    _deliver_the_rest(path, devices, now, folder / f"other-{seed}.pinseal")


def _backup_proves_itself(path: Path, copy: Path, restored: Path) -> None:
    with Shop.open(path) as shop:
        before = shop.units()
        shop.backup(copy)
    Shop.restore(copy, restored)
    with Shop.open(restored) as shop:
        assert shop.units() == before


def _deliver_the_rest(path: Path, devices: list[Device], now: datetime, other: Path) -> None:
    """In the end everything arrives; a second shop that gets all records in another order has the same states and dues."""
    with Shop.open(path) as shop:
        for device in devices:
            shop.append(list(device.waiting.values()), received=now)
        assert shop.verify().holds
        records, states = shop.records(), shop.units()
        assert shop.append(records, received=now).new == ()
    Shop.create(other, Settings(), person="office", now=START).close()
    with Shop.open(other) as second:
        second.append([*reversed(records)], received=now)
        assert second.units() == states
        assert second.verify().holds
    chosen = choose_packs(["us-osha", "us-nfpa10"])
    whole = evaluate(columns(states), chosen, now.date())
    for index, state in enumerate(states):
        alone = evaluate(columns([state]), chosen, now.date())
        for duty, dues in whole.duties.items():
            one = alone.duties.get(duty)
            assert one is None or (one.earliest[0], one.latest[0], one.state[0]) == (
                dues.earliest[index],
                dues.latest[index],
                dues.state[index],
            )


@pytest.mark.parametrize("seed", range(3))
def test_a_bad_fortnight(seed: int, tmp_path: Path) -> None:
    _simulate(seed, tmp_path, rounds=12)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(100, 130))
def test_years_of_bad_days(seed: int, tmp_path: Path) -> None:
    _simulate(seed, tmp_path, rounds=60)


def test_a_changed_byte_in_a_copy_is_found(tmp_path: Path) -> None:
    path = tmp_path / "shop.pinseal"
    with Shop.create(path, Settings(), person="office", now=START) as shop:
        shop.write(_registering(), writer="office", received=START)
        shop.backup(tmp_path / "copy.pinseal")
    copy = tmp_path / "copy.pinseal"
    content = copy.read_bytes()
    copy.write_bytes(content.replace(b"Pier", b"Peer", 1))
    with pytest.raises(ShopUnusable):
        Shop.restore(copy, tmp_path / "restored.pinseal")
