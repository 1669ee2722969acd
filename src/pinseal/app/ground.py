"""What every desk of the app stands on: the time, opening a shop, answers, the dues of a shop."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from pinseal.records.unit import UnitState
    from pinseal.service.duelist import DueList
    from pinseal.standards.model import Chosen
    from pinseal.store import Settings, Shop

NOBODY = "not said"  # who wrote a record, where nobody was named


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How dues are asked for. None means: as the shop has it, or as usual."""

    packs: Sequence[str] | None = None
    on: date | None = None
    horizon_days: int | None = None
    basis: str | None = None
    assume: dict[str, str] | None = None


class Ground:
    """Each method loads what it needs when it is called, so that a command loads no more than it uses."""

    def now(self) -> datetime:
        return datetime.now(UTC)

    def today(self, time_zone: str | None = None) -> date:
        """Today in a time zone; in this machine's own where none is set."""
        if time_zone:
            return self.now().astimezone(ZoneInfo(time_zone)).date()
        return self.now().astimezone().date()

    def _new_uid(self) -> str:
        from pinseal.records.record import uuid7

        return uuid7(at=self.now(), randomness=os.urandom(8))

    def _new_uids(self) -> Iterator[str]:
        """Uids for many new units at once, in order."""
        from pinseal.records.record import uuid7

        now = self.now()
        for number in count():
            yield uuid7(at=now, randomness=os.urandom(8), sequence=number)

    def _open(self, path: Path, *, readonly: bool = False) -> Shop:
        from pinseal.store import Shop

        return Shop.open(path, readonly=readonly)

    def _is_shop(self, path: Path) -> bool:
        from pinseal.store.sqlite import looks_like_a_shop

        return path.is_file() and looks_like_a_shop(path)

    def _person(self, person: str | None) -> str:
        return person or os.environ.get("PINSEAL_PERSON") or NOBODY

    def _answers(self, file: str | None, words: Sequence[str]) -> dict[str, str]:
        """The answers of a file and of the command line; a word on the command line goes before the file."""
        from pinseal.intake.questions import load_answers
        from pinseal.reasons import Refusal

        found = dict(load_answers(file)) if file else {}
        for word in words:
            name, equals, reading = word.partition("=")
            if not equals:
                raise Refusal(what="this is no answer", rule="an answer is ID=READING", got=word, do="copy the id from `pinseal read`")
            found[name.strip()] = reading.strip()
        return found

    def _chosen(self, settings: Settings, packs: Sequence[str] | None) -> tuple[Chosen, ...]:
        from pinseal.standards import choose_packs

        return choose_packs(settings.packs if packs is None else packs)

    def _shop_dues(self, shop: Shop, asked: Asked, *, only: Sequence[UnitState] | None = None, settings: Settings | None = None) -> DueList:
        """The dues of a shop's units (or of `only` these), by its own settings (read already, or not) where nothing else is asked."""
        from pinseal.rules.clocks import Basis
        from pinseal.service.duelist import due_list
        from pinseal.service.office import states_on, withdrawals_of

        settings = settings or shop.settings()
        today = settings.today(self.now())
        day = asked.on or today
        states = list(only) if only is not None else states_on(shop, day, today)
        lists, recalls = shop.withdrawals_and_recalls(None if only is None else [state.uid for state in states if state.uid])
        own = {name.replace("-", "_"): code for name, code in settings.assume.items()}
        return due_list(
            states,
            self._chosen(settings, asked.packs),
            day,
            horizon_days=asked.horizon_days,
            basis=Basis(asked.basis or settings.maintenance_basis),
            assume=own if asked.assume is None else asked.assume,
            withdrawals=withdrawals_of(lists, recalls, states, day),
        )
