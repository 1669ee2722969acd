"""`gauge`: is the charge there, whatever the weather, and what the needle means on its dial."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from pinseal import kinds
from pinseal.cli.bench_words import PERCENT
from pinseal.cli.options import json_option, on_option, print_json, say
from pinseal.cli.quantities import DENSITY, LENGTH, PRESSURE, TEMPERATURE, plot_option, units_option, write_plot
from pinseal.dates import PartialDate, parse_date
from pinseal.measures import ATM_PA, T_70F_K, Measure, as_json, in_unit
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.rules.gauging import Change, GaugeAsked, GaugeVerdict

_GAS_NAMES = {"n2": "nitrogen", "ar": "argon", "he": "helium", "compressed air": "air", "carbon dioxide": "co2"}


class _Date(click.ParamType[PartialDate]):
    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> PartialDate:
        return value if isinstance(value, PartialDate) else parse_date(value)


class _Share(click.ParamType[float]):
    """A part of one, as `0.25` or `25 %`."""

    name = "share"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        if isinstance(value, float):
            return value
        number = float(PERCENT.convert(value, param, ctx))
        return number / 100.0 if "%" in str(value) else number


class _Gas(click.ParamType[str]):
    name = "gas"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        from pinseal.physics.gas import require_gas

        word = " ".join(str(value).casefold().split())
        code = _GAS_NAMES.get(word, word)
        return code if code == "co2" else require_gas(code)


def _atmosphere_pa(elevation: Measure | None) -> float:
    from pinseal.physics.gas import standard_atmosphere_pa

    return ATM_PA if elevation is None else standard_atmosphere_pa(elevation.si)


def _band(low: Measure | None, high: Measure | None, air_pa: float) -> tuple[float, float] | None:
    if low is None and high is None:
        return None
    if low is None or high is None:
        raise Refusal(
            what="half of the operable band is said",
            rule="a band has a lower and an upper mark",
            got="no upper mark" if high is None else "no lower mark",
            do="give --band-low and --band-high, or neither",
        )
    return low.gauge_pa(air_pa), high.gauge_pa(air_pa)


def _last(readings: tuple[Measure, ...], at: tuple[Measure, ...], air_pa: float) -> tuple[tuple[float, float], ...]:
    if len(readings) != len(at):
        raise Refusal(
            what="the last readings and their temperatures do not pair",
            rule="each --last-reading has its --last-at, in the same order",
            got=f"{len(readings)} readings, {len(at)} temperatures",
            do="give both for each",
        )
    for reading in readings:
        if reading.gauge_pa(air_pa) < 0:
            raise Refusal(
                what="a gauge on a shell does not read below zero", rule="a reading is from zero up", got=reading.text, do="check it"
            )
    return tuple((reading.gauge_pa(air_pa), t.si) for reading, t in zip(readings, at, strict=True))


def _asked(app: Any, said: dict[str, Any]) -> GaugeAsked:
    from pinseal.rules.gauging import GaugeAsked

    here, there = _atmosphere_pa(said["elevation"]), _atmosphere_pa(said["charged_elevation"])
    charged_on, on = said["charged_on"], said["on"]
    age = None if charged_on is None else ((on or app.today()) - charged_on.earliest).days
    if age is not None and age >= 0:  # known to a month or a year: only the shorter age is sure
        age = max(0, ((on or app.today()) - charged_on.latest).days)
    percent, reach = said["gauge_class"], said["gauge_range"]
    return GaugeAsked(
        reading_gauge_pa=said["reading"].gauge_pa(here),
        t_k=said["at"].si,
        charge_gauge_pa=None if said["charge"] is None else said["charge"].gauge_pa(there),
        charged_t_k=said["charged_at"].si if said["charged_at"] else T_70F_K,
        gas=said["gas"],
        medium=said["medium"],
        agent=said["agent"],
        fill_kg_m3=said["fill_density"].si if said["fill_density"] else None,
        ullage_share=said["ullage_share"],
        age_days=age,
        stirred=said["stirred"],
        atmosphere_abs_pa=here,
        charged_atmosphere_abs_pa=there,
        band_gauge_pa=_band(said["band_low"], said["band_high"], here),
        class_percent=None if percent is None else float(percent),
        range_pa=None if reach is None else reach.gauge_pa(here),
        last=_last(said["last_reading"], said["last_at"], here),
    )


@click.command()
@click.option("--charge", type=PRESSURE, metavar="P", help='Nameplate charge pressure, as in "195 psi". Not needed for carbon dioxide.')
@click.option(
    "--charged-at", type=TEMPERATURE, metavar="T", help="The temperature that the nameplate pressure belongs to. 70 F unless said."
)
@click.option("--reading", type=PRESSURE, required=True, metavar="P", help="What the gauge shows.")
@click.option("--at", type=TEMPERATURE, required=True, metavar="T", help="The shell's temperature, not the air's.")
@click.option("--gas", type=_Gas(), default="nitrogen", show_default=True, metavar="GAS", help="nitrogen, argon, air, helium, co2.")
@click.option("--medium", metavar="NAME", help="What the gas stands over: powder, water, foam, co2, halocarbon. By the agent, else powder.")
@click.option("--agent", metavar="CODE", help="The agent, as in abc, water, halocarbon-hfc-236fa.")
@click.option("--fill-density", type=DENSITY, metavar="D", help="Mass of a halocarbon by volume of the shell: 0.96 kg/L, 60 lb/ft3.")
@click.option("--ullage-share", type=_Share(), default=0.25, show_default=True, metavar="F", help="Water and foam: gas space by volume.")
@click.option("--charged-on", type=_Date(), metavar="DATE", help="Water and foam: when it was charged.")
@click.option("--stirred", is_flag=True, help="Water and foam: inverted a few times, some minutes ago or more.")
@on_option
@click.option("--elevation", type=LENGTH, metavar="L", help="Where it stands now, above the sea: 1609 m. Sea level unless said.")
@click.option("--charged-elevation", type=LENGTH, metavar="L", help="Where it was charged. Sea level unless said.")
@click.option("--band-low", type=PRESSURE, metavar="P", help="Lower mark of the printed band.")
@click.option("--band-high", type=PRESSURE, metavar="P", help="Upper mark of the printed band.")
@click.option("--gauge-class", type=PERCENT, metavar="PCT", help="Class of the gauge, percent of its range.")
@click.option("--gauge-range", type=PRESSURE, metavar="P", help="End of its dial.")
@click.option("--last-reading", type=PRESSURE, multiple=True, metavar="P", help="An earlier reading; with --last-at. Repeat.")
@click.option("--last-at", type=TEMPERATURE, multiple=True, metavar="T", help="Its temperature.")
@units_option
@plot_option
@json_option
@click.pass_obj
def gauge(app: Any, /, units: str | None, plot: str | None, as_json: bool, **said: Any) -> None:
    """Is the charge there? A reading in any weather against the nameplate, with its doubt.

    The printed band decides on the tag: a needle outside it is never tagged, whatever the weather.

    Example: pinseal gauge --charge "195 psi" --reading "167 psi" --at "0 F"
    """
    from pinseal.rules.gauging import judge_gauge

    if said["agent"] is not None:
        said["agent"] = kinds.require(said["agent"].strip(), kinds.AGENTS, what="agent")
    asked, system = _asked(app, said), "metric" if units == "metric" else "us"
    answer = judge_gauge(asked, system=system)
    write_plot(plot, lambda: _draw(asked, answer, system))
    if as_json:
        print_json(_json(answer, units or "si"))
    else:
        _say(asked, answer, system)


def _change_json(change: Change | None, units: str) -> dict[str, Any] | None:
    if change is None:
        return None
    return {
        "change": as_json(change.change_pa, "pressure", system=units),
        "uncertainty": as_json(change.uncertainty_pa, "pressure", system=units),
        "readings": change.readings,
        "verdict": change.verdict,
    }


def _json(answer: GaugeVerdict, units: str) -> dict[str, Any]:
    from pinseal.rules.gauge_words import SAFETY_WORDS

    def level(pa: float | None) -> Any:
        return as_json(pa, "pressure", system=units, kind="gauge")

    return {
        "expected": level(answer.expected_gauge_pa),
        "referred": level(answer.referred_gauge_pa),
        "difference": as_json(answer.difference_pa, "pressure", system=units),
        "uncertainty": as_json(answer.uncertainty_pa, "pressure", system=units),
        "verdict": answer.verdict,
        "on_dial": answer.on_dial,
        "because": list(answer.because),
        "medium": answer.medium,
        "full_between": None if answer.full_between_gauge_pa is None else [level(pa) for pa in answer.full_between_gauge_pa],
        "full_once_stirred": level(answer.at_rest_gauge_pa),
        "against_last": _change_json(answer.change, units),
        "safety": list(SAFETY_WORDS),
    }


def _say(asked: GaugeAsked, answer: GaugeVerdict, system: str) -> None:
    from pinseal.rules.gauge_words import SAFETY_WORDS, full_words, pressure_words, temperature_words

    say(f"{answer.verdict}: {answer.because[0]}")
    if answer.expected_gauge_pa is not None and answer.difference_pa is not None and answer.uncertainty_pa is not None:
        referred = answer.referred_gauge_pa
        figures = {
            "reading": f"{pressure_words(asked.reading_gauge_pa, system)} at {temperature_words(asked.t_k, system)}",
            "expected": full_words(answer, system),
            "difference": pressure_words(answer.difference_pa, system, sign=True),
            "uncertainty": f"{pressure_words(answer.uncertainty_pa, system)} (k = 2)",
            f"at {temperature_words(T_70F_K, system)}": "below the agent's own vapour pressure"
            if referred is None
            else pressure_words(referred, system),
            "needle": {"not-given": "no band given"}.get(
                answer.on_dial, f"{answer.on_dial} the band" if answer.on_dial != "in" else "in the band"
            ),
        }
        for name, value in figures.items():
            say(f"  {name:<12}{value}")
    for line in answer.because[1:]:
        say(f"  {line}")
    for line in SAFETY_WORDS:
        say(f"! {line}")


def _pair(levels_pa: tuple[float, float], unit: str) -> tuple[float, float]:
    return in_unit(levels_pa[0], "pressure", unit), in_unit(levels_pa[1], "pressure", unit)


def _draw(asked: GaugeAsked, answer: GaugeVerdict, system: str) -> str:
    from pinseal.documents.gauge_plot import GaugePicture, gauge_svg
    from pinseal.measures import SYSTEMS
    from pinseal.rules.gauge_words import temperature_words

    unit = SYSTEMS[system]["pressure"]

    def shown(pa: float | None) -> float | None:
        return None if pa is None else in_unit(pa, "pressure", unit)

    return gauge_svg(
        GaugePicture(
            unit=unit,
            reading=in_unit(asked.reading_gauge_pa, "pressure", unit),
            at=temperature_words(asked.t_k, system),
            verdict=answer.verdict,
            on_dial=answer.on_dial,
            medium=answer.medium,
            nameplate=shown(asked.charge_gauge_pa),
            full=None if answer.full_between_gauge_pa is None else _pair(answer.full_between_gauge_pa, unit),
            once_stirred=shown(answer.at_rest_gauge_pa),
            referred=shown(answer.referred_gauge_pa),
            uncertainty=shown(answer.uncertainty_pa),
            band=None if asked.band_gauge_pa is None else _pair(asked.band_gauge_pa, unit),
            reference=temperature_words(T_70F_K, system),
            digits=1 if system == "metric" else 0,
        )
    )


COMMANDS = {"gauge": gauge}
