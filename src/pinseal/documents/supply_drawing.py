"""From the plan of a bank of supply bottles to the plain numbers of its picture."""

from __future__ import annotations

from pinseal.documents.supply_plot import BottlePicture, supply_svg
from pinseal.measures import SYSTEMS, in_unit
from pinseal.rules.supplying import SupplyPlan


def draw_supply(plan: SupplyPlan, system: str) -> str:
    """The bank as SVG text, in the units of a system (`us` or `metric`)."""
    unit = SYSTEMS[system]["pressure"]
    pictures = [
        BottlePicture(
            name=bottle.name,
            reading=in_unit(bottle.gauge_pa, "pressure", unit),
            floor=in_unit(bottle.floor_gauge_pa, "pressure", unit),
            charges=bottle.charges,
            contents_scf=bottle.contents_scf,
            turn=plan.order.index(bottle.number) + 1 if bottle.number in plan.order else None,
        )
        for bottle in plan.bottles
    ]
    return supply_svg(pictures, unit=unit, charges_left=plan.charges_left)
