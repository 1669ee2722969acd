"""The yearly file of 6,000 units at one site, in parts, typeset to PDF; the target is under 20 seconds and 600 MB at any time.

Memory is the largest resident set of this process and of the largest of its children, added: they run one after the other, so no
moment holds more.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from pinseal.app import App
from pinseal.dates import PartialDate
from pinseal.records.record import Draft, uuid7
from pinseal.store import Settings, Shop

UNITS = 6_000
TARGET_S, TARGET_MB = 20.0, 600.0
_SITE = "County Works (invented)"
_NOW = datetime(2026, 11, 24, 22, 0, tzinfo=UTC)
_FIRST = date(2025, 11, 3)
_AT_ONCE = 500
_AGENTS = (
    ("abc", "5 lb", "mild-steel"), ("abc", "10 lb", "mild-steel"), ("co2", "15 lb", "aluminium"),
    ("sodium-bicarbonate", "10 lb", "aluminium"), ("wet-chemical", "6 l", "stainless-steel"),
)  # fmt: skip


def _drafts(rng: Random, number: int) -> Iterator[Draft]:
    """The records of one unit: registered, inspected in twelve months, maintained, now and then found deficient."""
    unit = uuid7(at=_NOW, randomness=number.to_bytes(8, "big"), sequence=0)
    agent, size, shell = rng.choice(_AGENTS)
    driven = "self-expelling" if agent == "co2" else "stored-pressure"
    made, building = rng.randint(2008, 2024), number // 60
    plate = {"id": f"CW-{number:04d}", "serial": f"S{rng.randint(10**7, 10**8)}", "site": _SITE, "agent": agent, "size": size}
    plate |= {"place": f"Building {building + 1}, room {number % 60 + 1}", "manufactured": str(made)}
    plate |= {"last-hydrostatic-test": f"{made + rng.randint(0, 2)}-05-03", "shell": shell, "expelled-by": driven, "rechargeable": "yes"}
    deeds: list[tuple[str, date, dict[str, str]]] = [("registered", _FIRST - timedelta(days=30), plate)]
    deeds += [("inspected", _FIRST + timedelta(days=31 * month), {}) for month in range(12) if rng.random() > 0.02]
    deeds += [("maintained", date(2026, 4, building % 28 + 1), {})]
    if number % 40 == 0:
        deeds.append(("found-deficient", date(2026, 5, 2), {"finding": "hose-cracked", "words": "hose cracked"}))
    for kind, day, fields in deeds:
        yield Draft(kind=kind, unit=unit, person=f"Person {rng.randint(1, 8)} (invented)", done=PartialDate.of(day), fields=fields)


def make_shop(path: Path, units: int = UNITS) -> None:
    """An invented shop with one site."""
    rng = Random(20261124)
    settings = Settings(packs=("us-osha", "us-nfpa10", "us-dot"), units="us", firm={"name": "Quay Works (invented)"})
    with Shop.create(path, settings, person="bench", now=_NOW) as shop:
        for start in range(0, units, _AT_ONCE):
            some = range(start, min(units, start + _AT_ONCE))
            shop.write([draft for number in some for draft in _drafts(rng, number)], writer="bench", received=_NOW)


class FixedApp(App):
    def now(self) -> datetime:
        return _NOW


def _draw(shop: Path, out: Path) -> None:
    """What `pinseal print file` does, in a process of its own, with its figures."""
    app, start = FixedApp(), time.perf_counter()
    file = app.owner_file(shop, _SITE)
    gathered = time.perf_counter() - start
    size = parts = 0
    for paper, drawn in app.draw_owner_papers(shop, file):
        content = drawn.pages.pdf
        out.joinpath(f"file-{paper.name}.pdf").write_bytes(content)
        size, parts = size + len(content), parts + 1
    taken = time.perf_counter() - start
    own, child = (resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    verdict = "within" if taken <= TARGET_S else "OVER"
    print(f"{len(file.units):,} units, front and {parts - 1} parts, {size / 1e6:.0f} MB of PDF: {taken:.1f} s; {verdict} {TARGET_S:g} s")
    here, there = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    worked = here.ru_utime + here.ru_stime + there.ru_utime + there.ru_stime
    print(f"gathering alone: {gathered:.1f} s; processor time of all of it: {worked:.1f} s")
    verdict = "within" if own + child <= TARGET_MB else "OVER"
    print(f"memory: {own:.0f} MB here and {child:.0f} MB in the largest child, {own + child:.0f} MB; {verdict} {TARGET_MB:g} MB")


def run() -> Iterator[str]:
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(folder) / "county.pinseal"
        make_shop(shop)
        run = subprocess.run(
            [sys.executable, "-m", "benchmarks.owner_files", str(shop), folder], check=True, capture_output=True, text=True
        )
    yield from run.stdout.splitlines()


if __name__ == "__main__":
    if len(sys.argv) == 3:
        _draw(Path(sys.argv[1]), Path(sys.argv[2]))
    else:
        for line in run():
            print(line)
