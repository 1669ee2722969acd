"""The registers of a shop: its instruments, its people, and which readings an instrument puts in doubt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.ground import Ground
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.records.registers import Instrument, Person
    from pinseal.service.office import Writer
    from pinseal.service.registry import Doubted, ListedInstrument, ListedPerson, Signed
    from pinseal.service.supplies import Held
    from pinseal.store import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class ListOfInstruments:
    """The instruments on a day, by the shop's own packs."""

    on: date
    packs: tuple[str, ...]
    listed: tuple[ListedInstrument, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListOfPeople:
    """The people on a day, by the shop's own packs."""

    on: date
    packs: tuple[str, ...]
    listed: tuple[ListedPerson, ...]


class Registers(Ground):
    """What is done with the registers. Every answer is by the shop's own packs and its own day."""

    def instruments(self, path: Path, *, on: date | None) -> ListOfInstruments:
        from pinseal.service.registry import listed_instrument

        with self._open(path, readonly=True) as shop:
            day, packs = self._day_and_packs(shop, on)
            listed = tuple(listed_instrument(each, on=day, packs=packs) for each in shop.instruments())
        return ListOfInstruments(on=day, packs=packs, listed=listed)

    def add_instrument(self, path: Path, fields: Mapping[str, str], signed: Signed) -> ListedInstrument:
        from pinseal.service import registry

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return self._instrument(shop, registry.add_instrument(shop, who, done=done, fields=fields))

    def check_instrument(self, path: Path, name: str, fields: Mapping[str, str], signed: Signed) -> ListedInstrument:
        from pinseal.service import registry

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return self._instrument(shop, registry.check_instrument(shop, who, name, done=done, fields=fields))

    def withdraw_instrument(self, path: Path, name: str, fields: Mapping[str, str], signed: Signed) -> ListedInstrument:
        from pinseal.service import registry

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return self._instrument(shop, registry.withdraw_instrument(shop, who, name, done=done, fields=fields))

    def people(self, path: Path, *, on: date | None) -> ListOfPeople:
        from pinseal.service.registry import listed_person

        with self._open(path, readonly=True) as shop:
            day, packs = self._day_and_packs(shop, on)
            veils = shop.veils()
            shown = [replace(each, name=veils.over(each.name)) for each in shop.people()]
            listed = tuple(listed_person(each, on=day, packs=packs) for each in shown)
        return ListOfPeople(on=day, packs=packs, listed=listed)

    def add_person(self, path: Path, fields: Mapping[str, str], signed: Signed) -> ListedPerson:
        from pinseal.service import registry

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return self._known_person(shop, registry.add_person(shop, who, done=done, fields=fields))

    def give_paper(self, path: Path, name: str, fields: Mapping[str, str], signed: Signed) -> ListedPerson:
        from pinseal.service import registry

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return self._known_person(shop, registry.give_paper(shop, who, name, done=done, fields=fields))

    def end_paper(self, path: Path, name: str, fields: Mapping[str, str], signed: Signed) -> ListedPerson:
        from pinseal.service import registry

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return self._known_person(shop, registry.end_paper(shop, who, name, done=done, fields=fields))

    def bottles(self, path: Path) -> tuple[Held, ...]:
        """Every supply bottle with what its last reading means: those that are here by name, then those that went back."""
        from pinseal.service.supplies import held_bottle

        with self._open(path, readonly=True) as shop:
            found = sorted(shop.bottles(), key=lambda each: (each.returned is not None, each.id.casefold(), each.uid))
        return tuple(map(held_bottle, found))

    def keep_bottle(self, path: Path, deed: str, name: str, fields: Mapping[str, str], signed: Signed) -> Held:
        """Receive, read or return a supply bottle by its name or uid, and give it as it is then. Raises `Refusal`."""
        from pinseal.service import supplies

        with self._open(path) as shop:
            uid = supplies.find_bottle(shop.bottles(), name).uid if name else ""
            self._write_bottle(shop, deed, uid, fields, signed)
            bottles = shop.bottles()
        known = uid or supplies.find_bottle(bottles, fields["id"]).uid
        return supplies.held_bottle(next(each for each in bottles if each.uid == known))

    def write_bottle(self, path: Path, deed: str, uid: str, fields: Mapping[str, str], *, person: str | None, device: str) -> None:
        """Receive, read or return a supply bottle, today. Raises `Refusal`."""
        from pinseal.service.registry import Signed

        with self._open(path) as shop:
            self._write_bottle(shop, deed, uid, fields, Signed(person=person, device=device))

    def _write_bottle(self, shop: Shop, deed: str, uid: str, fields: Mapping[str, str], signed: Signed) -> None:
        from pinseal.service import supplies

        who, done = self._signing(shop, signed)
        if deed == "receive":
            supplies.receive_bottle(shop, who, done=done, fields=fields)
        elif deed == "read":
            supplies.read_bottle(shop, who, uid, done=done, fields=fields)
        else:
            supplies.return_bottle(shop, who, uid, done=done, fields=fields)

    def doubt(self, path: Path, instrument: str, *, since: date | None, until: date | None) -> Doubted:
        from pinseal.service.registry import doubt

        with self._open(path, readonly=True) as shop:
            return doubt(shop, instrument, packs=shop.settings().packs, since=since, until=until)

    def _instrument(self, shop: Shop, instrument: Instrument) -> ListedInstrument:
        from pinseal.service.registry import listed_instrument

        day, packs = self._day_and_packs(shop, None)
        return listed_instrument(instrument, on=day, packs=packs)

    def _known_person(self, shop: Shop, person: Person) -> ListedPerson:
        from pinseal.service.registry import listed_person

        day, packs = self._day_and_packs(shop, None)
        return listed_person(person, on=day, packs=packs)

    def _day_and_packs(self, shop: Shop, on: date | None) -> tuple[date, tuple[str, ...]]:
        settings = shop.settings()
        return on or settings.today(self.now()), settings.packs

    def _signing(self, shop: Shop, signed: Signed) -> tuple[Writer, date]:
        """The writer and the day of the deed. Raises `Refusal` for a day that is still to come."""
        from pinseal.service.office import Writer

        today, _ = self._day_and_packs(shop, None)
        done = signed.on or today
        if done > today:
            raise Refusal(
                what="this day is still to come",
                rule=f"what is recorded was done; today is {today.isoformat()}",
                got=done.isoformat(),
                do="check the day",
            )
        writer = Writer(device=signed.device, person=self._person(signed.person), now=self.now(), new_uid=self._new_uid)
        return writer, done
