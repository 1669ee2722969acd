"""What a series of readings says about what is to come: when the limit is crossed, and which further reading would settle it.

The crossing is bounded by Fieller's interval (J. R. Stat. Soc. B 16, 175, 1954: from memory): all times x for which the fitted line may
stand at the limit, (a + b x - L)^2 <= t^2 var(a + b x). Where the slope is not significant the interval is open: "cannot bound".
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pinseal.physics.leaks import Fits, Flags, Floats, t_quantile

YEARS_AHEAD_MAX = 10.0
_WEEK = 7 / 365.25
# A reading settles a question when it would do so four times in five: 0.8416 is the normal quantile of 0.8.
_POWER = 0.8416
_TELLS = 1.645  # each of two answers is then wrong once in twenty


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossings:
    """When the line of the last gauge meets its limit [yr, as the readings], one row a unit. NaN where there is no such end."""

    when: Floats
    earliest: Floats
    latest: Floats
    bounded: Flags


def crossings(fits: Fits, limit: Floats | float) -> Crossings:
    """Fieller's interval at 95 % for each unit's leak line and limit [unit of the readings].

    Unbounded: `latest` is NaN, and `earliest` is the nearest time ahead of the mean that is still possible, where there is one.
    """
    q2 = t_quantile(0.975, fits.df) ** 2
    above, b = fits.mean_value - limit, fits.slope
    spread = fits.scatter**2 / fits.weight
    with np.errstate(divide="ignore", invalid="ignore"):
        a2 = b**2 - q2 * fits.slope_se**2
        a1, a0 = above * b, above**2 - q2 * spread
        root = np.sqrt(a1**2 - a2 * a0)
        first, second = (-a1 - root) / a2, (-a1 + root) / a2
        low, high = np.fmin(first, second), np.fmax(first, second)
        bounded = (a2 > 0) & (b < 0) & np.isfinite(root)
        when = np.where(b < 0, -above / b, np.nan)
    ahead = np.where(np.isfinite(high) & (high > 0), high, np.nan)
    return Crossings(
        when=fits.mean_year + when,
        earliest=fits.mean_year + np.where(bounded, low, ahead),
        latest=fits.mean_year + np.where(bounded, high, np.nan),
        bounded=bounded,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """What one unit's fit needs for looking ahead; as in `Fits`."""

    slope: float
    slope_se: float
    df: int
    scatter: float
    mean_year: float
    mean_value: float
    weight: float
    time_squares: float
    step: float
    after_share: float

    @classmethod
    def of(cls, fits: Fits, number: int) -> Unit:
        return cls(**{name: getattr(fits, name)[number].item() for name in cls.__slots__})


def line(unit: Unit, year: float, *, level: float = 0.95) -> tuple[float, float]:
    """The leak line at a time [yr] and half the width of its interval [unit of the readings]."""
    away = year - unit.mean_year
    spread = math.sqrt(unit.scatter**2 / unit.weight + (unit.slope_se * away) ** 2)
    reach = float(t_quantile(0.5 + level / 2, np.array([unit.df]))[0]) * spread
    return unit.mean_value + unit.slope * away, reach


def level_after(unit: Unit) -> float:
    """The level that the one-off model gives the last gauge after the loss [unit of the readings]."""
    return unit.mean_value + unit.step * (1.0 - unit.after_share)


def _se_with(unit: Unit, year: float, u: float) -> float:
    """Standard error of the slope with one more reading of uncertainty u, with the scatter as it is."""
    more = 1.0 / u**2
    away = year - unit.mean_year
    return unit.scatter / math.sqrt(unit.time_squares + more * unit.weight / (unit.weight + more) * away**2)


def reading_that_shows(unit: Unit, *, slope: float, u: float, not_before_year: float, one_sided: bool = True) -> float | None:
    """The first time [yr] at which one more reading would show a leak of this slope four times in five; None within ten years."""
    q = float(t_quantile(0.95 if one_sided else 0.975, np.array([unit.df + 1]))[0])
    for week in range(int(YEARS_AHEAD_MAX / _WEEK)):
        year = not_before_year + week * _WEEK
        if abs(slope) >= (q + _POWER) * _se_with(unit, year, u):
            return year
    return None


def reading_that_tells(unit: Unit, *, u: float, not_before_year: float) -> tuple[float, float] | None:
    """When one more reading would tell a leak from a one-off loss, and the value that parts them; None within ten years.

    A leak goes on falling, a one-off loss stays: at that time the two predictions stand apart by 1.645 standard deviations of a
    reading on either side of their middle.
    """
    if not unit.slope < 0 or math.isnan(unit.after_share):
        return None
    stays = level_after(unit)
    for week in range(int(YEARS_AHEAD_MAX / _WEEK)):
        year = not_before_year + week * _WEEK
        falls, _ = line(unit, year)
        away = year - unit.mean_year
        spread = math.hypot(unit.scatter * u, unit.scatter / math.sqrt(unit.weight), unit.slope_se * away)
        if stays - falls >= 2 * _TELLS * spread:
            return year, (stays + falls) / 2
    return None
