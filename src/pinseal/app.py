"""The only wiring place: the clock on the wall, the store, the reader of lists, the pages, the command line."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from pinseal.dates import PartialDate
    from pinseal.intake.register import Register
    from pinseal.records.fold import Unit
    from pinseal.records.record import Record
    from pinseal.records.unit import UnitState
    from pinseal.records.withdrawals import Withdrawal as ListEntry
    from pinseal.rules.audit import Finding
    from pinseal.rules.forecast import Job
    from pinseal.service.duelist import DueList
    from pinseal.service.taking_in import ImportPlan, TakenIn
    from pinseal.standards.model import Chosen
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
    """A record that was made, its unit, and the dues that it moved."""

    record: Record
    unit: UnitState
    moved: tuple[Moved, ...]
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


class App:
    """What the commands and pages get: each method loads what it needs when it is called."""

    # -- time, and where things come from

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

    def _open(self, path: Path, *, readonly: bool = False) -> Shop:
        from pinseal.store import Shop

        return Shop.open(path, readonly=readonly)

    def _is_shop(self, path: Path) -> bool:
        from pinseal.store.sqlite import looks_like_a_shop

        return path.is_file() and looks_like_a_shop(path)

    # -- lists

    def read(
        self, file: str | Path, *, answers_file: str | None = None, answers: Sequence[str] = (), date_order: str | None = None
    ) -> Register:
        """Read a list, with the answers of a file and of the command line. Raises `Refusal`."""
        from pinseal.intake import read_register

        return read_register(Path(file), self._answers(answers_file, answers), date_order)

    def _answers(self, file: str | None, words: Sequence[str]) -> dict[str, str]:
        from pinseal.intake import load_answers
        from pinseal.reasons import Refusal

        found = dict(load_answers(file)) if file else {}
        for word in words:
            name, equals, reading = word.partition("=")
            if not equals:
                raise Refusal(what="this is no answer", rule="an answer is ID=READING", got=word, do="copy the id from `pinseal read`")
            found[name.strip()] = reading.strip()
        return found

    def due_list(
        self,
        source: str | None,
        *,
        packs: str | None = None,
        on: date | None = None,
        horizon_days: int | None = None,
        assume: str | None = None,
        basis: str | None = None,
        answers_file: str | None = None,
        answers: Sequence[str] = (),
    ) -> DueList:
        """The dues of a list or of a shop on a day. Raises `Refusal`."""
        from pinseal.reasons import Refusal
        from pinseal.rules.columns import parse_assumptions

        if not source:
            raise Refusal(what="nothing to look at", rule="dues are of a list or a shop", got="nothing", do="name a file, or set PINSEAL_SHOP")
        asked = {"on": on, "horizon_days": horizon_days, "basis": basis, "assume": parse_assumptions(assume) if assume is not None else None}
        names = None if packs is None else packs.split(",")
        if self._is_shop(Path(source)):
            with self._open(Path(source), readonly=True) as shop:
                return self._shop_dues(shop, names, **asked)
        return self._list_dues(source, names or [], self._answers(answers_file, answers), **asked)

    def _list_dues(
        self,
        source: str,
        packs: Sequence[str],
        answers: Mapping[str, str],
        *,
        on: date | None,
        horizon_days: int | None,
        basis: str | None,
        assume: dict[str, str] | None,
    ) -> DueList:
        from pinseal.intake import read_register
        from pinseal.rules.clocks import Basis
        from pinseal.rules.result import DEFAULT_HORIZON_DAYS
        from pinseal.service.duelist import due_list
        from pinseal.service.listed import states_of
        from pinseal.standards import choose_packs

        chosen = choose_packs(packs)
        register = read_register(Path(source), answers, None)
        return due_list(
            states_of(register.units, register.problems),
            chosen,
            on or self.today(),
            horizon_days=DEFAULT_HORIZON_DAYS if horizon_days is None else horizon_days,
            basis=Basis(basis or "anniversary"),
            assume=assume,
        )

    def _shop_dues(
        self,
        shop: Shop,
        packs: Sequence[str] | None = None,
        *,
        on: date | None = None,
        horizon_days: int | None = None,
        basis: str | None = None,
        assume: dict[str, str] | None = None,
        only: Sequence[UnitState] | None = None,
    ) -> DueList:
        from pinseal.rules.clocks import Basis
        from pinseal.rules.result import DEFAULT_HORIZON_DAYS
        from pinseal.service.duelist import due_list
        from pinseal.service.office import states_on, withdrawals_of

        settings = shop.settings()
        today = settings.today(self.now())
        day = on or today
        states = list(only) if only is not None else states_on(shop, day, today)
        own = {name.replace("-", "_"): code for name, code in settings.assume.items()}
        return due_list(
            states,
            self._chosen(settings, packs),
            day,
            horizon_days=DEFAULT_HORIZON_DAYS if horizon_days is None else horizon_days,
            basis=Basis(basis or settings.maintenance_basis),
            assume=own if assume is None else assume,
            withdrawals=withdrawals_of(shop.withdrawals(), shop.recalls(), states, day),
        )

    def _chosen(self, settings: Settings, packs: Sequence[str] | None) -> tuple[Chosen, ...]:
        from pinseal.standards import choose_packs

        return choose_packs(settings.packs if packs is None else packs)

    def find_in(self, states: Sequence[UnitState], text: str) -> int:
        """The place of the one unit that a text means. Raises `Refusal`."""
        from pinseal.service.office import among, find_one

        places = among(states, text)
        live = [p for p in places if not states[p].removed] or places
        return live[[states[p] for p in live].index(find_one([states[p] for p in live], text, where="here"))]

    def forecast(self, found: DueList, *, years: int, inspections: bool, unit: str | None) -> list[Job]:
        """The jobs of the coming years, sorted by day. Removed units and placeholders have none. Raises `Refusal`."""
        from pinseal.rules.columns import columns
        from pinseal.rules.forecast import FORECAST_DUTIES, forecast

        places = [self.find_in(found.states, unit)] if unit else range(len(found.states))
        live = [p for p in places if not found.states[p].removed and not found.states[p].placeholder]
        fleet = columns([found.states[p] for p in live], found.assume)
        duties = (*FORECAST_DUTIES, "inspection") if inspections else FORECAST_DUTIES
        jobs = forecast(fleet, found.chosen, found.on, years=years, basis=found.evaluation.basis, duties=duties)
        return sorted((replace(job, index=live[job.index]) for job in jobs), key=lambda job: (job.on, job.index, job.duty))

    # -- shops

    def init(self, path: Path, changes: Mapping[str, Any], *, person: str | None) -> dict[str, Any]:
        from pinseal.store import Settings, Shop

        with Shop.create(path, self._changed(Settings(), changes), person=self._person(person), now=self.now()) as shop:
            return dict(shop.settings().as_json())

    def settings(self, path: Path, changes: Mapping[str, Any], *, person: str | None) -> dict[str, Any]:
        said = {name: value for name, value in changes.items() if value is not None}
        with self._open(path, readonly=not said) as shop:
            if said:
                shop.change_settings(self._changed(shop.settings(), said), person=self._person(person), received=self.now())
            return dict(shop.settings().as_json())

    def _changed(self, settings: Settings, changes: Mapping[str, Any]) -> Settings:
        """Settings with what was said on the command line; packs are checked before they are kept."""
        from pinseal.rules.columns import parse_assumptions
        from pinseal.standards import choose_packs

        said = {name: value for name, value in changes.items() if value is not None}
        if "packs" in said:
            names = [name.strip() for name in said["packs"].split(",") if name.strip()]
            choose_packs(names)
            said["packs"] = tuple(names)
        if "assume" in said:
            said["assume"] = {name.replace("_", "-"): code for name, code in parse_assumptions(said["assume"]).items()}
        return replace(settings, **said)

    def _person(self, person: str | None) -> str:
        return person or os.environ.get("PINSEAL_PERSON") or "not said"

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
            return Recorded(record=made, unit=after, moved=moved, no_packs=not settings.packs)

    def _moved(self, shop: Shop, before: Sequence[UnitState], after: UnitState) -> tuple[Moved, ...]:
        was = self._words(shop, before[0]) if before else {}
        now = self._words(shop, after)
        changed = [d for d in dict.fromkeys((*was, *now)) if was.get(d) != now.get(d)]
        return tuple(Moved(duty=d, before=was.get(d, "not owed"), after=now.get(d, "not owed")) for d in changed)

    def _words(self, shop: Shop, state: UnitState) -> dict[str, str]:
        from pinseal.dates import span_for_people

        found = self._shop_dues(shop, only=[state])
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
            return History(unit=found, records=shop.records(uid))

    def withdrawals(self, path: Path, file: str | None, *, person: str | None) -> tuple[ListEntry, ...]:
        """Keep a withdrawal list, and give all that are kept. Raises `Refusal`."""
        with self._open(path, readonly=file is None) as shop:
            if file is not None:
                text = Path(file).read_text(encoding="utf-8")
                shop.add_withdrawals(text, name=Path(file).name, person=self._person(person), received=self.now())
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

    # -- keeping

    def verify(self, path: Path) -> Verification:
        with self._open(path, readonly=True) as shop:
            return shop.verify()

    def backup(self, path: Path, dest: Path) -> Backup:
        with self._open(path, readonly=True) as shop:
            return shop.backup(dest)

    def restore(self, source: Path, dest: Path) -> Backup:
        from pinseal.store import Shop

        return Shop.restore(source, dest)


def main() -> None:
    """The command `pinseal`."""
    from pinseal.cli.command import run

    sys.exit(run(App()))


_ = hashlib
