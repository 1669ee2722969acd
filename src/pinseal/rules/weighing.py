"""The verdict of a weighing: loss against its limit, the nameplate's band, the scale's fitness, with a guard band of U = 2u.

A loss that equals its limit passes where nothing is known of the scale; the rules say "exceeds". With a resolution or a
calibration uncertainty, what lies within U of a limit is too close to call.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from pinseal.measures import LB_KG
from pinseal.physics.weighing import difference_uncertainty_kg, probability_within, scale_decides
from pinseal.reasons import Refusal

_MASS_KG_MOST = 10_000
_ORDER = ("pass", "too-close", "fail")


def _pounds_and_kg(kg: Fraction) -> str:
    return f"{float(kg / LB_KG):.2f} lb ({float(kg):.3f} kg)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """What was weighed [kg], exact as typed. `full_kg` is the gross mark, `net_kg` the agent's charge; None is not said."""

    full_kg: Fraction
    now_kg: Fraction
    net_kg: Fraction
    limit_percent: Fraction
    low_kg: Fraction | None = None
    high_kg: Fraction | None = None
    resolution_kg: Fraction | None = None
    calibration_kg: Fraction | None = None

    @property
    def loss_kg(self) -> Fraction:
        """Full minus now; below zero where it is heavier than its mark."""
        return self.full_kg - self.now_kg

    @property
    def limit_kg(self) -> Fraction:
        return self.net_kg * self.limit_percent / 100

    @property
    def loss_percent_of_net(self) -> Fraction:
        return 100 * self.loss_kg / self.net_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighingVerdict:
    """pass, fail, too-close or unknown. `expanded_kg` is U = 2u of the difference, zero where nothing is known of the scale."""

    verdict: str
    expanded_kg: float
    probability_within: float | None
    refusals: tuple[tuple[str, str], ...]
    because: tuple[str, ...]


def _check(weighing: Weighing) -> None:
    w = weighing
    positive = {"full weight": w.full_kg, "weight now": w.now_kg, "net agent": w.net_kg, "scale's resolution": w.resolution_kg}
    others = {"lower weight": w.low_kg, "upper weight": w.high_kg, "calibration uncertainty": w.calibration_kg}
    for name, value in (positive | others).items():
        if value is not None and value > _MASS_KG_MOST:
            raise Refusal(
                what=f"the {name} cannot be right",
                rule=f"nothing on this bench is heavier than {_MASS_KG_MOST} kg",
                got=f"over {_MASS_KG_MOST} kg",
                do="check the figure and its unit",
            )
    for name, value in positive.items():
        if value is not None and value <= 0:
            raise Refusal(
                what=f"the {name} is not above zero",
                rule="a reading of zero is no weighing",
                got=f"{float(value):g} kg",
                do="zero the empty scale and weigh again",
            )
    if not 0 < w.limit_percent < 100:
        raise Refusal(
            what="this is not a limit for a loss",
            rule="it is above 0 and below 100 % of the net agent",
            got=f"{float(w.limit_percent):g} %",
            do="take it from the rule or the nameplate, 10 for carbon dioxide",
        )
    if w.net_kg >= w.full_kg:
        raise Refusal(
            what="the net agent weighs as much as the whole unit",
            rule="the full weight is gross: shell, valve and agent",
            got=f"net {_pounds_and_kg(w.net_kg)}, full {_pounds_and_kg(w.full_kg)}",
            do="read the full weight mark again",
        )
    if w.low_kg is not None and w.high_kg is not None and w.low_kg > w.high_kg:
        raise Refusal(
            what="the band of weights is upside down",
            rule="low is not above high",
            got=f"low {_pounds_and_kg(w.low_kg)}, high {_pounds_and_kg(w.high_kg)}",
            do="exchange them",
        )


def _three_way(*, over: Fraction, guard: Fraction) -> str:
    """Where `over` says how far a value lies beyond its limit, below zero is within."""
    if over <= -guard:
        return "pass"
    return "fail" if over >= guard else "too-close"


Words = Callable[[Fraction], str]


def _loss_check(w: Weighing, guard: Fraction, words: Words) -> tuple[str, str]:
    state = _three_way(over=w.loss_kg - w.limit_kg, guard=guard)
    figures = f"{float(w.loss_percent_of_net):.2f} % of the net agent ({words(w.loss_kg)} of {words(w.net_kg)})"
    limit = f"the limit is {float(w.limit_percent):g} % ({words(w.limit_kg)})"
    said = {
        "pass": f"the loss is {figures}; {limit}, and it is not exceeded",
        "fail": f"the loss is {figures}; {limit}, and it is exceeded: recharge",
        "too-close": f"the loss is {figures}; {limit}, and the scale cannot tell: reweigh on a better scale, or treat it as a fail",
    }
    if w.loss_kg <= 0:
        said["pass"] = f"nothing is missing: it weighs {words(w.now_kg)}, the mark says {words(w.full_kg)}"
    return state, said[state]


def _overfill_check(w: Weighing, guard: Fraction, words: Words) -> tuple[str, str] | None:
    """The nameplate's upper weight where it is given, else the full mark and U. Above it fails; the band below it is guarded."""
    if w.high_kg is not None:
        state = "fail" if w.now_kg > w.high_kg else "too-close" if w.now_kg > w.high_kg - guard else "pass"
        bound = f"the nameplate's upper weight {words(w.high_kg)}"
    else:
        state = "fail" if -w.loss_kg > guard else "pass"
        bound = f"its full weight {words(w.full_kg)}" + (f" and U of {words(guard)}" if guard else "")
    if state == "pass":
        return None
    if state == "fail":
        return state, f"overfilled: it weighs {words(w.now_kg)}, above {bound}; find out what is in it and what hangs on it"
    return state, f"it weighs {words(w.now_kg)}, within U of {bound}: reweigh on a better scale"


def _low_check(w: Weighing, guard: Fraction, words: Words) -> tuple[str, str] | None:
    if w.low_kg is None:
        return None
    state = _three_way(over=w.low_kg - w.now_kg, guard=guard)
    if state == "pass":
        return None
    relation = "below" if state == "fail" else "within U of"
    return state, f"it weighs {words(w.now_kg)}, {relation} the nameplate's lower weight {words(w.low_kg)}"


def _too_coarse(w: Weighing, expanded: float, words: Words) -> list[tuple[str, str]]:
    resolution = Fraction(0) if w.resolution_kg is None else w.resolution_kg
    if scale_decides(resolution=resolution, expanded=expanded, limit=w.limit_kg):
        return []
    return [
        (
            "scale-too-coarse",
            f"the scale is too coarse for this rule: it shows steps of {words(resolution)} and is good to {words(Fraction(expanded))}; "
            f"for a limit of {words(w.limit_kg)} the step may be {words(w.limit_kg / 10)} and the uncertainty {words(w.limit_kg / 3)} "
            "at most (common practice, no source)",
        )
    ]


def _expanded_kg(w: Weighing) -> float:
    return 2 * difference_uncertainty_kg(
        resolution_kg=float(w.resolution_kg or 0), calibration_kg=float(w.calibration_kg or 0)
    )  # fmt: skip


def judge_weight(weighing: Weighing, *, words: Words = _pounds_and_kg) -> WeighingVerdict:
    """Judge a weighing; `words` shows a mass in the sentences. Raises `Refusal` for figures that cannot be."""
    w = weighing
    _check(w)
    expanded = _expanded_kg(w)
    guard = Fraction(expanded)
    checks = [_overfill_check(w, guard, words), _loss_check(w, guard, words), _low_check(w, guard, words)]
    found = sorted((check for check in checks if check is not None), key=lambda check: -_ORDER.index(check[0]))
    refusals = _too_coarse(w, expanded, words) if expanded else []
    reasons = [text for _, text in found]
    if w.loss_kg > w.net_kg + guard:
        reasons.append("it weighs less than when empty: are hose and horn on it, and does the full weight mark belong to this unit?")
    if not expanded:
        reasons.append("nothing was said of the scale, so nothing is allowed for it; give its resolution and calibration uncertainty")
    chance = probability_within(value=float(w.loss_kg), limit=float(w.limit_kg), uncertainty=expanded / 2) if expanded else None
    return WeighingVerdict(
        verdict="unknown" if refusals else found[0][0],
        expanded_kg=expanded,
        probability_within=chance,
        refusals=tuple(refusals),
        because=tuple([text for _, text in refusals] + reasons),
    )
