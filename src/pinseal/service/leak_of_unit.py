"""What the readings on a unit's record say about a leak: from `measured` records to the series that the leak rules judge."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from pinseal.kinds import AGENT_GROUPS
from pinseal.measures import parse_measure, parse_pressure, parse_temperature
from pinseal.reasons import Refusal
from pinseal.records.corrections import Fact
from pinseal.records.fold import Unit
from pinseal.rules.leak_series import Reading, Uncertainty, UnitFacts, build
from pinseal.rules.leaks import LeakAnswer, assess
from pinseal.sheets.plate import read_plate

# The labels under which the sheets and older records keep the reading of the unit's own gauge, and its weight.
_PRESSURES = ("the unit's gauge", "gauge", "gauge reading", "pressure")
_WEIGHTS = ("gross weight", "weight", "gross")
_READINGS_MIN = 3


def readings_of(facts: Iterable[Fact]) -> list[Reading]:
    """The gauge readings and weights of a unit, day by day. What cannot be read as a figure, or has no full day, is left out."""
    found = [reading for fact in facts if fact.kind == "measured" and (reading := _reading(fact)) is not None]
    return sorted(found, key=lambda each: each.day)


def _reading(fact: Fact) -> Reading | None:
    said, name = fact.fields, fact.fields.get("quantity", "").strip().casefold()
    if fact.done.earliest != fact.done.latest:
        return None
    try:
        if name in _PRESSURES:
            warm = said.get("at-temperature")
            return Reading(
                day=fact.done.earliest,
                gauge_pa=float(parse_pressure(said["value"]).gauge_pa()),
                t_k=parse_temperature(warm).si if warm else None,
                gauge=said.get("instrument", ""),
            )
        if name in _WEIGHTS:
            weight = parse_measure("mass", said["value"]).si
            return Reading(day=fact.done.earliest, weight_kg=weight, scale=said.get("instrument", ""))
    except (Refusal, KeyError):
        return None
    return None


def _medium(agent: str) -> str:
    if agent in AGENT_GROUPS["all-foam"]:
        return "foam"
    if agent in (*AGENT_GROUPS["all-water"], "wet-chemical", "water-mist"):
        return "water"
    if agent in (*AGENT_GROUPS["all-halon"], *AGENT_GROUPS["all-halocarbon"]):
        return "halocarbon"
    return "co2" if agent == "co2" else "powder"


def leak_answer(unit: Unit, name: str, on: date) -> LeakAnswer | None:
    """The verdict on the readings since the last charge; None where fewer than three can be used, or the agent is not known."""
    agent, readings = unit.state.nameplate.agent, readings_of(unit.facts)
    if agent is None or len(readings) < _READINGS_MIN:
        return None
    series = build(_facts(unit, name, agent), readings, Uncertainty())
    if len(series.days) < _READINGS_MIN:
        return None
    return assess([series], on=on)[0]


def _facts(unit: Unit, name: str, agent: str) -> UnitFacts:
    plate = read_plate(unit.state.nameplate)
    low = None if plate.gauge_low_pa is None else float(plate.gauge_low_pa)
    low_weight = None if plate.gross_low_kg is None else float(plate.gross_low_kg)
    recharged = unit.state.dates.get("recharge")
    return UnitFacts(
        unit=name,
        medium=_medium(agent),
        gas="co2" if agent == "co2" else unit.state.nameplate.charging_gas or "nitrogen",
        low_gauge_pa=low,
        low_weight_kg=low_weight,
        charged=recharged.earliest if recharged else None,
    )
