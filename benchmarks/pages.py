"""The pages of a large shop under load: 20,000 units, 200,000 records, `pinseal serve` as a process, 20 requests a second.

Plain figures, because a page is quick or slow for the person who waits; `uptime` stands beside them.
"""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from itertools import chain
from random import Random
from urllib.parse import quote

from benchmarks.big_shop import BIG_SITE, BIG_SITE_UNITS, big_shop
from benchmarks.serving import Server, meanwhile, paced, percentile, served, told
from pinseal.records.record import uuid7

A_SECOND, SECONDS, WRITE_EVERY_S, BATCH = 20, 30, 1.0, 500
_WARM_UP = 40
_TYPED = ("w-0", "w-01", "w-012", "w-0123", "boil", "boiler", "boiler room 1", "co2 site 12", "kitchne", "roof", "loading dock 2", "1234")


def uid(number: int) -> str:
    """The uid of a record that a device writes now."""
    return uuid7(at=datetime.now(UTC), randomness=hashlib.sha256(f"{os.getpid()}/{number}".encode()).digest()[:8], sequence=number % 4096)


def batch(uids: list[str], numbers: range, device: str) -> bytes:
    """What a device hands in: inspections of today, one a unit."""
    now = datetime.now(UTC)
    drafts = [
        {"uid": uid(number), "kind": "inspected", "unit": uids[number % len(uids)], "done": now.date().isoformat(), "fields": {}}
        for number in numbers
    ]
    return json.dumps({"device": device, "at": now.isoformat(), "drafts": drafts, "sheets": []}).encode()


def hand_in(server: Server, body: bytes) -> float:
    """Seconds that the sync door takes for a batch. All of it must be kept."""
    taken, status, content = server.ask("/api/door", body)
    assert status == 200, content[:400]
    words = {each["word"] for each in json.loads(content)["drafts"]}
    assert words == {"kept"}, words
    return taken


def mixed_paths(uids: list[str], count: int, seed: int) -> list[str]:
    """Pages as an office opens them, in a fixed order."""
    rng = Random(seed)
    kinds = (
        lambda: "/",
        lambda: "/dues",
        lambda: f"/dues?site={quote(_site(rng))}",
        lambda: f"/dues?text=kitchen&page={rng.randint(1, 9)}",
        lambda: f"/dues?sort={rng.choice(('by', 'unit', 'place', 'duty'))}",
        lambda: "/dues/months",
        lambda: "/sites",
        lambda: f"/sites/{quote(_site(rng))}",
        lambda: f"/units/{rng.choice(uids)}",
        lambda: f"/units/{rng.choice(uids)}",
        lambda: f"/search?q={quote(rng.choice(_TYPED))}",
        lambda: "/deficiencies",
        lambda: "/loaners",
        lambda: "/sheets",
        lambda: "/instruments",
        lambda: "/people",
    )
    return [rng.choice(kinds)() for _ in range(count)]


def _site(rng: Random) -> str:
    return f"Site {rng.randint(0, 59):02d}"


def run() -> Iterator[str]:
    with big_shop(datetime.now(UTC).date()) as path:
        yield f"{path.stat().st_size / 1e6:.0f} MB on disk; load of the machine before: {load()}"
        with served(path) as server:
            yield f"pinseal serve answers after {server.started_s:.1f} s, with {server.memory_mb():.0f} MB"
            yield from _measure(server)
            yield f"memory of the server at the end {server.memory_mb():.0f} MB; load of the machine: {load()}"


def _measure(server: Server) -> Iterator[str]:
    first, _, _ = server.ask("/")
    uids = _uids(server)
    yield f"  the first page of the process {first:.2f} s"
    for path in dict.fromkeys(mixed_paths(uids, 400, 1)[:_WARM_UP]):
        server.ask(path)
    count = A_SECOND * SECONDS
    yield f"pages, {A_SECOND} a second for {SECONDS} s, nothing written:"
    yield from _told_all(paced(server, mixed_paths(uids, count, 2), a_second=A_SECOND))
    yield f"pages, {A_SECOND} a second for {SECONDS} s, a record written every {WRITE_EVERY_S:g} s by the sync door:"
    writes: list[float] = []
    with meanwhile(lambda n: writes.append(hand_in(server, batch(uids, range(n, n + 1), "bench-device-1"))), every_s=WRITE_EVERY_S):
        found = paced(server, mixed_paths(uids, count, 3), a_second=A_SECOND)
    yield from _told_all(found)
    yield told("one record through the sync door", writes)
    typed = [server.ask(f"/search?q={quote(text)}")[0] for _ in range(5) for text in _TYPED]
    yield "one after the other:"
    yield told("search as you type", typed)
    yield from _once(server, uids)


def _once(server: Server, uids: list[str]) -> Iterator[str]:
    sent = [hand_in(server, batch(uids, range(10_000 * n, 10_000 * n + BATCH), "bench-device-2")) for n in (1, 2, 3)]
    yield told(f"{BATCH} records through the sync door", sent)
    days = []
    for number in range(3):
        hand_in(server, batch(uids, range(50_000 + number, 50_001 + number), "bench-device-3"))  # so that nothing is remembered
        days.append(server.ask(f"/api/door/day?site={quote(BIG_SITE)}")[0])
    yield told(f"the day of a site of {BIG_SITE_UNITS} units", days)


def _told_all(found: Mapping[str, list[float]]) -> Iterator[str]:
    yield told("every page", list(chain.from_iterable(found.values())))
    worst = sorted(found, key=lambda kind: -percentile(found[kind], 0.95))
    for kind in worst[:4]:
        yield told(f"  {kind}", found[kind])


def _uids(server: Server) -> list[str]:
    found: list[str] = []
    start: int | None = 0
    while start is not None and len(found) < 5_000:
        page = json.loads(server.ask(f"/api/units?start={start}&limit=500")[2])
        found += [each["uid"] for each in page["units"]]
        start = page["next"]
    return found


def load() -> str:
    """How busy the machine is: a figure of a busy machine says little of the program."""
    one, five, _ = os.getloadavg()
    return f"{one:.2f} in the last minute, {five:.2f} in five ({os.cpu_count()} cores)"


if __name__ == "__main__":
    began = time.perf_counter()
    for line in run():
        print(line, flush=True)
    print(f"{time.perf_counter() - began:.0f} s in all")
