"""What a phone far from the office needs to compare a reading as the shop will judge it: figures in SI, nothing to work out but a line.

Over temperature a table is given, to be read linear between its rows. Outside of it, and for judges that are not here, the phone
says that the shop judges. `web/static/field/judge.js` compares; `tests/vectors` proves that it says what the judges say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from typing import Any

from pinseal.measures import kelvin_of_f
from pinseal.physics.weighing import difference_uncertainty_kg
from pinseal.reasons import Refusal
from pinseal.records.registers import Instrument
from pinseal.rules.gauging import FAIL_SHARE, PASS_SHARE, judge_gauge
from pinseal.sheets.instruments_used import scale
from pinseal.sheets.job import Job
from pinseal.sheets.verdicts_mass import CO2_LOSS_LIMIT_PERCENT
from pinseal.sheets.verdicts_pressure import ROOM_K, bench_gauge_doubt_pa, gauge_asked

_TABLE_F = tuple(float(degrees) for degrees in range(-40, 121, 10))
# The doubt about a clean agent jumps at 32 F (`clean_agents.band_share`), so the table has a row close below it and one at it.
_CLEAN_AGENT_F = tuple(sorted((*_TABLE_F, 31.99, 32.0)))
_PA_DIGITS, _KG_DIGITS = 1, 9


def _kg(value: Fraction | None) -> float | None:
    return None if value is None else round(float(value), _KG_DIGITS)


def _pa(value: Fraction | float | None) -> float | None:
    return None if value is None else round(float(value), _PA_DIGITS)


def _gauge_row(job: Job, charge_pa: float, t_k: float) -> list[float | None] | None:
    """[K, least and most that a full unit may show, what it shows at rest, U]; None where no model holds."""
    try:
        found = judge_gauge(gauge_asked(job, charge_pa, t_k), system=job.system)
    except Refusal:
        return None
    if found.full_between_gauge_pa is None or found.uncertainty_pa is None:
        return None
    low, high = found.full_between_gauge_pa
    return [round(t_k, 4), _pa(low), _pa(high), _pa(found.at_rest_gauge_pa), _pa(found.uncertainty_pa)]


def _gauge(job: Job) -> dict[str, Any]:
    plate = job.plate
    if plate.charge_pa is None:
        return {"missing": "the charging pressure on the nameplate is not on record"}
    band = None if plate.gauge_low_pa is None or plate.gauge_high_pa is None else [_pa(plate.gauge_low_pa), _pa(plate.gauge_high_pa)]
    rows = (
        _gauge_row(job, float(plate.charge_pa), kelvin_of_f(degrees))
        for degrees in (_CLEAN_AGENT_F if job.type.id == "halogenated" else _TABLE_F)
    )
    return {"table": [row for row in rows if row], "band": band, "room_k": list(ROOM_K)}


def _gross(job: Job) -> dict[str, Any]:
    plate = job.plate
    return {"full_kg": _kg(plate.gross_kg), "low_kg": _kg(plate.gross_low_kg), "high_kg": _kg(plate.gross_high_kg)}


def _loss(job: Job) -> dict[str, Any]:
    return {**_gross(job), "net_kg": _kg(job.plate.net_kg), "limit_percent": float(CO2_LOSS_LIMIT_PERCENT)}


def _cartridge(job: Job) -> dict[str, Any]:
    return {"full_kg": _kg(job.plate.cartridge_kg), "low_kg": _kg(job.plate.cartridge_low_kg)}


def _regulator(job: Job) -> dict[str, Any]:
    want = job.plate.regulator_pa
    doubt = None if want is None else bench_gauge_doubt_pa(float(want))
    return {"want_pa": _pa(want), "u_pa": _pa(doubt)}


_BLOCKS: Mapping[str, Callable[[Job], dict[str, Any]]] = {
    "gauge": _gauge,
    "gross-weight": _gross,
    "weight-loss": _loss,
    "cartridge-weight": _cartridge,
    "regulator": _regulator,
}


def compare_json(job: Job) -> dict[str, dict[str, Any]]:
    """For each judged step of the sheet: the judge, its figures in SI, and the finding for each way in which it can fail."""
    found = {}
    for step in job.steps:
        if step.judge is None:
            continue
        block = _BLOCKS.get(step.judge.by)
        findings = {"fail": step.judge.fail, "below": step.judge.below or step.judge.fail, "above": step.judge.above or step.judge.fail}
        found[step.id] = {"by": step.judge.by, "findings": findings, **(block(job) if block else {})}
    return found


def scales_json(job: Job, instruments: Iterable[Instrument]) -> dict[str, dict[str, float]]:
    """How far each scale may be wrong [kg]: its step, and U (k = 2) of the difference of two weighings. Unknown ones are left out.

    `shares` of U up to which a three-way verdict passes and above which it fails stand beside them under the empty name.
    """
    found: dict[str, dict[str, float]] = {"": {"pass": PASS_SHARE, "fail": FAIL_SHARE}}
    for each in instruments:
        known = scale(job, each.id)
        if each.id and (known.resolution_kg is not None or known.calibration_kg is not None):
            step, calibration = float(known.resolution_kg or 0), float(known.calibration_kg or 0)
            u = difference_uncertainty_kg(resolution_kg=step, calibration_kg=calibration)
            found[each.id] = {"resolution_kg": step, "u_kg": 2 * u}
    return found
