"""A due list kept up with what was written since: only the units that were touched are evaluated again, by the one engine.

The result is the same as a list made from nothing (a test says so after many random writes).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from pinseal.records.unit import UnitState
from pinseal.rules.rows import Rows
from pinseal.rules.splice import Places, laid_over, picked
from pinseal.service.columns_kept import Kept
from pinseal.service.duelist import DueList, Withdrawal, due_list

FindWithdrawals = Callable[[Sequence[UnitState]], Mapping[int, Withdrawal]]
_WHOLE_FROM = 4  # when more than one unit in so many has changed, the list is made from nothing


def few_enough(changed: int, units: int) -> bool:
    """Whether so many changed units are better laid over the list than the list made anew."""
    return changed * _WHOLE_FROM <= units


def with_changes(old: DueList, changed: Sequence[UnitState], withdrawals: FindWithdrawals) -> DueList:
    """The list with some units as they are now, and new ones put in by the order of the uids.

    The settings, the packs, the day and the withdrawal lists must be those that the list was made with.
    """
    if not changed:
        return old
    part = due_list(
        changed,
        old.chosen,
        old.on,
        horizon_days=old.evaluation.horizon_days,
        basis=old.evaluation.basis,
        assume=old.assume,
        withdrawals=withdrawals(changed),
    )
    order = _Order(old, changed)
    whole = picked(old.evaluation, order.before) if order.moved else old.evaluation
    evaluation = laid_over(whole, order.places, part.evaluation)
    return replace(
        old,
        states=order.states,
        evaluation=evaluation,
        rows=Rows(evaluation, order.states),
        withdrawals=_moved(old.withdrawals, part.withdrawals, order),
        doubts=_moved(old.doubts, part.doubts, order),
        kept=old.kept.with_changes(order.states, order.places.tolist(), order.before.tolist() if order.moved else None),
    )


def only_at(whole: DueList, sites: frozenset[str]) -> DueList:
    """The units of some sites alone, in the same order: the same as if these alone had been evaluated."""
    kept = [place for place, state in enumerate(whole.states) if state.site in sites]
    places, number = np.array(kept, np.intp), {place: index for index, place in enumerate(kept)}
    states = [whole.states[place] for place in kept]
    evaluation = picked(whole.evaluation, places)
    return replace(
        whole,
        states=states,
        evaluation=evaluation,
        rows=Rows(evaluation, states),
        withdrawals={number[place]: found for place, found in whole.withdrawals.items() if place in number},
        doubts={number[place]: found for place, found in whole.doubts.items() if place in number},
        kept=Kept(states),
    )


class _Order:
    """Where the units of a list stand once some have changed and some are new.

    `states` is the list afterwards, `places` says where the changed ones stand in it; where new ones `moved` the others,
    `before` gives for each place the one that its unit had (for a new one any).
    """

    def __init__(self, old: DueList, changed: Sequence[UnitState]) -> None:
        known = old.kept.once(places_by_uid)
        fresh = [each for each in changed if each.uid not in known]
        self.moved = bool(fresh)
        if not fresh:
            self.places = np.array([known[each.uid or ""] for each in changed], np.intp)
            self.states = _put(old.states, self.places.tolist(), changed)
            return
        every = [*old.states, *fresh]
        order = sorted(range(len(every)), key=lambda i: every[i].uid or "")
        self.before = np.array([min(i, len(old.states) - 1) for i in order], np.intp)
        self.number = {i: place for place, i in enumerate(order)}
        now = {every[i].uid or "": place for place, i in enumerate(order)}
        self.places = np.array([now[each.uid or ""] for each in changed], np.intp)
        self.states = _put([every[i] for i in order], self.places.tolist(), changed)

    def place(self, before: int) -> int:
        """Where the unit stands that stood at a place before."""
        return self.number[before] if self.moved else before


def _put(states: Iterable[UnitState], places: Sequence[int], changed: Sequence[UnitState]) -> list[UnitState]:
    found = list(states)
    for place, state in zip(places, changed, strict=True):
        found[place] = state
    return found


def places_by_uid(states: Sequence[UnitState]) -> dict[str, int]:
    """The place of each unit by its uid."""
    return {state.uid: place for place, state in enumerate(states) if state.uid}


def _moved(old: Mapping[int, Withdrawal], part: Mapping[int, Withdrawal], order: _Order) -> dict[int, Withdrawal]:
    """By place, in the order of the places, as a list made from nothing has them."""
    places: Places = order.places
    gone = frozenset(places.tolist())
    found = {place: each for before, each in old.items() if (place := order.place(before)) not in gone}
    found |= {int(places[index]): each for index, each in part.items()}
    return dict(sorted(found.items()))
