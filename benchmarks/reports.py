"""The report of a visit of 600 units with 60 photos, from the shop's file to the PDF; the target of the house is under 5 seconds."""

from __future__ import annotations

import io
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
from PIL import Image

from pinseal.app import App
from pinseal.dates import parse_date
from pinseal.records.record import Draft, uuid7
from pinseal.store import Settings, Shop

UNITS, PHOTOS = 600, 60
_TARGET_S = 5.0
_DAY = date(2026, 11, 24)
_NOW = datetime(2026, 11, 24, 22, 0, tzinfo=UTC)
_SITE = "Tolberhaven Airfield"
_WIDE, _HIGH = 2000, 1500  # a phone's photo as the field page sends it, and larger


class _BenchApp(App):
    def now(self) -> datetime:
        return _NOW


def _drafts(photos: list[str]) -> Iterator[Draft]:
    """Each unit with its nameplate and six years of maintenance; on the day it is inspected, one in ten has a photo, some a deficiency."""
    plate = {
        "agent": "abc", "expelled-by": "stored-pressure", "shell": "mild-steel", "rechargeable": "yes", "hose": "none", "wheeled": "no",
        "size": "10 lb", "manufactured": "2019-05",
    }  # fmt: skip
    for number in range(UNITS):
        unit = uuid7(at=_NOW, randomness=b"the unit", sequence=number)
        where = {"id": f"AF-{number:04d}", "site": _SITE, "place": f"Hangar {number % 7}, bay {number}"}

        def draft(kind: str, on: str, unit: str = unit, **fields: str) -> Draft:
            return Draft(kind=kind, unit=unit, person="Ida Quill", done=parse_date(on), fields=fields)

        yield draft("registered", "2020-01-06", **where, **plate)
        yield from (draft("maintained", f"{year}-11-20") for year in range(2020, 2026))
        yield draft("inspected", _DAY.isoformat())
        yield draft("measured", _DAY.isoformat(), quantity="gauge-pressure", value="195 psi")
        if number % 50 == 7:
            yield draft("found-deficient", _DAY.isoformat(), finding="hose-cracked", words="the hose is cracked", action="replace-part")
        if number < PHOTOS:
            yield draft("noted", _DAY.isoformat(), note="the bracket after the work", file=photos[number])


def _photo(number: int) -> bytes:
    """An invented photo with as much to say as a real one: soft shapes and some grain."""
    random = np.random.default_rng(number)
    soft = Image.fromarray(random.integers(0, 255, (24, 32, 3), np.uint8)).resize((_WIDE, _HIGH), Image.Resampling.BICUBIC)
    grain = np.asarray(soft, np.int16) + random.integers(-6, 7, (_HIGH, _WIDE, 1), np.int16)
    out = io.BytesIO()
    Image.fromarray(np.clip(grain, 0, 255).astype(np.uint8)).save(out, "JPEG", quality=82)
    return out.getvalue()


def _make(path: Path) -> int:
    settings = Settings(packs=("us-osha", "us-nfpa10"), units="us", firm={"name": "Tolberhaven Extinguisher Works (invented)"})
    contents = [_photo(number) for number in range(PHOTOS)]
    with Shop.create(path, settings, person="Ida Quill", now=_NOW) as shop:
        photos = [shop.add_file(f"{number}.jpg", content, person="Ida Quill", received=_NOW) for number, content in enumerate(contents)]
        shop.write(list(_drafts(photos)), writer="office", received=_NOW)
    return sum(map(len, contents))


def run() -> Iterator[str]:
    with tempfile.TemporaryDirectory(prefix="pinseal-") as folder:
        path = Path(folder) / "shop.pinseal"
        size = _make(path)
        yield f"{PHOTOS} photos of {_WIDE} x {_HIGH} points, {size / 1e6:.0f} MB"
        start, worked = time.perf_counter(), time.process_time()
        report = _BenchApp().visit_report(path, _SITE, first=_DAY, last=_DAY)
        gathered = time.perf_counter() - start
        paper = report.paper()
        shrunk = time.perf_counter() - start
        made = paper.draw()
        taken, worked = time.perf_counter() - start, time.process_time() - worked
        verdict = f"{len(made.pages.pdf) / 1e6:.1f} MB; {'within' if taken <= _TARGET_S else 'OVER'} {_TARGET_S:g} s"
        parts = f"{gathered:.2f} s to gather, {shrunk - gathered:.2f} s for the photos, {taken - shrunk:.2f} s to set"
        yield f"report of {UNITS} units with {PHOTOS} photos: {taken:.2f} s ({worked:.2f} s of processor; {parts}), {verdict}"
        start = time.perf_counter()
        page = report.proof()
        taken = time.perf_counter() - start
        yield f"its page of proof: {taken:.2f} s, {len(report.tie.lines):,} records, {len(page.encode()) / 1e6:.1f} MB"


if __name__ == "__main__":
    for line in run():
        print(line)
