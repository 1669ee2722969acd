"""Which sum fits what is in a unit, and what it expects of the gauge: one gas, gas over water, or a clean agent under nitrogen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from pinseal import kinds
from pinseal.measures import ATM_PA
from pinseal.physics import clean_agents, water_units
from pinseal.physics.gas import refer_gauge_pa
from pinseal.reasons import Refusal

MEDIA = ("powder", "water", "foam", "co2", "halocarbon")
# Brines dissolve less gas than water and swell otherwise.
BRINES = ("antifreeze", "loaded-stream", "wet-chemical")
NOT_BY_GAUGE = ("soda-acid", "chemical-foam", "vaporising-liquid")
_BY_AGENT = {
    **dict.fromkeys(kinds.AGENT_GROUPS["all-water"], "water"),
    **dict.fromkeys(kinds.AGENT_GROUPS["all-foam"], "foam"),
    **dict.fromkeys(kinds.AGENT_GROUPS["all-halocarbon"], "halocarbon"),
    **dict.fromkeys(kinds.AGENT_GROUPS["all-halon"], "halocarbon"),
    "wet-chemical": "water",
    "water-mist": "water",
    "co2": "co2",
}


def medium_of(agent: str | None, said: str | None) -> str:
    """The medium, from what was said and from the agent; powder where neither is said. Raises `Refusal` where the two differ."""
    if said is not None and said not in MEDIA:
        raise Refusal(what="unknown medium", rule=f"a medium is one of {', '.join(MEDIA)}", got=said, do="name what the gas stands over")
    if agent is None:
        return said or "powder"
    kinds.require(agent, kinds.AGENTS, what="agent")
    if agent in NOT_BY_GAUGE:
        raise Refusal(
            what="this unit is not judged by its gauge",
            rule=f"{kinds.agent_label(agent)} units are obsolete and are withdrawn, not recharged",
            got=agent,
            do="withdraw the unit",
        )
    fits = _BY_AGENT.get(agent, "powder")
    if said is not None and said != fits and not (said in ("water", "foam") and fits in ("water", "foam")):
        raise Refusal(
            what="agent and medium do not fit each other",
            rule=f"the medium of {kinds.agent_label(agent)} is {fits}",
            got=f"{agent} with {said}",
            do="leave --medium out, or correct the agent",
        )
    return said or fits


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargedState:
    """How the unit was charged: the nameplate's gauge pressure at its temperature, and the air around it then and now."""

    gas: str
    gauge_pa: float
    t_k: float
    atmosphere_pa: float = ATM_PA
    now_atmosphere_pa: float = ATM_PA

    @property
    def abs_pa(self) -> float:
        return self.gauge_pa + self.atmosphere_pa


class GaugeModel(Protocol):
    """What every sum can do. All pressures are gauge [Pa], all temperatures [K]."""

    def expected_gauge_pa(self, t_k: float) -> float:
        """What a full unit shows here and now."""

    def referred_gauge_pa(self, reading_gauge_pa: float, t_k: float, to_t_k: float) -> float:
        """What this unit would show at another temperature, at the elevation where it was charged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DryModel:
    """Gas over powder: constant mass in a constant room."""

    charge: ChargedState

    def expected_gauge_pa(self, t_k: float) -> float:
        c = self.charge
        return refer_gauge_pa(
            c.gas, gauge_pa=c.gauge_pa, t_k=c.t_k, to_t_k=t_k, atmosphere_pa=c.atmosphere_pa, to_atmosphere_pa=c.now_atmosphere_pa
        )

    def referred_gauge_pa(self, reading_gauge_pa: float, t_k: float, to_t_k: float) -> float:
        c = self.charge
        return refer_gauge_pa(
            c.gas, gauge_pa=reading_gauge_pa, t_k=t_k, to_t_k=to_t_k, atmosphere_pa=c.now_atmosphere_pa, to_atmosphere_pa=c.atmosphere_pa
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterModel:
    """Gas over water, with `share` of the solution done since the charge; `topped_up` had it all done when it was charged."""

    charge: ChargedState
    ullage_share: float
    share: float
    topped_up: bool = False

    def _charged(self) -> water_units.WaterCharge:
        c = self.charge
        fresh = water_units.charged(c.gas, abs_pa=c.abs_pa, t_k=c.t_k, ullage_share=self.ullage_share)
        return water_units.from_reading(fresh, abs_pa=c.abs_pa, t_k=c.t_k, share=1.0) if self.topped_up else fresh

    def expected_gauge_pa(self, t_k: float) -> float:
        return water_units.pressure_abs_pa(self._charged(), t_k=t_k, share=self.share) - self.charge.now_atmosphere_pa

    def referred_gauge_pa(self, reading_gauge_pa: float, t_k: float, to_t_k: float) -> float:
        abs_pa = reading_gauge_pa + self.charge.now_atmosphere_pa
        as_read = water_units.from_reading(self._charged(), abs_pa=abs_pa, t_k=t_k, share=self.share)
        return water_units.pressure_abs_pa(as_read, t_k=to_t_k, share=self.share) - self.charge.atmosphere_pa


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanAgentModel:
    """Nitrogen over a clean agent, shaken until at rest: a band for judging sense."""

    charge: ChargedState
    agent: str
    fill_kg_m3: float

    def _at(self, abs_pa: float, t_k: float, to_t_k: float) -> float:
        return clean_agents.pressure_abs_pa(self.agent, fill_kg_m3=self.fill_kg_m3, charge_abs_pa=abs_pa, charge_t_k=t_k, t_k=to_t_k)

    def expected_gauge_pa(self, t_k: float) -> float:
        return self._at(self.charge.abs_pa, self.charge.t_k, t_k) - self.charge.now_atmosphere_pa

    def referred_gauge_pa(self, reading_gauge_pa: float, t_k: float, to_t_k: float) -> float:
        return self._at(reading_gauge_pa + self.charge.now_atmosphere_pa, t_k, to_t_k) - self.charge.atmosphere_pa
