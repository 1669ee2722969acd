"""Where a rising function is zero: with few questions to it, for models that are dear to ask."""

from __future__ import annotations

from collections.abc import Callable

_STEPS_MAX = 200


def root_of_rising(rises: Callable[[float], float], low: float, high: float, *, within: float) -> float:
    """The place between two ends where a rising function is zero, to `within` (in the unit of the ends).

    The ends themselves are never asked. Where the function has one sign all the way, the answer is the end beside its zero.
    Halving until both signs were seen, then the false position with the weight of an end that stays halved (Illinois).

    >>> round(root_of_rising(lambda x: x * x - 2.0, 0.0, 2.0, within=1e-12), 9)
    1.414213562
    """
    at_low = at_high = None
    at, side = (low + high) / 2.0, 0
    for _ in range(_STEPS_MAX):
        found, last = rises(at), at
        if found < 0.0:
            at_high = at_high / 2.0 if at_high is not None and side < 0 else at_high
            low, at_low, side = at, found, -1
        else:
            at_low = at_low / 2.0 if at_low is not None and side > 0 else at_low
            high, at_high, side = at, found, 1
        at = (low + high) / 2.0
        if at_low is not None and at_high is not None and at_high > at_low:
            between = high - at_high * (high - low) / (at_high - at_low)
            at = between if low < between < high else at
        if abs(at - last) <= within or high - low <= within:
            break
    return at
