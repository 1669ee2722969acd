"""The day that a phone takes along, made from one shop's file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.app.ground import Ground
    from pinseal.service.day import DayAsked
    from pinseal.service.workshop import Registers
    from pinseal.store import Shop
    from pinseal.store.changes import Mark
    from pinseal.web.account import Account

_HELD_MAX = 12  # days that are remembered; each is a few megabytes


class ShopDay:
    """Answers `web.door.DayBook` for one shop's file."""

    def __init__(self, app: Ground, path: Path) -> None:
        self.app, self.path = app, path
        self._lock = Lock()
        self._days: dict[tuple[date, tuple[str, ...], str], tuple[Mark, dict[str, Any]]] = {}

    def day(self, sites: Sequence[str], on: date | None, account: Account) -> dict[str, Any]:
        """What a phone takes along. The same answer again as long as nothing was written about its units. Raises `Refusal`."""
        from pinseal.records.record import instant_text
        from pinseal.store.changes import read_mark

        at = instant_text(self.app.now())  # before anything is read: what comes in from here on is not in the day
        with self.app._open(self.path, readonly=True) as shop:
            asked = self._day_asked(shop, sites, on, account)
            key = (asked.on, asked.sites, account.uid)
            mark = read_mark(shop)  # before anything else is read: the day may be newer than its mark, and never older
            with self._lock:
                held = self._days.get(key)
            if held and _stands(shop, held[1], held[0], mark):
                self._hold(key, mark, held[1])
                return held[1]
            made = {**self._made_day(shop, asked, account), "at": at, "you": {"name": account.name, "role": account.role}}
        self._hold(key, mark, made)
        return made

    def work_out(self, uids: Sequence[str]) -> None:
        """Work out what the sheets of some units hold them against. It is remembered by nameplate; the day itself is not."""
        from pinseal.service.day import DayAsked
        from pinseal.service.workshop import Registers

        with self.app._open(self.path, readonly=True) as shop:
            settings = shop.settings()
            asked = DayAsked(
                on=settings.today(self.app.now()), sites=(), packs=settings.packs, system=settings.units or "us", assume=settings.assume
            )
            self._day_of(shop, asked, uids, Registers(instruments=shop.instruments(), people=shop.people()))

    def _hold(self, key: tuple[date, tuple[str, ...], str], mark: Mark, made: dict[str, Any]) -> None:
        with self._lock:
            others = [(each, held) for each, held in self._days.items() if each != key]
            self._days = {**dict(others[1 - _HELD_MAX :]), key: (mark, made)}

    def _day_asked(self, shop: Shop, sites: Sequence[str], on: date | None, account: Account) -> DayAsked:
        from pinseal.service.day import SHEETS, DayAsked
        from pinseal.service.door import OWNER_WORKS
        from pinseal.store.door import sites_of

        settings, known = shop.settings(), [site for site in sites_of(shop) if account.may_see(site)]
        if wrong := [site for site in sites if site not in known]:
            raise Refusal(
                what="there is no such site",
                rule=f"the sites are {', '.join(known) or 'none yet'}",
                got=", ".join(wrong)[:200],
                do="choose one of the list",
            )
        return DayAsked(
            on=on or settings.today(self.app.now()),
            sites=tuple(dict.fromkeys(sites)) or tuple(known),
            packs=settings.packs,
            system=settings.units or "us",
            assume=settings.assume,
            works=OWNER_WORKS if account.reach is not None else SHEETS,
        )

    def _made_day(self, shop: Shop, asked: DayAsked, account: Account) -> dict[str, Any]:
        from pinseal.service.day import check_count
        from pinseal.service.registry import listed_instrument, listed_person
        from pinseal.service.workshop import Registers
        from pinseal.store.door import units_at

        uids = units_at(shop, asked.sites)
        check_count(len(uids))
        registers = Registers(instruments=shop.instruments(), people=shop.people())
        made = self._day_of(shop, asked, uids, registers)
        packs = made["packs"]
        if account.role == "owner":
            return {**made, "instruments": [], "people": []}
        instruments = [listed_instrument(each, on=asked.on, packs=packs).as_json() for each in registers.instruments]
        people = [listed_person(each, on=asked.on, packs=packs).as_json() for each in registers.people]
        return {
            **made,
            "instruments": [{name: each[name] for name in ("uid", "id", "what", "standing", "withdrawn")} for each in instruments],
            "people": [{name: each[name] for name in ("uid", "name", "role", "work", "mark")} for each in people],
        }

    def _day_of(self, shop: Shop, asked: DayAsked, uids: Sequence[str], registers: Registers) -> dict[str, Any]:
        from pinseal.app.ground import Asked
        from pinseal.records.fold import fold_all
        from pinseal.service.day import DayUnit, day_json
        from pinseal.store.door import histories

        records = histories(shop, uids)
        units = fold_all(records)
        dues = self.app._shop_dues(shop, Asked(on=asked.on), only=[units[uid].state for uid in uids])
        found = [DayUnit(unit=units[uid], dues=dues.of_unit(index)) for index, uid in enumerate(uids)]
        return day_json(replace(asked, packs=tuple(each.pack.id for each in dues.chosen)), found, records, registers)


def _stands(shop: Shop, made: Mapping[str, Any], before: Mark, mark: Mark) -> bool:
    """Whether a day that was made before is still right: only units that it does not hold were written about since."""
    from pinseal.store.changes import are_units, still_there, touched_units
    from pinseal.store.door import states_named

    if mark == before:
        return True
    if not mark.follows(before) or not still_there(shop, before):
        return False
    touched, held = touched_units(shop, before), {each["uid"] for each in made["units"]}
    if not held.isdisjoint(touched) or not are_units(shop, touched):
        return False
    return not any((state.site or "") in made["sites"] for state in states_named(shop, touched).values())
