"""The plan of a charge: target today, where to stop the gas, where it settles, how much gas; or what stands against it.

Any refusal takes every figure away that a hand could act on. What is not said makes `may_charge` false; the target is
still shown, so that the work can be prepared.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pinseal.measures import for_people
from pinseal.physics import charging
from pinseal.physics.agent_densities import AGENT_DENSITIES, TrueDensity, stated_density
from pinseal.physics.charging import StirredFraction
from pinseal.physics.gas import scf_per_kg
from pinseal.physics.water_units import ULLAGE_SHARE_MIN
from pinseal.reasons import Refusal
from pinseal.rules.charge_refusals import WATER_LIKE, ChargeAsked, ChargeRefusal, missing_facts, refusals_before_sums
from pinseal.rules.charge_words import charge_sentences, pressure_words

__all__ = ["SAFETY_WORDS", "ChargeAsked", "ChargePlan", "ChargeRefusal", "plan_charge"]

# Common practice, no source; the nameplate and the maker's manual come first.
SAFETY_WORDS = (
    "Nameplate, maker's manual and local rules come first; licensed people do this work.",
    "Stand the unit upright and secure it, put a shield before the gauge or stand aside; nobody leans over the unit.",
    "Judge the pressure on the regulator's own calibrated gauge, never on the unit's.",
    "Gas goes in through the discharge port, slowly. Never leave the unit connected to the supply.",
)
# Beside the dial, for whoever stands at it: the ceiling is NFPA 10 7.8.4 (from memory), the test date that of the pack in use.
LIMIT_WORDS = (
    "Never fill past the date of the pressure test: test the shell first.",
    "The regulator is set no higher than the ceiling, and never taken off to go faster.",
    "Where this page and the nameplate or the maker's manual differ, they are right: stop and ask.",
)
_DENSITY_KG_M3 = (500.0, 12_000.0)
_WATER_K = (273.15, 323.15)
_TOP_UP_FROM_PA = 700.0  # a tenth of a psi: less is no reason to charge twice


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargePlan:
    """The answer. Pressures are gauge [Pa]; None where there is a refusal.

    `target_u_pa` is the uncertainty of the target and `ullage_u_m3` that of the ullage (k = 2); `settles_between_gauge_pa` is
    what the range of the stirred fraction leaves open.
    """

    ceiling_gauge_pa: float
    target_gauge_pa: float | None = None
    target_u_pa: float | None = None
    stop_at_gauge_pa: float | None = None
    settles_at_gauge_pa: float | None = None
    settles_between_gauge_pa: tuple[float, float] | None = None
    top_up: bool = False
    gas_kg: float | None = None
    gas_scf: float | None = None
    ullage_m3: float | None = None
    ullage_u_m3: float | None = None
    stirred: StirredFraction
    missing: tuple[str, ...] = ()
    refusals: tuple[ChargeRefusal, ...] = ()
    because: tuple[str, ...] = ()

    @property
    def may_charge(self) -> bool:
        return not self.refusals and not self.missing


def _density(asked: ChargeAsked) -> TrueDensity:
    if asked.density_kg_m3 is not None:
        return stated_density(asked.density_kg_m3, asked.agent)
    return AGENT_DENSITIES[asked.agent]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Space:
    """The room for the gas, once the agent is in."""

    density: TrueDensity
    ullage_m3: float
    ullage_u_m3: float
    share: float

    @property
    def over_water(self) -> bool:
        return self.density.substance == "water"

    @property
    def is_sure(self) -> bool:
        """There is gas space, however the density lies within its range."""
        return self.ullage_m3 > self.ullage_u_m3 and (not self.over_water or self.share >= ULLAGE_SHARE_MIN)


def _check_range(asked: ChargeAsked) -> None:
    """Raises `Refusal` for what cannot be a charge, before anything is said about it."""
    if asked.pressure_gauge_pa <= 0:
        raise _unusable("the nameplate pressure must be above zero", f"{asked.pressure_gauge_pa:.0f} Pa", "read the nameplate again")
    if asked.agent_kg <= 0 or asked.water_capacity_m3 <= 0:
        got = f"{asked.agent_kg:g} kg in {asked.water_capacity_m3 * 1000:g} L"
        raise _unusable("agent and water capacity must be above zero", got, "read the nameplate again; a scale at zero has not weighed")
    if asked.density_kg_m3 is not None and not _DENSITY_KG_M3[0] <= asked.density_kg_m3 <= _DENSITY_KG_M3[1]:
        got = f"{asked.density_kg_m3:g} kg/m3"
        raise _unusable("a true density lies between 0.5 and 12 g/cm3", got, "take the density of the grains, not of the heap")
    if asked.agent in WATER_LIKE and not _WATER_K[0] <= asked.shell_k <= _WATER_K[1]:
        raise _unusable(
            "water is charged between 0 and 50 C (32 and 122 F)", f"{asked.shell_k:.1f} K", "bring the unit to room temperature"
        )


def _unusable(rule: str, got: str, do: str) -> Refusal:
    return Refusal(what="no charge can be worked out from this", rule=rule, got=got, do=do)


def _space(asked: ChargeAsked) -> _Space:
    density = _density(asked)
    room = charging.ullage_m3(water_capacity_m3=asked.water_capacity_m3, agent_kg=asked.agent_kg, density_kg_m3=density.kg_m3)
    return _Space(
        density=density,
        ullage_m3=room,
        ullage_u_m3=charging.ullage_u_m3(agent_kg=asked.agent_kg, density=density),
        share=room / asked.water_capacity_m3,
    )


def _target_pa(asked: ChargeAsked, space: _Space) -> float:
    if space.over_water and space.is_sure:
        return charging.water_target_gauge_pa(
            asked.gas, nameplate_gauge_pa=asked.pressure_gauge_pa, shell_k=asked.shell_k, ullage_share=space.share
        )
    return charging.target_gauge_pa(asked.gas, nameplate_gauge_pa=asked.pressure_gauge_pa, shell_k=asked.shell_k)


def _gas_kg(asked: ChargeAsked, space: _Space, target: float) -> float:
    if space.over_water:
        return charging.water_gas_kg(
            asked.gas,
            nameplate_gauge_pa=asked.pressure_gauge_pa,
            ullage_share=space.share,
            water_capacity_m3=asked.water_capacity_m3,
        )
    return charging.gas_kg(asked.gas, ullage_m3=space.ullage_m3, charge_gauge_pa=target, t_k=asked.shell_k)


def _overfilled(asked: ChargeAsked, space: _Space, system: str) -> ChargeRefusal | None:
    if space.is_sure:
        return None
    taken = for_people(asked.agent_kg / space.density.kg_m3, "volume", system=system, digits=2)
    room = for_people(asked.water_capacity_m3, "volume", system=system, digits=2)
    return ChargeRefusal(
        code="overfilled",
        because=f"The agent alone takes {taken} of the {room} that the shell holds (its density is known to "
        f"{space.density.relative:.0%}): no gas space is sure. Check the weight and the water capacity.",
    )


def _too_hot(asked: ChargeAsked, target_pa: float, system: str) -> ChargeRefusal | None:
    if target_pa < asked.ceiling_gauge_pa:
        return None
    return ChargeRefusal(
        code="above-ceiling",
        because=f"At {for_people(asked.shell_k, 'temperature', system=system)} the target would be {pressure_words(target_pa, system)}, "
        f"at or above the ceiling of {pressure_words(asked.ceiling_gauge_pa, system)}: cool the unit and ask again.",
    )


def _found(*perhaps: ChargeRefusal | None) -> tuple[ChargeRefusal, ...]:
    return tuple(refusal for refusal in perhaps if refusal is not None)


def plan_charge(
    asked: ChargeAsked,
    *,
    supply_gauge_pa: float = charging.SUPPLY_GAUGE_PA,
    pairs: Sequence[tuple[float, float]] = (),
    system: str = "us",
) -> ChargePlan:
    """The plan of one charge, or everything that stands against it.

    `pairs` are earlier (stopped at, settled at) readings [Pa gauge] of that family; `system` names the units of the sentences.
    Raises `Refusal` outside the range of the gas law (213 to 345 K, 51 bar abs). Source: `physics.charging`, `charge_refusals`.
    """
    _check_range(asked)
    refusals, missing = refusals_before_sums(asked), missing_facts(asked)
    coded = {refusal.code for refusal in refusals}
    if coded & {"not-by-pressure", "no-density"}:
        return _refused(asked, refusals, missing, None)
    space = _space(asked)
    refusals += _found(_overfilled(asked, space, system))
    if "wrong-gas" not in coded:
        target = _target_pa(asked, space)
        refusals += _found(_too_hot(asked, target, system))
    if refusals:
        return _refused(asked, refusals, missing, space)
    return _allowed(asked, space, target, missing, supply_gauge_pa=supply_gauge_pa, pairs=pairs, system=system)


def _refused(asked: ChargeAsked, refusals: tuple[ChargeRefusal, ...], missing: tuple[str, ...], space: _Space | None) -> ChargePlan:
    shown = space if space and space.ullage_m3 > 0 else None
    return ChargePlan(
        ceiling_gauge_pa=asked.ceiling_gauge_pa,
        ullage_m3=shown.ullage_m3 if shown else None,
        ullage_u_m3=shown.ullage_u_m3 if shown else None,
        stirred=charging.NOT_LEARNED,
        missing=missing,
        refusals=refusals,
        because=tuple(refusal.because for refusal in refusals),
    )


def _allowed(
    asked: ChargeAsked,
    space: _Space,
    target: float,
    missing: tuple[str, ...],
    *,
    supply_gauge_pa: float,
    pairs: Sequence[tuple[float, float]],
    system: str,
) -> ChargePlan:
    fill = charging.Fill(
        gas=asked.gas,
        shell_k=asked.shell_k,
        ullage_m3=space.ullage_m3,
        agent_j_k=asked.agent_kg * space.density.heat_capacity_j_kg_k,
        supply_gauge_pa=supply_gauge_pa,
    )
    stirred = charging.learn_stirred_fraction(fill, pairs)
    limit = min(asked.ceiling_gauge_pa, asked.ceiling_gauge_pa if asked.regulator_gauge_pa is None else asked.regulator_gauge_pa)
    stop = fill.stop_at_gauge_pa(target, stirred.value, limit_gauge_pa=limit)
    settles = fill.settles_at_gauge_pa(stop, stirred.value)
    kg = _gas_kg(asked, space, target)
    plan = ChargePlan(
        ceiling_gauge_pa=asked.ceiling_gauge_pa,
        target_gauge_pa=target,
        target_u_pa=charging.target_u_pa(
            asked.gas, nameplate_gauge_pa=asked.pressure_gauge_pa, shell_k=asked.shell_k, over_water=space.over_water
        ),
        stop_at_gauge_pa=stop,
        settles_at_gauge_pa=settles,
        settles_between_gauge_pa=(fill.settles_at_gauge_pa(stop, stirred.low), fill.settles_at_gauge_pa(stop, stirred.high)),
        top_up=settles < target - _TOP_UP_FROM_PA,
        gas_kg=kg,
        gas_scf=kg * scf_per_kg(asked.gas),
        ullage_m3=space.ullage_m3,
        ullage_u_m3=space.ullage_u_m3,
        stirred=stirred,
        missing=missing,
    )
    return replace(plan, because=charge_sentences(asked, plan, space.density, system))
