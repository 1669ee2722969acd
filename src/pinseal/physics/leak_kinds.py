"""None, slow leak or one-off loss: what the fits of `leaks` amount to, with probabilities and the interval of the slope.

The alarm is the one-sided 5 % t test of the slope, or a one-off loss that is beyond doubt. The kind follows the ratio of the
two likelihoods, each averaged over the sizes that are expected. The thresholds were set by simulation and are measured by
`benchmarks/leaks.py`: about 5 % false alarms, and 95 % intervals that cover whatever the truth. The shares that the
probabilities start from are this program's own assumption and are said where they are shown.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinseal.physics.leaks import Fits, Flags, Floats, Ints, t_quantile

ALARM_LEVEL, HULL_LEVEL, INTERVAL_LEVEL = 0.05, 0.0165, 0.95
STEP_T = -4.2
KIND_ODDS, SLOPE_ODDS = 4.0, 10.0
KINDS = ("none", "slow-leak", "one-off-loss", "loss")
NONE, LEAK, EVENT, LOSS = range(4)
# Shares of units in each state before anything is read: this program's own assumption. A large fleet tells its own shares.
PRIOR_SHARES = (0.80, 0.12, 0.08)
FLEET_MIN = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """What the fits amount to, one row a unit."""

    kind: Ints  # an index of KINDS
    alarm: Flags
    slope: Floats
    slope_low: Floats
    slope_high: Floats
    probability_none: Floats
    probability_leak: Floats  # NaN where a leak and a one-off loss cannot be told apart at all
    probability_event: Floats
    shares: tuple[float, float, float]


def probabilities(fits: Fits, shares: tuple[float, float, float]) -> tuple[Floats, Floats, Floats]:
    """Probabilities of none, leak and one-off loss from the marginal likelihoods and the shares before reading."""
    logs = np.stack([np.log(share) + log for share, log in zip(shares, (fits.log_none, fits.log_leak, fits.log_event), strict=True)])
    logs -= logs.max(axis=0)
    weights = np.exp(logs)
    weights /= weights.sum(axis=0)
    return weights[0], weights[1], weights[2]


def fleet_shares(fits: Fits, *, rounds: int = 30) -> tuple[float, float, float]:
    """The shares of a large fleet learned from itself, by EM from `PRIOR_SHARES`, which count as 50 units; a small fleet keeps them."""
    usable = np.isfinite(fits.log_leak) & np.isfinite(fits.log_event)
    if usable.sum() < FLEET_MIN:
        return PRIOR_SHARES
    start = np.array(PRIOR_SHARES)
    shares = start
    for _ in range(rounds):
        found = probabilities(fits, (float(shares[0]), float(shares[1]), float(shares[2])))
        total = np.array([part[usable].sum() for part in found]) + 50 * start
        shares = total / total.sum()
    return float(shares[0]), float(shares[1]), float(shares[2])


def judge(fits: Fits, shares: tuple[float, float, float] | None = None) -> Findings:
    """None, slow leak, one-off loss, or a loss whose kind is not clear, with the interval of the slope that goes with it.

    Alarm: the one-sided 5 % t test of the slope, or a one-off loss beyond t = -4.2 with two low readings. The kind is the one
    whose likelihood is more than 4 times the other's. The interval is the chosen model's; while the other kind is within 10
    times, it is wide enough for both. Where the readings are too few to look for a one-off loss, an alarm's interval reaches to
    zero, because a one-off loss would leave no slope.
    """
    shares = shares or fleet_shares(fits)
    alarm_slope = fits.t_slope < t_quantile(ALARM_LEVEL, fits.df)
    alarm_step = (fits.t_step < STEP_T) & fits.low_twice
    alarm = alarm_slope | alarm_step
    strong = (fits.t_slope < t_quantile(HULL_LEVEL, fits.df)) | alarm_step
    known = np.isfinite(fits.log_event) & np.isfinite(fits.log_leak)
    with np.errstate(invalid="ignore"):
        odds = np.where(known, fits.log_event - fits.log_leak, 0.0)
    event, leak = (odds > np.log(KIND_ODDS)) & fits.low_twice, odds < -np.log(KIND_ODDS)
    kind = np.where(alarm, np.where(event, EVENT, np.where(leak, LEAK, LOSS)), NONE)
    low, high = _interval(fits.slope, fits.slope_se, fits.df)
    low_b, high_b = _interval(fits.slope_beside, fits.slope_beside_se, fits.df_beside)
    sure = alarm & known & (odds > np.log(SLOPE_ODDS))
    hull = (strong & known & (np.abs(odds) < np.log(SLOPE_ODDS))) | (sure & ~fits.low_twice)
    beside = sure & fits.low_twice
    none, share_leak, share_event = probabilities(fits, shares)
    return Findings(
        kind=kind,
        alarm=alarm,
        slope=np.where(kind == EVENT, fits.slope_beside, fits.slope),
        slope_low=np.where(hull, np.fmin(low, low_b), np.where(beside, low_b, low)),
        slope_high=np.where(hull, np.fmax(high, high_b), np.where(beside, high_b, np.where(alarm & ~known, np.fmax(high, 0.0), high))),
        probability_none=none,
        probability_leak=np.where(known, share_leak, np.nan),
        probability_event=np.where(known, share_event, np.nan),
        shares=shares,
    )


def _interval(slope: Floats, se: Floats, df: Ints) -> tuple[Floats, Floats]:
    reach = t_quantile(0.5 + INTERVAL_LEVEL / 2, df) * se
    return slope - reach, slope + reach
