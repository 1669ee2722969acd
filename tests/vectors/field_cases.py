"""Cases for the phone's comparing, each with the verdict of the real judge. `python tests/vectors/field_cases.py` writes the file anew.

The readings lie around every border: pass at 0.8 U, fail at 1.2 U, the ends of a band, a limit with its guard. Between two rows
of a table the phone reads a straight line, so there the readings keep a little farther from a border.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "sheets")]

from sheet_walks import UNITS, instruments, make  # noqa: E402 - the folder must be known first

from pinseal.dates import PartialDate  # noqa: E402
from pinseal.measures import LB_KG, PSI_PA  # noqa: E402
from pinseal.records.registers import Instrument  # noqa: E402
from pinseal.sheets.comparing import compare_json, scales_json  # noqa: E402
from pinseal.sheets.job import Job  # noqa: E402
from pinseal.sheets.model import Step  # noqa: E402
from pinseal.sheets.picture import Picture  # noqa: E402
from pinseal.sheets.readings import read  # noqa: E402
from pinseal.sheets.verdicts import judge  # noqa: E402

FILE = HERE / "field_limits.json"
BAND = {"gauge_low": "175 psi", "gauge_high": "215 psi"}
_ON_ROWS = (0.0, 0.5, 0.799, 0.801, 1.199, 1.201, 3.0)
_BETWEEN = (0.0, 0.5, 0.77, 0.83, 1.17, 1.23, 3.0)


def _step(job: Job, by: str) -> Step:
    return next(step for step in job.steps if step.judge and step.judge.by == by)


def _case(job: Job, step: Step, texts: Mapping[str, str], scale: str = "") -> dict[str, Any]:
    wants = {want.name: want for want in step.wants}
    readings = {name: read(wants[name], text, step=step, instrument=scale or None) for name, text in texts.items()}
    found = judge(job, Picture(job=job), step, readings)
    assert found is not None, "every case is judged"
    return {
        "limit": compare_json(job)[step.id],
        "scale": scales_json(job, job.instruments.values()).get(scale),
        "texts": dict(texts),
        "quantities": {name: wants[name].quantity for name in texts},
        "verdict": found.verdict,
    }


def _psi(pa: float) -> str:
    return f"{pa / float(PSI_PA):.4f} psi"


def _around(job: Job, at: int, between: bool) -> Iterator[tuple[str, str]]:
    """Temperatures and readings around the borders: at a row of the table, or half way to the next one."""
    table = compare_json(job)[_step(job, "gauge").id]["table"]
    row = table[at]
    if between:
        row = [None if a is None else (a + b) / 2 for a, b in zip(row, table[at + 1], strict=True)]
    kelvin, low, high, _, u = row
    for share in _BETWEEN if between else _ON_ROWS:
        for figure in (low - share * u, high + share * u):
            yield f"{(kelvin - 273.15) * 9 / 5 + 32:.2f} F".replace("-0.00", "0.00"), _psi(max(figure, 0.0))


def _gauges() -> Iterator[tuple[str, dict[str, Any]]]:
    charged = {"recharge": PartialDate.of(date(2025, 5, 4))}
    plates = {
        "powder": make(UNITS["portable-powder"], "maintenance"),
        "powder with a printed band": make(replace(UNITS["portable-powder"], **BAND), "maintenance"),
        "foam": make(UNITS["water-based"], "maintenance"),
        "clean agent": make(UNITS["halogenated"], "maintenance"),
    }
    aged = plates["foam"]
    plates["foam, charged a year ago"] = replace(aged, unit=replace(aged.unit, dates=charged))
    for name, job in plates.items():
        step = _step(job, "gauge")
        rows = len(compare_json(job)[step.id]["table"])
        for at in range(0, rows - 1, 3):
            for between in (False, True):
                for warm, reading in _around(job, at, between):
                    yield f"{name}, {warm}, {reading}", _case(job, step, {"gauge": reading, "temperature": warm})


def _bands() -> Iterator[tuple[str, dict[str, Any]]]:
    """No model of the agent: the printed band, at room temperature alone. And a plate that says nothing."""
    halon = make(replace(UNITS["halogenated"], agent="halon-1211", **BAND), "maintenance")
    for warm in ("59.9 F", "70 F", "80.1 F"):
        for reading in ("174.9 psi", "175 psi", "215 psi", "215.1 psi"):
            yield f"by the band, {warm}, {reading}", _case(halon, _step(halon, "gauge"), {"gauge": reading, "temperature": warm})
    silent = make(replace(UNITS["portable-powder"], service_pressure=None), "maintenance")
    yield "no charging pressure", _case(silent, _step(silent, "gauge"), {"gauge": "195 psi", "temperature": "70 F"})


def _with_scales(job: Job) -> Job:
    coarse = Instrument(uid="instrument-2", id="SC-2", what="scale", resolution="0.5 lb", uncertainty="0.5 lb")
    plain = Instrument(uid="instrument-3", id="SC-3", what="scale", resolution="0.02 lb", uncertainty="0.02 lb")
    return replace(job, instruments={**instruments(), "sc-2": coarse, "sc-3": plain})


def _masses(job: Job, by: str, reading: str, ends: Mapping[str, float]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Readings below, at and above each end, without a scale, with a good one, a plain one and one that is too coarse."""
    step, weighed = _step(job, by), _with_scales(job)
    for scale in ("", "SC-1", "SC-2", "SC-3"):
        u = scales_json(weighed, weighed.instruments.values()).get(scale or "none", {}).get("u_kg", 0.0) * 1000
        for name, grams in ends.items():
            for off in (-2 * u - 1, -u - 0.5, -u + 0.5, -0.1, 0.0, 0.1, u - 0.5, u + 0.5, 2 * u + 1):
                text = f"{max(grams + off, 1.0):.2f} g"
                yield f"{by}, {name}, {text}, {scale or 'no scale'}", _case(weighed, step, {reading: text}, scale)


def _weights() -> Iterator[tuple[str, dict[str, Any]]]:
    pound = float(LB_KG * 1000)
    powder, cartridge, co2 = UNITS["portable-powder"], UNITS["cartridge-powder"], UNITS["carbon-dioxide"]
    ends = {"low": 34.5 * pound, "full": 35 * pound, "high": 35.5 * pound}
    yield from _masses(make(powder, "maintenance"), "gross-weight", "gross", ends)
    bare = replace(powder, gross_weight_low=None, gross_weight_high=None)
    for name, grams in _masses(make(bare, "maintenance"), "gross-weight", "gross", {"full": 35 * pound}):
        yield f"no band: {name}", grams
    silent = make(replace(bare, gross_weight=None), "maintenance")
    yield "no full weight", _case(silent, _step(silent, "gross-weight"), {"gross": "35 lb"})
    loss = {"full": 29.375 * pound, "loss of a tenth": 28.375 * pound, "empty": 19.375 * pound}
    yield from _masses(make(co2, "maintenance"), "weight-loss", "gross", loss)
    banded = make(replace(co2, gross_weight_low="28 lb 12 oz", gross_weight_high="29 lb 10 oz"), "maintenance")
    for name, grams in _masses(banded, "weight-loss", "gross", loss | {"low": 28.75 * pound, "high": 29.625 * pound}):
        yield f"with a band: {name}", grams
    ends = {"low": 17 / 16 * pound, "full": 18 / 16 * pound, "high": 19 / 16 * pound}
    yield from _masses(make(cartridge, "maintenance"), "cartridge-weight", "cartridge", ends)
    light = make(replace(cartridge, cartridge_weight_low=None), "maintenance")
    for name, grams in _masses(light, "cartridge-weight", "cartridge", {"full": 18 / 16 * pound}):
        yield f"no low weight: {name}", grams


def _regulators() -> Iterator[tuple[str, dict[str, Any]]]:
    job = make(UNITS["gas-cylinder"], "regulator-test")
    step = _step(job, "regulator")
    for reading in ("225 psi", "228.9 psi", "229.1 psi", "230.9 psi", "231.1 psi", "221.1 psi", "220.9 psi", "219.1 psi", "218.9 psi"):
        yield f"regulator, {reading}", _case(job, step, {"static": reading})


def made() -> dict[str, Any]:
    """All cases by name; equal figures to compare with stand once."""
    limits: list[Any] = []
    cases = {}
    for name, case in [*_gauges(), *_bands(), *_weights(), *_regulators()]:
        if case["limit"] not in limits:
            limits.append(case["limit"])
        cases[name] = {**case, "limit": limits.index(case["limit"])}
    return {"limits": limits, "cases": cases}


if __name__ == "__main__":
    FILE.write_text(json.dumps(made(), indent=None, separators=(",", ":")).replace('"},"', '"},\n"') + "\n", encoding="utf-8")
