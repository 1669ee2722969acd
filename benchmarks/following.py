"""After one record in a shop of 20,000 units: the due list, books and search kept up, and the same made from nothing, in one run."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import TypeVar

from benchmarks.big_shop import UNITS, big_shop
from pinseal.app import App
from pinseal.app.office_pages import ShopRooms
from pinseal.dates import PartialDate
from pinseal.records.record import Draft

ROUNDS = 5
Answer = TypeVar("Answer")


def _timed(work: Callable[[], Answer]) -> tuple[float, Answer]:
    start = time.process_time()
    answer = work()
    return time.process_time() - start, answer


def run() -> Iterator[str]:
    today, app = datetime.now(UTC).date(), App()
    with big_shop(today) as path:
        kept = ShopRooms(app, path)
        asked = {
            "due list": lambda rooms: rooms.due_list(today),
            "books": lambda rooms: rooms.books(),
            "search": lambda rooms: rooms.index(),
        }
        anew = {name: _timed(lambda ask=ask: ask(kept))[0] for name, ask in asked.items()}  # type: ignore[misc]
        up: dict[str, list[float]] = {name: [] for name in asked}
        for number in range(ROUNDS):
            unit = kept.due_list(today).states[100 + number].uid or ""
            draft = Draft(kind="inspected", unit=unit, person="A. Penhallow", done=PartialDate.of(today), fields={})
            with app._open(path) as shop:
                shop.write([draft], writer="bench-2", received=datetime.now(UTC))
            for name, ask in asked.items():
                up[name].append(_timed(lambda ask=ask: ask(kept))[0])  # type: ignore[misc]
        same = list(ShopRooms(app, path).due_list(today).states) == list(kept.due_list(today).states)
    yield f"{UNITS:,} units, processor seconds after one record (best of {ROUNDS}), beside making it from nothing:"
    for name, seconds in up.items():
        best = min(seconds)
        yield f"  {name:<10} {1000 * best:6.1f} ms, from nothing {1000 * anew[name]:7.1f} ms: {anew[name] / best:5.0f} times"
    yield f"  the units of both lists are the same: {'yes' if same else 'NO'}"


if __name__ == "__main__":
    for line in run():
        print(line, flush=True)
