"""`weigh`: what is missing, in percent of the net agent, against the limit, with the scale's own doubt."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from pinseal.cli.bench_words import PERCENT, say_verdict, sentences
from pinseal.cli.options import json_option, print_json
from pinseal.cli.quantities import MASS, units_option
from pinseal.measures import LB_KG, Measure, as_json

if TYPE_CHECKING:
    from pinseal.rules.weighing import Weighing, WeighingVerdict

_HEADS = {"pass": "PASS", "fail": "FAIL", "too-close": "TOO CLOSE", "unknown": "UNKNOWN"}
_SAFETY = (
    "weigh it as it was weighed when it was full: same hose, horn and pin",
    "a self-expelling unit that is short of agent is still under full pressure",
    "the nameplate's own tolerance comes first",
)


def _metric(kg: Fraction) -> str:
    return f"{float(kg):.3f} kg"


def _us(kg: Fraction) -> str:
    return f"{float(kg / LB_KG):.2f} lb"


def _exact(mass: Measure | None) -> Fraction | None:
    return None if mass is None else mass.exact


@click.command()
@click.option("--full", type=MASS, required=True, metavar="M", help="The full weight marked on the unit, gross.")
@click.option("--now", type=MASS, required=True, metavar="M", help="What it weighs now.")
@click.option("--net", type=MASS, required=True, metavar="M", help="The net charge of agent.")
@click.option("--limit-percent", type=PERCENT, required=True, metavar="X", help="The loss allowed, percent of the net agent.")
@click.option("--low", type=MASS, metavar="M", help="The nameplate's lower weight.")
@click.option("--high", type=MASS, metavar="M", help="The nameplate's upper weight.")
@click.option("--resolution", type=MASS, metavar="M", help="The scale's step.")
@click.option("--calibration-uncertainty", type=MASS, metavar="M", help="Standard uncertainty: half of a certificate's figure at k = 2.")
@units_option
@json_option
def weigh(units: str | None, as_json: bool, **said: Any) -> None:
    """Judge a weight: loss as percent of the net agent, against its limit and the nameplate's band.

    A loss that equals the limit passes. What the scale cannot tell is too close; a scale too coarse for the rule is refused.

    Example: pinseal weigh --full "29 lb 6 oz" --now "28 lb 5 oz" --net "10 lb" --limit-percent 10
    """
    from pinseal.rules.weighing import Weighing, judge_weight

    weighing = Weighing(
        full_kg=said["full"].exact, now_kg=said["now"].exact, net_kg=said["net"].exact, limit_percent=said["limit_percent"],
        low_kg=_exact(said["low"]), high_kg=_exact(said["high"]), resolution_kg=_exact(said["resolution"]),
        calibration_kg=_exact(said["calibration_uncertainty"]),
    )  # fmt: skip
    found = judge_weight(weighing, words=_metric if units == "metric" else _us)
    if as_json:
        print_json(_answer(weighing, found, units or "si"))
    else:
        say_verdict(_HEADS[found.verdict], found.because, [], _SAFETY)


def _answer(weighing: Weighing, found: WeighingVerdict, units: str) -> dict[str, Any]:
    return {
        "loss": as_json(float(weighing.loss_kg), "mass", system=units),
        "loss_percent_of_net": float(weighing.loss_percent_of_net),
        "verdict": found.verdict,
        "refusals": [{"code": code, "because": sentences([text])[0]} for code, text in found.refusals],
        "because": sentences(found.because),
        "loss_limit": as_json(float(weighing.limit_kg), "mass", system=units),
        "uncertainty": as_json(found.expanded_kg, "mass", system=units),
        "probability_within": found.probability_within,
    }


COMMANDS = {"weigh": weigh}
