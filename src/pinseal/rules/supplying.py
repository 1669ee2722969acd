"""What a bank of supply bottles still does: charges left, in which order to draw, and when to swap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pinseal.measures import PSI_PA, T_70F_K, for_people
from pinseal.physics import supply
from pinseal.physics.gas import scf_per_kg
from pinseal.physics.supply import Bottle, UnitToFill
from pinseal.reasons import Refusal
from pinseal.rules.charge_words import pressure_words

MARGIN_PA = 50 * float(PSI_PA)  # what a regulator needs above its outlet, common practice, no source
CONTENTS_RELATIVE = 0.02  # k = 2, from the true water capacity of a bottle

# Common practice, no source.
SUPPLY_SAFETY_WORDS = (
    "Chain the bottle upright, and never draw from it without a regulator: it holds many times what a shell can bear.",
    "Keep the cap on a bottle that moves. A nitrogen leak in a small room takes the air away: open the door.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BottleState:
    """One bottle, numbered from 1 as given, and what it is called.

    Pressures gauge [Pa] at the bottle's temperature unless the name says 70 F.
    """

    number: int
    name: str
    gauge_pa: float
    at_70f_gauge_pa: float
    floor_gauge_pa: float
    swap_at_gauge_pa: float | None
    contents_scf: float
    usable_scf: float
    charges: int
    t_k: float

    @property
    def swap_now(self) -> bool:
        """No whole charge is left in it."""
        return self.charges == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyPlan:
    """The bank. `order` names bottle numbers, the emptiest usable first; `cascade_charges` counts units that two bottles fill together."""

    bottles: tuple[BottleState, ...]
    order: tuple[int, ...]
    charge_scf: float
    cascade_charges: int | None
    because: tuple[str, ...]

    @property
    def contents_scf(self) -> float:
        return sum(bottle.contents_scf for bottle in self.bottles)

    @property
    def usable_scf(self) -> float:
        return sum(bottle.usable_scf for bottle in self.bottles)

    @property
    def charges_left(self) -> int:
        """Whole charges that each bottle gives alone, added up: the sure count."""
        return sum(bottle.charges for bottle in self.bottles)


def plan_supply(bottles: Sequence[Bottle], unit: UnitToFill, *, system: str = "us", names: Sequence[str] = ()) -> SupplyPlan:
    """What the bank holds and how to draw it; without `names` bottles are called by their numbers.

    Raises `Refusal` for a bottle or a unit that cannot be.
    """
    _check(bottles, unit)
    called = names or [str(number) for number in range(1, len(bottles) + 1)]
    states = tuple(_state(number, name, bottle, unit) for number, (name, bottle) in enumerate(zip(called, bottles, strict=True), 1))
    order = tuple(index + 1 for index in supply.drawing_order(bottles, unit))
    plan = SupplyPlan(
        bottles=states,
        order=order,
        charge_scf=unit.charge_kg * scf_per_kg(unit.gas),
        cascade_charges=supply.cascade_charges(bottles, unit),
        because=(),
    )
    return replace(plan, because=tuple(_sentences(plan, unit, system)))


def _check(bottles: Sequence[Bottle], unit: UnitToFill) -> None:
    for number, bottle in enumerate(bottles, 1):
        if bottle.gauge_pa <= 0:
            raise _refused(f"bottle {number} must read above zero", f"{bottle.gauge_pa:.0f} Pa", "an empty bottle is swapped, not counted")
        if bottle.water_capacity_m3 <= 0:
            raise _refused("the water capacity must be above zero", f"{bottle.water_capacity_m3 * 1000:g} L", "read the bottle's marks")
    if unit.gauge_pa <= 0 or unit.ullage_m3 < 1e-6:
        got = f"{unit.gauge_pa:.0f} Pa, {unit.ullage_m3 * 1000:g} L"
        raise _refused("the unit's pressure and ullage must be above zero", got, "take the ullage from `pinseal charge`")


def _refused(rule: str, got: str, do: str) -> Refusal:
    return Refusal(what="no supply can be worked out from this", rule=rule, got=got, do=do)


def _state(number: int, name: str, bottle: Bottle, unit: UnitToFill) -> BottleState:
    return BottleState(
        number=number,
        name=name,
        gauge_pa=bottle.gauge_pa,
        at_70f_gauge_pa=bottle.at_70f_gauge_pa,
        floor_gauge_pa=unit.floor_gauge_pa(bottle.t_k),
        swap_at_gauge_pa=supply.swap_at_gauge_pa(bottle, unit),
        contents_scf=bottle.contents_scf,
        usable_scf=supply.usable_kg(bottle, unit) * scf_per_kg(bottle.gas),
        charges=supply.whole_charges(bottle, unit),
        t_k=bottle.t_k,
    )


def _sentences(plan: SupplyPlan, unit: UnitToFill, system: str) -> Iterator[str]:
    margin = pressure_words(unit.margin_pa, system)
    yield (
        f"One charge takes {plan.charge_scf:.2f} scf; a bottle fills units to the end down to the unit's pressure at its temperature "
        f"plus {margin}, so {plan.usable_scf:.1f} of {plan.contents_scf:.1f} scf can be used."
    )
    for bottle in plan.bottles:
        yield from _bottle_sentences(bottle, system)
    if len(plan.order) > 1:
        order = ", then ".join(plan.bottles[number - 1].name for number in plan.order)
        yield f"Draw from bottle {order}: the emptiest that can still push goes first, the fullest is kept for the last psi."
        if plan.cascade_charges is not None and plan.cascade_charges > plan.charges_left:
            yield (
                f"Begun from the emptiest bottle and finished from a fuller one, the bank fills about {plan.cascade_charges} units "
                f"instead of {plan.charges_left}."
            )
    yield f"Contents are known to about {CONTENTS_RELATIVE:.0%}, from the bottle's true water capacity; its gauge's error comes on top."


def _bottle_sentences(bottle: BottleState, system: str) -> Iterator[str]:
    reads, at_70f = pressure_words(bottle.gauge_pa, system), pressure_words(bottle.at_70f_gauge_pa, system)
    here, reference = (for_people(k, "temperature", system=system) for k in (bottle.t_k, T_70F_K))
    if abs(bottle.t_k - T_70F_K) > 2.0:
        lies = "low" if bottle.t_k < T_70F_K else "high"
        yield f"Bottle {bottle.name} reads {lies}: {reads} at {here} is {at_70f} at {reference}."
    if bottle.swap_now:
        yield f"Bottle {bottle.name} at {reads} has no whole charge left: swap it, or use it only to begin units."
    elif bottle.swap_at_gauge_pa is not None:
        yield f"Swap bottle {bottle.name} when it reads {pressure_words(bottle.swap_at_gauge_pa, system)} at {here}."
