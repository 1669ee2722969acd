"""A million mixed units with the three US packs: the engine, a python-dateutil loop, and DuckDB, in one process and run."""

from __future__ import annotations

import resource
import statistics
import time
from collections.abc import Callable, Iterator

import numpy as np

from benchmarks import rivals
from benchmarks.fleet import ON, mixed_fleet
from pinseal.rules.dues import evaluate
from pinseal.rules.result import NO
from pinseal.rules.tables import FAR
from pinseal.standards import choose_packs

UNITS = 1_000_000
SAMPLE = 4_000
PACKS = ("us-osha", "us-nfpa10", "us-dot")


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def run() -> Iterator[str]:
    chosen = choose_packs(PACKS)
    fleet = mixed_fleet(UNITS)
    first = seconds(lambda: evaluate(fleet, chosen, ON))
    ours = [seconds(lambda: evaluate(fleet, chosen, ON)) for _ in range(5)]
    middle = statistics.median(ours)
    yield f"{UNITS:,} units, every duty, packs {', '.join(PACKS)}:"
    yield f"  first {first:.2f} s, then median {middle:.2f} s of {len(ours)}; peak of the process {_peak_mb():.0f} MB"
    vague = mixed_fleet(UNITS, unsaid=0.1)
    unsaid = statistics.median(seconds(lambda: evaluate(vague, chosen, ON)) for _ in range(3))
    yield f"the same with one nameplate fact in ten not said (dues widen): median {unsaid:.2f} s; peak {_peak_mb():.0f} MB"
    loop = seconds(lambda: rivals.dateutil_loop(fleet, chosen, ON, SAMPLE)) * UNITS / SAMPLE
    yield f"python-dateutil loop, {SAMPLE:,} of the same units, scaled: {loop:.0f} s; the engine is {loop / middle:.0f} times as fast"
    connection, sql = rivals.load(fleet), rivals.duckdb_sql(fleet, chosen, ON)
    theirs, again = [], []
    for _ in range(5):  # in turn, so that a drift of the machine's speed meets both
        theirs.append(seconds(lambda: connection.execute(sql).fetchnumpy()))
        again.append(seconds(lambda: evaluate(fleet, chosen, ON)))
    duck, own = statistics.median(theirs), statistics.median(again)
    yield f"DuckDB, seven of those duties, both ends and the state: median {duck:.2f} s"
    yield f"  in turn with it the engine, every duty: median {own:.2f} s; engine / DuckDB {own / duck:.2f}"
    yield _agreement(connection, sql, evaluate(fleet, chosen, ON))


def _agreement(connection: rivals.duckdb.DuckDBPyConnection, sql: str, evaluation: object) -> str:
    """Both must give the same dates, or the race means nothing."""
    columns = connection.execute(sql).fetchnumpy()
    order, differing = np.argsort(columns["unit"]), 0  # DuckDB gives rows back in no set order
    for duty in rivals.DUTIES:
        dues = evaluation.duties[duty]  # type: ignore[attr-defined]
        owed = dues.state != NO
        for end, ours in (("e", dues.earliest), ("l", dues.latest)):
            theirs = rivals.day_numbers(columns[f"{duty.replace('-', '_')}_{end}"])[order]
            differing += int((owed & (np.where(ours == FAR, 2**31 - 1, ours) != theirs)).sum())
    return f"dates that differ between the engine and DuckDB: {differing}"


if __name__ == "__main__":
    for line in run():
        print(line, flush=True)
