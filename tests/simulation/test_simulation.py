"""Years of an invented trade: devices and an office, a bad post, power cuts, crossing corrections, a wrong clock.

`SEEDS=7,8 make soak` plays other seeds. A failure says its seed and the last steps.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from checks import check_backup, check_end, check_round
from damage import check_damage
from places import fuses
from world import World

SHORT = (1, 2)
LONG = tuple(int(seed) for seed in os.environ.get("SEEDS", "101,102,103,104,105,106").split(","))


def play(seed: int, folder: Path, *, rounds: int, days: int, units: int, bytes_changed: int) -> World:
    """Play a world: in each round some days, then every check; in the end all comes together."""
    print(f"seed {seed}")
    with fuses() as fuse:
        world = World(seed, folder, fuse, faults=0.3, units=units)
        with world.told():
            for number in range(rounds):
                for _ in range(days):
                    world.a_day()
                check_round(world)
                if number % 4 == 1:
                    check_backup(world, world.random.choice(list(world.places.values())))
                if number % 10 == 3:
                    check_damage(world, world.places["office"], bytes_changed=bytes_changed)
            world.bring_together()
            check_end(world)
            for place in world.places.values():
                check_backup(world, place)
        for place in world.places.values():
            place.shop.close()
    return world


@pytest.mark.parametrize("seed", SHORT)
def test_a_bad_year(seed: int, tmp_path: Path) -> None:
    world = play(seed, tmp_path, rounds=4, days=8, units=6, bytes_changed=4)
    assert world.counts["power cut"] and world.counts["cross"] and world.counts["take"] and world.counts["restart"]


@pytest.mark.soak
@pytest.mark.parametrize("seed", LONG)
def test_bad_years(seed: int, tmp_path: Path) -> None:
    world = play(seed, tmp_path, rounds=16, days=12, units=20, bytes_changed=60)
    assert world.day > 365 * 3
    assert world.counts["power cut"] > 10
