"""What became of each unit on a visit: where it was found, how it was left, and what follows. Each unit falls in one place of each list.

The words of what to do are `common practice, no source`; clauses and clocks come with the deficiencies and the dues themselves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

# Kinds of record that show that somebody stood at the unit. Papers of the office (a price, a list, a correction) do not.
SEEN_KINDS = frozenset({
    "inspected", "maintained", "opened", "tested", "recharged", "hose-tested", "conductivity-tested", "agent-renewed",
    "expellant-cylinder-tested", "regulator-tested", "shell-exchanged", "condemned", "retagged", "placed-in-service", "measured",
    "found-deficient", "remedied", "part-fitted", "agent-taken-out", "marked", "taken-away", "brought-back", "left", "worked", "moved",
    "impaired", "impairment-cleared",
})  # fmt: skip
# Where a unit of the list was: every listed unit is in one of these.
WHEREABOUTS: dict[str, str] = {
    "place": "found at its place",
    "elsewhere": "found at another place",
    "gone": "moved to another site",
    "missing": "missing",
    "not-done": "could not be reached",
    "away": "away before the visit",
    "out": "out of the fleet",
    "unlooked": "not looked at",
}
FOUND = ("place", "elsewhere", "gone")
# How a unit was left. The first that holds counts, in this order.
RESULTS: dict[str, str] = {
    "missing": "missing",
    "out": "out of use",
    "gone": "moved to another site",
    "bare": "away with nothing in its place",
    "loaned": "away with a loaner in its place",
    "withdraw": "to be withdrawn",
    "open": "not in order",
    "not-done": "not done",
    "overdue": "overdue",
    "unlooked": "not looked at",
    "doubt": "uncertain",
    "ready": "ready",
}
# The shape beside the word: full, cross, half, diamond, ring, broken (docs/reports.md).
SHAPES: dict[str, str] = {
    "missing": "full", "out": "full", "gone": "diamond", "bare": "full", "loaned": "half", "withdraw": "cross", "open": "full",
    "not-done": "half", "overdue": "full", "unlooked": "broken", "doubt": "half", "ready": "ring",
}  # fmt: skip
WHAT_TO_DO: dict[str, str] = {
    "missing": "Look for it. Until it is found, hang another of equal worth in its place.",
    "out": "Hang another of equal worth in its place.",
    "gone": "See that its old place is covered.",
    "bare": "Hang another of equal worth in its place until it is back.",
    "loaned": "It comes back; the loaner goes then.",
    "withdraw": "Take it out of use and replace it.",
    "open": "Have it put right. Until then do not rely on it.",
    "not-done": "Make it reachable, and have the work done.",
    "overdue": "Have the work done.",
    "unlooked": "Nothing is on record of these days. The list of every unit says what it needs next.",
    "doubt": "Find out what is missing, and have it recorded.",
}
# How far an open deficiency is on its way where the owner has the next word (`service.books.STAGES`).
UNDECIDED = frozenset({"found", "quoted", "declined"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One unit at the end of a visit. `kinds` are the codes of the deeds done to it in these days.

    `listed`: it was on the list of the site before. `away_before`: it was away already. `at_site`: it belongs to the site at the end.
    `elsewhere`: it was found at another place of the site. `away`: empty, "loaner" or "bare". `stages`: of its open deficiencies.
    `due_states`: the states of what it owes. `settled`: another unit that was named stands in, or nobody waits for it.
    """

    kinds: frozenset[str]
    listed: bool = True
    at_site: bool = True
    elsewhere: bool = False
    looked_for: bool = False
    not_done: bool = False
    removed: bool = False
    away_before: bool = False
    away: str = ""
    stages: tuple[str, ...] = ()
    impaired: bool = False
    due_states: frozenset[str] = frozenset()

    @property
    def is_seen(self) -> bool:
        return bool(self.kinds & SEEN_KINDS)


def whereabouts(unit: Standing) -> str:
    """A key of `WHEREABOUTS`. Who worked on a unit has found it, whatever was said of it before; work at the bench finds nothing."""
    if unit.away_before and "brought-back" not in unit.kinds:
        return "away"
    if unit.is_seen:
        return "gone" if not (unit.at_site or unit.removed) else "elsewhere" if unit.elsewhere else "place"
    if unit.looked_for:
        return "missing"
    if unit.not_done:
        return "not-done"
    return "out" if unit.removed else "unlooked" if unit.at_site else "gone"


def result(unit: Standing) -> str:
    """A key of `RESULTS`: the first that holds.

    >>> result(Standing(kinds=frozenset({"inspected"}))), result(Standing(kinds=frozenset(), looked_for=True))
    ('ready', 'missing')
    """
    where = whereabouts(unit)
    states = unit.due_states
    holds = {
        "missing": where == "missing",
        "out": unit.removed,
        "gone": where == "gone",
        "bare": unit.away == "bare",
        "loaned": unit.away == "loaner",
        "withdraw": "withdraw" in states,
        "open": bool(unit.stages) or unit.impaired,
        "not-done": unit.not_done and not unit.is_seen,
        "overdue": "overdue" in states,
        "unlooked": unit.listed and where == "unlooked",
        "doubt": bool(states & {"may be overdue", "unknown"}),
        "ready": True,
    }
    return next(code for code in RESULTS if holds[code])


def needs_decision(unit: Standing) -> bool:
    """Whether the owner has the next word: a price without a yes, a unit that is gone with nothing named for its place."""
    return bool(UNDECIDED & set(unit.stages)) or result(unit) in ("missing", "out", "bare", "withdraw")


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """The sums of a visit. `where` counts the listed units, `results` the listed and the added ones."""

    listed: int
    added: int
    where: Mapping[str, int]
    results: Mapping[str, int]
    decisions: int

    @property
    def found(self) -> int:
        return sum(self.where[code] for code in FOUND)

    def as_json(self) -> dict[str, object]:
        return {
            "listed": self.listed,
            "found": self.found,
            "added": self.added,
            "where": dict(self.where),
            "results": dict(self.results),
            "decisions": self.decisions,
        }


def count(units: Iterable[Standing]) -> Counts:
    """The sums. Listed is the sum of `where`; listed and added together are the sum of `results`."""
    some = list(units)
    where = Counter(whereabouts(each) for each in some if each.listed)
    results = Counter(result(each) for each in some)
    return Counts(
        listed=sum(where.values()),
        added=sum(1 for each in some if not each.listed),
        where={code: where[code] for code in WHEREABOUTS},
        results={code: results[code] for code in RESULTS},
        decisions=sum(1 for each in some if needs_decision(each)),
    )
