"""How well a difference of two weighings is known, and how sure a comparison with a limit is.

Source of the decision figures: JCGM 106:2012 (conformity probability, guard bands; examples from memory) and
ILAC-G8:09/2019 4.2 (read second-hand).
"""

from __future__ import annotations

import math
from fractions import Fraction

from pinseal.reasons import Refusal


def _refuse_negative(name: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0):
        raise Refusal(what=f"this is not a {name}", rule="it is zero or above", got=f"{value:g}", do="take it from the scale's papers")


def difference_uncertainty_kg(*, resolution_kg: float, calibration_kg: float = 0.0, drift_kg: float = 0.0, other_kg: float = 0.0) -> float:
    """Standard uncertainty of full minus now [kg]: u^2 = 2 d^2/12 + u_cal^2 + drift^2/3 + other^2.

    `resolution_kg` d: the scale's step, counted once for each of the two readings. `calibration_kg`: standard uncertainty
    (half of a certificate's figure at k = 2). `drift_kg`: largest drift since calibration. `other_kg`: hose, horn or pin not
    as when stamped. Air's buoyancy is left out: 8e-5 of the mass that changed.
    """
    parts = {"resolution": resolution_kg, "calibration uncertainty": calibration_kg, "drift": drift_kg, "other uncertainty": other_kg}
    for name, value in parts.items():
        _refuse_negative(name, value)
    return math.sqrt(resolution_kg**2 / 6 + calibration_kg**2 + drift_kg**2 / 3 + other_kg**2)


def probability_within(*, value: float, limit: float, uncertainty: float) -> float:
    """Probability that the true value is at or below an upper limit: Phi((L - y) / u), u the standard uncertainty.

    For a lower limit ask with both signs changed. With u = 0 it is 1 or 0. Source: JCGM 106:2012, 7.

    >>> round(probability_within(value=-5.47, limit=-5.40, uncertainty=0.05), 4)
    0.9192
    """
    _refuse_negative("standard uncertainty", uncertainty)
    if uncertainty == 0:
        return 1.0 if value <= limit else 0.0
    return normal_share((limit - value) / uncertainty)


def normal_share(x: float) -> float:
    """Share of a normal distribution below `x` standard deviations."""
    return 0.5 * math.erfc(-x / math.sqrt(2))


def guard_band(*, expanded: float, ratio: float = 1.0) -> float:
    """Width of the guard band w = r U, U = 2u (ILAC-G8:09/2019 4.2)."""
    _refuse_negative("expanded uncertainty", expanded)
    return ratio * expanded


def false_accept_max(ratio: float) -> float:
    """The largest chance that something beyond the limit is passed with a guard band of r U: Phi(-2 r)."""
    return normal_share(-2 * ratio)


def scale_decides(*, resolution: Fraction, expanded: float, limit: Fraction) -> bool:
    """Whether a scale can judge a limit: its step at most a tenth and U at most a third of it. Common practice, no source."""
    return resolution * 10 <= limit and expanded * 3 <= limit


def next_interval(*, interval: float, in_tolerance_observed: float, in_tolerance_target: float = 0.95) -> float:
    """The next calibration interval: I ln(R target) / ln(R observed), both shares between 0 and 1.

    Exponential model of reliability; methods are listed in ILAC-G24 / OIML D 10 (from memory).
    """
    for share in (in_tolerance_observed, in_tolerance_target):
        if not 0 < share < 1:
            raise Refusal(
                what="this is not a share of instruments in tolerance",
                rule="it lies between 0 and 1",
                got=f"{share:g}",
                do="count more calibrations; all or none in tolerance settles nothing",
            )
    return interval * math.log(in_tolerance_target) / math.log(in_tolerance_observed)


def least_water_kg(*, charge_kg: Fraction, filling_percent: Fraction) -> Fraction:
    """The water that a shell must hold for a charge of liquefied gas [kg]: charge / filling density.

    Filling density: percent of the water's mass, 68 for carbon dioxide in an 1800 psi cylinder (49 CFR 173.304a, public copy).
    """
    if charge_kg <= 0 or not 0 < filling_percent < 150:
        raise Refusal(
            what="this is not a filling density",
            rule="charge above zero, filling above 0 and below 150 % of the water",
            got=f"{float(charge_kg):g} kg, {float(filling_percent):g} %",
            do="take the percent from the rule",
        )
    return 100 * charge_kg / filling_percent
