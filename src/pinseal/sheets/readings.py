"""What was read, as typed and as a figure: one reader for each quantity, each with its rule in words."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinseal import kinds
from pinseal.dates import parse_day
from pinseal.measures import Measure, parse_measure, parse_pressure, parse_temperature
from pinseal.reasons import Refusal
from pinseal.records.record import check_text
from pinseal.sheets.model import QUANTITIES, Step, Want

Value = Measure | Fraction | date | str
GASES = ("nitrogen", "argon", "air", "helium", "oxygen", "carbon dioxide", "other")
_NUMBER = re.compile(r"\d{1,9}(?:[.,]\d{1,6})?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading: its text as typed, its value, and the id of the instrument, where one is named."""

    name: str
    text: str
    value: Value
    instrument: str | None = None

    @property
    def measure(self) -> Measure:
        assert isinstance(self.value, Measure), f"{self.name} is a measure"
        return self.value


def _number(text: str) -> Fraction:
    plain = text.strip().removesuffix("s").removesuffix("%").strip()
    if not _NUMBER.fullmatch(plain):
        raise Refusal(what="this is not a number", rule="a number from zero up", got=text, do="write it in figures, as in 60")
    return Fraction(plain.replace(",", "."))


def _seconds(text: str) -> Fraction:
    """Seconds; minutes are said as such."""
    plain = text.strip().casefold()
    for word in ("minutes", "minute", "min"):
        if plain.endswith(word):
            return _number(plain.removesuffix(word)) * 60
    for word in ("seconds", "second", "sec", "s"):
        if plain.endswith(word):
            return _number(plain.removesuffix(word))
    return _number(plain)


def _one_of(known: tuple[str, ...], what: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        plain = text.strip().casefold()
        if plain not in known:
            raise Refusal(what=f"this is no {what}", rule=f"one of {', '.join(known)}", got=text, do="use a listed word")
        return plain

    return read


_READ: Mapping[str, Callable[[str], Value]] = {
    "pressure": parse_pressure,
    "temperature": parse_temperature,
    "mass": lambda text: parse_measure("mass", text),
    "volume": lambda text: parse_measure("volume", text),
    "length": lambda text: parse_measure("length", text),
    "seconds": _seconds,
    "count": _number,
    "percent": _number,
    "agent": _one_of(tuple(kinds.AGENTS), "agent"),
    "gas": _one_of(GASES, "gas"),
    "date": parse_day,
    "yes-no": _one_of(("yes", "no"), "answer"),
    "text": lambda text: text.strip(),
    "unit": lambda text: text.strip(),
}
assert set(_READ) == set(QUANTITIES), "each quantity has its reader"


def read(want: Want, text: str, *, step: Step, instrument: str | None = None) -> Reading:
    """One reading of a step. Raises `Refusal` that names step, reading and rule."""
    try:
        value = _READ[want.quantity](check_text(want.label, text))
    except Refusal as refused:
        raise Refusal(
            what=f"{step.title}: {want.label} cannot be read",
            rule=refused.rule if refused.rule else QUANTITIES[want.quantity],
            got=text,
            do=refused.do,
        ) from refused
    if isinstance(value, Measure) and want.quantity == "mass" and value.exact <= 0:
        raise Refusal(
            what=f"{step.title}: {want.label} is zero",
            rule="a scale at zero has not weighed",
            got=text,
            do="zero the empty scale and weigh again",
        )
    return Reading(name=want.name, text=text.strip(), value=value, instrument=instrument)
