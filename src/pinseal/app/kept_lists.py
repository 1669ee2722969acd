"""How each remembered answer about a shop is made from nothing, and how it is kept up with what was written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from pinseal.app.ground import Asked, Ground

if TYPE_CHECKING:
    from pinseal.records.unit import UnitState
    from pinseal.service.duelist import DueList, Withdrawal
    from pinseal.service.search import UnitIndex
    from pinseal.store import Settings, Shop
    from pinseal.store.changes import Mark


Answer = TypeVar("Answer")


def as_before_for_units(shop: Shop, old: Answer, since: Mark) -> Answer | None:
    """For an answer about instruments or people: it stands as long as only extinguishers were written about."""
    from pinseal.store.changes import are_units, touched_units

    return old if are_units(shop, touched_units(shop, since)) else None


def as_before_without(kinds: Sequence[str]) -> Callable[[Shop, Answer, Mark], Answer | None]:
    """For an answer that is made from some kinds of record: it stands as long as none of them came in."""

    def keep_up(shop: Shop, old: Answer, since: Mark) -> Answer | None:
        from pinseal.store.changes import touched_units

        return None if touched_units(shop, since, (*kinds, "corrected")) else old

    return keep_up


class KeptDues:
    """The due list of one day, of every unit."""

    def __init__(self, app: Ground, on: date, settings: Callable[[], Settings]) -> None:
        self.app, self.on, self.settings = app, on, settings
        self._present = True

    def _is_present(self, settings: Settings) -> bool:
        """Whether the units stand on that day as they stand now; a day gone by is folded from the records."""
        return self.on >= settings.today(self.app.now())

    def make(self, shop: Shop) -> DueList:
        settings = self.settings()
        self._present = self._is_present(settings)
        return self.app._shop_dues(shop, Asked(on=self.on), settings=settings)

    def keep_up(self, shop: Shop, old: DueList, since: Mark) -> DueList | None:
        """The list with the units that were touched evaluated again."""
        from pinseal.service.following import few_enough, places_by_uid, with_changes
        from pinseal.service.office import withdrawals_of
        from pinseal.store.changes import touched_units, units_now

        uids = touched_units(shop, since)
        present = self._is_present(self.settings())
        if present != self._present or not few_enough(len(uids), len(old.states)):
            return None
        seen = units_now(shop, uids)
        states = seen.states if present else self._then(shop, uids)
        known = old.kept.once(places_by_uid)
        if any(uid in known and uid not in states for uid in uids):
            return None  # what was a unit is none any more
        lists = shop.withdrawals()

        def found(some: Sequence[UnitState]) -> Mapping[int, Withdrawal]:
            return withdrawals_of(lists, seen.recalls, some, self.on)

        return with_changes(old, list(states.values()), found)

    def _then(self, shop: Shop, uids: Sequence[str]) -> dict[str, UnitState]:
        """Some units as they stood on a day gone by."""
        from pinseal.records.fold import fold_all
        from pinseal.store.door import histories

        return {uid: unit.state for uid, unit in fold_all(histories(shop, uids), self.on).items()}


def keep_index_up(shop: Shop, old: UnitIndex, since: Mark) -> UnitIndex | None:
    """The index with the words of those units looked at again that were touched."""
    from pinseal.service.following import few_enough
    from pinseal.store.changes import touched_units, units_now

    uids = touched_units(shop, since)
    if not few_enough(len(uids), len(old.states)):
        return None
    seen = units_now(shop, uids)
    gone = set(uids) - set(seen.states)
    if gone and not gone.isdisjoint(state.uid for state in old.states):
        return None
    return old.with_changes(seen.states.values(), seen.names)
