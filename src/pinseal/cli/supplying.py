"""`supply`: what the supply bottles hold, how many units they still fill, and in which order to draw them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from pinseal.cli.options import json_option, print_json, say
from pinseal.cli.quantities import (
    PRESSURE,
    PRESSURE_DIFFERENCE,
    TEMPERATURE,
    VOLUME,
    WATER_CAPACITY,
    plot_option,
    units_option,
    write_plot,
)
from pinseal.measures import Measure, as_json
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.physics.supply import Bottle
    from pinseal.rules.supplying import BottleState, SupplyPlan

BOTTLES_MAX = 60


def _for_each(values: tuple[Measure, ...], count: int, option: str) -> tuple[Measure, ...]:
    """One value for every bottle: as given, or the one value for all."""
    if len(values) == 1:
        return values * count
    if len(values) == count:
        return values
    raise Refusal(
        what=f"{option} does not fit the bottles",
        rule=f"{option} stands once for all bottles, or once for each --pressure",
        got=f"{len(values)} of {option} for {count} bottles",
        do="give one for each bottle, in the same order",
    )


def _bottles(said: dict[str, Any]) -> list[Bottle]:
    from pinseal.physics.gas import require_gas
    from pinseal.physics.supply import Bottle

    pressures, gas = said["pressures"], require_gas(said["gas"].strip().casefold())
    if len(pressures) > BOTTLES_MAX:
        raise Refusal(
            what="too many bottles", rule=f"at most {BOTTLES_MAX} bottles at once", got=str(len(pressures)), do="ask for one bank at a time"
        )
    rooms = _for_each(said["water_capacities"], len(pressures), "--water-capacity")
    temperatures = _for_each(said["temperatures"], len(pressures), "--at")
    return [
        Bottle(gas=gas, water_capacity_m3=room.si, gauge_pa=pressure.gauge_pa(), t_k=temperature.si)
        for room, pressure, temperature in zip(rooms, pressures, temperatures, strict=True)
    ]


@click.command()
@click.option("--water-capacity", "water_capacities", type=WATER_CAPACITY, required=True, multiple=True, metavar="V", help="Of the bottle.")
@click.option("--pressure", "pressures", type=PRESSURE, required=True, multiple=True, metavar="P", help="What the bottle shows. Repeat.")
@click.option("--at", "temperatures", type=TEMPERATURE, required=True, multiple=True, metavar="T", help="Of the bottle. Repeat.")
@click.option("--unit-pressure", type=PRESSURE, required=True, metavar="P", help="Nameplate pressure of the units, at 70 F.")
@click.option("--unit-ullage", type=VOLUME, required=True, metavar="V", help="Gas space of one unit; `pinseal charge` gives it.")
@click.option("--margin", type=PRESSURE_DIFFERENCE, metavar="P", help="What the regulator needs above the unit. 50 psi unless said.")
@click.option("--gas", default="nitrogen", show_default=True, metavar="GAS", help="nitrogen, argon, air or helium.")
@units_option
@plot_option
@json_option
def supply(units: str | None, plot: str | None, as_json: bool, **said: Any) -> None:
    """What the supply bottles hold now, how many units they still fill, and in which order to draw them.

    A bottle that is cold from the van reads low and holds no less. Temperature and pressure repeat, one for each bottle.

    Example: pinseal supply --water-capacity "49 L" --pressure "1900 psi" --at "20 F" --unit-pressure "195 psi" --unit-ullage "4.1 L"
    """
    from pinseal.physics.supply import UnitToFill
    from pinseal.rules.supplying import MARGIN_PA, plan_supply

    bottles, margin = _bottles(said), said["margin"]
    unit = UnitToFill(
        gas=bottles[0].gas,
        gauge_pa=said["unit_pressure"].gauge_pa(),
        ullage_m3=said["unit_ullage"].si,
        margin_pa=MARGIN_PA if margin is None else margin.si,
    )
    system = "metric" if units == "metric" else "us"
    plan = plan_supply(bottles, unit, system=system)
    write_plot(plot, lambda: _draw(plan, system))
    if as_json:
        print_json(_plan_json(plan, units or "si"))
    else:
        _say_plan(plan)


def _bottle_json(bottle: BottleState, units: str) -> dict[str, Any]:
    def level(pa: float | None) -> Any:
        return as_json(pa, "pressure", system=units, kind="gauge")

    return {
        "bottle": bottle.number,
        "reads": level(bottle.gauge_pa),
        "reads_at_70f": level(bottle.at_70f_gauge_pa),
        "floor": level(bottle.floor_gauge_pa),
        "swap_at": level(bottle.swap_at_gauge_pa),
        "contents_scf": bottle.contents_scf,
        "usable_scf": bottle.usable_scf,
        "charges": bottle.charges,
        "swap_now": bottle.swap_now,
    }


def _plan_json(plan: SupplyPlan, units: str) -> dict[str, Any]:
    from pinseal.rules.supplying import CONTENTS_RELATIVE, SUPPLY_SAFETY_WORDS

    charges = {bottle.number: bottle.charges for bottle in plan.bottles}
    return {
        "contents_scf": plan.contents_scf,
        "usable_scf": plan.usable_scf,
        "charges_left": plan.charges_left,
        "order": [{"bottle": number, "charges": charges[number]} for number in plan.order],
        "because": list(plan.because),
        "charge_scf": plan.charge_scf,
        "together_charges": plan.cascade_charges,
        "uncertainty_percent": CONTENTS_RELATIVE * 100,
        "bottles": [_bottle_json(bottle, units) for bottle in plan.bottles],
        "safety": list(SUPPLY_SAFETY_WORDS),
    }


def _say_plan(plan: SupplyPlan) -> None:
    from pinseal.rules.supplying import SUPPLY_SAFETY_WORDS

    left, count = plan.charges_left, len(plan.bottles)
    say(f"{left} charge{'' if left == 1 else 's'} left in {count} bottle{'' if count == 1 else 's'}.")
    for line in plan.because:
        say(f"  {line}")
    for line in SUPPLY_SAFETY_WORDS:
        say(f"! {line}")


def _draw(plan: SupplyPlan, system: str) -> str:
    from pinseal.documents.supply_drawing import draw_supply

    return draw_supply(plan, system)


COMMANDS = {"supply": supply}
