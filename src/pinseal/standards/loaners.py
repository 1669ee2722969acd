"""The dated data about loaners (`loaners.toml`), read strictly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from pinseal.standards.load import held_packs
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, fraction, shipped, source_of
from pinseal.standards.strict import Place

_FILE = "loaners.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanRule:
    """What a document asks of a loaner, in our words."""

    id: str
    words: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class BackWithin:
    """How many calendar days the owner's own unit may be away, under a pack."""

    pack: str
    days: int
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanData:
    rules: Mapping[str, LoanRule]
    back: tuple[BackWithin, ...]


def _days(place: Place, table: Mapping[str, Any]) -> int:
    days = fraction(place, table, "days")
    if days.denominator != 1:
        raise place.refuse("these are no whole days", rule="days are counted whole", got=table["days"], do='write days = "60"')
    return int(days)


def parse_loan_data(tables: Mapping[str, Any]) -> LoanData:
    """Read the data from the tables of a TOML file. Raises `Refusal` for anything that is not as declared."""
    Place(_FILE).keys(tables, {"rule", "back"})
    rules = [
        LoanRule(id=table["id"], words=place.text(table, "words"), source=source_of(place, table))
        for place, table in entries(tables, _FILE, "rule", {"words"})
    ]
    back = [
        BackWithin(
            pack=place.code(table.get("pack"), held_packs(), what="rule pack"),
            days=_days(place, table),
            source=source_of(place, table),
        )
        for place, table in entries(tables, _FILE, "back", {"pack", "days"})
    ]
    return LoanData(rules={rule.id: rule for rule in rules}, back=tuple(back))


@cache
def loan_data() -> LoanData:
    """The data that is shipped."""
    return parse_loan_data(shipped(_FILE))
