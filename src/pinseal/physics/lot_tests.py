"""A lot against the rest, exactly: how likely so many failures would be by chance, and the interval of the ratio.

One-sided exact test on the two-by-two table (hypergeometric), with the exact conditional interval of the odds ratio; and, with the ages
allowed for, the binomial share of the failures. Small lots prove little: the interval says so, and no verdict is made of it.
Sources: R. A. Fisher's exact test and its conditional interval, Clopper and Pearson's interval (Biometrika 26, 404, 1934): from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from pinseal.reasons import Refusal


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio:
    """A ratio with its 95 % interval; `high` is infinite where the data set no upper end. `chance` is the one-sided probability."""

    chance: float
    estimate: float
    low: float
    high: float


def _log_choose(n: int, k: int) -> float:
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)


def _tails(failed_lot: int, lot: int, failed: int, units: int, log_odds: float) -> tuple[float, float]:
    """P(X <= a) and P(X >= a) of the failures in the lot, given all failures, when the odds are multiplied by exp(log_odds)."""
    low, high = max(0, failed - (units - lot)), min(lot, failed)
    logs = [_log_choose(lot, k) + _log_choose(units - lot, failed - k) + k * log_odds for k in range(low, high + 1)]
    peak = max(logs)
    weights = [math.exp(log - peak) for log in logs]
    total = math.fsum(weights)
    at = failed_lot - low
    return math.fsum(weights[: at + 1]) / total, math.fsum(weights[at:]) / total


def _root(rises: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero, by halving."""
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if rises(middle) < 0 else (low, middle)
    return (low + high) / 2


def lot_against_rest(*, failed_lot: int, lot: int, failed_rest: int, rest: int, level: float = 0.95) -> Ratio:
    """The exact one-sided test that a lot fails no more often than the rest, and the conditional interval of the odds ratio.

    Parameters: counts; failed_lot of lot, failed_rest of rest. Returns chance = P(at least so many in the lot | no difference), the
    odds ratio of the sample and its two-sided interval. Raises `Refusal` for counts that cannot be.

    >>> round(lot_against_rest(failed_lot=3, lot=4, failed_rest=1, rest=4).chance, 6)
    0.242857
    """
    if not (0 <= failed_lot <= lot and 0 <= failed_rest <= rest and lot > 0 and rest > 0):
        raise Refusal(
            what="these counts cannot be",
            rule="failures are not more than units, and both sides have units",
            got=f"{failed_lot} of {lot} and {failed_rest} of {rest}",
            do="count again",
        )
    failed, units = failed_lot + failed_rest, lot + rest
    _, chance = _tails(failed_lot, lot, failed, units, 0.0)
    tail = (1 - level) / 2
    least, most = max(0, failed - rest), min(lot, failed)
    low = 0.0 if failed_lot == least else math.exp(_root(lambda x: _tails(failed_lot, lot, failed, units, x)[1] - tail, -40, 40))
    high = math.inf if failed_lot == most else math.exp(_root(lambda x: tail - _tails(failed_lot, lot, failed, units, x)[0], -40, 40))
    good_lot, good_rest = lot - failed_lot, rest - failed_rest
    against = good_lot * failed_rest
    estimate = failed_lot * good_rest / against if against else (math.inf if failed_lot * good_rest else math.nan)
    return Ratio(chance=min(chance, 1.0), estimate=estimate, low=low, high=high)


def rate_against_rest(*, failed_lot: int, expected_lot: float, failed_rest: int, expected_rest: float, level: float = 0.95) -> Ratio:
    """The ratio of failures to expected failures, lot over rest, exactly: given all failures, those in the lot are binomial.

    Parameters: counts, and the failures that one law expects of each side at its ages (above zero). Returns the one-sided chance, the
    ratio and its two-sided interval (the share's exact binomial interval, turned into a ratio).

    >>> round(rate_against_rest(failed_lot=2, expected_lot=1.0, failed_rest=2, expected_rest=1.0).estimate, 3)
    1.0
    """
    if not (expected_lot > 0 and expected_rest > 0 and failed_lot >= 0 and failed_rest >= 0):
        raise Refusal(
            what="a lot cannot be compared",
            rule="both sides were followed for some time",
            got=f"expected {expected_lot:g} and {expected_rest:g} failures",
            do="give the dates of inspection",
        )
    failed, usual = failed_lot + failed_rest, expected_lot / (expected_lot + expected_rest)
    tail = (1 - level) / 2
    low = 0.0 if failed_lot == 0 else _root(lambda p: _at_least(failed_lot, failed, p) - tail, 0.0, 1.0)
    high = 1.0 if failed_lot == failed else _root(lambda p: tail - (1 - _at_least(failed_lot + 1, failed, p)), 0.0, 1.0)
    odds = expected_rest / expected_lot

    def ratio(share: float) -> float:
        return math.inf if share >= 1 else share / (1 - share) * odds

    estimate = ratio(failed_lot / failed) if failed else math.nan
    return Ratio(chance=_at_least(failed_lot, failed, usual), estimate=estimate, low=ratio(low), high=ratio(high))


def _at_least(k: int, n: int, p: float) -> float:
    """P(X >= k) of a binomial."""
    if k <= 0:
        return 1.0
    if p <= 0 or k > n:
        return 0.0
    if p >= 1:
        return 1.0
    logs = [_log_choose(n, i) + i * math.log(p) + (n - i) * math.log1p(-p) for i in range(k, n + 1)]
    peak = max(logs)
    return min(math.exp(peak) * math.fsum(math.exp(log - peak) for log in logs), 1.0)
