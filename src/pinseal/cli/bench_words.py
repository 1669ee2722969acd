"""How the pressure tests and the scale speak: verdict and reason first, then figures, then cautions; and two small types of option."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import say
from pinseal.measures import FACTORS, SYSTEMS
from pinseal.reasons import Refusal

_PERCENT = re.compile(r"(\d{1,6}(?:\.\d{1,12})?|\.\d{1,12})\s*%?", re.ASCII)
_TIME = re.compile(r"(\d{1,6}(?:\.\d{1,6})?)\s*(s|sec|secs|second|seconds|min|mins|minute|minutes|h|hour|hours)?", re.ASCII | re.IGNORECASE)
_SECONDS = {"s": 1, "m": 60, "h": 3600}
_LOG_BYTES_MAX = 50_000_000


class Percent(click.ParamType[Fraction]):
    """A percent, exact as typed."""

    name = "percent"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Fraction:
        if isinstance(value, Fraction):
            return value
        match = _PERCENT.fullmatch(str(value).strip())
        if match is None:
            raise Refusal(
                what="this is not a percent",
                rule="a plain number, zero or above",
                got=str(value)[:60] or "nothing",
                do="write it as in 10 or 0.5 %",
            )
        return Fraction(match[1])


class Seconds(click.ParamType[Fraction]):
    """A time: seconds unless it says minutes or hours."""

    name = "time"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Fraction:
        if isinstance(value, Fraction):
            return value
        match = _TIME.fullmatch(str(value).strip())
        if match is None:
            raise Refusal(
                what="this is not a time",
                rule="a number of seconds or minutes",
                got=str(value)[:60] or "nothing",
                do="write it as in 60 s or 1 min",
            )
        return Fraction(match[1]) * _SECONDS[(match[2] or "s")[0].casefold()]


PERCENT, SECONDS = Percent(), Seconds()


def sentences(lines: Iterable[str]) -> list[str]:
    """Each line as a sentence: a capital first, a full stop last."""
    return [line[:1].upper() + line[1:] + ("" if line.endswith((".", "!", "?")) else ".") for line in lines]


def say_verdict(head: str, because: Sequence[str], extra: Sequence[str], safety: Sequence[str]) -> None:
    """The verdict with its first reason, then the others, then what is odd, then the cautions."""
    say(f"{head}: {because[0]}.")
    for line in sentences(because[1:]):
        say(f"  {line}")
    for line in sentences(extra):
        say(f"  Mind: {line}")
    for line in sentences(safety):
        say(f"! {line}")


def level_json(pa: Fraction | None, units: str) -> Any:
    """A pressure above the air for programs."""
    if pa is None:
        return None
    unit = SYSTEMS[units]["pressure"]
    return {"value": float(pa / FACTORS["pressure"][unit]), "unit": unit, "kind": "gauge"}


def small_volume_json(volume_m3: Fraction, units: str) -> dict[str, float | str]:
    """An expansion for programs: m3, and cm3 where people's units are asked for, because a burette is read in cm3."""
    if units == "si":
        return {"value": float(volume_m3), "unit": "m3"}
    return {"value": float(volume_m3 * 10**6), "unit": "cm3"}


def read_lines(file: str) -> list[str]:
    """The lines of a text file in UTF-8. Raises `Refusal` for one that is none, or that is larger than 50 MB."""
    path = Path(file)
    if path.is_file() and path.stat().st_size > _LOG_BYTES_MAX:
        raise Refusal(what="this file is too large for a log", rule="at most 50 MB", got=file, do="split it by year")
    try:
        return path.read_text(encoding="utf-8-sig").splitlines(keepends=True)
    except (UnicodeDecodeError, ValueError) as mistake:
        raise Refusal(what="this file is not text in UTF-8", rule=str(mistake), got=file, do="save it as CSV in UTF-8") from mistake


def needed(said: dict[str, Any], *names: str) -> None:
    missing = [f"--{name.replace('_', '-')}" for name in names if said.get(name) is None]
    if missing:
        raise Refusal(
            what="something that the sum needs was not said",
            rule=f"it needs {', '.join(missing)}",
            got="nothing",
            do="add it; see the example of --help",
        )
