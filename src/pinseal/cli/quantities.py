"""Options that take quantities as people type them (`"195 psi"`, `"-5 C"`, `"29 lb 6 oz"`), and how answers are printed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import F
from pinseal.measures import Measure, parse_measure, parse_pressure, parse_temperature


class Typed(click.ParamType[Measure]):
    """A quantity of one dimension."""

    def __init__(self, name: str, read: Callable[[str], Measure]) -> None:
        self.name, self._read = name, read

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Measure:
        return value if isinstance(value, Measure) else self._read(value)


PRESSURE = Typed("pressure", parse_pressure)
PRESSURE_DIFFERENCE = Typed("pressure", lambda text: parse_pressure(text, difference=True))
TEMPERATURE = Typed("temperature", parse_temperature)
MASS = Typed("mass", lambda text: parse_measure("mass", text))
VOLUME = Typed("volume", lambda text: parse_measure("volume", text))
LENGTH = Typed("length", lambda text: parse_measure("length", text, negative=True))
DENSITY = Typed("density", lambda text: parse_measure("density", text))


class _WaterCapacity(Typed):
    def __init__(self) -> None:
        super().__init__("volume", _water_capacity)


def _water_capacity(text: str) -> Measure:
    """A volume, or the mass of water that fills the shell, taken at 27.737 in3 a pound (49 CFR usage, from memory)."""
    from fractions import Fraction

    from pinseal.measures import INCH_M, LB_KG
    from pinseal.reasons import Refusal

    try:
        return parse_measure("volume", text)
    except Refusal:
        mass = parse_measure("mass", text)
        return Measure(mass.exact / LB_KG * Fraction("27.737") * INCH_M**3, "volume", text)


WATER_CAPACITY = _WaterCapacity()


def _expansion(text: str) -> Measure:
    """An expansion as a burette shows it: a number without a unit is in cm3."""
    plain = text.strip().replace(",", ".")
    bare = plain.lstrip("+-").replace(".", "", 1)
    return parse_measure("volume", f"{text} cm3" if bare.isascii() and bare.isdigit() else text)


EXPANSION = Typed("volume", _expansion)


def units_option(command: F) -> F:
    return click.option(
        "--units", type=click.Choice(["si", "us", "metric"]), default=None, help="Units of the JSON answer (si) and of the words (us)."
    )(command)


def plot_option(command: F) -> F:
    return click.option("--plot", metavar="FILE.svg", help="Also draw the picture.")(command)


def write_plot(file: str | None, draw: Callable[[], str]) -> None:
    """Write a picture where one is asked for."""
    if file:
        Path(file).write_text(draw(), encoding="utf-8")
