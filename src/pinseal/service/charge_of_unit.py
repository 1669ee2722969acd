"""The charge of one unit of a shop: what its record says is taken from there, and what it does not say is named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pinseal.records.fold import Unit
from pinseal.rules.charge_refusals import ChargeAsked
from pinseal.rules.rows import Due
from pinseal.service.workshop import last_agent, shell_test_date
from pinseal.sheets.plate import Plate, read_plate


@dataclass(frozen=True, slots=True, kw_only=True)
class AtTheBench:
    """What is read and known at the bench: the shell's temperature [K], the gas, its dew point [K], the regulator [Pa gauge].

    `last_agent` is what was seen in the shell; it counts only where no record says what was filled in last.
    """

    shell_k: float
    gas: str = "nitrogen"
    dew_point_k: float | None = None
    has_regulator: bool | None = None
    regulator_gauge_pa: float | None = None
    last_agent: str | None = None


def absent_facts(plate: Plate, agent: str | None) -> tuple[str, ...]:
    """What the record must say before any charge can be planned."""
    said = (("agent", agent), ("size as a mass", plate.net_kg), ("water capacity", plate.water_m3), ("service pressure", plate.charge_pa))
    return tuple(name for name, value in said if value is None)


def charge_asked(unit: Unit, dues: Sequence[Due], on: date, bench: AtTheBench) -> ChargeAsked | None:
    """The question to the charging rules; None where `absent_facts` names something. A nameplate in litres of water has no mass here."""
    state, plate = unit.state, read_plate(unit.state.nameplate)
    agent = state.nameplate.agent
    if agent is None or plate.net_kg is None or plate.water_m3 is None or plate.charge_pa is None:
        return None
    test = shell_test_date(state, dues)
    return ChargeAsked(
        agent=agent,
        agent_kg=float(plate.net_kg),
        water_capacity_m3=plate.water_m3,
        pressure_gauge_pa=float(plate.charge_pa),
        shell_k=bench.shell_k,
        on=on,
        gas=bench.gas,
        wheeled=bool(state.nameplate.wheeled),
        last_agent=last_agent(unit) or bench.last_agent,
        has_regulator=bench.has_regulator,
        regulator_gauge_pa=bench.regulator_gauge_pa,
        dew_point_k=bench.dew_point_k,
        test_due=test.last_day if test.owed == "yes" else None,
        nonrechargeable=state.nameplate.rechargeable is False,
        condemned=unit.condemned is not None,
        nameplate_gas=plate.gas,
    )
