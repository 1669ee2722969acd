"""A million gauge corrections: the fitted form and CoolProp's vectorised calls in turn, and the whole command against bare Python."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator

import numpy as np
from CoolProp.CoolProp import PropsSI

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K
from pinseal.physics.gas import refer_gauge_pa

READINGS = 1_000_000
PSI = float(PSI_PA)
SEED = 20261125


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _readings() -> tuple[np.ndarray, np.ndarray]:
    """Invented readings from 50 to 360 psig at -40 to 120 F."""
    chance = np.random.default_rng(SEED)
    return chance.uniform(50.0, 360.0, READINGS) * PSI, chance.uniform(233.15, 322.04, READINGS)


def _reference(gauge_pa: np.ndarray, t_k: np.ndarray) -> np.ndarray:
    """The same correction with the library alone: density from pressure, then pressure from density."""
    density = PropsSI("D", "T", t_k, "P", gauge_pa + ATM_PA, "Nitrogen")
    return PropsSI("P", "T", np.full(t_k.size, T_70F_K), "D", density, "Nitrogen") - ATM_PA


def _whole(*words: str) -> float:
    return seconds(lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True))


def run() -> Iterator[str]:
    gauge_pa, t_k = _readings()

    def ours() -> np.ndarray:
        return refer_gauge_pa("nitrogen", gauge_pa=gauge_pa, t_k=t_k, to_t_k=T_70F_K)

    ours()
    own, theirs = [], []
    for _ in range(3):  # in turn, so that a drift of the machine's speed meets both
        own += [seconds(ours), seconds(ours)]
        theirs.append(seconds(lambda: _reference(gauge_pa, t_k)))
    fast, slow = statistics.median(own), statistics.median(theirs)
    yield f"{READINGS:,} readings of nitrogen referred to 70 F, one core:"
    yield f"  the fitted form median {fast:.3f} s of {len(own)} (worst {max(own):.3f} s); CoolProp's vectorised calls median {slow:.1f} s"
    yield f"  {slow / fast:.0f} times as fast; largest difference {np.abs(ours() - _reference(gauge_pa, t_k)).max() / PSI:.1e} psi"
    command = ("-m", "pinseal", "gauge", "--charge", "195 psi", "--reading", "167 psi", "--at", "0 F", "--json")
    bare, gauge = [], []
    for _ in range(9):
        bare.append(_whole("-c", "pass"))
        gauge.append(_whole(*command))
    yield f"`pinseal gauge`, whole process: median {statistics.median(gauge):.2f} s; bare Python {statistics.median(bare):.2f} s"


if __name__ == "__main__":
    for line in run():
        print(line)
