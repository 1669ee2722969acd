"""From the plan of a charge to the plain numbers of its dial."""

from __future__ import annotations

from pinseal.documents.charge_plot import ChargePicture
from pinseal.measures import SYSTEMS, for_people, in_unit
from pinseal.rules.charging import ChargeAsked, ChargePlan


def charge_picture(asked: ChargeAsked, plan: ChargePlan, system: str) -> ChargePicture:
    """What the dial shows, in the units of a system (`us` or `metric`)."""
    unit = SYSTEMS[system]["pressure"]

    def shown(pa: float | None) -> float | None:
        return None if pa is None else in_unit(pa, "pressure", unit)

    return ChargePicture(
        unit=unit,
        nameplate=in_unit(asked.pressure_gauge_pa, "pressure", unit),
        ceiling=in_unit(plan.ceiling_gauge_pa, "pressure", unit),
        at=for_people(asked.shell_k, "temperature", system=system, digits=0),
        target=shown(plan.target_gauge_pa),
        stop_at=shown(plan.stop_at_gauge_pa),
        settles_at=shown(plan.settles_at_gauge_pa),
        top_up=plan.top_up,
        refusals=[refusal.code for refusal in plan.refusals],
        missing=plan.missing,
        digits=1 if system == "metric" else 0,
    )
