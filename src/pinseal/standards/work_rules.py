"""What a document asks of the work itself, beside its clocks, read strictly from `work_rules.toml`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, shipped, source_of

_FILE = "work_rules.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRule:
    """One rule of a pack about the work, in words, with its source."""

    id: str
    pack: str
    words: str
    source: Source


@cache
def _emptying() -> tuple[WorkRule, ...]:
    return tuple(
        WorkRule(
            id=place.text(table, "id"), pack=place.text(table, "pack"), words=place.text(table, "words"), source=source_of(place, table)
        )
        for place, table in entries(shipped(_FILE), _FILE, "yearly-emptying", {"pack", "words"})
    )


def yearly_emptying(packs: Iterable[str]) -> WorkRule | None:
    """The rule of a chosen pack that asks for emptying at each yearly maintenance, or None."""
    chosen = {name.partition("@")[0] for name in packs}
    return next((rule for rule in _emptying() if rule.pack in chosen), None)
