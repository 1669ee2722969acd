"""600 unit labels with both codes, as PDF of 25 sheets and as a roll; the target of the house is under 3 seconds."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime

from pinseal.documents.marks import UnitLabel, draw_labels
from pinseal.standards.stocks import shipped_stocks

LABELS = 600
_TARGET_S = 3.0
_STAMP = datetime(2026, 11, 24, 22, 0, tzinfo=UTC)


def _labels() -> list[UnitLabel]:
    return [
        UnitLabel(
            id=f"AF-{number:04d}",
            kind="ABC dry chemical, 10 lb",
            place=f"Tolberhaven Airfield, Hangar {number % 7}, bay {number}",
            address=f"https://tolberhaven.example/u/018f2b7c-9d3e-7abc-8def-{number:012d}",
        )
        for number in range(LABELS)
    ]


def run() -> Iterator[str]:
    labels = _labels()
    for stock in ("codes-a4", "code-roll"):
        start, worked = time.perf_counter(), time.process_time()
        made = draw_labels("code-label", labels, shipped_stocks()[stock], stamp=_STAMP)
        taken, worked = time.perf_counter() - start, time.process_time() - worked
        verdict = "within" if taken <= _TARGET_S else "OVER"
        size = len(made.pages.pdf) / 1e6
        yield f"{LABELS} unit labels on {stock}: {taken:.2f} s ({worked:.2f} s of processor), {size:.1f} MB; {verdict} {_TARGET_S:g} s"


if __name__ == "__main__":
    for line in run():
        print(line)
