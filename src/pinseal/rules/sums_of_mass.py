"""Two sums of mass: does the agent's account balance, and does the van still carry its load as materials of trade.

Exact as typed. The limits of 49 CFR 173.6 (440 lb gross in all, 220 lb for one cylinder) are from memory; 49 CFR 392.51
and notices of 2013 that repeat them were read second-hand. Local rules and the carrier's papers come first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pinseal.measures import LB_KG
from pinseal.reasons import Refusal

TRADE_TOTAL_KG = 440 * LB_KG
TRADE_CYLINDER_KG = 220 * LB_KG
SOURCE = "49 CFR 173.6, from memory"


def _lb(kg: Fraction) -> str:
    return f"{float(kg / LB_KG):.2f} lb"


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """An account of agent: what went in less what came out and what is left [kg]. `verdict` is pass, too-close or fail."""

    short_kg: Fraction
    uncertainty_kg: Fraction
    verdict: str
    because: tuple[str, ...]


def balance(*, in_kg: Sequence[Fraction], out_kg: Sequence[Fraction], left_kg: Fraction, scale_kg: Fraction) -> Balance:
    """Does a mass balance close? `scale_kg` [kg] is how far each weighing may be wrong (k = 2); weighings add in squares.

    pass: |short| <= U; fail: |short| > the sum of all the scale's errors; between the two it is too close to call.
    Raises `Refusal` without a weighing on each side.
    """
    if not in_kg or not out_kg:
        raise Refusal(
            what="half a balance", rule="a balance has what went in and what came out", got="one side only", do="give both --in and --out"
        )
    short = sum(in_kg, Fraction(0)) - sum(out_kg, Fraction(0)) - left_kg
    return judge_short(short_kg=short, weighings=len(in_kg) + len(out_kg) + 1, scale_kg=scale_kg)


def judge_short(*, short_kg: Fraction, weighings: int, scale_kg: Fraction) -> Balance:
    """Whether what is short [kg] can be the scale's doing, after so many weighings; the verdicts are those of `balance`."""
    worst = weighings * scale_kg
    inside = short_kg * short_kg <= weighings * scale_kg * scale_kg
    verdict = "pass" if inside else "fail" if abs(short_kg) > worst else "too-close"
    words = {
        "pass": "the account closes within the scale",
        "fail": "more than the scale can explain, even if every weighing erred the same way: find it, or report it as a loss",
        "too-close": "more than the scale usually errs, less than it may: weigh again on a better scale",
    }[verdict]
    side = "short" if short_kg >= 0 else "over"
    return Balance(
        short_kg=short_kg,
        uncertainty_kg=Fraction(weighings**0.5) * scale_kg,
        verdict=verdict,
        because=(f"{_lb(abs(short_kg))} {side}: {words}.", f"{weighings} weighings, each within {_lb(scale_kg)}."),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What a van carries against the limits of materials of trade [kg]."""

    total_kg: Fraction
    room_kg: Fraction
    verdict: str
    because: tuple[str, ...]


def load(*, cylinders_kg: Sequence[Fraction], units_kg: Sequence[Fraction]) -> Load:
    """Gross mass of supply cylinders and charged units against 440 lb in all and 220 lb a cylinder. Exactly the limit passes.

    A unit that was discharged and not purged still counts as charged. Raises `Refusal` for an empty van.
    """
    if not cylinders_kg and not units_kg:
        raise Refusal(
            what="nothing is loaded",
            rule="a load is cylinders and units by gross weight",
            got="none",
            do='say --cylinder "150 lb" or --unit "17 x 17 lb"',
        )
    total = sum(cylinders_kg, Fraction(0)) + sum(units_kg, Fraction(0))
    heavy = [kg for kg in cylinders_kg if kg > TRADE_CYLINDER_KG]
    fits = total <= TRADE_TOTAL_KG and not heavy
    because = [
        f"{_lb(total)} of at most {_lb(TRADE_TOTAL_KG)} gross ({SOURCE})."
        if total <= TRADE_TOTAL_KG
        else f"{_lb(total)} is over {_lb(TRADE_TOTAL_KG)} gross ({SOURCE})."
    ]
    because += [f"A cylinder of {_lb(kg)} is over {_lb(TRADE_CYLINDER_KG)} ({SOURCE})." for kg in heavy]
    because.append(
        "Inside the materials of trade."
        if fits
        else "Not materials of trade: leave something behind, or carry it with shipping papers and all that goes with them."
    )
    return Load(total_kg=total, room_kg=TRADE_TOTAL_KG - total, verdict="pass" if fits else "fail", because=tuple(because))
