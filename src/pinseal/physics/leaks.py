"""Leaks from series of readings, whole fleets at once: slope, one-off loss, which of the two, and how sure.

Three models are compared for each unit: nothing lost, y = a; a slow leak, y = a + b t with b < 0; a one-off loss,
y = a - d after a moment. Every gauge (or scale) of a unit has its own constant a, so that a gauge's own error drops out
and gauges are never mixed. Readings weigh 1/u^2. They are pressures referred to 70 F, or weights. `leak_kinds` decides between the
three models.

The scatter is learned from the readings together with the stated uncertainty, which counts as four readings more; where
the readings scatter more than it explains (1 in 1000), the readings alone count.

Sources: least squares and its interval, NIST/SEMATECH e-Handbook of Statistical Methods 4.1.4.1 and the StRD linear sets
(check values); t quantiles from SciPy.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

READINGS_MIN = 3
PRIOR_READINGS = 4
_BLOCK = 4096
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """Readings of many units in columns, one row a reading, sorted by unit and then by time.

    unit: 0, 1, 2 ... without a gap; gauge: 0, 1 ... within its unit; year: time [yr]; value and u: reading and its standard
    uncertainty [one unit of measure for all: Pa or kg].
    """

    unit: Ints
    gauge: Ints
    year: Floats
    value: Floats
    u: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """What was fitted, one row a unit. Slopes per year, in the unit of the readings; NaN where the readings do not allow a fit."""

    readings: Ints
    gauges: Ints
    slope: Floats  # of the leak model
    slope_se: Floats
    df: Ints
    scatter: Floats  # root mean square of residuals over their stated uncertainty
    excess: Flags  # the readings scatter more than stated
    t_slope: Floats
    step: Floats  # of the one-off model, below zero for a loss
    t_step: Floats
    step_after: Ints  # the loss lies before this reading of the unit (counted from 0); -1 where none fits
    scatter_step: Floats  # of the one-off model, as `scatter`
    excess_step: Flags
    low_twice: Flags  # both readings after the loss are low
    slope_beside: Floats  # slope beside a one-off loss
    slope_beside_se: Floats
    df_beside: Ints
    rise: Floats  # the greatest jump upwards beside a slope, and its t
    t_rise: Floats
    rise_after: Ints
    last_low: Flags  # the last reading alone is far below those before it
    log_none: Floats
    log_leak: Floats
    log_event: Floats
    # for the line and its crossing: mean time, mean value and weight of the last gauge, and sum of squares of time
    mean_year: Floats
    mean_value: Floats
    weight: Floats
    time_squares: Floats
    after_share: Floats  # the share of the last gauge's weight that lies after the one-off loss


def t_quantile(level: float, df: Ints) -> Floats:
    """Quantile of Student's t at `level` for whole degrees of freedom (below 1: infinity).

    >>> float(round(t_quantile(0.975, np.array([4]))[0], 4))
    2.7764
    """
    from scipy.special import stdtrit

    top = int(df.max(initial=1))
    table = np.concatenate(([np.inf if level > 0.5 else -np.inf], stdtrit(np.arange(1.0, top + 1), level)))
    return np.asarray(table[np.maximum(df, 0)], dtype=np.float64)


def _excess_limit(df: Any) -> Any:
    """The 99.9 % point of chi2/df, by the cube-root form (Wilson and Hilferty, PNAS 17, 684, 1931: from memory)."""
    part = 2.0 / (9.0 * np.maximum(df, 1))
    return (1.0 - part + 3.09 * np.sqrt(part)) ** 3


def _spread(squares: Floats, df: Ints) -> tuple[Floats, Ints, Flags]:
    """Variance of unit weight, its degrees of freedom, and whether the readings overrule the stated uncertainty.

    (squares + 4) / (df + 4); where the stated uncertainty is right its degrees of freedom are (df + 4)^2 / df, a little above df + 8.
    """
    plain = squares / np.maximum(df, 1)
    excess = (plain > _excess_limit(df)) & (df > 0)
    variance = np.where(excess, plain, (squares + PRIOR_READINGS) / (np.maximum(df, 0) + PRIOR_READINGS))
    return variance, np.where(excess, df, np.maximum(df, 0) + 2 * PRIOR_READINGS), excess


def _suffix(values: Floats) -> Floats:
    """Sums from each column to the end."""
    return np.cumsum(values[:, ::-1], axis=1)[:, ::-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sums:
    """A block of units as padded rows, centred by gauge, with the sums that every model needs."""

    t: Floats
    y: Floats
    w: Floats
    gauge: Ints
    count: Ints
    gauges: Ints
    yc: Floats
    tt: Floats
    ty: Floats
    yy: Floats
    hh: Floats  # squares of the step's column, for a step before each reading
    hy: Floats
    ht: Floats


def _centred(t: Floats, y: Floats, w: Floats, gauge: Ints, gauges: Ints, count: Ints) -> _Sums:
    tc, yc = t.copy(), y.copy()
    own = np.zeros_like(w)  # what the gauges' own constants take from the step's column
    for number in range(int(gauges.max(initial=1))):
        mine = np.where(gauge == number, w, 0.0)
        total = np.maximum(mine.sum(axis=1), 1e-300)[:, None]
        here = gauge == number
        tc = np.where(here, tc - (mine * t).sum(axis=1)[:, None] / total, tc)
        yc = np.where(here, yc - (mine * y).sum(axis=1)[:, None] / total, yc)
        own += _suffix(mine) ** 2 / total
    wt, wy = w * tc, w * yc
    return _Sums(
        t=t, y=y, w=w, gauge=gauge, count=count, gauges=gauges, yc=yc,
        tt=(wt * tc).sum(axis=1), ty=(wt * yc).sum(axis=1), yy=(wy * yc).sum(axis=1),
        hh=_suffix(w) - own, hy=_suffix(wy), ht=_suffix(wt),
    )  # fmt: skip


def _places(sums: _Sums) -> Flags:
    """Where a one-off loss can lie: two readings before, two after, at another time, and not hidden by a change of gauge."""
    column = np.arange(sums.t.shape[1])
    inside = (column >= 2) & (column <= sums.count[:, None] - 2)
    inside[:, 1:] &= sums.t[:, 1:] > sums.t[:, :-1]
    own = sums.hh * sums.tt[:, None]
    hidden = (sums.hh <= _CLOSE * _suffix(sums.w)) | (own - sums.ht**2 <= 1e-6 * own)
    return np.asarray(inside & ~hidden)


def _log_marginal(squares: Any, product: Any, total: Any, readings: Any, prior: Any) -> Any:
    """Log of the marginal likelihood of a model with one more column of which only losses count, up to a constant of the unit.

    Normal prior of standard deviation `prior` cut at zero; variance with the prior of four readings. The t integral of the cut
    is taken by its normal form, which moves a probability by less than 0.01.
    """
    from scipy.special import log_ndtr

    v = squares + 1.0 / prior**2
    rest = PRIOR_READINGS + total - product**2 / v
    df = readings + PRIOR_READINGS
    x = -product / v / np.sqrt(rest / df / v)
    x = x * (1.0 - 0.25 / df) / np.sqrt(1.0 + x**2 / (2.0 * df))
    return np.log(2.0) + log_ndtr(x) - 0.5 * np.log(prior**2 * v) - 0.5 * df * np.log(rest)


def _low_twice(sums: _Sums, at: Ints, step: Floats) -> Flags:
    """Whether both readings after the step stand beyond half of it, counted from the fitted level before it."""
    row = np.arange(len(at))
    safe = np.maximum(at, 0)
    column = np.arange(sums.t.shape[1])
    before = np.where(column < safe[:, None], sums.w, 0.0)
    level = (before * sums.yc).sum(axis=1) / np.maximum(before.sum(axis=1), 1e-300)
    second = np.minimum(safe + 1, sums.t.shape[1] - 1)
    limit = level + step / 2
    beyond = (sums.yc[row, safe] < limit) & (sums.yc[row, second] < limit)
    return np.asarray((at >= 0) & beyond)


def _best(gain: Floats, places: Flags) -> Ints:
    """The place of the greatest gain, -1 where there is none."""
    masked = np.where(places, gain, -1.0)
    at = np.argmax(masked, axis=1)
    return np.where(masked[np.arange(len(at)), at] > 0, at, -1)


def _last_low(sums: _Sums) -> Flags:
    """The last reading alone stands more than three uncertainties below the mean of those before it, on any gauge's own level."""
    row, last = np.arange(len(sums.count)), np.maximum(sums.count - 1, 0)
    weight, residual = sums.w[row, last], sums.yc[row, last]
    share = weight / np.maximum(sums.w.sum(axis=1), 1e-300)
    alone = residual / np.maximum(1.0 - share, 1e-9)  # from the mean of the others
    z = alone * np.sqrt(weight * np.maximum(1.0 - share, 0.0))
    rest = (sums.yy - weight * residual * alone) / np.maximum(sums.count - 2, 1)
    before = sums.yc[row, np.maximum(last - 1, 0)]
    alone_low = (z < -3.0 * np.sqrt(np.maximum(rest, 1.0))) & (before > 0.5 * residual)
    return np.asarray((sums.count >= 3) & alone_low)


def _fit_block(sums: _Sums, slope_prior: Floats, step_prior: Floats) -> dict[str, Any]:
    row, places = np.arange(len(sums.count)), _places(sums)
    enough = (sums.count >= READINGS_MIN) & (sums.tt > 0)
    tt = np.where(enough, sums.tt, np.nan)
    slope = sums.ty / tt
    df = sums.count - sums.gauges - 1
    variance, df_used, excess = _spread(np.maximum(sums.yy - slope * sums.ty, 0.0), df)
    se = np.sqrt(variance / tt)
    with np.errstate(divide="ignore", invalid="ignore"):  # where no step can lie, or every reading was taken at once
        size, gain = sums.hy / sums.hh, sums.hy**2 / sums.hh
        at = _best(np.where(size < 0, gain, 0.0), places)
        held = {
            **_step(sums, size, at),
            **_rise(sums, places),
            **_beside(sums, at),
        }
        logs = np.where(
            places, _log_marginal(sums.hh, sums.hy, sums.yy[:, None], (sums.count - sums.gauges)[:, None], step_prior[:, None]), -np.inf
        )
        peak = logs.max(axis=1)
        log_event = peak + np.log(np.exp(logs - peak[:, None]).sum(axis=1) / np.maximum(places.sum(axis=1), 1))
    free = sums.count - sums.gauges
    last = np.maximum(sums.count - 1, 0)
    return held | {
        "readings": sums.count, "gauges": sums.gauges, "slope": slope, "slope_se": se, "df": np.where(enough, df_used, 0),
        "scatter": np.sqrt(variance), "excess": excess & enough, "t_slope": slope / se, "last_low": _last_low(sums),
        "log_none": -0.5 * (free + PRIOR_READINGS) * np.log(PRIOR_READINGS + sums.yy),
        "log_leak": _log_marginal(tt, sums.ty, sums.yy, free, slope_prior),
        "log_event": np.where(places.any(axis=1), log_event, -np.inf),
        "time_squares": tt, **_of_last_gauge(sums, row, last, at),
    }  # fmt: skip


def _of_last_gauge(sums: _Sums, row: Ints, last: Ints, at: Ints) -> dict[str, Any]:
    """Mean time, mean value and weight of the gauge that took the last reading: its needle is the one that meets the limit."""
    mine = np.where(sums.gauge == sums.gauge[row, last][:, None], sums.w, 0.0)
    weight = np.maximum(mine.sum(axis=1), 1e-300)
    after = np.where(np.arange(sums.t.shape[1]) >= at[:, None], mine, 0.0).sum(axis=1)
    return {
        "after_share": np.where(at >= 0, after / weight, np.nan),
        "mean_value": (mine * sums.y).sum(axis=1) / weight,
        "mean_year": (mine * sums.t).sum(axis=1) / weight,
        "weight": weight,
    }


def _step(sums: _Sums, size: Floats, at: Ints) -> dict[str, Any]:
    row, found = np.arange(len(at)), at >= 0
    safe = np.maximum(at, 0)
    step = np.where(found, size[row, safe], 0.0)
    variance, _, excess = _spread(np.maximum(sums.yy - step * sums.hy[row, safe], 0.0), sums.count - sums.gauges - 2)
    t = np.where(found, step * np.sqrt(np.maximum(sums.hh[row, safe], 0.0) / variance), 0.0)
    twice = _low_twice(sums, at, step)
    return {"step": step, "t_step": t, "step_after": at, "low_twice": twice, "scatter_step": np.sqrt(variance), "excess_step": excess}


def _rise(sums: _Sums, places: Flags) -> dict[str, Any]:
    """The greatest jump upwards beside a slope, as a charge between two readings of a leaking unit makes it, and its t."""
    row, tt, ty = np.arange(len(sums.count)), sums.tt[:, None], sums.ty[:, None]
    det = np.where(places, sums.hh * tt - sums.ht**2, np.nan)
    size = (tt * sums.hy - sums.ht * ty) / det
    gain = (tt * sums.hy**2 - 2 * sums.ht * sums.hy * ty + sums.hh * ty**2) / det
    at = _best(np.where(size > 0, gain, 0.0), places)
    safe, found = np.maximum(at, 0), at >= 0
    squares = np.where(found, np.maximum(sums.yy - gain[row, safe], 0.0), 0.0)
    variance, _, _ = _spread(squares, np.maximum(sums.count - sums.gauges - 3, 1))
    rise = np.where(found, size[row, safe], 0.0)
    t = rise * np.sqrt(np.where(found, det[row, safe], 0.0) / np.maximum(sums.tt, 1e-300) / variance)
    return {"rise": rise, "t_rise": np.where(found, t, 0.0), "rise_after": at}


def _beside(sums: _Sums, at: Ints) -> dict[str, Any]:
    """The slope beside the one-off loss: both columns fitted together."""
    row, found, safe = np.arange(len(at)), at >= 0, np.maximum(at, 0)
    hh, hy, ht = sums.hh[row, safe], sums.hy[row, safe], sums.ht[row, safe]
    det = np.where(found, hh * sums.tt - ht**2, np.nan)
    slope, step = (hh * sums.ty - ht * hy) / det, (sums.tt * hy - ht * sums.ty) / det
    squares = np.where(found, np.maximum(sums.yy - slope * sums.ty - step * hy, 0.0), 0.0)
    variance, df, _ = _spread(squares, np.maximum(sums.count - sums.gauges - 3, 1))
    return {"slope_beside": slope, "slope_beside_se": np.sqrt(variance * hh / det), "df_beside": np.where(found, df, 0)}


def fit(readings: Readings, *, slope_prior: Floats | float, step_prior: Floats | float) -> Fits:
    """Fit the three models to every unit.

    Parameters: readings in columns; slope_prior [unit of the readings per year] and step_prior [unit of the readings], the
    sizes of leak and of loss that are expected where there is one (12 psi a year and 20 psi for pressures), one for all or one
    for each unit. Returns: one row a unit.
    """
    count = np.bincount(readings.unit)
    units = len(count)
    starts = np.concatenate(([0], np.cumsum(count)[:-1]))
    gauges = np.ones(units, dtype=np.int64)
    np.maximum.at(gauges, readings.unit[readings.gauge > 0], readings.gauge[readings.gauge > 0] + 1)
    order = np.lexsort((count, gauges))
    slope, step = np.broadcast_to(slope_prior, units), np.broadcast_to(step_prior, units)
    held: dict[str, Any] = {}
    for begin in range(0, units, _BLOCK):
        chosen = order[begin : begin + _BLOCK]
        sums = _gather(readings, starts[chosen], count[chosen], gauges[chosen])
        for name, column in _fit_block(sums, slope[chosen], step[chosen]).items():
            held.setdefault(name, np.empty(units, dtype=np.asarray(column).dtype))[chosen] = column
    return Fits(**held)


def _gather(readings: Readings, starts: Ints, count: Ints, gauges: Ints) -> _Sums:
    """The readings of some units as padded rows; what pads weighs nothing and repeats the last time."""
    column = np.arange(int(count.max(initial=1)))
    index = starts[:, None] + np.minimum(column, count[:, None] - 1)
    real = column < count[:, None]
    weight = np.where(real, 1.0 / readings.u[index] ** 2, 0.0)
    gauge = readings.gauge[index] if int(gauges.max(initial=1)) > 1 else np.zeros(index.shape, dtype=np.int64)
    return _centred(readings.year[index], readings.value[index], weight, gauge, gauges, count)
