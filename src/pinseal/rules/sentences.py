"""Why a due is what it is, told as a technician would say it, with the clause. Built for one unit and duty at a time."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.rules.clocks import Path
from pinseal.standards.model import ATTRIBUTE_LABELS, ATTRIBUTES, Clock, Interval, Provision, Start

FACT_HEADINGS = {
    "manufactured": "manufactured",
    "placed-in-service": "placed in service",
    "sold-and-tagged": "sold and tagged",
    "recharge": "last recharge",
    "recharge-opened": "recharge opened",
    "recharge-maybe-opened": "recharge opened",
} | {duty: f"last {label}" for duty, label in kinds.DUTIES.items()}

_CONVENTIONS = {
    "anniversary": "to the same day",
    "end-of-month": "to the last day of that month",
    "end-of-year": "to 31 December of that year",
    "days": "day by day",
}
_LABELS: dict[str, Mapping[str, str]] = {
    "agent": {code: agent.label for code, agent in kinds.AGENTS.items()},
    "expelled_by": kinds.EXPELLED_BY,
    "shell": kinds.SHELLS,
    "hose": kinds.HOSES,
    "water_capacity": kinds.WATER_CAPACITIES,
    "test_method": kinds.TEST_METHODS,
}


def attribute_words(name: str, code: str) -> str:
    """An attribute and its code in words: `shell: mild steel`."""
    return f"{ATTRIBUTE_LABELS[name]}: {_LABELS.get(name, {}).get(code, code)}"


@cache
def rule_words(provision: Provision, document: str) -> str:
    """The rule itself: title, document, clause, and a warning where the text was not read."""
    unread = "" if provision.checked == "public copy" else f" This rule is held {_held(provision.checked)}."
    return f"{provision.title} ({document} {provision.clause}).{unread}"


def _held(checked: str) -> str:
    return {
        "second-hand": "from a second-hand summary",
        "memory": "from memory, fairly sure",
        "unsure": "from memory, unsure",
        "practice": "as common practice, without a source",
    }[checked]


def _interval_words(interval: Interval, convention: str, tolerance_months: int) -> str:
    tolerance = f", {tolerance_months} month either way" if tolerance_months else ""
    return f"{interval}, {_CONVENTIONS[convention]}{tolerance}"


def _start_of(path: Path) -> Start:
    assert path.start is not None, "a first path holds its start"
    return path.start


def path_words(duty: str, clock: Clock, path: Path, how: Mapping[str, tuple[Interval, str]] | None = None) -> str:
    """What the clock was counted from, and how far. `how` overrides interval and convention by the shop's basis."""
    label = kinds.DUTIES[duty]
    if path.kind == "none":
        facts = [FACT_HEADINGS[f] for f in dict.fromkeys((*clock.after, *(s.fact for s in clock.first))) if f != "recharge-opened"]
        return f"Not known when: no date of {' or '.join(facts)} is on record."
    assert path.date is not None and path.fact is not None
    day = path.date.for_people()
    changed = (how or {}).get(path.kind)
    if path.kind == "restart":
        interval, convention = changed or (clock.interval or Interval(1, "year"), clock.convention)
        began = f"{kinds.FACTS[path.fact].capitalize()}: {day}."
        if path.fact != duty and duty in kinds.FACTS:
            began = f"{began} That restarts the clock of the {label}."
        return f"{began} Counted from there: {_interval_words(interval, convention, clock.tolerance_months)}."
    start = _start_of(path)
    interval, convention = changed or (start.interval, start.convention)
    began = f"No {label} is on record; counted from {kinds.FACTS[path.fact]}, {day}"
    if duty == "retirement":
        began = f"Counted from {kinds.FACTS[path.fact]}, {day}"
    if start.year_only_next_january and path.date.precision == "year":
        return f"{began}: only the year is shown, so by 1 January of the next year."
    return f"{began}: {_interval_words(interval, convention, clock.tolerance_months)}."


@cache
def open_words(provisions: tuple[Provision, ...], missing: tuple[str, ...], may_not_apply: bool) -> str:
    """What a nameplate fact that is not said leaves open."""
    names = [ATTRIBUTE_LABELS[m] for m in missing if m != "rechargeable"]
    if not names:
        return ""
    said = f"Not said: {', '.join(names)}."
    lengths = sorted(
        {p.clock.interval or p.clock.first[0].interval for p in provisions if p.clock and (p.clock.interval or p.clock.first)}, key=_length
    )
    if len(lengths) > 1:
        said = f"{said} So anything from {lengths[0]} to {lengths[-1]} is possible."
    if not all(p.clock for p in provisions):
        said = f"{said} For some of them the document gives no interval."
    return f"{said} It may be that this is not owed at all." if may_not_apply else said


def _length(interval: Interval) -> int:
    return interval.count * {"day": 1, "month": 30, "year": 365}[interval.unit]


def perhaps_opened_words(day: PartialDate) -> str:
    return f"The recharge of {day.for_people()} may have included the inside work; if it did, the clock runs from there."


def future_words(fact: str, day: PartialDate) -> str:
    return f"The date of {kinds.FACTS[fact]}, {day.for_people()}, lies after the day asked, so it is not counted. Check it."


def order_words(day: PartialDate, made: PartialDate, fact: str) -> str:
    began = f"The date of {kinds.FACTS[fact]}, {day.for_people()}, lies before the date of manufacture"
    return f"{began}, {made.for_people()}: one of the two is wrong."


def joined_words(duty: str, pack: str) -> str:
    return f"The {kinds.DUTIES[duty]} of the same calendar year is tied to it by {pack}: one visit does both."


def silent_words(pack: str, needs_specification: bool) -> str:
    """Why a chosen pack gives nothing for a unit."""
    if needs_specification:
        return f"{pack} says nothing here: it speaks only where a cylinder specification is given."
    return f"{pack} has no provision that fits this unit."


def missing_names(missing: tuple[str, ...]) -> tuple[str, ...]:
    """Attribute names as the plain headings say them, in the order of the nameplate."""
    return tuple(ATTRIBUTE_LABELS[name] for name in ATTRIBUTES if name in missing)
