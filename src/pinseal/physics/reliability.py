"""When units fail, from inspections: survival without a model, the Weibull law, and an exact comparison of a lot with the rest.

A failure found at an inspection lies after the last good one and at or before the first bad one: the interval (L, R]. A unit never
found bad is right-censored at its last good inspection, R infinite. A failure seen as it happened is exact, L = R. The day of an
inspection is never taken as the day of a failure.

Sources: self-consistent estimate, J. R. Stat. Soc. B 38, 290 (1976); product-limit estimate, J. Am. Stat. Assoc. 53, 457 (1958);
Weibull by maximum likelihood, NIST/SEMATECH e-Handbook 8.4.1.3. Trap: a library fit that takes the intervals as closed, [L, R],
gives other masses; here they are open on the left.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinseal.reasons import Refusal

Floats = NDArray[np.float64]

FAILURES_MIN = 3
_ROUNDS = 50_000
_AT_REST = 1e-12
_NORMAL_975 = 1.959963984540054


def _checked(left: Floats, right: Floats) -> tuple[Floats, Floats]:
    left, right = np.asarray(left, dtype=np.float64), np.asarray(right, dtype=np.float64)
    if left.shape != right.shape or left.size == 0 or not (np.isfinite(left).all() and (left >= 0).all() and (right >= left).all()):
        raise Refusal(
            what="these are not ages of failures",
            rule="each unit has a last good age of zero or more and a first bad age not before it (infinite where none)",
            got=f"{left.size} and {right.size} ages",
            do="check the dates",
        )
    if (right == 0).any():
        raise Refusal(what="a unit failed at age zero", rule="an age of failure is above zero", got="0", do="check the dates")
    return left, right


@dataclass(frozen=True, slots=True, kw_only=True)
class Masses:
    """Shares of failures on the innermost intervals (after, by]; by infinite holds what outlived the inspections."""

    after: Floats
    by: Floats
    mass: Floats

    def survival(self, age: float) -> tuple[float, float]:
        """Least and greatest survival at an age that the estimate allows: inside an interval it is not determined.

        >>> npmle(np.array([1.0, 2.0]), np.array([2.0, np.inf])).survival(1.5)
        (0.5, 1.0)
        """
        gone = float(self.mass[self.by <= age].sum())
        maybe = float(self.mass[(self.after < age) & (self.by > age)].sum())
        return max(1.0 - gone - maybe, 0.0), max(1.0 - gone, 0.0)


def _innermost(left: Floats, right: Floats) -> tuple[Floats, Floats]:
    """Intervals that begin at some L and end at the next R with no other end between them; an exact age is an interval of its own."""
    exact = left == right
    # at one age: an exact failure begins, then ends of intervals, then beginnings of open ones
    begins = np.where(exact, 0, 2)
    ages = np.concatenate((left, right))
    order_within = np.concatenate((begins, np.ones(len(right), dtype=np.int64)))
    is_end = np.concatenate((np.zeros(len(left), dtype=bool), np.ones(len(right), dtype=bool)))
    order = np.lexsort((order_within, ages))
    ages, is_end = ages[order], is_end[order]
    found = np.flatnonzero(~is_end[:-1] & is_end[1:])
    return ages[found], ages[found + 1]


def npmle(left: Floats, right: Floats) -> Masses:
    """The non-parametric maximum likelihood estimate of survival from intervals (L, R].

    Parameters: left, right [any unit of age]; right infinite for a unit that has not failed; left = right for an exact failure.
    Returns the masses on the innermost intervals. By EM; equal intervals count once with their number. Raises `Refusal`.
    """
    left, right = _checked(left, right)
    pairs, counts = np.unique(np.stack((left, right)), axis=1, return_counts=True)
    after, by = _innermost(left, right)
    low, high = pairs[0][:, None], pairs[1][:, None]
    exact = pairs[0] == pairs[1]
    inside = np.where(
        exact[:, None], (after == low) & (by == high), (after >= low) & (by <= high) & ~((after == by) & (after == low))
    ).astype(np.float64)
    mass = np.full(len(after), 1.0 / len(after))
    share = counts / counts.sum()
    for _ in range(_ROUNDS):
        fresh = mass * (inside.T @ (share / (inside @ mass)))
        moved = float(np.abs(fresh - mass).max())
        mass = fresh
        if moved < _AT_REST:
            break
    keep = mass > 1e-9
    return Masses(after=after[keep], by=by[keep], mass=mass[keep] / mass[keep].sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Survival after each age of failure, with its 95 % interval on the log-log scale."""

    age: Floats
    survival: Floats
    low: Floats
    high: Floats


def kaplan_meier(age: Floats, failed: NDArray[np.bool_]) -> Steps:
    """The product-limit estimate for exact failures and right-censored ages; a unit censored at an age of failure was still at risk.

    Interval: Greenwood's variance on the log-log scale (J. Am. Stat. Assoc. 53, 457, 1958, and later practice: from memory).
    """
    age, failed = np.asarray(age, dtype=np.float64), np.asarray(failed, dtype=bool)
    times = np.unique(age[failed])
    at_risk = np.array([(age >= t).sum() for t in times], dtype=np.float64)
    deaths = np.array([((age == t) & failed).sum() for t in times], dtype=np.float64)
    survival = np.asarray(np.cumprod(1.0 - deaths / at_risk), dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = np.sqrt(np.cumsum(deaths / (at_risk * (at_risk - deaths)))) / np.abs(np.log(survival))
        low, high = survival ** np.exp(_NORMAL_975 * spread), survival ** np.exp(-_NORMAL_975 * spread)
    return Steps(age=times, survival=survival, low=np.where(survival > 0, low, 0.0), high=np.where(survival > 0, high, 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Weibull:
    """S(t) = exp(-(t/scale)^shape) with 95 % intervals from the curvature of the likelihood on the log scale."""

    scale: float
    shape: float
    log_likelihood: float
    scale_low: float
    scale_high: float
    shape_low: float
    shape_high: float
    covariance: tuple[float, float, float]  # of (log scale, log shape): variance, covariance, variance

    @property
    def aic(self) -> float:
        return 4.0 - 2.0 * self.log_likelihood

    @property
    def mean(self) -> float:
        return self.scale * math.gamma(1 + 1 / self.shape)

    @property
    def sd(self) -> float:
        return self.scale * math.sqrt(math.gamma(1 + 2 / self.shape) - math.gamma(1 + 1 / self.shape) ** 2)

    def survival(self, age: float) -> tuple[float, float, float]:
        """Survival at an age with its 95 % interval (normal on the scale of log(-log S))."""
        z = self.shape * (math.log(age) - math.log(self.scale))
        by_scale, by_shape = -self.shape, z
        a, b, c = self.covariance
        spread = math.sqrt(max(a * by_scale**2 + 2 * b * by_scale * by_shape + c * by_shape**2, 0.0))
        ends = (z, z + _NORMAL_975 * spread, z - _NORMAL_975 * spread)
        best, low, high = (math.exp(-math.exp(min(end, 700.0))) for end in ends)
        return best, low, high


def _cumulative(age: Floats, log_scale: float, log_shape: float) -> tuple[Floats, Floats]:
    """z = shape (log age - log scale) and H = exp(z); at age zero H = 0."""
    shape = math.exp(log_shape)
    with np.errstate(divide="ignore"):
        z = shape * (np.log(age) - log_scale)
    z = np.minimum(z, 690.0)
    return np.where(age > 0, z, 0.0), np.where(age > 0, np.exp(z), 0.0)


def _parts(z: Floats, h: Floats, shape: float) -> tuple[Floats, Floats]:
    """First and second derivatives of H by (log scale, log shape), as columns (u, v) and (uu, uv, vv)."""
    first = np.stack((-shape * h, h * z))
    second = np.stack((shape**2 * h, -shape * h * (1 + z), h * z * (1 + z)))
    return first, second


def _likelihood(log_scale: float, log_shape: float, left: Floats, right: Floats) -> tuple[float, Floats, Floats]:
    """Log likelihood of interval, exact and right-censored ages, its gradient and its second derivatives."""
    shape = math.exp(log_shape)
    exact, open_ended = left == right, np.isinf(right)
    between = ~exact & ~open_ended
    total, gradient, curvature = 0.0, np.zeros(2), np.zeros(3)
    z, h = _cumulative(left[open_ended], log_scale, log_shape)
    first, second = _parts(z, h, shape)
    total -= float(h.sum())
    gradient -= first.sum(axis=1)
    curvature -= second.sum(axis=1)
    z, h = _cumulative(right[exact], log_scale, log_shape)
    first, second = _parts(z, h, shape)
    count = float(exact.sum())
    total += float((log_shape + z - np.log(right[exact]) - h).sum())
    gradient += np.array([-shape * count, z.sum() + count]) - first.sum(axis=1)
    curvature += np.array([0.0, -shape * count, z.sum()]) - second.sum(axis=1)
    za, a = _cumulative(left[between], log_scale, log_shape)
    zb, b = _cumulative(right[between], log_scale, log_shape)
    gap = np.maximum(b - a, 1e-300)
    total += float((-a + np.log(-np.expm1(-gap))).sum())
    fa, sa = _parts(za, a, shape)
    fb, sb = _parts(zb, b, shape)
    with np.errstate(over="ignore"):
        more = 1.0 / np.expm1(np.minimum(gap, 690.0))
    gradient += (more * fb - (1 + more) * fa).sum(axis=1)
    d = fb - fa
    bend = more * (1 + more)
    cross = np.stack((d[0] * d[0], d[0] * d[1], d[1] * d[1]))
    curvature += (more * sb - (1 + more) * sa - bend * cross).sum(axis=1)
    return total, gradient, curvature


def weibull(left: Floats, right: Floats) -> Weibull:
    """Weibull by maximum likelihood from exact (L = R), interval (L, R] and right-censored (R infinite) ages.

    Parameters: left, right [any unit of age]. Raises `Refusal` for fewer than three failures or where the likelihood has no peak, as
    where all failures lie in one interval.
    """
    left, right = _checked(left, right)
    failures = int(np.isfinite(right).sum())
    if failures < FAILURES_MIN:
        raise _no_peak(f"{failures} failures")
    ages = np.where(np.isfinite(right), (left + np.where(np.isfinite(right), right, 0.0)) / 2, left)
    point = np.array([math.log(max(float(ages.sum()) / failures, 1e-9)), 0.0])
    value, gradient, curvature = _likelihood(point[0], point[1], left, right)
    for _ in range(200):
        step = _newton(gradient, curvature)
        for _ in range(60):
            trial = point + step
            fresh = _likelihood(trial[0], trial[1], left, right) if abs(trial[1]) < 5 else (-math.inf, gradient, curvature)
            if fresh[0] >= value - 1e-12 * abs(value):
                break
            step = step / 2
        moved = float(np.abs(step).max())
        point, (value, gradient, curvature) = trial, fresh
        if moved < 1e-10:
            break
    return _with_interval(point, value, curvature, failures)


def _newton(gradient: Floats, curvature: Floats) -> Floats:
    """Newton's step; where the surface is not a hill, a short step uphill."""
    a, b, c = -curvature
    det = a * c - b * b
    if a > 0 and det > 1e-12 * a * c:
        step = np.array([c * gradient[0] - b * gradient[1], a * gradient[1] - b * gradient[0]]) / det
    else:
        step = gradient / max(float(np.abs(gradient).max()), 1e-12) * 0.25
    return np.asarray(step * min(1.0, 1.0 / max(float(np.abs(step).max()), 1e-12)))


def _no_peak(got: str) -> Refusal:
    return Refusal(
        what="a Weibull law cannot be fitted to these failures",
        rule=f"at least {FAILURES_MIN} failures, not all in one interval of age",
        got=got,
        do="look at the survival steps instead, or wait for more failures",
    )


def _with_interval(point: Floats, value: float, curvature: Floats, failures: int) -> Weibull:
    a, b, c = -curvature
    det = a * c - b * b
    if not (a > 0 and det > 0 and abs(point[1]) < 4.0):
        raise _no_peak(f"{failures} failures at about one age")
    covariance = (c / det, -b / det, a / det)
    scale, shape = math.exp(point[0]), math.exp(point[1])
    by_scale, by_shape = (math.exp(_NORMAL_975 * math.sqrt(v)) for v in (covariance[0], covariance[2]))
    return Weibull(
        scale=scale, shape=shape, log_likelihood=value, covariance=(float(covariance[0]), float(covariance[1]), float(covariance[2])),
        scale_low=scale / by_scale, scale_high=scale * by_scale, shape_low=shape / by_shape, shape_high=shape * by_shape,
    )  # fmt: skip


def expected_failures(law: Weibull, left: Floats, right: Floats) -> float:
    """Failures that a law expects of units followed like these: the sum of H at their ages, averaged over each interval of failure."""
    left, right = _checked(left, right)
    _, a = _cumulative(left, math.log(law.scale), math.log(law.shape))
    _, b = _cumulative(np.where(np.isinf(right), left, right), math.log(law.scale), math.log(law.shape))
    gap = b - a
    with np.errstate(divide="ignore", invalid="ignore"):
        inside = a + 1.0 - gap / np.expm1(np.minimum(gap, 690.0))
    return float(np.where(gap < 1e-12, a, inside).sum())
