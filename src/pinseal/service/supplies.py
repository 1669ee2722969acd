"""The supply bottles of a shop at work: received, read, returned; and what they still do for one unit."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol

from pinseal.dates import PartialDate
from pinseal.measures import T_70F_K, parse_measure, parse_pressure, parse_temperature
from pinseal.physics.gas import scf_per_kg
from pinseal.physics.supply import Bottle, UnitToFill, usable_kg
from pinseal.reasons import Refusal
from pinseal.records.bottles import SupplyBottle
from pinseal.records.fold import Unit
from pinseal.records.record import Draft, Record
from pinseal.rules.charge_refusals import ChargeAsked
from pinseal.rules.charging import ChargePlan, plan_charge
from pinseal.rules.rows import Due
from pinseal.rules.supplying import MARGIN_PA, SupplyPlan, plan_supply
from pinseal.service.charge_of_unit import AtTheBench, charge_asked
from pinseal.service.office import Writer

_SLACK_K = 0.01  # a hundredth of a degree is the arithmetic of units, not another dew point


class BottleKeeper(Protocol):
    """What the supply bottles need of a shop's store."""

    def bottles(self) -> list[SupplyBottle]: ...
    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A bottle of the shop with what its last reading means; `bottle` is None where it cannot be told, and `why` says why."""

    kept: SupplyBottle
    bottle: Bottle | None
    why: str = ""

    @property
    def contents_scf(self) -> float | None:
        return None if self.bottle is None else self.bottle.kg * scf_per_kg(self.bottle.gas)

    def as_json(self) -> dict[str, Any]:
        """In plain values; `why` says why the contents are not known."""
        kept, last, gone = self.kept, self.kept.last, self.kept.returned
        names = ("uid", "id", "gas", "water_capacity", "serial", "dew_point", "purity", "certificate")
        return {
            **{name: getattr(kept, name) for name in names},
            "received": str(kept.received) if kept.received else None,
            "read": {"date": str(last.done), "shows": last.shows, "at_temperature": last.at_temperature} if last else None,
            "contents_scf": None if self.contents_scf is None else round(self.contents_scf, 1),
            "why": self.why or None,
            "returned": {"since": str(gone.since), "reason": gone.reason} if gone else None,
            "marks": [{"record": mark.record, "text": mark.text} for mark in kept.marks],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Bank:
    """What the bottles of a unit's gas do for it. `held` are in the order of the plan; `stands_against` names gas that is not fit."""

    held: tuple[Held, ...]
    plan: SupplyPlan
    charge: ChargePlan
    stands_against: Mapping[str, tuple[str, ...]]


def find_bottle(bottles: Sequence[SupplyBottle], text: str) -> SupplyBottle:
    """The one bottle of a name or uid, letter case aside. Raises `Refusal`."""
    key = text.strip().casefold()
    found = next((each for each in bottles if key and key in (each.id.casefold(), each.uid)), None)
    if found is None:
        known = ", ".join(each.id or each.uid for each in bottles) or "none yet"
        raise Refusal(what="there is no such supply bottle", rule=f"the bottles are {known}", got=text, do="check the name")
    return found


def receive_bottle(keeper: BottleKeeper, writer: Writer, *, done: date, fields: Mapping[str, str]) -> None:
    """A bottle comes, or comes back full. Raises `Refusal` for one that is here already, and for one that cannot be."""
    known = next((each for each in keeper.bottles() if each.id.casefold() == fields.get("id", "").strip().casefold() and each.id), None)
    if known is not None and known.returned is None:
        raise Refusal(
            what="a bottle of this name is here already",
            rule="a name means one bottle; it is received again only after it went back",
            got=known.id,
            do="return it first, or choose another name",
        )
    uid = known.uid if known else writer.new_uid()
    _write(keeper, writer, "bottle-received", uid, done, fields, lambda: _litres(fields.get("water-capacity", "")))


def read_bottle(keeper: BottleKeeper, writer: Writer, uid: str, *, done: date, fields: Mapping[str, str]) -> None:
    """Its gauge is read. Raises `Refusal` for one that is not here, and for a reading outside of the gas law."""
    kept = _here(keeper, uid)
    bottle = _bottle(kept, fields.get("shows", ""), fields.get("at-temperature", ""))
    _write(keeper, writer, "bottle-read", uid, done, fields, lambda: bottle.kg)


def return_bottle(keeper: BottleKeeper, writer: Writer, uid: str, *, done: date, fields: Mapping[str, str]) -> None:
    """It goes back. Raises `Refusal` for one that is not here."""
    _here(keeper, uid)
    _write(keeper, writer, "bottle-returned", uid, done, fields, lambda: None)


def _here(keeper: BottleKeeper, uid: str) -> SupplyBottle:
    found = next((each for each in keeper.bottles() if each.uid == uid and each.returned is None and each.gas), None)
    if found is None:
        raise Refusal(
            what="there is no such bottle here", rule="it was received and has not gone back", got=uid, do="look at the list again"
        )
    return found


def _write(
    keeper: BottleKeeper, writer: Writer, kind: str, uid: str, done: date, fields: Mapping[str, str], try_it: Callable[[], object]
) -> None:
    """Write one record, after what it says was found to be something that can be."""
    try_it()
    keeper.write(
        [Draft(kind=kind, unit=uid, person=writer.person, done=PartialDate.of(done), fields=fields)],
        writer=writer.device,
        received=writer.now,
    )


def _litres(text: str) -> float:
    """A water capacity [m3]; a mass of water counts a litre for each kilogram (common practice, no source)."""
    found = 0.0
    for dimension, per in (("volume", 1.0), ("mass", 1000.0)):
        with suppress(Refusal):
            found = parse_measure(dimension, text).si / per
    if not 1e-4 <= found <= 1.0:
        raise Refusal(
            what="this is not the water capacity of a supply bottle",
            rule="it lies between 0.1 and 1000 L",
            got=text,
            do="read the stamp of the bottle and write it as in 49 L; it is not the volume of the gas",
        )
    return found


def _bottle(kept: SupplyBottle, shows: str, at: str) -> Bottle:
    assert kept.gas and kept.water_capacity, "only a bottle that was received is read"
    return Bottle(
        gas=kept.gas,
        water_capacity_m3=_litres(kept.water_capacity),
        gauge_pa=float(parse_pressure(shows).gauge_pa()),
        t_k=parse_temperature(at).si,
    )


def held_bottle(kept: SupplyBottle) -> Held:
    """What the last reading of a bottle means."""
    if kept.gas is None:
        return Held(kept=kept, bottle=None, why="its receiving has not come in")
    if kept.last is None:
        return Held(kept=kept, bottle=None, why="nobody has read its gauge since it came")
    try:
        bottle = _bottle(kept, kept.last.shows, kept.last.at_temperature)
        return Held(kept=kept, bottle=bottle) if bottle.kg >= 0 else Held(kept=kept, bottle=None, why="its reading cannot be")
    except Refusal as refused:
        return Held(kept=kept, bottle=None, why=f"{refused.what}: {refused.rule}")


def bank_for(unit: Unit, dues: Sequence[Due], on: date, bottles: Sequence[SupplyBottle], *, system: str) -> Bank | str:
    """What the bottles do for a unit, or why that cannot be told. Charges are those of its nameplate at 70 F.

    A bottle whose gas is not fit for the unit is named, and is no part of the plan.
    """
    try:
        found = _need(unit, dues, on)
        if isinstance(found, str):
            return found
        held = [
            each for each in map(held_bottle, bottles) if each.kept.gas == found.to_fill.gas and each.bottle and each.bottle.gauge_pa > 0
        ]
        against = {each.kept.uid: words for each in held if (words := gas_words(found.asked, each.kept))}
        fit = tuple(each for each in held if each.kept.uid not in against)
        if not fit:
            return f"no bottle of {found.to_fill.gas} that is fit for it is here with a reading above zero"
        plan = plan_supply([each.bottle for each in fit if each.bottle], found.to_fill, system=system, names=[each.kept.id for each in fit])
    except Refusal as refused:
        return f"{refused.what}: {refused.rule}"
    return Bank(held=fit, plan=plan, charge=found.charge, stands_against=against)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Need:
    """A unit as one that is to be filled."""

    asked: ChargeAsked
    charge: ChargePlan
    to_fill: UnitToFill


def _need(unit: Unit, dues: Sequence[Due], on: date) -> _Need | str:
    gas = unit.state.nameplate.charging_gas or "nitrogen"
    asked = charge_asked(unit, dues, on, AtTheBench(shell_k=T_70F_K, gas=gas))
    if asked is None:
        return "the nameplate on record does not say agent, mass, water capacity and pressure: its gas space is not known"
    charge = plan_charge(asked)
    if charge.ullage_m3 is None:
        return " ".join(charge.because) or "its gas space is not known"
    to_fill = UnitToFill(gas=gas, gauge_pa=asked.pressure_gauge_pa, ullage_m3=charge.ullage_m3, margin_pa=MARGIN_PA)
    return _Need(asked=asked, charge=charge, to_fill=to_fill)


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueNeed:
    """What the units on the bench take of one gas [scf], and what the bottles can still give down to the highest floor among them."""

    gas: str
    units: int
    takes_scf: float
    usable_scf: float

    @property
    def is_short(self) -> bool:
        return self.takes_scf > self.usable_scf


def queue_needs(
    queue: Sequence[tuple[Unit, Sequence[Due]]], on: date, bottles: Sequence[SupplyBottle]
) -> tuple[tuple[QueueNeed, ...], int]:
    """The gas that a bench queue takes, by gas, and how many of its units have no gas space on record."""
    needs, unknown = [], 0
    for unit, dues in queue:
        try:
            found = _need(unit, dues, on)
        except Refusal:
            found = ""
        if isinstance(found, str):
            unknown += 1
        else:
            needs.append(found.to_fill)
    held = [each.bottle for each in map(held_bottle, bottles) if each.bottle and each.bottle.gauge_pa > 0]
    made = []
    for gas in sorted({each.gas for each in needs}):
        some = [each for each in needs if each.gas == gas]
        highest = max(some, key=lambda each: each.gauge_pa)
        usable = sum(usable_kg(each, highest) for each in held if each.gas == gas) * scf_per_kg(gas)
        made.append(QueueNeed(gas=gas, units=len(some), takes_scf=sum(e.charge_kg for e in some) * scf_per_kg(gas), usable_scf=usable))
    return tuple(made), unknown


def gas_words(asked: ChargeAsked, kept: SupplyBottle) -> tuple[str, ...]:
    """What speaks against the gas of a bottle for a unit: a dew point that is too high, or that no paper says."""
    if not asked.needs_dry_gas:
        return ()
    if kept.dew_point is None:
        return ("its certificate says no dew point: not for a unit that needs dry gas",)
    if parse_temperature(kept.dew_point).si > asked.dew_point_k_max + _SLACK_K:
        return (f"its dew point of {kept.dew_point} is too high for this unit: damp powder cakes",)
    return ()
