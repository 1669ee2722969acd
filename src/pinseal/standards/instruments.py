"""How long checks of instruments are good for, and what lapsed checks and papers do (`instruments.toml`), read strictly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from pinseal.kinds import INSTRUMENTS
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, shipped, source_of
from pinseal.standards.strict import Place

_FILE = "instruments.toml"
EFFECTS: dict[str, str] = {"none": "nothing", "flags": "the work goes on and the record says so", "blocks": "the work stops"}
ABOUT = ("instrument", "mark", "work")
WHEN = ("lapsed", "bad", "never-checked", "unknown-instrument", "withdrawn", "no-paper", "unknown-person")


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckInterval:
    """How many months a good check of some instruments holds; 0 is a check before the first use of each day.

    `by` is what it is compared with. No packs: it holds in every shop.
    """

    id: str
    what: tuple[str, ...]
    months: int
    by: str
    packs: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What a standing does to the work: a key of `EFFECTS`, for codes in `when`, about instruments, marks or any other work.

    `what` empty means every instrument. `jurisdictions` are names, in small letters, of the places whose papers count here.
    """

    id: str
    about: str
    what: tuple[str, ...]
    when: tuple[str, ...]
    effect: str
    packs: tuple[str, ...]
    jurisdictions: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentRules:
    intervals: tuple[CheckInterval, ...]
    effects: tuple[Effect, ...]


def _interval(place: Place, table: Mapping[str, Any]) -> CheckInterval:
    months = table.get("months")
    if isinstance(months, bool) or not isinstance(months, int) or months < 0:
        raise place.refuse("months is no whole number from zero up", rule="0 is a daily check", got=months, do="write months = 6")
    return CheckInterval(
        id=place.text(table, "id"),
        what=place.codes(table, "what", INSTRUMENTS, what="instrument"),
        months=months,
        by=place.text(table, "by"),
        packs=place.texts(table, "packs"),
        source=source_of(place, table),
    )


def _effect(place: Place, table: Mapping[str, Any]) -> Effect:
    return Effect(
        id=place.text(table, "id"),
        about=place.code(table.get("about"), ABOUT, what="about"),
        what=place.codes(table, "what", INSTRUMENTS, what="instrument"),
        when=place.codes(table, "when", WHEN, what="standing"),
        effect=place.code(table.get("effect"), EFFECTS, what="effect"),
        packs=place.texts(table, "packs"),
        jurisdictions=place.texts(table, "jurisdictions"),
        source=source_of(place, table),
    )


def parse_instrument_rules(tables: Mapping[str, Any]) -> InstrumentRules:
    """Read the data from the tables of a TOML file. Raises `Refusal` for anything that is not as declared."""
    Place(_FILE).keys(tables, {"interval", "effect"})
    effect_keys = {"about", "what", "when", "effect", "packs", "jurisdictions"}
    return InstrumentRules(
        intervals=tuple(_interval(*each) for each in entries(tables, _FILE, "interval", {"what", "months", "by", "packs"})),
        effects=tuple(_effect(*each) for each in entries(tables, _FILE, "effect", effect_keys)),
    )


@cache
def instrument_rules() -> InstrumentRules:
    """The data that is shipped."""
    return parse_instrument_rules(shipped(_FILE))
