"""The first page and the first day of a process, asked for at once after the start and when the server has read ahead.

`python -m benchmarks.first_pages`. Plain figures: a page is quick or slow for the person who waits; the load stands beside them.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import quote

from benchmarks.big_shop import BIG_SITE, BIG_SITE_UNITS, big_shop
from benchmarks.pages import load
from benchmarks.serving import Server, served

_PATHS = ("/", "/dues", "/search?q=boiler", f"/api/door/day?site={quote(BIG_SITE)}")
_IDLE_S = 25


def run() -> Iterator[str]:
    for idle_s in (0, _IDLE_S):
        with big_shop(datetime.now(UTC).date()) as path:
            yield from _asked(path, idle_s)


def _asked(path: Path, idle_s: int) -> Iterator[str]:
    with served(path) as server:
        time.sleep(idle_s)
        yield f"asked {idle_s} s after the first sign-in (load: {load()})"
        for page in _PATHS:
            yield f"  {_words(page)}: {_seconds(server, page):.2f} s, then {_seconds(server, page):.2f} s"
        yield f"  memory {server.memory_mb():.0f} MB"


def _words(page: str) -> str:
    return f"the day of {BIG_SITE_UNITS} units" if "door" in page else page


def _seconds(server: Server, page: str) -> float:
    taken, status, content = server.ask(page)
    assert status == 200, content[:200]
    return taken


if __name__ == "__main__":
    for line in run():
        print(line, flush=True)
