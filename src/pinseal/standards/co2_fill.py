"""The dated data of carbon dioxide fills (`co2_fill.toml`), read strictly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from pinseal.kinds import CYLINDER_SPECIFICATIONS
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, fraction, shipped, source_of
from pinseal.standards.strict import Place

_FILE = "co2_fill.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class FillLimit:
    """The largest fill of some specifications from a service pressure [psi, as stamped] on: percent of the mass of the water."""

    specifications: tuple[str, ...]
    service_psi: Fraction
    percent: Fraction
    source: Source


def _limit(place: Place, table: Mapping[str, Any]) -> FillLimit:
    codes = place.codes(table, "specifications", CYLINDER_SPECIFICATIONS, what="specification")
    return FillLimit(
        specifications=codes, service_psi=fraction(place, table, "service_psi"), percent=fraction(place, table, "percent"),
        source=source_of(place, table),
    )  # fmt: skip


def parse_fill_limits(tables: Mapping[str, Any]) -> tuple[FillLimit, ...]:
    """Read the data from the tables of a TOML file. Raises `Refusal` for anything that is not as declared."""
    Place(_FILE).keys(tables, {"fill"})
    return tuple(_limit(*each) for each in entries(tables, _FILE, "fill", {"specifications", "service_psi", "percent"}))


@cache
def fill_limits() -> tuple[FillLimit, ...]:
    """The data that is shipped."""
    return parse_fill_limits(shipped(_FILE))
