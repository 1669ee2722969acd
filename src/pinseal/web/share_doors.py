"""What sharing with an authority asks of the shop. A link shows one record, or one unit's records of one day, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from pinseal.records.fold import Unit
from pinseal.records.proof import Proof
from pinseal.records.record import Record
from pinseal.web.account import Account


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """What a link shows: the unit and its whole history (to say how a record counts today), and the proofs of what is shared.

    A name that is veiled stands veiled in `history`; `veiled` says whether a shared record has one.
    """

    unit: Unit
    history: Sequence[Record]
    proofs: Sequence[Proof]
    until: datetime
    veiled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One link that was given, without its key. `record` is a uid, or `day` a day."""

    uid: str
    name: str
    record: str | None
    day: date | None
    until: datetime
    holds: bool


class Shares(Protocol):
    """The links of a shop. Calls come from several threads at once."""

    def shared(self, key: str) -> Shared | None:
        """What a link shows; None where it opens nothing, or not any more."""
        ...

    def shares(self, unit: str) -> Sequence[Share]:
        """The links that were given for a unit, the latest first."""
        ...

    def share(self, unit: str, *, name: str, record: str | None, day: date | None, days: int, by: Account) -> str:
        """A new link: its key. Exactly one of `record` and `day` is said. Raises `Refusal` where there is nothing to show."""
        ...

    def end_share(self, unit: str, uid: str) -> None:
        """End a link of a unit."""
        ...
