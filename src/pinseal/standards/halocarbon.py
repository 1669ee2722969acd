"""What is asked of whoever handles halogenated agents (`halocarbon.toml`), read strictly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from pinseal.kinds import AGENT_GROUPS
from pinseal.reasons import Refusal
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, shipped, source_of
from pinseal.standards.strict import Place

_FILE = "halocarbon.toml"
# Every agent whose mass is accounted for by the year.
ACCOUNTED: tuple[str, ...] = (*AGENT_GROUPS["all-halon"], *AGENT_GROUPS["all-halocarbon"])


@dataclass(frozen=True, slots=True, kw_only=True)
class HalocarbonRule:
    """One rule. `due` is a month and a day of the next year, where the rule names one."""

    id: str
    agents: tuple[str, ...]
    words: str
    due: tuple[int, int] | None
    source: Source

    def holds_for(self, agent: str, on: date) -> bool:
        return agent in self.agents and self.source.holds_on(on)

    def due_after(self, year: int) -> date | None:
        """The day of the year after on which it is due; None where it names none."""
        return date(year + 1, *self.due) if self.due else None


def _due(place: Place, table: Mapping[str, Any]) -> tuple[int, int] | None:
    if "due_month" not in table and "due_day" not in table:
        return None
    try:
        day = date(2001, table["due_month"], table["due_day"])
    except (KeyError, ValueError, TypeError) as wrong:
        raise place.refuse(
            "this is no day of a year", rule="due_month and due_day, a day of every year", got=str(table), do="correct it"
        ) from wrong
    return day.month, day.day


def parse_halocarbon(tables: Mapping[str, Any]) -> Mapping[str, HalocarbonRule]:
    """The rules by their id. Raises `Refusal` for anything that is not as declared."""
    Place(_FILE).keys(tables, {"rule"})
    found = {}
    for place, table in entries(tables, _FILE, "rule", {"agents", "words", "due_month", "due_day"}):
        agents = place.codes(table, "agents", ACCOUNTED, what="agent")
        found[table["id"]] = HalocarbonRule(
            id=table["id"], agents=agents, words=place.text(table, "words"), due=_due(place, table), source=source_of(place, table)
        )
    if not found:
        raise Refusal(what="no rule is held", rule=f"{_FILE} holds what is asked", got="", do="restore the file")
    return found


@cache
def halocarbon_rules() -> Mapping[str, HalocarbonRule]:
    """The rules that are shipped."""
    return parse_halocarbon(shipped(_FILE))
