"""How each unit stands: its worst state and its first due day, over the columns, so that no row is built for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from pinseal.dates import from_day_number
from pinseal.rules.result import NO, STATE_CODES
from pinseal.rules.tables import FAR
from pinseal.service.duelist import DueList
from pinseal.web.date_words import day_date

NOTHING = ""
# A due day that is unknown does not hide an overdue one; ahead is better than unknown, so that "unknown" is seen.
_WORST = ("withdraw", "overdue", "may be overdue", "due", "unknown", "ahead")


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """For each unit of a due list: the place of its worst state in `_WORST` (its length for none), and its first due day number."""

    worst: np.ndarray
    first: np.ndarray

    def state(self, index: int) -> str:
        """The worst state of a unit; empty where it owes nothing."""
        place = int(self.worst[index])
        return _WORST[place] if place < len(_WORST) else NOTHING

    def day(self, index: int) -> date | None:
        """Its first due day; None where there is none."""
        number = int(self.first[index])
        return None if number >= int(FAR) else from_day_number(number)

    def by(self, index: int) -> str:
        """Its first due day in words; empty where there is none."""
        found = self.day(index)
        return day_date(found) if found else ""

    def count(self, rows: np.ndarray, state: str) -> int:
        """How many of some units stand worst in a state."""
        return int((self.worst[rows] == _WORST.index(state)).sum())


def standing(dues: DueList) -> Standing:
    """The worst state and the first day of each unit. Removed units owe nothing; what is only counted is unknown."""
    return dues.kept.here("standing", lambda: _standing(dues))


def _standing(dues: DueList) -> Standing:
    size = len(dues.states)
    worst, first = np.full(size, len(_WORST)), np.full(size, int(FAR))
    places = np.array([_WORST.index(name) if name in _WORST else len(_WORST) for name in STATE_CODES])
    live = dues.live
    for columns in dues.evaluation.duties.values():
        rows = np.flatnonzero((columns.state != NO) & live)
        worst[rows] = np.minimum(worst[rows], places[columns.state[rows]])
        days = np.where(columns.earliest[rows] >= 0, columns.earliest[rows], int(FAR))
        first[rows] = np.minimum(first[rows], days)
    for index, found in dues.withdrawals.items():
        if live[index] and not found.missing:
            worst[index] = 0
    worst[dues.counted_only] = _WORST.index("unknown")
    return Standing(worst=worst, first=first)
