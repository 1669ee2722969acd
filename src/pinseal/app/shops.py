"""Shops: making them, recording, histories, audits, and keeping them safe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.app.ground import Asked, Ground

if TYPE_CHECKING:
    from pinseal.dates import PartialDate
    from pinseal.records.fold import Unit
    from pinseal.records.record import Record
    from pinseal.records.unit import UnitState
    from pinseal.records.withdrawals import Withdrawal as ListEntry
    from pinseal.rules.audit import Finding
    from pinseal.store import Backup, Settings, Shop, Verification


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One due of a unit before and after a record."""

    duty: str
    before: str
    after: str

    def as_json(self) -> dict[str, str]:
        return {"duty": self.duty, "before": self.before, "after": self.after}


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """A record that was made, its unit, the dues that it moved, and what is odd about it."""

    record: Record
    unit: UnitState
    moved: tuple[Moved, ...]
    odd: tuple[str, ...]
    no_packs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """One unit with its records."""

    unit: Unit
    records: Sequence[Record]

    def as_json(self) -> dict[str, Any]:
        from pinseal.service.duelist import unit_json

        return {
            "unit": unit_json(self.unit.state),
            "records": [r.as_json() for r in self.records],
            "marks": [{"record": m.record, "text": m.text} for m in self.unit.marks],
        }


class Shops(Ground):
    """What is done with a shop's record."""

    def init(self, path: Path, changes: Mapping[str, Any], *, person: str | None) -> dict[str, Any]:
        from pinseal.store import Settings, Shop

        with Shop.create(path, self._changed(Settings(), changes), person=self._person(person), now=self.now()) as shop:
            return dict(shop.settings().as_json())

    def settings(self, path: Path, changes: Mapping[str, Any], *, person: str | None) -> dict[str, Any]:
        said = {name: value for name, value in changes.items() if value is not None and value != ()}
        with self._open(path, readonly=not said) as shop:
            if said:
                shop.change_settings(self._changed(shop.settings(), said), person=self._person(person), received=self.now())
            return dict(shop.settings().as_json())

    def _changed(self, settings: Settings, changes: Mapping[str, Any]) -> Settings:
        """Settings with what was said on the command line; packs are checked before they are kept."""
        from pinseal.money import check_currency
        from pinseal.rules.columns import parse_assumptions
        from pinseal.standards import choose_packs

        said = {name: value for name, value in changes.items() if value is not None and value != ()}
        if "packs" in said:
            names = [name.strip() for name in said["packs"].split(",") if name.strip()]
            choose_packs(names)
            said["packs"] = tuple(names)
        if "currency" in said:
            said["currency"] = check_currency(said["currency"]) if said["currency"].strip() else None
        if "assume" in said:
            said["assume"] = {name.replace("_", "-"): code for name, code in parse_assumptions(said["assume"]).items()}
        if "firm" in said:
            said["firm"] = changed_table(settings.firm, said["firm"])
        if "marks" in said:
            from pinseal.standards.marks import form_named

            said["marks"] = changed_table(settings.marks, said["marks"])
            for form in said["marks"].values():
                form_named(form)
        if "sites" in said:
            said["sites"] = changed_table(settings.sites, said["sites"])
        return replace(settings, **said)

    def record(
        self,
        path: Path,
        *,
        kind: str,
        unit: str,
        done: PartialDate | None,
        fields: Mapping[str, str],
        uid: str | None,
        writer: str,
        person: str | None,
    ) -> Recorded:
        """Record one thing, and tell which dues of the unit it moved. Raises `Refusal`."""
        from pinseal.dates import PartialDate
        from pinseal.service.office import Writer, record

        with self._open(path) as shop:
            settings = shop.settings()
            day = done or PartialDate.of(settings.today(self.now()))
            before = shop.find(unit)
            who = Writer(device=writer, person=self._person(person), now=self.now(), new_uid=self._new_uid)
            made = record(shop, who, kind=kind, unit=unit, done=day, fields=fields, uid=uid)
            after = shop.find(made.unit)[0]
            moved = self._moved(shop, before[:1], after) if settings.packs else ()
            whole = shop.unit(made.unit)
            odd = tuple(mark.text for mark in whole.marks if mark.record == made.uid) if whole else ()
            return Recorded(record=made, unit=after, moved=moved, odd=odd, no_packs=not settings.packs)

    def _moved(self, shop: Shop, before: Sequence[UnitState], after: UnitState) -> tuple[Moved, ...]:
        was = self._words(shop, before[0]) if before else {}
        now = self._words(shop, after)
        changed = [d for d in dict.fromkeys((*was, *now)) if was.get(d) != now.get(d)]
        return tuple(Moved(duty=d, before=was.get(d, "not owed"), after=now.get(d, "not owed")) for d in changed)

    def _words(self, shop: Shop, state: UnitState) -> dict[str, str]:
        from pinseal.dates import span_for_people

        found = self._shop_dues(shop, Asked(), only=[state])
        return {
            row.duty: f"{span_for_people(row.earliest, row.latest)}, {row.state}" if row.earliest and row.latest else row.state
            for row in found.of_unit(0)
        }

    def history(self, path: Path, unit: str) -> History:
        from pinseal.service.office import find_one

        with self._open(path, readonly=True) as shop:
            uid = find_one(shop.find(unit), unit, where="in this shop").uid or ""
            found = shop.unit(uid)
            assert found is not None, "a unit that was found has records"
            veils = shop.veils()  # an erased person's name is shown as something else
            return History(unit=found, records=[veils.over_record(record) for record in shop.records(uid)])

    def withdrawals(self, path: Path, file: str | None, *, person: str | None) -> tuple[ListEntry, ...]:
        """Keep a withdrawal list, and give all that are kept. Raises `Refusal`."""
        with self._open(path, readonly=file is None) as shop:
            if file is not None:
                shop.add_withdrawals(_text_of(file), name=Path(file).name, person=self._person(person), received=self.now())
            return shop.withdrawals()

    def audit(self, path: Path, *, unit: str | None, packs: Sequence[str] | None, on: date | None) -> list[Finding]:
        """Judge every deed on record, or those of one unit, up to a day. Raises `Refusal`."""
        from pinseal.rules.audit import audit
        from pinseal.rules.clocks import Basis
        from pinseal.service.office import by_unit, deeds_of, find_one

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            uid = find_one(shop.find(unit), unit, where="in this shop").uid if unit else None
            histories = by_unit(shop.records(uid))
            chosen = self._chosen(settings, packs)
        until = on or settings.today(self.now())
        deeds = [deed for deed in deeds_of(histories) if deed.done.earliest <= until]
        return list(audit(deeds, chosen, basis=Basis(settings.maintenance_basis)))

    def verify(self, path: Path) -> Verification:
        with self._open(path, readonly=True) as shop:
            return shop.verify()

    def backup(self, path: Path, dest: Path) -> Backup:
        with self._open(path, readonly=True) as shop:
            return shop.backup(dest)

    def restore(self, source: Path, dest: Path) -> Backup:
        from pinseal.store import Shop

        return Shop.restore(source, dest)

    def export(self, path: Path, folder: Path) -> dict[str, int]:
        from pinseal.app.exporting import export_shop

        with self._open(path, readonly=True) as shop:
            return export_shop(shop, folder)


def changed_table(kept: Mapping[str, str], said: Sequence[str] | Mapping[str, str]) -> dict[str, str]:
    """A table of settings with changes: NAME=TEXT sets, NAME= takes away; or names and texts, an empty one away. Raises `Refusal`."""
    from pinseal.reasons import Refusal

    found = dict(kept)
    if isinstance(said, Mapping):
        return {name: text for name, text in {**found, **said}.items() if text}
    for word in said:
        name, equals, text = word.partition("=")
        if not equals or not name.strip():
            raise Refusal(what="this is no change", rule="a change is NAME=TEXT", got=word, do="write it as in name=Quay Works")
        found.pop(name.strip(), None)
        if text.strip():
            found[name.strip()] = text.strip()
    return found


def _text_of(file: str) -> str:
    """A withdrawal list as text. Raises `Refusal`."""
    from pinseal.reasons import Refusal

    try:
        return Path(file).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise Refusal(
            what="the list of withdrawn units cannot be read",
            rule="a withdrawal list is a TOML file in UTF-8",
            got=f"{file}: {error.strerror if isinstance(error, OSError) else 'bytes that are no text'}",
            do="check the name of the file, or save it again as text",
        ) from error
