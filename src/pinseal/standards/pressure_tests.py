"""The dated data of pressure tests (`pressure_tests.toml`), read strictly: limits, test pressures, holds, instruments, with sources."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from pinseal.kinds import CHECKED, CYLINDER_SPECIFICATIONS
from pinseal.reasons import Refusal

_FILE = "pressure_tests.toml"
_SOURCE_KEYS = {"document", "edition", "clause", "checked", "checked_on", "in_force_from", "in_force_to"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a figure comes from, how it was checked, and when it holds."""

    document: str
    edition: str
    clause: str
    checked: str
    checked_on: date
    in_force_from: date
    in_force_to: date | None
    note: str

    def holds_on(self, day: date) -> bool:
        return self.in_force_from <= day and (self.in_force_to is None or day <= self.in_force_to)

    def for_people(self) -> str:
        return f"{self.document} {self.clause}, {CHECKED[self.checked]}"

    def as_json(self) -> dict[str, str]:
        return {"document": self.document, "edition": self.edition, "clause": self.clause, "checked": self.checked}


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """The permanent expansion allowed for some specifications, percent of the total."""

    specifications: tuple[str, ...]
    percent: Fraction
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPressure:
    """The smallest test pressure of some specifications: a figure [psig] or a ratio to the service pressure."""

    __test__ = False
    specifications: tuple[str, ...]
    psig: Fraction | None
    service_ratio: Fraction | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class NoTest:
    """Specifications that are never tested again, and why."""

    specifications: tuple[str, ...]
    why: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How the pressure of a proof test is found. `rule`: factory, specification, psig or au-greatest."""

    kind: str
    rule: str
    hold: str
    psig: Fraction | None
    printed_kpa: Fraction | None
    working_ratio: Fraction | None
    least_mpa: Fraction | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """One reading of how long the test pressure is held [s], and how fast it may be reached [s]."""

    id: str
    test: str
    hold_s: int
    reach_s_least: int | None
    reach_s_most: int | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A demand on an instrument: a percent, a span of percents or an interval in months."""

    id: str
    percent: Fraction | None
    percent_low: Fraction | None
    percent_high: Fraction | None
    months: int | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureTests:
    limits: tuple[Limit, ...]
    test_pressures: tuple[TestPressure, ...]
    no_tests: tuple[NoTest, ...]
    proofs: tuple[Proof, ...]
    holds: tuple[Hold, ...]
    instruments: tuple[Instrument, ...]


def _refuse(what: str, *, rule: str, got: object) -> Refusal:
    return Refusal(what=f"{_FILE}: {what}", rule=rule, got=str(got), do="correct the data file")


def _keys(table: Mapping[str, Any], allowed: set[str]) -> None:
    wrong = set(table) - allowed - _SOURCE_KEYS - {"note", "id"}
    missing = _SOURCE_KEYS - set(table)
    if wrong or missing:
        raise _refuse(
            "wrong or missing keys",
            rule=f"an entry has {', '.join(sorted(allowed | _SOURCE_KEYS))}",
            got=f"wrong {sorted(wrong)}, missing {sorted(missing)}",
        )


def _source(table: Mapping[str, Any]) -> Source:
    if table["checked"] not in CHECKED:
        raise _refuse("unknown way of checking", rule=f"one of {', '.join(CHECKED)}", got=table["checked"])
    days = [table["checked_on"], table["in_force_from"], *([] if table["in_force_to"] == "open" else [table["in_force_to"]])]
    if not all(isinstance(day, date) for day in days):
        raise _refuse("a date is wrong", rule='dates are written 2026-11-24, an open end "open"', got=days)
    return Source(
        document=str(table["document"]), edition=str(table["edition"]), clause=str(table["clause"]), checked=table["checked"],
        checked_on=table["checked_on"], in_force_from=table["in_force_from"],
        in_force_to=None if table["in_force_to"] == "open" else table["in_force_to"], note=str(table.get("note", "")),
    )  # fmt: skip


def _fraction(table: Mapping[str, Any], key: str) -> Fraction | None:
    value = table.get(key)
    if value is None:
        return None
    try:
        return Fraction(value) if isinstance(value, str) else _no_number(key, value)
    except ValueError as mistake:
        raise _refuse(f"{key} is no number", rule='numbers are exact texts, such as "5/3"', got=value) from mistake


def _no_number(key: str, value: object) -> Fraction:
    raise _refuse(f"{key} is no text", rule='numbers are exact texts, such as "5/3"', got=value)


def _specifications(table: Mapping[str, Any]) -> tuple[str, ...]:
    for code in table["specifications"]:
        if code not in CYLINDER_SPECIFICATIONS:
            raise _refuse("unknown specification", rule=f"one of {', '.join(CYLINDER_SPECIFICATIONS)}", got=code)
    return tuple(table["specifications"])


def _limit(table: Mapping[str, Any]) -> Limit:
    _keys(table, {"specifications", "percent"})
    percent = _fraction(table, "percent")
    if percent is None or not 0 < percent < 100:
        raise _refuse("no percent", rule="a limit lies between 0 and 100", got=table.get("percent"))
    return Limit(specifications=_specifications(table), percent=percent, source=_source(table))


def _test_pressure(table: Mapping[str, Any]) -> TestPressure:
    _keys(table, {"specifications", "psig", "service_ratio"})
    psig, ratio = _fraction(table, "psig"), _fraction(table, "service_ratio")
    if (psig is None) == (ratio is None):
        raise _refuse("the test pressure is not clear", rule="either psig or service_ratio", got=table.get("id"))
    return TestPressure(specifications=_specifications(table), psig=psig, service_ratio=ratio, source=_source(table))


def _no_test(table: Mapping[str, Any]) -> NoTest:
    _keys(table, {"specifications", "why"})
    return NoTest(specifications=_specifications(table), why=str(table["why"]), source=_source(table))


def _proof(table: Mapping[str, Any]) -> Proof:
    _keys(table, {"kind", "rule", "hold", "psig", "printed_kpa", "working_ratio", "least_mpa"})
    return Proof(
        kind=str(table["kind"]), rule=str(table["rule"]), hold=str(table["hold"]), psig=_fraction(table, "psig"),
        printed_kpa=_fraction(table, "printed_kpa"), working_ratio=_fraction(table, "working_ratio"),
        least_mpa=_fraction(table, "least_mpa"), source=_source(table),
    )  # fmt: skip


def _hold(table: Mapping[str, Any]) -> Hold:
    _keys(table, {"test", "hold_s", "reach_s_least", "reach_s_most"})
    return Hold(
        id=str(table["id"]), test=str(table["test"]), hold_s=int(table["hold_s"]), reach_s_least=table.get("reach_s_least"),
        reach_s_most=table.get("reach_s_most"), source=_source(table),
    )  # fmt: skip


def _instrument(table: Mapping[str, Any]) -> Instrument:
    _keys(table, {"percent", "percent_low", "percent_high", "months"})
    return Instrument(
        id=str(table["id"]), percent=_fraction(table, "percent"), percent_low=_fraction(table, "percent_low"),
        percent_high=_fraction(table, "percent_high"), months=table.get("months"), source=_source(table),
    )  # fmt: skip


_Made = TypeVar("_Made")


def parse_pressure_tests(text: str) -> PressureTests:
    """Read the data from TOML. Raises `Refusal` for anything that is not as declared."""
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as mistake:
        raise _refuse("this is not TOML", rule="tables and keys", got=mistake) from mistake
    wrong = set(tables) - {"limit", "test_pressure", "no_test", "proof", "hold", "instrument"}
    if wrong:
        raise _refuse("unknown kind of entry", rule="limit, test_pressure, no_test, proof, hold or instrument", got=sorted(wrong))

    def all_of(name: str, make: Callable[[Mapping[str, Any]], _Made]) -> tuple[_Made, ...]:
        return tuple(make(table) for table in tables.get(name, []))

    return PressureTests(
        limits=all_of("limit", _limit),
        test_pressures=all_of("test_pressure", _test_pressure),
        no_tests=all_of("no_test", _no_test),
        proofs=all_of("proof", _proof),
        holds=all_of("hold", _hold),
        instruments=all_of("instrument", _instrument),
    )


@cache
def pressure_tests() -> PressureTests:
    """The data that is shipped."""
    return parse_pressure_tests(files("pinseal.standards").joinpath(_FILE).read_text(encoding="utf-8"))
