"""The sentences of a charge, the reason first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pinseal.measures import PSI_PA, T_70F_K, for_people
from pinseal.physics.agent_densities import TrueDensity
from pinseal.physics.gas import refer_gauge_pa
from pinseal.rules.charge_refusals import WATER_LIKE, ChargeAsked

if TYPE_CHECKING:
    from pinseal.rules.charging import ChargePlan

_SAME_K = 0.6  # about 1 F: nobody reads a shell's temperature better


def pressure_words(pa: float, system: str) -> str:
    """A pressure for people: `195.0 psi`, `13.44 bar`."""
    return for_people(pa, "pressure", system=system, digits=2 if system == "metric" else 1)


def _target(asked: ChargeAsked, plan: ChargePlan, system: str) -> Iterator[str]:
    assert plan.target_gauge_pa is not None and plan.target_u_pa is not None, "only an allowed plan has a target"
    here = for_people(asked.shell_k, "temperature", system=system)
    reference = for_people(T_70F_K, "temperature", system=system)
    plate, target = pressure_words(asked.pressure_gauge_pa, system), pressure_words(plan.target_gauge_pa, system)
    if abs(asked.shell_k - T_70F_K) > _SAME_K:
        reads = f"The nameplate's {plate} at {reference} reads {target} at {here}"
        if asked.agent in WATER_LIKE:
            yield f"{reads}."
        else:
            wrong = float(refer_gauge_pa(asked.gas, gauge_pa=asked.pressure_gauge_pa, t_k=asked.shell_k, to_t_k=T_70F_K))
            yield f"{reads}; set to {plate} here, the unit would stand at {pressure_words(wrong, system)} at {reference}."
    else:
        yield f"The unit stands at {reference}, so the target is the nameplate's {plate}."
    yield (
        f"The target is known to {pressure_words(plan.target_u_pa, system)} (k = 2) if the shell's temperature is known to 1.5 K; "
        "the gauge's own error comes on top. If the nameplate or the code allows no target by temperature, bring the unit to "
        f"{reference} first."
    )


def _stop(asked: ChargeAsked, plan: ChargePlan, system: str) -> Iterator[str]:
    assert plan.stop_at_gauge_pa is not None and plan.settles_at_gauge_pa is not None and plan.settles_between_gauge_pa is not None
    stop, settles = pressure_words(plan.stop_at_gauge_pa, system), pressure_words(plan.settles_at_gauge_pa, system)
    low, high = (pressure_words(pa, system) for pa in plan.settles_between_gauge_pa)
    known = (
        f"learned from {plan.stirred.pairs} charge{'s' if plan.stirred.pairs > 1 else ''} of this family"
        if plan.stirred.pairs
        else "not yet learned for this family, so it is a start and no more"
    )
    yield (
        f"A fast charge is warm: stopped at {stop} it settles at about {settles}, if the inflow stirs {plan.stirred.value:.2g} of "
        f"the agent ({known}); anything from {low} to {high} is possible. Wait until it is steady, read again, top up."
    )
    if plan.top_up:
        assert plan.target_gauge_pa is not None
        target = pressure_words(plan.target_gauge_pa, system)
        yield f"The gas stops at {stop} and falls short when it cools: charge, wait, and top up to {target}."
    if asked.regulator_gauge_pa is not None and plan.target_gauge_pa is not None and asked.regulator_gauge_pa < plan.target_gauge_pa:
        yield (
            f"The regulator is set to {pressure_words(asked.regulator_gauge_pa, system)}, below the target, so the target is never "
            f"reached: set it no higher than {pressure_words(plan.ceiling_gauge_pa, system)}."
        )


def _ceiling(asked: ChargeAsked, plan: ChargePlan, system: str) -> str:
    rule = f"{pressure_words(25 * float(PSI_PA), system)} above the nameplate (NFPA 10 clause 7.8.4, from memory)"
    why = "the nameplate's own limit" if asked.ceiling_gauge_pa < asked.pressure_gauge_pa + 25 * float(PSI_PA) - 1 else rule
    return f"The regulator is never set above {pressure_words(plan.ceiling_gauge_pa, system)}: {why}."


def _gas(asked: ChargeAsked, plan: ChargePlan, density: TrueDensity, system: str) -> str:
    assert plan.gas_kg is not None and plan.gas_scf is not None and plan.ullage_m3 is not None and plan.ullage_u_m3 is not None
    share = plan.ullage_u_m3 / plan.ullage_m3
    space = for_people(plan.ullage_m3, "volume", system="metric", digits=2)
    mass = for_people(plan.gas_kg, "mass", system=system, digits=3)
    return (
        f"Gas space {space} within {share:.0%}, from {density.substance} at {density.kg_m3 / 1000:.3g} g/cm3 within {density.relative:.0%} "
        f"({density.source}). It takes {plan.gas_scf:.2f} scf of {asked.gas} ({mass}); a wrong gas space changes the gas used, "
        "never the pressure."
    )


def charge_sentences(asked: ChargeAsked, plan: ChargePlan, density: TrueDensity, system: str) -> tuple[str, ...]:
    """Why this target, this stop and this much gas."""
    lines = [*_target(asked, plan, system), *_stop(asked, plan, system), _ceiling(asked, plan, system), _gas(asked, plan, density, system)]
    if asked.agent in WATER_LIKE:
        lines.append(
            "Water takes up gas: this target is what the unit reads when it is steady. Charge, invert it several times, wait, read again "
            "and top up; left still, it would fall for months, and that is no leak."
        )
    if asked.maker_permits and asked.last_agent not in (None, asked.agent):
        lines.append(
            f"A change of agent, permitted by the maker: {asked.maker_permits}. Clean the shell, and change the labels as it says."
        )
    return tuple(lines)
