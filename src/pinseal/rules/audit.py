"""The audit of the years gone by: for each deed on record, what was due just before it, and how late it came."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from pinseal.dates import PartialDate
from pinseal.reasons import Citation
from pinseal.records.unit import UnitState
from pinseal.rules.clocks import Basis
from pinseal.rules.columns import columns
from pinseal.rules.dues import evaluate
from pinseal.rules.result import NO
from pinseal.rules.rows import Due, Rows
from pinseal.standards.model import Chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """A duty that was done: when, by which record, and the unit as it stood just before."""

    before: UnitState
    duty: str
    done: PartialDate
    record: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """How a deed stands to its due. `late_days` are the fewest and the most days that it may have been late.

    `verdict` is `on time`, `late`, `may be late`, `too early` (before the work counts) or `unknown` (no date was due).
    """

    deed: Deed
    verdict: str
    late_days: tuple[int, int]
    earliest: date | None
    latest: date | None
    governing: Citation | None
    because: tuple[str, ...]


def _rulebook(chosen: Sequence[Chosen], on: date) -> tuple[str, ...]:
    return tuple(f"{c.pack.id}/{p.id}" for c in chosen for p in c.provisions if p.in_force(on))


def _judge(deed: Deed, due: Due | None) -> Finding:
    verdict, late = "unknown", (0, 0)
    if due and due.earliest and due.latest:
        late = (max(0, (deed.done.earliest - due.latest).days), max(0, (deed.done.latest - due.earliest).days))
        early = due.not_before is not None and deed.done.latest < due.not_before
        verdict = "late" if late[0] else "may be late" if late[1] else "too early" if early else "on time"
    return Finding(
        deed=deed,
        verdict=verdict,
        late_days=late,
        earliest=due.earliest if due else None,
        latest=due.latest if due else None,
        governing=due.governing if due else None,
        because=due.because if due else (),
    )


def audit(deeds: Sequence[Deed], chosen: Sequence[Chosen], *, basis: Basis | None = None) -> Iterator[Finding]:
    """Judge every deed by the provisions that were in force when it was done, in the order given."""
    groups: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for place, deed in enumerate(deeds):
        groups[_rulebook(chosen, deed.done.latest)].append(place)
    found: dict[int, Finding] = {}
    for places in groups.values():
        states = [deeds[p].before for p in places]
        evaluation = evaluate(columns(states), chosen, max(deeds[p].done.latest for p in places), basis=basis)
        rows = Rows(evaluation, states)
        for index, place in enumerate(places):
            duty = deeds[place].duty
            owed = duty in evaluation.duties and evaluation.duties[duty].state[index] != NO
            found[place] = _judge(deeds[place], rows.row(index, duty) if owed else None)
    yield from (found[place] for place in range(len(deeds)))
