"""`balance` and `load`: the agent's account, and the van."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

import click

from pinseal.cli.options import json_option, print_json, say
from pinseal.cli.quantities import MASS, units_option
from pinseal.measures import Measure, as_json, parse_measure
from pinseal.reasons import Refusal

_COUNTED = re.compile(r"\s*(\d{1,4})\s*[xX×]\s*(.+)", re.ASCII)
_HEADS = {"pass": "PASS", "fail": "FAIL", "too-close": "TOO CLOSE"}


class Counted(click.ParamType[list[Fraction]]):
    """A mass, or so many of it: `17 x 17 lb`."""

    name = "mass"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> list[Fraction]:
        if isinstance(value, list):
            return value
        match = _COUNTED.fullmatch(str(value))
        mass = parse_measure("mass", match[2] if match else str(value)).exact
        count = int(match[1]) if match else 1
        if count == 0:
            raise Refusal(what="none of them", rule="a count is one or more", got=str(value), do="leave it out")
        return [mass] * count


COUNTED = Counted()


def _flat(groups: tuple[list[Fraction], ...]) -> list[Fraction]:
    return [mass for group in groups for mass in group]


@click.command()
@click.option("--in", "went_in", type=COUNTED, multiple=True, metavar="M", help="What went in; may be repeated.")
@click.option("--out", "came_out", type=COUNTED, multiple=True, metavar="M", help="What came out; may be repeated.")
@click.option("--left", type=MASS, required=True, metavar="M", help="What is left.")
@click.option("--scale", type=MASS, required=True, metavar="M", help="How far each weighing may be wrong (k = 2).")
@units_option
@json_option
def balance(went_in: Any, came_out: Any, left: Measure, scale: Measure, units: str | None, as_json: bool) -> None:
    """Does the account of an agent close? In less out less left, against what the scale can explain.

    Example: pinseal balance --in "41.0 lb" --out "39.6 lb" --left "0.5 lb" --scale "0.2 lb"
    """
    from pinseal.rules.sums_of_mass import balance as sum_up

    found = sum_up(in_kg=_flat(went_in), out_kg=_flat(came_out), left_kg=left.exact, scale_kg=scale.exact)
    _answer(found, {"short": found.short_kg, "uncertainty": found.uncertainty_kg}, units, as_json)


@click.command()
@click.option("--cylinder", type=COUNTED, multiple=True, metavar="M", help="A supply cylinder, gross; may be repeated.")
@click.option("--unit", type=COUNTED, multiple=True, metavar="M", help='Charged units, gross, as in "17 x 17 lb"; may be repeated.')
@units_option
@json_option
def load(cylinder: Any, unit: Any, units: str | None, as_json: bool) -> None:
    """Does the van carry its load as materials of trade? Gross weights against 440 lb in all and 220 lb a cylinder.

    Example: pinseal load --cylinder "150 lb" --unit "17 x 17 lb"
    """
    from pinseal.rules.sums_of_mass import load as sum_up

    found = sum_up(cylinders_kg=_flat(cylinder), units_kg=_flat(unit))
    _answer(found, {"total": found.total_kg, "room": found.room_kg}, units, as_json)


def _answer(found: Any, masses: dict[str, Fraction], units: str | None, shaped: bool) -> None:
    if shaped:
        figures = {name: as_json(float(kg), "mass", system=units or "si") for name, kg in masses.items()}
        print_json({**figures, "verdict": found.verdict, "because": list(found.because)})
        return
    say(f"{_HEADS[found.verdict]}: {found.because[0]}")
    for sentence in found.because[1:]:
        say(f"  {sentence}")


COMMANDS = {"balance": balance, "load": load}
