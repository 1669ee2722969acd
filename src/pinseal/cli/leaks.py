"""`leak` and `lots`: what series of readings say about leaks, and what a fleet's failures say about its lots."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from pinseal.cli.lots import lots
from pinseal.cli.options import json_option, on_option, print_json, say
from pinseal.cli.quantities import MASS, PRESSURE, PRESSURE_DIFFERENCE, VOLUME, Typed, plot_option, units_option, write_plot
from pinseal.cli.reading_files import Row, read_rows
from pinseal.measures import Measure, for_people
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.rules.leak_series import Reading, Uncertainty, UnitFacts
    from pinseal.rules.leaks import LeakAnswer

_READING = ("unit", "date", "reading", "temperature", "gauge", "weight", "scale")
_FACTS = ("medium", "gas", "charged", "low", "low weight", "free volume", "ullage share")
MEDIA = ("powder", "water", "foam", "co2", "halocarbon")
GASES = ("nitrogen", "argon", "air", "helium", "co2")


def _thermometer(text: str) -> Measure:
    """A standard uncertainty of temperature: `1.5 K`, `1.5 C` or `2.7 F`."""
    from fractions import Fraction

    number = text.strip()[:-1].strip()
    unit = text.strip()[-1:].upper()
    try:
        plain = Fraction(number) * (Fraction(5, 9) if unit == "F" else 1)
    except (ValueError, ZeroDivisionError):
        plain = Fraction(-1)
    if unit not in ("K", "C", "F") or not 0 < plain <= 20 or "/" in number or "_" in number:
        raise Refusal(
            what="this is not the uncertainty of a thermometer",
            rule="a number above zero and at most 20 K, with K, C or F",
            got=text or "nothing",
            do="write it as in 1.5 K or 2.7 F",
        )
    return Measure(plain, "temperature", text)


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--unit", metavar="ID", help="Only this unit. Needed for a picture where the file holds several.")
@click.option("--low", type=PRESSURE, metavar="P", help="Low end of the operable band at 70 F, where the file does not say it.")
@click.option("--low-weight", type=MASS, metavar="M", help="Least weight by the nameplate, where the file does not say it.")
@click.option("--medium", type=click.Choice(MEDIA), help="What the units hold, where the file does not say it: powder.")
@click.option("--gas", type=click.Choice(GASES), help="The gas that expels it, where the file does not say it: nitrogen.")
@click.option("--free-volume", type=VOLUME, metavar="V", help="Room of the gas, where the file does not say it: gives leak rates.")
@click.option("--gauge-u", type=PRESSURE_DIFFERENCE, metavar="P", help="Standard uncertainty of one reading. 2.5 psi unless said.")
@click.option("--thermometer-u", type=Typed("temperature", _thermometer), metavar="K", help="And of its temperature. 1.5 K unless said.")
@click.option("--scale-u", type=MASS, metavar="M", help="And of one weighing. 1 oz unless said.")
@on_option
@units_option
@plot_option
@json_option
@click.pass_obj
def leak(
    app: Any, /, file: str, unit: str | None, on: date | None, units: str | None, plot: str | None, as_json: bool, **said: Any
) -> None:
    """Leak, one-off loss or neither, from readings over the years (CSV: unit, date, reading, temperature, gauge, weight ...).

    Readings are referred to 70 F; each gauge keeps a constant of its own. Says what is shown, how sure, when the limit is met, and
    what one more reading would settle. It advises; the nameplate and a licensed person decide.

    Example: pinseal leak readings.csv --low "175 psi" --on 2026-11-25
    """
    from pinseal.rules.leak_series import build
    from pinseal.rules.leaks import assess

    taken = _uncertainty(said)
    facts, readings = _units(file, unit, said)
    for name, about in facts.items():
        _check_stored(about, readings[name])
    fleet = [build(about, readings[name], taken) for name, about in facts.items()]
    answers = assess(fleet, on=on or app.today())
    if plot and len(answers) != 1:
        raise Refusal(what="which unit is to be drawn?", rule="a picture shows one unit", got=f"{len(answers)} units", do="add --unit ID")
    write_plot(plot, lambda: _draw(answers[0], units or "us"))
    if as_json:
        _print(answers, units or "si")
    else:
        _say(answers, units or "us")


def _uncertainty(said: dict[str, Any]) -> Uncertainty:
    from pinseal.rules.leak_series import Uncertainty

    plain = Uncertainty()
    gauge, scale = said.pop("gauge_u"), said.pop("scale_u")
    thermometer = said.pop("thermometer_u")
    for name, value, low, high in (("--gauge-u", gauge, 100.0, 1e6), ("--scale-u", scale, 1e-4, 20.0)):
        if value is not None and not low <= value.si <= high:
            raise Refusal(
                what=f"{name} is not the uncertainty of one reading",
                rule=f"above zero and believable: {low:g} to {high:g} {'Pa' if name == '--gauge-u' else 'kg'}",
                got=value.text,
                do="give the standard uncertainty, about half of what two careful people may differ by",
            )
    return Uncertainty(
        gauge_pa=gauge.si if gauge else plain.gauge_pa,
        thermometer_k=thermometer.si if thermometer else plain.thermometer_k,
        scale_kg=scale.si if scale else plain.scale_kg,
    )


def _units(file: str, only: str | None, said: dict[str, Any]) -> tuple[dict[str, UnitFacts], dict[str, list[Reading]]]:
    """The facts and the readings of each unit, in the order of the file."""
    facts: dict[str, dict[str, Any]] = {}
    readings: dict[str, list[Reading]] = {}
    for row in read_rows(file, known=(*_READING, *_FACTS), needed=("unit", "date")):
        name = row.needed("unit")
        if only is None or name == only:
            _gather_facts(row, facts.setdefault(name, {}))
            readings.setdefault(name, []).append(_reading(row))
    if not facts:
        got = f"no row of {only}" if only else "no row"
        raise Refusal(what="there is nothing to judge", rule="one row for each reading", got=got, do="check the file and the unit's id")
    from pinseal.rules.leak_series import UnitFacts

    return {name: UnitFacts(unit=name, **_with_defaults(found, said)) for name, found in facts.items()}, readings


def _reading(row: Row) -> Reading:
    from pinseal.rules.leak_series import Reading

    row.needed("date")
    day, pressure, weight = row.day("date"), row.pressure("reading"), row.mass("weight")
    assert day is not None, "a needed date is there"
    gauge_pa = None if pressure is None else _believable(row, pressure)
    temperature = row.temperature("temperature")
    if weight is not None and not weight.si > 0:
        raise Refusal(
            what=f"line {row.line}, weight: a unit weighs something",
            rule="above zero",
            got=weight.text,
            do="leave the cell empty if it was not weighed",
        )
    return Reading(
        day=day,
        gauge_pa=gauge_pa,
        t_k=None if temperature is None else temperature.si,
        gauge=row.text("gauge"),
        weight_kg=None if weight is None else weight.si,
        scale=row.text("scale"),
    )


# A carbon dioxide unit can stand near 250 bar on a hot day; a stored-pressure unit is within the gas model, 51 bar absolute.
_GAUGE_PA_MAX, _STORED_GAUGE_PA_MAX = 250e5, 50e5


def _believable(row: Row, pressure: Measure) -> float:
    """A gauge pressure that a unit can show [Pa]. Raises `Refusal`."""
    gauge_pa = pressure.gauge_pa()
    if not -7000 <= gauge_pa <= _GAUGE_PA_MAX:
        raise Refusal(
            what=f"line {row.line}, reading: no unit shows this",
            rule=f"0 to {_in_people(_GAUGE_PA_MAX)}; a stored-pressure unit to {_in_people(_STORED_GAUGE_PA_MAX)}",
            got=pressure.text,
            do="check the figure and its unit; psia counts from vacuum",
        )
    return max(gauge_pa, 0.0)


def _in_people(gauge_pa: float) -> str:
    return f"{for_people(gauge_pa, 'pressure', digits=0)} ({gauge_pa / 1e5:g} bar) above the air"


def _check_stored(facts: UnitFacts, readings: Sequence[Reading]) -> None:
    """A stored-pressure unit's readings lie within the gas model. Raises `Refusal`."""
    for reading in readings:
        if facts.medium not in ("co2", "halocarbon") and reading.gauge_pa is not None and reading.gauge_pa > _STORED_GAUGE_PA_MAX:
            raise Refusal(
                what=f"unit {facts.unit}, {reading.day}: no stored-pressure unit shows this",
                rule=f"0 to {_in_people(_STORED_GAUGE_PA_MAX)}",
                got=for_people(reading.gauge_pa, "pressure", digits=0),
                do="check the figure and its unit; a carbon dioxide unit has the medium co2",
            )


def _gather_facts(row: Row, found: dict[str, Any]) -> None:
    """What a row says about its unit; a fact that differs from an earlier row is refused, but a later charge is a new filling."""
    low, low_weight, volume = row.pressure("low"), row.mass("low weight"), row.volume("free volume")
    facts: dict[str, Any] = {
        "medium": row.choice("medium", MEDIA) or None,
        "gas": row.choice("gas", GASES) or None,
        "low_gauge_pa": None if low is None else low.gauge_pa(),
        "low_weight_kg": None if low_weight is None else low_weight.si,
        "free_volume_m3": None if volume is None else volume.si,
        "ullage_share": _share(row),
    }
    for name, value in facts.items():
        if value is not None and found.setdefault(name, value) != value:
            raise Refusal(
                what=f"line {row.line} says another {name.rsplit('_', 1)[0].replace('_', ' ')} than an earlier row",
                rule="a fact of a unit is the same in all its rows, or stands in one of them",
                got=str(value),
                do="correct one of the rows",
            )
    charged = row.day("charged")
    if charged is not None:
        found["charged"] = max(charged, found.get("charged", charged))


def _share(row: Row) -> float | None:
    """The share of a shell that is gas: 0.25 or 25 %."""
    cell = row.text("ullage share")
    if not cell:
        return None
    try:
        share = float(cell.rstrip("%")) / (100 if cell.endswith("%") else 1)
    except ValueError:
        share = -1.0
    if not 0.05 <= share <= 0.95:
        raise Refusal(what=f"line {row.line}, ullage share", rule="0.05 to 0.95 of the shell", got=cell, do="write it as in 0.25 or 25%")
    return share


def _with_defaults(found: dict[str, Any], said: dict[str, Any]) -> dict[str, Any]:
    low, low_weight, volume = said["low"], said["low_weight"], said["free_volume"]
    options = {
        "medium": said["medium"] or "powder",
        "gas": said["gas"] or "nitrogen",
        "low_gauge_pa": None if low is None else low.gauge_pa(),
        "low_weight_kg": None if low_weight is None else low_weight.si,
        "free_volume_m3": None if volume is None else volume.si,
    }
    facts = {**options, **{name: value for name, value in found.items() if value is not None}}
    if facts["gas"] == "co2":
        facts["medium"] = "co2"
    return facts


# -- the answer


def _summary(answers: Sequence[LeakAnswer]) -> dict[str, Any]:
    from pinseal.rules.leaks import expected_by_chance

    kinds = [answer.kind for answer in answers]
    return {
        "units": len(answers),
        "kinds": {kind: kinds.count(kind) for kind in dict.fromkeys(kinds)},
        "expected_by_chance": round(expected_by_chance(answers), 2),
    }


def _print(answers: Sequence[LeakAnswer], system: str) -> None:
    from pinseal.rules.leak_words import Words

    print_json({"units": [Words(answer, system).as_json(system) for answer in answers], "summary": _summary(answers)})


_ORDER = {"fail": 0, "too-close": 1, "unknown": 2, "pass": 3}
_VERDICTS = {"fail": "FAIL", "too-close": "TOO CLOSE TO CALL", "unknown": "UNKNOWN", "pass": "PASS"}


def _say(answers: Sequence[LeakAnswer], system: str) -> None:
    from pinseal.rules.leak_words import Words

    for answer in sorted(answers, key=lambda a: _ORDER[a.verdict]):
        words = Words(answer, system)
        first, *rest = words.because()
        say(f"{answer.series.facts.unit}: {_VERDICTS[answer.verdict]}: {first}")
        if len(answers) == 1 or answer.verdict != "pass":
            for sentence in rest:
                say(f"  {sentence}")
            say(f"  what would change it: {words.would_change()}")
    summary = _summary(answers)
    if len(answers) > 1:
        say(f"{summary['units']} units; about {summary['expected_by_chance']:g} alarms would come by chance alone.")
    if any(answer.verdict == "fail" for answer in answers):
        say("A leaking unit leaves service: stand aside of its valve and gauge, and let a licensed person open it after it is empty.")


def _draw(answer: LeakAnswer, system: str) -> str:
    from pinseal.documents.leak_drawing import picture_of
    from pinseal.documents.leak_plot import leak_svg

    if not answer.series.days:
        raise Refusal(
            what="there is nothing to draw",
            rule="a picture needs a reading that can be used",
            got=f"unit {answer.series.facts.unit}: {'; '.join(answer.series.set_aside) or 'no reading'}",
            do="give the temperature with each pressure",
        )
    return leak_svg(picture_of(answer, system))


COMMANDS = {"leak": leak, "lots": lots}
