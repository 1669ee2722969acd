"""Job sheets of a shop: composing, working, finishing. Every answer is made anew from the record, so the shop judges, never the paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.app.ground import Asked, Ground
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.records.fold import Unit
    from pinseal.service.door import Hand
    from pinseal.service.sheet_shapes import FinishedSheet, OpenedSheet, SheetAsked
    from pinseal.sheets.closing import Closed
    from pinseal.sheets.entries import Entry
    from pinseal.sheets.job import Job, StandIn
    from pinseal.sheets.judgement import Judgement
    from pinseal.sheets.working import Working
    from pinseal.store import Shop
    from pinseal.store.sheets import KeptSheet


class Sheets(Ground):
    """What is done with job sheets."""

    def sheet(self, path: Path, asked: SheetAsked) -> OpenedSheet:
        """The sheet of a unit for a day, with nothing entered. It is not kept. Raises `Refusal`."""
        from pinseal.service.sheet_shapes import OpenedSheet
        from pinseal.sheets.taking import begin

        with self._open(path, readonly=True) as shop:
            job, unit = self._job(shop, asked)
            return OpenedSheet(uid=self._new_uid(), work=begin(job), unit=unit, others=_others(shop, job, None))

    def begin_or_resume(self, path: Path, asked: SheetAsked, *, person: str | None, writer: str) -> OpenedSheet:
        """Go on with the sheet that this person has open for the unit; else begin one and keep it."""
        from pinseal.service.office import find_one
        from pinseal.service.sheet_shapes import OpenedSheet
        from pinseal.sheets.taking import begin

        who = self._person(person)
        with self._open(path) as shop:
            uid = find_one(shop.find(asked.unit), asked.unit, where="in this shop").uid or ""
            mine = [kept for kept in shop.open_sheets(uid) if kept.person == who]
            if mine and asked.works is None:
                return self._resumed(shop, mine[-1])
            job, unit = self._job(shop, asked)
            kept = self._kept(job, asked, self._new_uid(), who, writer)
            shop.begin_sheet(kept)
            return OpenedSheet(uid=kept.uid, work=begin(job), unit=unit, others=_others(shop, job, kept.uid))

    def resume(self, path: Path, sheet_uid: str) -> OpenedSheet:
        """A kept sheet with all that was entered. Raises `Refusal`."""
        with self._open(path, readonly=True) as shop:
            return self._resumed(shop, _kept_sheet(shop, sheet_uid))

    def resume_all(self, path: Path, uids: Sequence[str]) -> dict[str, OpenedSheet]:
        """Some kept sheets by uid, as `resume` gives each; one that is not there is left out. The number of questions is that of one."""
        from pinseal.store.at_once import SheetsAtOnce

        if not uids:
            return {}
        with self._open(path, readonly=True) as shop:
            at_once = SheetsAtOnce(shop, uids)
            return {kept.uid: self._resumed(at_once, kept) for kept in at_once.wanted}

    def enter(self, path: Path, sheet: OpenedSheet, entry: Entry, *, person: str | None) -> tuple[OpenedSheet, Judgement | None]:
        """Take one entry, and keep it before the answer is given. Raises `Refusal`, and then nothing is kept or changed."""
        from dataclasses import replace

        from pinseal.sheets.taking import take

        signed = entry if entry.person else replace(entry, person=self._person(person))
        with self._open(path) as shop:
            trial = self._trial(shop, sheet, signed)
            judged = take(trial, signed)
            shop.add_entry(sheet.uid, signed.as_json(), person=signed.person or "not said", received=self.now(), expect=sheet.next_number)
        return replace(sheet, work=trial, next_number=sheet.next_number + 1), judged

    def close_sheet(self, path: Path, sheet: OpenedSheet, *, person: str | None, writer: str) -> FinishedSheet:
        """Close a kept sheet with its records, all or none. Raises `Refusal` that says what is missing."""
        from pinseal.sheets.closing import close

        closed = close(sheet.work, sheet=sheet.uid)
        with self._open(path) as shop:
            return self._close(shop, sheet, closed, person=self._person(person), writer=writer, expect=sheet.next_number)

    def finish(
        self,
        path: Path,
        asked: SheetAsked | None,
        *,
        sheet_uid: str | None,
        entries: Sequence[Entry],
        person: str | None,
        writer: str,
        dry_run: bool = False,
    ) -> FinishedSheet:
        """Run a filled sheet in one go: every entry is taken and judged before anything is written. Raises `Refusal`."""

        from pinseal.service.sheet_shapes import FinishedSheet, OpenedSheet
        from pinseal.sheets.closing import close
        from pinseal.sheets.taking import begin

        who = self._person(person)
        signed = _signed(entries, who)
        with self._open(path, readonly=dry_run) as shop:
            kept = shop.sheet(sheet_uid) if sheet_uid else None
            if kept is not None:
                _check_open(kept)
                sheet = self._resumed(shop, kept)
            else:
                assert asked is not None, "a sheet that is not kept is asked for"
                job, unit = self._job_with(shop, asked, signed)
                sheet = OpenedSheet(uid=sheet_uid or self._new_uid(), work=begin(job), unit=unit, others=_others(shop, job, sheet_uid))
            work = self._with_loaners(shop, sheet.work, signed)
            first = sheet.next_number
            _take_all(work, signed)
            closed = close(work, sheet=sheet.uid)
            if dry_run:
                return FinishedSheet(sheet=sheet, closed=closed, records=(), dry_run=True)
            if kept is None:
                assert asked is not None
                shop.begin_sheet(self._kept(work.job, asked, sheet.uid, who, writer))
            for number, entry in enumerate(signed, start=first):
                shop.add_entry(sheet.uid, entry.as_json(), person=entry.person or "not said", received=self.now(), expect=number)
            return self._close(shop, sheet, closed, person=who, writer=writer, expect=first + len(signed))

    def decide(self, path: Path, asked: SheetAsked, entries: Sequence[Entry], *, person: str | None) -> OpenedSheet:
        """A sheet with a few facts entered, to hear the decision that they lead to. Nothing is written. Raises `Refusal`."""
        from pinseal.service.sheet_shapes import OpenedSheet
        from pinseal.sheets.taking import begin

        signed = _signed(entries, self._person(person))
        with self._open(path, readonly=True) as shop:
            job, unit = self._job_with(shop, asked, signed)
            work = begin(self._with_loaners_of(shop, job, signed))
            _take_all(work, signed)
            return OpenedSheet(uid=self._new_uid(), work=work, unit=unit, others=_others(shop, job, None))

    def unchecked(self, path: Path, kept: Sequence[KeptSheet]) -> list[KeptSheet]:
        """Closed sheets with a confirmation that was too quick to have looked, and that nobody has checked as a sample."""
        quick = [each for each in kept if each.closed and each.entries[-1].entry.get("quick")]
        with self._open(path, readonly=True) as shop:
            checked = {
                record.fields.get("sheet")
                for uid in {each.unit for each in quick}
                for record in shop.records(uid)
                if record.kind == "sample-checked"
            }
        return [each for each in quick if each.uid not in checked]

    def kept_sheets(self, path: Path, *, unit: str | None, only_open: bool) -> list[KeptSheet]:
        """The sheets of a unit, or all."""
        from pinseal.service.office import find_one

        with self._open(path, readonly=True) as shop:
            uid = find_one(shop.find(unit), unit, where="in this shop").uid if unit else None
            return shop.open_sheets(uid) if only_open else shop.sheets(uid)

    # -- inside

    def _trial(self, shop: Shop, sheet: OpenedSheet, entry: Entry) -> Working:
        """The state of the sheet made anew, with the work that the entry may add; the one that is shown stays as it is until it is kept."""
        from pinseal.service.sheet_shapes import SheetAsked
        from pinseal.sheets.taking import replay

        job = sheet.work.job
        if entry.kind == "extend" and entry.subject not in job.works:
            works = [*job.works, entry.subject]
            job, _ = self._job(shop, SheetAsked(unit=job.unit.uid or "", works=works, on=job.on, packs=job.packs, system=job.system))
        whole = self._with_loaners_of(shop, job, [*sheet.work.entries, entry])
        try:
            trial = replay(whole, sheet.work.entries)
        except Refusal as refused:
            if entry.kind != "extend":
                raise
            raise Refusal(
                what="this sheet cannot be extended any more",
                rule="a step that comes after the added work is answered already",
                got=refused.what,
                do="close or abandon this sheet, and begin another one for that work",
            ) from refused
        trial.set_aside = list(sheet.work.set_aside)
        return trial

    def _close(
        self, shop: Shop, sheet: OpenedSheet, closed: Closed, *, person: str, writer: str, expect: int, of_device: Hand | None = None
    ) -> FinishedSheet:
        """Close a sheet with its records. Those of a device have uids that follow from the sheet: it makes no odds when it came in."""
        from pinseal.service.sheet_shapes import FinishedSheet
        from pinseal.service.workshop import drafts_of, with_names
        from pinseal.store.door import records_named

        job = sheet.work.job
        drafts = drafts_of(closed, job, person=person)
        if of_device is not None:
            own = with_names(drafts, sheet.uid, sheet.work.entries, clock=of_device.clock)
            drafts = drafts if records_named(shop, [each.uid or "" for each in own]) else own  # taken by a stranger: any uid will do
        before = [job.unit]
        quick = [each.group for each in sheet.work.confirmations if each.quick]
        ending = {"closed": closed.outcome, "state": closed.state_words} | ({"quick": quick} if quick else {})
        records = shop.close_sheet(
            sheet.uid,
            ending,
            drafts,
            writer=writer,
            person=person,
            received=self.now(),
            expect=expect,
        )
        after = shop.find(job.unit.uid or "")
        moved = self._moved(shop, before, after[0]) if after and shop.settings().packs else ()  # type: ignore[attr-defined]
        return FinishedSheet(sheet=sheet, closed=closed, records=tuple(records), moved=moved)

    def _resumed(self, shop: Shop, kept: KeptSheet) -> OpenedSheet:
        from pinseal.service.sheet_shapes import OpenedSheet, SheetAsked
        from pinseal.sheets.entries import extended, read_entry
        from pinseal.sheets.taking import revive

        entries = [read_entry(each.entry) for each in kept.entries if "closed" not in each.entry]
        works = (*kept.works, *extended(entries))
        asked = SheetAsked(unit=kept.unit, works=works, on=kept.on_day, packs=kept.content.get("packs"))
        job, unit = self._job(shop, asked, kept=True, taken=taken_of(kept))
        work = self._with_loaners_of(shop, job, entries)
        return OpenedSheet(
            uid=kept.uid,
            work=revive(work, entries),
            unit=unit,
            others=_others(shop, job, kept.uid),
            next_number=kept.next_number,
            resumed=True,
        )

    def _with_loaners_of(self, shop: Shop, job: Job, entries: Sequence[Entry]) -> Job:
        from dataclasses import replace

        from pinseal.service.workshop import named_loaners

        return replace(job, loaners={**job.loaners, **named_loaners(entries, lambda text: self._stand_in(shop, text, job))})

    def _with_loaners(self, shop: Shop, work: Working, entries: Sequence[Entry]) -> Working:
        """The same working state, whose job knows the loaners that the entries name."""
        job = self._with_loaners_of(shop, work.job, entries)
        work.job = job
        work.picture.job = job
        return work

    def _stand_in(self, shop: Shop, text: str, job: Job) -> StandIn | None:
        from pinseal.service.workshop import stand_in

        found = shop.find(text)
        if len(found) != 1 or not found[0].uid:
            return None
        unit = shop.unit(found[0].uid)
        assert unit is not None, "a unit that was found has records"
        dues = self._shop_dues(shop, Asked(on=job.on), only=[unit.state]).of_unit(0) if shop.settings().packs else []
        return stand_in(unit, dues, self._stands_for(shop, found[0].uid, job))

    def _stands_for(self, shop: Shop, loaner: str, job: Job) -> Unit | None:
        """Another unit that is away and in whose place the loaner hangs."""
        units = (shop.unit(uid) for uid in shop.units_with_loaner(loaner) if uid != job.unit.uid)
        return next((unit for unit in units if unit is not None and unit.away and unit.away.get("loaner") == loaner), None)

    def _job(self, shop: Shop, asked: SheetAsked, *, kept: bool = False, taken: datetime | None = None) -> tuple[Job, dict[str, Any]]:
        """What a sheet is run against. `taken`: by what the shop had at that moment, for a sheet that was worked away from it."""
        from pinseal.service.duelist import unit_json
        from pinseal.service.office import find_one
        from pinseal.service.workshop import AskedSheet, Registers, make_job, unit_as_known

        settings = shop.settings()
        uid = find_one(shop.find(asked.unit), asked.unit, where="in this shop").uid or ""
        unit = unit_as_known(shop.records(uid), taken)
        day = asked.on or settings.today(self.now())
        dues = self._shop_dues(shop, Asked(on=day, packs=asked.packs), only=[unit.state], settings=settings)
        packs = tuple(chosen.pack.id for chosen in dues.chosen)
        made = AskedSheet(
            works=None if asked.works is None else tuple(asked.works),
            on=day,
            packs=packs,
            system=asked.system or settings.units or "us",
            assume=settings.assume,
        )
        instruments, people = shop.instruments_and_people()
        registers = Registers(instruments=instruments, people=people)
        job = make_job(unit, dues.of_unit(0), made, registers, kept=kept)
        where = {"site": unit.state.site, "place": unit.state.place, "agent": unit.state.nameplate.agent}
        return job, {**unit_json(unit.state), **where}

    def _job_with(self, shop: Shop, asked: SheetAsked, entries: Sequence[Entry]) -> tuple[Job, dict[str, Any]]:
        """The job that is asked for, with the works by which the entries extend it."""
        from dataclasses import replace

        from pinseal.sheets.entries import extended

        job, unit = self._job(shop, asked)
        more = extended(entries)
        return self._job(shop, replace(asked, works=(*job.works, *more))) if more else (job, unit)

    def _kept(self, job: Job, asked: SheetAsked, uid: str, person: str, writer: str) -> KeptSheet:
        from pinseal.store.sheets import KeptSheet

        return KeptSheet(
            uid=uid,
            unit=job.unit.uid or "",
            on_day=job.on,
            works=job.works,
            person=person,
            writer=writer,
            received=self.now(),
            content={"packs": list(asked.packs or job.packs), "steps": [step.id for step in job.steps]},
        )


def _signed(entries: Sequence[Entry], who: str) -> list[Entry]:
    """Entries with the person who hands them in, where they name none themselves."""
    from dataclasses import replace

    return [entry if entry.person else replace(entry, person=who) for entry in entries]


def _take_all(work: Working, entries: Sequence[Entry]) -> None:
    """Take the entries of a file; a refusal says which one it was."""
    from pinseal.sheets.taking import take

    for place, entry in enumerate(entries, start=1):
        try:
            take(work, entry)
        except Refusal as refused:
            raise Refusal(what=f"entry {place}: {refused.what}", rule=refused.rule, got=refused.got, do=refused.do) from refused


def _kept_sheet(shop: Shop, uid: str) -> KeptSheet:
    kept = shop.sheet(uid)
    if kept is None:
        raise Refusal(
            what="there is no such job sheet in this shop", rule="a sheet is named by its uid", got=uid, do="see `pinseal sheets`"
        )
    return kept


def taken_of(kept: KeptSheet) -> datetime | None:
    """When the day was taken along by which a device worked this sheet; None for one that was worked at the shop."""
    from pinseal.records.record import read_instant

    said = kept.content.get("taken")
    return read_instant(said) if said else None


def _check_open(kept: KeptSheet) -> None:
    if kept.closed:
        raise Refusal(what="this job sheet is closed", rule="a closed sheet takes no more entries", got=kept.uid, do="begin another sheet")


def _others(shop: Shop, job: Job, uid: str | None) -> tuple[str, ...]:
    """Other sheets that are open for this unit, in words: both stay, and each says so."""
    return tuple(
        f"{kept.person} has a sheet open for this unit since {kept.on_day.isoformat()} ({', '.join(kept.works)}): {kept.uid}"
        for kept in shop.open_sheets(job.unit.uid)
        if kept.uid != uid
    )
