"""An invented shop of any size on disk, from a fixed seed: 20,000 units with ten records each, through the store's own doors.

The models are those of the demo. Made once and copied: `PINSEAL_BENCH_DIR` names a folder in which it is kept for the next run.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from pinseal.dates import PartialDate
from pinseal.demo.models import MODELS, Model
from pinseal.records.record import Draft, uuid7
from pinseal.store import Settings, Shop
from pinseal.store.sheets import KeptSheet

UNITS = 20_000
BIG_SITE, BIG_SITE_UNITS = "Site 00", 600
PACKS = ("us-osha", "us-nfpa10", "us-dot")
_SITES, _SHEETS, _YEARS = 60, 240, 3
_ROOMS = (
    "boiler room", "kitchen", "north stair", "loading dock", "workshop", "server room", "lobby", "archive", "roof plant", "laboratory",
)  # fmt: skip
_FINDINGS = ("seal-missing", "gauge-low", "bracket-loose", "hose-cracked")
_PEOPLE = ("A. Penhallow", "B. Tide", "C. Marl", "D. Wick")
_GAUGES = tuple(f"TG-{number:02d}" for number in range(1, 9))


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One record to be made, with its day for sorting."""

    day: date
    draft: Draft


def build(path: Path, today: date, *, units: int = UNITS, seed: int = 20261124) -> None:
    """Make the shop at `path` as if all of it had been taken in this morning: about ten records a unit, and job sheets."""
    rng, now = Random(seed), datetime(today.year, today.month, today.day, 4, tzinfo=UTC)
    settings = Settings(packs=PACKS, time_zone="UTC", units="us")
    uids = [uuid7(at=now - timedelta(days=4_000), randomness=number.to_bytes(8, "big"), sequence=number % 4096) for number in range(units)]
    deeds = [deed for number in range(units) for deed in _of_unit(rng, number, uids, today)] + _of_instruments(now, today)
    deeds.sort(key=lambda deed: deed.day)
    with Shop.create(path, settings, person="the benchmark", now=now) as shop:
        # All at once: every unit is folded once, and the disk is waited for once.
        shop.write([deed.draft for deed in deeds], writer="bench", received=now)
        for number in range(min(_SHEETS, units)):
            shop.begin_sheet(_sheet(uids[number * (units // min(_SHEETS, units))], number, now))


def site_of(number: int) -> str:
    """The site of a unit: the first 600 stand at one site, the others are spread over the rest."""
    return BIG_SITE if number < BIG_SITE_UNITS else f"Site {1 + number % (_SITES - 1):02d}"


def _sheet(unit: str, number: int, now: datetime) -> KeptSheet:
    return KeptSheet(
        uid=uuid7(at=now, randomness=number.to_bytes(8, "big"), sequence=number), unit=unit, on_day=now.date(), works=("inspection",),
        content={"packs": list(PACKS)}, person=_PEOPLE[number % 4], writer="bench", received=now,
    )  # fmt: skip


def _of_unit(rng: Random, number: int, uids: list[str], today: date) -> Iterator[Deed]:
    """About ten records: the first sight, yearly maintenance, looks in between, and for some a test, a fault, a journey."""
    uid, model = uids[number], rng.choice(tuple(MODELS.values()))
    begun = today - timedelta(days=365 * _YEARS + rng.randrange(365))

    def deed(day: date, kind: str, person: str = rng.choice(_PEOPLE), **said: str) -> Deed:
        fields = {name.replace("_", "-"): text for name, text in said.items()}
        return Deed(day=day, draft=Draft(kind=kind, unit=uid, person=person, done=PartialDate.of(day), fields=fields))

    yield deed(begun, "registered", **_first_sight(rng, number, model))
    for year in range(_YEARS):
        visit = begun + timedelta(days=365 * (year + 1) - rng.randrange(40))
        yield deed(visit, "maintained", tag=f"{visit.year}-{number:05d}")
    for month in range(4):
        yield deed(today - timedelta(days=30 * month + rng.randrange(1, 30)), "inspected")
    test = begun + timedelta(days=rng.randrange(900))
    yield deed(test, "measured", quantity="pressure", value=f"{rng.randrange(170, 210)} psi", instrument=rng.choice(_GAUGES))
    if number % 4 == 0 and model.rechargeable:
        yield deed(test + timedelta(days=1), "recharged", opened="yes")
    yield from _troubles(rng, number, uids, today, deed)


def _troubles(rng: Random, number: int, uids: list[str], today: date, deed: object) -> Iterator[Deed]:
    assert callable(deed)
    day = today - timedelta(days=rng.randrange(20, 700))
    if number % 10 == 1:
        finding = rng.choice(_FINDINGS)
        yield deed(day, "found-deficient", finding=finding, words=finding.replace("-", " "), action="repair")
        if number % 50 != 1:
            yield deed(day + timedelta(days=9), "remedied", finding=finding, how="put right")
    if number % 40 == 3:
        yield deed(day, "taken-away", taken_to="bench", loaner=uids[number - 1], back_by=(day + timedelta(days=14)).isoformat())
        if number % 400 != 3:
            yield deed(day + timedelta(days=7), "brought-back")
    if number % 5 < 3:
        yield deed(day, "noted", note="cabinet key with the porter")
    if number % 100 == 7:
        yield deed(today - timedelta(days=5), "removed", reason="sold")


def _first_sight(rng: Random, number: int, model: Model) -> dict[str, str]:
    made = rng.randint(*model.made) + 8
    place = f"Floor {number % 7 + 1}, {_ROOMS[number % len(_ROOMS)]} {number // 70 + 1}"
    said = {"id": f"W-{number:05d}", "serial": f"{rng.randrange(10**7, 10**8)}", "site": site_of(number), "place": place}
    dates = (
        {"manufactured": str(made), "last-hydrostatic-test": f"{made + 5}-0{rng.randint(1, 9)}"}
        if number % 3
        else {"manufactured": str(made)}
    )
    return said | model.nameplate | dates


def _of_instruments(now: datetime, today: date) -> list[Deed]:
    """Gauges, each compared with the master once a year; the first one not for years, so that its readings are in doubt."""
    found = []
    for number, name in enumerate(_GAUGES):
        uid = uuid7(at=now - timedelta(days=3_000), randomness=(9**9 + number).to_bytes(8, "big"), sequence=number)

        def deed(days: int, kind: str, uid: str = uid, **fields: str) -> Deed:
            done = PartialDate.of(today - timedelta(days=days))
            return Deed(day=done.earliest, draft=Draft(kind=kind, unit=uid, person="A. Penhallow", done=done, fields=fields))

        found.append(deed(1_400, "instrument-registered", id=name, what="test-gauge"))
        found += [deed(1_300 - 365 * year, "instrument-checked", check="good", against="the master") for year in range(4 if number else 1)]
    return found


@contextmanager
def big_shop(today: date, *, units: int = UNITS) -> Iterator[Path]:
    """A fresh copy of the shop, to be written to and thrown away."""
    kept = os.environ.get("PINSEAL_BENCH_DIR")
    with tempfile.TemporaryDirectory(prefix="pinseal-bench-") as folder:
        made = Path(kept or folder) / f"big-{units}-{today.isoformat()}.pinseal"
        if not made.exists():
            build(made, today, units=units)
        copy = Path(folder) / "big.pinseal"
        shutil.copy(made, copy)
        yield copy
