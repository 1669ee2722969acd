"""What is known of the instrument behind a reading: how far it may be wrong, and whether it may be used today."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinseal.measures import parse_measure, parse_pressure
from pinseal.physics.weighing import difference_uncertainty_kg
from pinseal.reasons import Refusal
from pinseal.records.registers import Instrument
from pinseal.rules.bench_instruments import TestGauge
from pinseal.sheets.job import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A scale's step and its calibration uncertainty [kg]; None where the register does not say."""

    resolution_kg: Fraction | None = None
    calibration_kg: Fraction | None = None


def _mass(text: str | None) -> Fraction | None:
    if not text:
        return None
    try:
        return parse_measure("mass", text).exact
    except Refusal:
        return None


def _pressure(text: str | None) -> Fraction | None:
    if not text:
        return None
    try:
        return parse_pressure(text, difference=True).exact
    except Refusal:
        return None


def instrument(job: Job, code: str | None) -> Instrument | None:
    return job.instruments.get(code.strip().casefold()) if code else None


def scale(job: Job, code: str | None) -> Scale:
    """What the register says of a scale."""
    found = instrument(job, code)
    return Scale() if found is None else Scale(resolution_kg=_mass(found.resolution), calibration_kg=_mass(found.uncertainty))


def scale_u_kg(job: Job, code: str | None) -> Fraction | None:
    """U = 2u of the difference of two weighings [kg]; None where nothing is known of the scale."""
    known = scale(job, code)
    if known.resolution_kg is None and known.calibration_kg is None:
        return None
    u = difference_uncertainty_kg(resolution_kg=float(known.resolution_kg or 0), calibration_kg=float(known.calibration_kg or 0))
    return Fraction(2 * u)


def range_pa(found: Instrument | None) -> Fraction | None:
    """The end of a test gauge's dial [Pa], where the register says it."""
    return _pressure(found.range_text.rpartition(" to ")[2]) if found and found.range_text else None


def accuracy_percent(found: Instrument | None) -> Fraction | None:
    """A gauge's accuracy [percent of its range], where the register says it."""
    if found is None or not found.accuracy_percent:
        return None
    try:
        return Fraction(found.accuracy_percent.strip().removesuffix("%").strip())
    except ValueError:
        return None


def test_gauge(found: Instrument | None, on: date) -> TestGauge:
    """What the register says of a test gauge on a day: its range, its accuracy, its last good check."""
    good = [check.done.latest for check in found.checks if check.good and check.done.latest <= on] if found else []
    return TestGauge(range_pa=range_pa(found), accuracy_percent=accuracy_percent(found), calibrated_on=max(good, default=None))
