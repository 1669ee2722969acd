"""The due list of a fleet on a day: rows with reasons, the most urgent first, the summary, and its JSON shape."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.records.unit import UnitState
from pinseal.rules.clocks import Basis
from pinseal.rules.columns import columns
from pinseal.rules.dues import evaluate
from pinseal.rules.result import DEFAULT_HORIZON_DAYS, NO, STATE_CODES, Evaluation
from pinseal.rules.rows import Due, PackDue, Rows
from pinseal.service.columns_kept import Kept
from pinseal.standards.model import Chosen

# Most urgent first: out of use, late, perhaps late, due, then what is ahead, then what cannot be told.
_URGENCY = {"withdraw": 0, "overdue": 1, "may be overdue": 2, "due": 3, "ahead": 4, "unknown": 5, "no row": 9}


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """A unit that a withdrawal list takes out of use, or may (`missing` names what would settle it).

    `action` is what the list says to do, `published` the day from which it holds.
    """

    title: str
    source: str
    action: str
    published: date
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueList:
    """A fleet evaluated on a day.

    `withdrawals` maps a unit's index to the list that takes it out of use, or may. `doubts` are lists that may mean a
    unit which has a retirement row from a rule already: that row stays, and names the doubt.

    `assume` holds the nameplate facts that were filled in where a unit does not say them.

    `kept` holds what was looked up of every unit already.

    `open_questions` counts what the list asks and nobody has answered; `unused_answers` names answers to nothing.
    """

    on: date
    chosen: tuple[Chosen, ...]
    states: Sequence[UnitState]
    evaluation: Evaluation
    rows: Rows
    withdrawals: Mapping[int, Withdrawal]
    doubts: Mapping[int, Withdrawal]
    assume: Mapping[str, str]
    kept: Kept = field(repr=False, compare=False)
    open_questions: int = 0
    unused_answers: tuple[str, ...] = ()

    @property
    def live(self) -> NDArray[np.bool_]:
        """Which units owe duties by the clocks: those that are in the fleet and were seen."""
        return self.kept.over(_is_live, _as_mask)

    @property
    def counted_only(self) -> list[int]:
        """The places of the units that are only counted on a list."""
        return self.kept.over(_is_counted_only, _places_of)

    def all(self) -> Iterator[Due]:
        """Every row, sorted by unit, then duty."""
        for index in range(len(self.states)):
            yield from self.of_unit(index)

    def of_unit(self, index: int) -> list[Due]:
        """The rows of one unit, by duty. A unit on a withdrawal list has its retirement row from there."""
        rows = list(self.rows.of_unit(index))
        doubt, found = self.doubts.get(index), self.withdrawals.get(index)
        if doubt:
            return [_with_doubt(row, doubt) if row.duty == "retirement" else row for row in rows]
        if found is None or not rows:
            return rows
        kept = [replace(row, withdrawn=row.withdrawn or not found.missing) for row in rows if row.duty != "retirement"]
        return sorted([*kept, _withdrawn(index, found)], key=lambda row: row.duty)

    def urgent(self, count: int) -> list[Due]:
        """The most urgent rows: by state, then by the early end of the due, then by unit. Only these are built.

        What is overdue, but may not be owed at all, stands with what may be overdue.
        """
        return self.kept.here(("urgent", count), lambda: self._urgent(count))

    def _urgent(self, count: int) -> list[Due]:
        picks = [
            (_URGENCY["unknown" if found.missing else "withdraw"], 0, index, "retirement") for index, found in self.withdrawals.items()
        ]
        live = self.live
        for duty, dues in self.evaluation.duties.items():
            order = np.array([_URGENCY[name] for name in STATE_CODES], np.int64)[dues.state]
            order = np.where(dues.perhaps & (order == _URGENCY["overdue"]), _URGENCY["may be overdue"], order)
            some = np.flatnonzero((dues.state != NO) & live)
            key = order[some] * (1 << 40) + dues.earliest[some].astype(np.int64)
            some = some[np.argsort(key, kind="stable")[:count]]
            picks += [
                (int(order[i]), int(dues.earliest[i]), int(i), duty)
                for i in some
                if not (duty == "retirement" and int(i) in self.withdrawals)
            ]
        return [_pick(self.of_unit(index), duty) for _, _, index, duty in sorted(picks)[:count]]

    @property
    def units(self) -> int:
        """How many units are in the fleet."""
        return len(self.states) - sum(self.kept.each(_is_removed))

    def late(self) -> np.ndarray[Any, np.dtype[np.bool_]]:
        """For each unit, whether a duty of it is late or perhaps late, or it must be withdrawn."""
        live = np.array([not s.removed and not s.placeholder for s in self.states], np.bool_)
        codes = [code for code, name in enumerate(STATE_CODES) if name in ("withdraw", "overdue", "may be overdue")]
        found = np.zeros(len(self.states), np.bool_)
        found[[index for index, each in self.withdrawals.items() if not each.missing]] = True
        for duty, dues in self.evaluation.duties.items():
            late = np.isin(dues.state, codes)
            if duty == "retirement":
                late[list(self.withdrawals)] = False
            found |= late
        return found & live

    def summary(self) -> dict[str, Any]:
        """Counts of units, rows, states and removed units."""
        return self.kept.here("summary", self._summary)

    def _summary(self) -> dict[str, Any]:
        states: Counter[str] = Counter()
        live = self.live
        listed = np.zeros(len(self.states), np.bool_)
        listed[list(self.withdrawals)] = True
        for duty, dues in self.evaluation.duties.items():
            shown = dues.state[live & ~listed] if duty == "retirement" else dues.state[live]
            states.update({name: int(n) for name, n in zip(STATE_CODES, np.bincount(shown, minlength=len(STATE_CODES)), strict=True)})
        states.pop("no row", None)
        for index in np.flatnonzero(live & listed):
            states["unknown" if self.withdrawals[int(index)].missing else "withdraw"] += 1
        states["unknown"] += len(self.counted_only)
        return {
            "units": self.units,
            "rows": sum(states.values()),
            "states": {name: states.get(name, 0) for name in kinds.STATES},
            "removed": len(self.states) - self.units,
        }

    def as_json(self) -> dict[str, Any]:
        """The shape of `pinseal due --json` (docs/contract.md)."""
        return {
            "on": self.on.isoformat(),
            "packs": [{"pack": c.pack.id, "edition": c.edition} for c in self.chosen],
            "rows": [row_json(due, self.states[due.index]) for due in self.all()],
            "summary": self.summary(),
        }


def due_list(
    states: Sequence[UnitState],
    chosen: Sequence[Chosen],
    on: date,
    *,
    horizon_days: int | None = None,
    basis: Basis | None = None,
    assume: Mapping[str, str] | None = None,
    withdrawals: Mapping[int, Withdrawal] | None = None,
) -> DueList:
    """Evaluate a fleet on a day; `horizon_days` None is the usual one."""
    horizon = DEFAULT_HORIZON_DAYS if horizon_days is None else horizon_days
    evaluation = evaluate(columns(states, assume), chosen, on, horizon_days=horizon, basis=basis)
    retirement = evaluation.duties.get("retirement")
    ruled = retirement.state != NO if retirement else np.zeros(len(states), np.bool_)
    listed = withdrawals or {}
    doubts = {index: found for index, found in listed.items() if found.missing and ruled[index]}
    return DueList(
        on=on,
        chosen=tuple(chosen),
        states=states,
        evaluation=evaluation,
        rows=Rows(evaluation, states),
        withdrawals={index: found for index, found in listed.items() if index not in doubts},
        doubts=doubts,
        assume=assume or {},
        kept=Kept(states),
    )


def _is_live(state: UnitState) -> bool:
    return not state.removed and not state.placeholder


def _is_removed(state: UnitState) -> bool:
    return bool(state.removed)


def _is_counted_only(state: UnitState) -> bool:
    return state.placeholder and not state.removed


def _as_mask(column: Sequence[bool]) -> NDArray[np.bool_]:
    return np.array(column, np.bool_)


def _places_of(column: Sequence[bool]) -> list[int]:
    return [place for place, said in enumerate(column) if said]


def _pick(rows: Sequence[Due], duty: str) -> Due:
    return next(row for row in rows if row.duty == duty)


def _perhaps(found: Withdrawal) -> str:
    return f"The withdrawal list “{found.title}” ({found.source}) may mean this unit. If it does: {found.action}."


def _with_doubt(row: Due, found: Withdrawal) -> Due:
    missing = (*row.missing, *(name for name in found.missing if name not in row.missing))
    return replace(row, because=(*row.because, _perhaps(found)), missing=missing)


def _withdrawn(index: int, found: Withdrawal) -> Due:
    """The retirement row of a unit on a withdrawal list; without a date where it is not sure that the unit is meant."""
    sure = not found.missing
    meant = f"On the withdrawal list “{found.title}” ({found.source}): {found.action}."
    return Due(
        index=index,
        duty="retirement",
        earliest=found.published if sure else None,
        latest=found.published if sure else None,
        not_before=None,
        state="withdraw" if sure else "unknown",
        governing=None,
        because=(meant if sure else _perhaps(found), f"In force from {PartialDate.of(found.published).for_people()}."),
        missing=found.missing,
        withdrawn=sure,
        perhaps=False,
        binds=None,
        assumed=(),
        others=(),
    )


def unit_json(state: UnitState) -> dict[str, Any]:
    """How a unit is named in a row: by uid in a shop, by sheet and row in a list."""
    if state.uid is not None:
        return {"uid": state.uid, "id": state.id, "serial": state.serial}
    return {"sheet": state.sheet, "row": state.row, "id": state.id, "serial": state.serial}


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _said(due: Due | PackDue) -> dict[str, Any]:
    return {
        "earliest": _day(due.earliest),
        "latest": _day(due.latest),
        "not_before": _day(due.not_before),
        "state": due.state,
        "governing": due.governing.as_json() if due.governing else None,
        "because": list(due.because),
        "missing": list(due.missing),
        "binds": due.binds,
    }


def row_json(due: Due, state: UnitState) -> dict[str, Any]:
    """One row in the shape of the contract."""
    return {
        "unit": unit_json(state),
        "duty": due.duty,
        **_said(due),
        "withdrawn": due.withdrawn,
        "perhaps": due.perhaps,
        "assumed": list(due.assumed),
        "others": [{"pack": other.pack, **_said(other)} for other in due.others],
    }
