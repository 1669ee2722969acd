"""The answer of an evaluation: what each pack says, what governs, and the state, in columns."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinseal.rules.clocks import Basis
from pinseal.rules.columns import Fleet, Profiles
from pinseal.rules.matching import Plans, Voice
from pinseal.rules.tables import Days

NO_ROW = np.int32(-2)
DEFAULT_HORIZON_DAYS = 30

STATE_CODES = ("no row", "unknown", "ahead", "due", "may be overdue", "overdue", "withdraw")
NO, UNKNOWN, AHEAD, DUE, MAY_BE_OVERDUE, OVERDUE, WITHDRAW = range(7)


@dataclass(slots=True)
class VoiceDues:
    """What one voice says of one duty, unit by unit. `NO_ROW`: nothing; `FAR`: owed, but no date."""

    earliest: Days
    latest: Days
    not_before: Days | None = None


@dataclass(slots=True)
class DutyDues:
    """One duty of every unit: the ends of its due, the voice that governs (-1: none), the state code.

    `perhaps` marks a due that may not be owed at all: every pack that gives its date hangs on a nameplate fact that is not said.
    """

    earliest: Days
    latest: Days
    governing: NDArray[np.int8]
    state: NDArray[np.int8]
    perhaps: NDArray[np.bool_]


@dataclass(slots=True, kw_only=True)
class Evaluation:
    """A fleet evaluated on a day. `plans[voice][duty][profile]` tells what each voice reads into each nameplate."""

    on: date
    known_until: date
    horizon_days: int
    basis: Basis
    fleet: Fleet
    voices: tuple[Voice, ...]
    profiles: Profiles
    plans: list[dict[str, Plans]]
    spoken: dict[tuple[int, str], VoiceDues] = field(default_factory=dict)
    duties: dict[str, DutyDues] = field(default_factory=dict)

    @property
    def withdrawn(self) -> NDArray[np.bool_]:
        """Units that may not be in use."""
        retirement = self.duties.get("retirement")
        return retirement.state == WITHDRAW if retirement else np.zeros(self.fleet.size, np.bool_)
