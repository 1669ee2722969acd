"""`charge`: the target at today's temperature, where to stop the gas, and what stands against the charge."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from pinseal import kinds
from pinseal.cli.options import json_option, on_option, print_json, say
from pinseal.cli.quantities import (
    DENSITY,
    MASS,
    PRESSURE,
    TEMPERATURE,
    WATER_CAPACITY,
    Typed,
    plot_option,
    units_option,
    write_plot,
)
from pinseal.dates import PartialDate, parse_date
from pinseal.measures import ZERO_C_K, Measure, as_json, for_people, parse_pressure, parse_temperature
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.rules.charging import ChargeAsked, ChargePlan

_GAS_NAMES = {"n2": "nitrogen", "ar": "argon", "he": "helium", "dry nitrogen": "nitrogen", "compressed air": "air", "carbon dioxide": "co2"}
_COLD = re.compile(r"(-?\d+(?:\.\d+)?)\s*°?\s*([FCK])", re.ASCII | re.IGNORECASE)
_PAIR = re.compile(r"\s+to\s+|\s*->\s*|\s*→\s*", re.IGNORECASE)
_DEW_POINT_K_MIN = 133.15


def _dew_point(text: str) -> Measure:
    """A dew point: as a temperature, and down to -140 C, because very dry gas is colder than any unit."""
    try:
        return parse_temperature(text)
    except Refusal:
        match = _COLD.fullmatch(text.replace(",", ".").strip())
        if not match:
            raise
        from fractions import Fraction

        number, unit = Fraction(match[1]), match[2].upper()
        kelvin = (number - 32) * Fraction(5, 9) + ZERO_C_K if unit == "F" else number + (ZERO_C_K if unit == "C" else 0)
        if not _DEW_POINT_K_MIN <= kelvin <= ZERO_C_K:
            raise
        return Measure(kelvin, "temperature", text.strip())


class _Regulator(click.ParamType[Measure]):
    """A setting, or `none`, kept as None inside a Measure's place by the word itself."""

    name = "pressure or none"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, str) and value.strip().casefold() == "none":
            return "none"
        return parse_pressure(value) if isinstance(value, str) else value


class _AgentCode(click.ParamType[str]):
    name = "code"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        return kinds.require(str(value).strip(), kinds.AGENTS, what="agent")


class _Gas(click.ParamType[str]):
    name = "gas"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        word = " ".join(str(value).casefold().replace("_", " ").split())
        if not re.fullmatch(r"[a-z][a-z0-9 -]{1,39}", word):
            raise Refusal(
                what="this is not the name of a gas",
                rule="a gas is named by a word, as in nitrogen or argon",
                got=str(value) or "nothing",
                do="write what the label of the bottle says",
            )
        return _GAS_NAMES.get(word.replace("-", " "), word)


class _Due(click.ParamType[PartialDate]):
    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> PartialDate:
        return value if isinstance(value, PartialDate) else parse_date(value)


class _Pair(click.ParamType[tuple[Measure, Measure]]):
    """`204 psi to 195 psi`: where an earlier charge was stopped, and where it settled."""

    name = "pair"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[Measure, Measure]:
        if not isinstance(value, str):
            pair: tuple[Measure, Measure] = value
            return pair
        parts = _PAIR.split(value.strip())
        if len(parts) != 2:
            raise Refusal(
                what="this is not a pair of readings",
                rule="a pair is where a charge was stopped and where it settled",
                got=value or "nothing",
                do='write it as in "204 psi to 195 psi"',
            )
        return parse_pressure(parts[0]), parse_pressure(parts[1])


def _asked(said: dict[str, Any]) -> ChargeAsked:
    from pinseal.rules.charging import ChargeAsked

    def si(name: str) -> float | None:
        return None if said[name] is None else float(said[name].si)

    regulator, own_limit = said["regulator"], said["nameplate_ceiling"]
    return ChargeAsked(
        agent=said["agent"],
        agent_kg=said["mass"].si,
        water_capacity_m3=said["water_capacity"].si,
        pressure_gauge_pa=said["pressure"].gauge_pa(),
        shell_k=said["at"].si,
        on=said["on"],
        gas=said["gas"],
        wheeled=said["wheeled"],
        last_agent=said["last_agent"],
        has_regulator=None if regulator is None else regulator != "none",
        regulator_gauge_pa=regulator.gauge_pa() if isinstance(regulator, Measure) else None,
        dew_point_k=si("dew_point"),
        test_due=said["test_due"],
        nonrechargeable=said["nonrechargeable"],
        condemned=said["condemned"],
        nameplate_gas=said["nameplate_gas"],
        nameplate_dew_point_k=si("nameplate_dew_point"),
        nameplate_ceiling_gauge_pa=own_limit.gauge_pa() if own_limit is not None else None,
        maker_permits=(said["maker_permits"] or "").strip() or None,
        density_kg_m3=si("density"),
    )


@click.command()
@click.option("--agent", type=_AgentCode(), required=True, metavar="CODE", help="What goes in, as in abc or sodium-bicarbonate.")
@click.option("--mass", type=MASS, required=True, metavar="M", help='Mass of the agent, as in "10 lb".')
@click.option("--water-capacity", type=WATER_CAPACITY, required=True, metavar="V", help='Of the empty shell: "6.4 L", or in lb of water.')
@click.option("--pressure", type=PRESSURE, required=True, metavar="P", help="Nameplate charging pressure at 70 F.")
@click.option("--at", type=TEMPERATURE, required=True, metavar="T", help="The shell's temperature now.")
@click.option("--gas", type=_Gas(), default="nitrogen", show_default=True, metavar="GAS", help="The gas in the supply.")
@click.option("--wheeled", is_flag=True, help="A wheeled unit: drier gas is asked for.")
@click.option("--last-agent", type=_AgentCode(), metavar="CODE", help="What was in the shell last.")
@click.option("--maker-permits", metavar="TEXT", help="The maker's document that permits the change of agent.")
@click.option("--regulator", type=_Regulator(), metavar="P|none", help="Setting of the regulator; none for a bare bottle.")
@click.option("--nameplate-ceiling", type=PRESSURE, metavar="P", help="The nameplate's own highest regulator setting.")
@click.option("--dew-point", type=Typed("temperature", _dew_point), metavar="T", help="Dew point of the gas, by its certificate.")
@click.option("--nameplate-dew-point", type=Typed("temperature", _dew_point), metavar="T", help="The nameplate's or manual's highest.")
@click.option("--nameplate-gas", type=_Gas(), metavar="GAS", help="Where the nameplate names another gas than nitrogen.")
@click.option("--test-due", type=_Due(), metavar="DATE", help="Last permitted day of the pressure test: YYYY, YYYY-MM or YYYY-MM-DD.")
@on_option
@click.option("--nonrechargeable", is_flag=True, help="The unit is marked nonrechargeable.")
@click.option("--condemned", is_flag=True, help="The shell is condemned.")
@click.option("--density", type=DENSITY, metavar="D", help="True density of the agent by the maker, where none is held.")
@click.option("--supply", type=PRESSURE, metavar="P", help="Pressure in the supply bottle. 2000 psi unless said.")
@click.option("--pair", "pairs", type=_Pair(), multiple=True, metavar='"P to P"', help="An earlier charge: stopped at, settled at. Repeat.")
@units_option
@plot_option
@json_option
@click.pass_obj
def charge(app: Any, /, units: str | None, plot: str | None, as_json: bool, **said: Any) -> None:
    """The target pressure at today's temperature, where to stop the gas, where it settles; or what stands against it.

    What is not said stands as missing, and then the unit may not be charged yet. Any refusal takes every figure away.

    Example: pinseal charge --agent abc --mass "10 lb" --water-capacity "6.4 L" --pressure "195 psi" --at "40 F"
    """
    from pinseal.rules.charging import plan_charge

    said["on"] = said["on"] or app.today()
    asked, system = _asked(said), "metric" if units == "metric" else "us"
    supply = {} if said["supply"] is None else {"supply_gauge_pa": said["supply"].gauge_pa()}
    pairs = [(stopped.gauge_pa(), settled.gauge_pa()) for stopped, settled in said["pairs"]]
    plan = plan_charge(asked, pairs=pairs, system=system, **supply)
    write_plot(plot, lambda: _draw(asked, plan, system))
    if as_json:
        print_json(_plan_json(plan, units or "si"))
    else:
        _say_plan(asked, plan, system)


def _plan_json(plan: ChargePlan, units: str) -> dict[str, Any]:
    from pinseal.rules.charging import SAFETY_WORDS

    def level(pa: float | None) -> Any:
        return as_json(pa, "pressure", system=units, kind="gauge")

    between = plan.settles_between_gauge_pa
    return {
        "target": level(plan.target_gauge_pa),
        "ceiling": level(plan.ceiling_gauge_pa),
        "stop_at": level(plan.stop_at_gauge_pa),
        "settles_at": level(plan.settles_at_gauge_pa),
        "top_up": plan.top_up,
        "nitrogen_mass": as_json(plan.gas_kg, "mass", system=units),
        "nitrogen_scf": plan.gas_scf,
        "ullage": as_json(plan.ullage_m3, "volume", system=units),
        "may_charge": plan.may_charge,
        "missing": list(plan.missing),
        "refusals": [refusal.as_json() for refusal in plan.refusals],
        "because": list(plan.because),
        "target_uncertainty": as_json(plan.target_u_pa, "pressure", system=units),
        "settles_between": None if between is None else [level(pa) for pa in between],
        "ullage_uncertainty": as_json(plan.ullage_u_m3, "volume", system=units),
        "stirred_fraction": {"value": plan.stirred.value, "low": plan.stirred.low, "high": plan.stirred.high, "pairs": plan.stirred.pairs},
        "safety": list(SAFETY_WORDS),
    }


def _say_plan(asked: ChargeAsked, plan: ChargePlan, system: str) -> None:
    from pinseal.rules.charge_words import pressure_words
    from pinseal.rules.charging import SAFETY_WORDS

    if plan.refusals:
        say("Do not charge this unit.")
    elif plan.missing:
        say(f"Do not charge yet, not known: {', '.join(plan.missing)}.")
    if plan.target_gauge_pa is not None and plan.stop_at_gauge_pa is not None and plan.settles_at_gauge_pa is not None:
        target, here = pressure_words(plan.target_gauge_pa, system), for_people(asked.shell_k, "temperature", system=system)
        stop, settles = pressure_words(plan.stop_at_gauge_pa, system), pressure_words(plan.settles_at_gauge_pa, system)
        say(f"Target {target} at {here}; stop the gas at {stop}, it settles at about {settles}.")
    for line in plan.because:
        say(f"  {line}")
    for line in SAFETY_WORDS:
        say(f"! {line}")


def _draw(asked: ChargeAsked, plan: ChargePlan, system: str) -> str:
    from pinseal.documents.charge_drawing import charge_picture
    from pinseal.documents.charge_plot import charge_svg

    return charge_svg(charge_picture(asked, plan, system))


COMMANDS = {"charge": charge}
