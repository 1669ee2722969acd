"""The API of one shop: the same services as the commands and the pages, answered in plain JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from pinseal.reasons import Refusal
from pinseal.service.door import OWNER_WORKS, Hand, check_entry, check_reach, signer
from pinseal.web.api_doors import DuesAsked, NotThere, Page, SheetWanted, UnitsAsked

if TYPE_CHECKING:
    from pinseal.app.office_pages import ShopRooms
    from pinseal.records.unit import UnitState
    from pinseal.service.books import SheetLine
    from pinseal.service.sheet_shapes import OpenedSheet
    from pinseal.sheets.entries import Entry
    from pinseal.web.account import Account

_WRITER = "api"


class ShopApi:
    """Answers `web.api_doors.Api` for one shop's file. `rooms` remembers what was read while nothing was written."""

    def __init__(self, rooms: ShopRooms) -> None:
        self.rooms, self.app, self.path = rooms, rooms.app, rooms.path

    # Reading

    def units(self, asked: UnitsAsked, account: Account) -> dict[str, Any]:
        if asked.text:
            index = self.rooms.index()
            only = account.reach if not asked.site else frozenset({asked.site} if account.may_see(asked.site) else ())
            found = [index.states[hit.index] for hit in index.find(asked.text, only=only).hits]
        else:
            found = list(self.rooms.due_list(self.rooms.about().today).states)
        shown = [each for each in found if _fits(each, asked, account)]
        return _page_of([_unit_line(each) for each in _part(shown, asked.page)], len(shown), asked.page, "units")

    def unit(self, uid: str, account: Account) -> dict[str, Any]:
        from pinseal.records.registering import registered_fields
        from pinseal.service.day import deficiency_json, kind_words, last_readings
        from pinseal.service.prices import without_prices

        office = self.rooms.within(account.reach)
        unit = office.unit(uid)
        if unit is None:
            raise _no_unit(uid)
        records = office.history(uid) if account.sees_prices else without_prices(office.history(uid))
        told = {each.uid for each in records}
        found = [each for each in self.rooms.books().deficiencies if each.unit == uid]
        return {
            "uid": uid,
            "words": kind_words(unit.state),
            "said": registered_fields(unit.state),
            "tag": unit.tag,
            "condemned": unit.condemned,
            "away": dict(unit.away) if unit.away else None,
            "dues": self._dues_of(unit.state),
            "readings": last_readings(unit),
            "deficiencies": [deficiency_json(each) for each in found],
            "records": [each.as_json() for each in records],
            "marks": [{"record": mark.record, "text": mark.text} for mark in unit.marks if mark.record in told],
        }

    def _dues_of(self, state: UnitState) -> list[dict[str, Any]]:
        from pinseal.app.ground import Asked
        from pinseal.service.duelist import row_json

        with self.app._open(self.path, readonly=True) as shop:
            if not shop.settings().packs:
                return []
            return [row_json(due, state) for due in self.app._shop_dues(shop, Asked(), only=[state]).of_unit(0)]

    def dues(self, asked: DuesAsked, account: Account) -> dict[str, Any]:
        from pinseal.service.duelist import row_json
        from pinseal.web import listing
        from pinseal.web.asked import Asked

        office = self.rooms.within(account.reach)
        dues = office.due_list(asked.on or office.about().today)
        wanted = Asked(states=asked.states, duty=asked.duty, site=asked.site)
        lines, _ = listing.narrowed(dues, wanted)
        rows = [row_json(due, dues.states[due.index]) for due in listing.built(dues, _part(lines, asked.page))]
        packs = [{"pack": each.pack.id, "edition": each.edition} for each in dues.chosen]
        return {"on": dues.on.isoformat(), "packs": packs, **_page_of(rows, len(lines), asked.page, "rows")}

    def deficiencies(self, site: str, every: bool, page: Page, account: Account) -> dict[str, Any]:
        from pinseal.service.day import deficiency_json

        states = {each.uid: each for each in self.rooms.index().states if account.may_see(each.site)}
        shown = [
            each
            for each in self.rooms.books().deficiencies
            if each.unit in states and (every or each.is_open) and (not site or states[each.unit].site == site)
        ]
        rows = [{**deficiency_json(each), "site": states[each.unit].site, "id": states[each.unit].id} for each in _part(shown, page)]
        return _page_of(rows, len(shown), page, "deficiencies")

    def sheets(self, unit: str, only_open: bool, page: Page, account: Account) -> dict[str, Any]:
        units = {each.uid for each in self.rooms.index().states if account.may_see(each.site)}
        shown = [
            each
            for each in self.rooms.books().sheets
            if each.unit in units and (not unit or each.unit == unit) and (each.is_open or not only_open)
        ]
        return _page_of([_sheet_line(each) for each in _part(shown, page)], len(shown), page, "sheets")

    def sheet(self, uid: str, account: Account) -> dict[str, Any]:
        """A kept sheet as it stands: its steps with their limits and gates, what was entered, what is next."""
        from pinseal.sheets.view import progress_json, sheet_json, verdicts_json

        line = self._line(uid, account)
        opened = self.app.resume(self.path, uid)
        system = opened.work.job.system
        return {
            **_sheet_line(line),
            "sheet": {name: value for name, value in sheet_json(opened.work, dict(opened.unit), system=system).items() if name != "on"},
            "entries": [each.as_json() for each in opened.work.entries],
            "set_aside": list(opened.work.set_aside),
            "verdicts": verdicts_json(opened.work),
            "progress": progress_json(opened.work),
            "others_open": list(opened.others),
        }

    def _line(self, uid: str, account: Account) -> SheetLine:
        line = self.rooms.books().sheet(uid)
        if line is None or self.rooms.within(account.reach).unit(line.unit) is None:
            raise NotThere(what="there is no such job sheet", rule="a sheet is named by its uid", got=uid, do="see /api/sheets")
        return line

    def instruments(self, on: date | None) -> dict[str, Any]:
        found = self.app.instruments(self.path, on=on)
        return {"on": found.on.isoformat(), "instruments": [each.as_json() for each in found.listed]}

    def people(self, on: date | None) -> dict[str, Any]:
        found = self.app.people(self.path, on=on)
        return {"on": found.on.isoformat(), "people": [each.as_json() for each in found.listed]}

    # Working

    def begin_sheet(self, wanted: SheetWanted, account: Account) -> dict[str, Any]:
        from pinseal.service.sheet_shapes import SheetAsked

        unit = self._reached(wanted.unit, wanted.works, account)
        asked = SheetAsked(unit=unit, works=wanted.works, on=wanted.on)
        opened = self.app.begin_or_resume(self.path, asked, person=account.name, writer=_WRITER)
        return {**self.sheet(opened.uid, account), "resumed": opened.resumed}

    def enter(self, uid: str, entry: Mapping[str, Any], account: Account) -> dict[str, Any]:
        """Take one entry. One that is kept under its uid already changes nothing."""
        opened, read = self._opened(uid, [entry], account)
        known = next((each for each in opened.work.entries if read[0].uid and each.uid == read[0].uid), None)
        judged = None
        if known != read[0]:
            opened, judged = self.app.enter(self.path, opened, read[0], person=account.name)
        from pinseal.sheets.view import progress_json

        progress = progress_json(opened.work)
        return {"uid": uid, "known": known is not None, "verdict": judged.as_json() if judged else None, "progress": progress}

    def finish(self, uid: str, account: Account) -> dict[str, Any]:
        """Close a sheet as `pinseal finish` does."""
        opened, _ = self._opened(uid, [], account)
        done = self.app.finish(self.path, None, sheet_uid=uid, entries=[], person=account.name, writer=_WRITER)
        made = done.as_json(opened.work.job.system)
        return {name: made[name] for name in ("sheet", "outcome", "state", "verdicts", "deficiencies", "records", "moved")}

    def decide(self, wanted: SheetWanted, entries: Sequence[Mapping[str, Any]], account: Account) -> dict[str, Any]:
        """The decision that a few facts lead to. Nothing is written."""
        from pinseal.service.sheet_shapes import SheetAsked
        from pinseal.sheets.view import progress_json, verdicts_json

        unit = self._reached(wanted.unit, wanted.works, account)
        read = self._read(entries, account)
        opened = self.app.decide(self.path, SheetAsked(unit=unit, works=wanted.works, on=wanted.on), read, person=account.name)
        return {
            "unit": dict(opened.unit),
            "works": list(opened.work.job.works),
            "verdicts": verdicts_json(opened.work),
            "progress": progress_json(opened.work),
        }

    def _opened(self, uid: str, entries: Sequence[Mapping[str, Any]], account: Account) -> tuple[OpenedSheet, list[Entry]]:
        line = self._line(uid, account)
        self._reached(line.unit, line.works, account)
        read = self._read(entries, account)
        opened = self.app.resume(self.path, uid)
        if not line.is_open:
            raise Refusal(what="this job sheet is closed", rule="a closed sheet takes no more entries", got=uid, do="begin another sheet")
        for entry in read if account.reach is not None else ():
            check_entry(entry, opened.work)
        return opened, read

    def _read(self, entries: Sequence[Mapping[str, Any]], account: Account) -> list[Entry]:
        """Entries, each signed by the one who sends it. Raises `Refusal`."""
        from pinseal.service.sent import check_texts
        from pinseal.sheets.entries import read_entry

        hand = self._hand(account)
        read = []
        for said in entries:
            check_texts(said)
            entry = read_entry(said)
            read.append(replace(entry, person=signer(entry.person, hand)))
        return read

    def _reached(self, uid: str, works: Sequence[str] | None, account: Account) -> str:
        """The uid of a unit that this account may work on. Raises `Refusal`."""
        unit = self.rooms.within(account.reach).unit(uid)
        if unit is None:
            raise _no_unit(uid)
        check_reach(self._hand(account), unit.state, works or ("what is due",), OWNER_WORKS)
        return uid

    def _hand(self, account: Account) -> Hand:
        now = self.app.now()
        return Hand(person=account.name, role=account.role, device=_WRITER, now=now, today=self.rooms.about().today, sites=account.reach)


def _fits(state: UnitState, asked: UnitsAsked, account: Account) -> bool:
    return account.may_see(state.site) and (asked.removed or not state.removed) and (not asked.site or state.site == asked.site)


def _unit_line(state: UnitState) -> dict[str, Any]:
    from pinseal.service.day import kind_words

    return {
        "uid": state.uid,
        "id": state.id,
        "serial": state.serial,
        "site": state.site,
        "place": state.place,
        "words": kind_words(state),
        "removed": state.removed,
        "placeholder": state.placeholder,
    }


def _sheet_line(line: SheetLine) -> dict[str, Any]:
    return {
        "uid": line.uid,
        "unit": line.unit,
        "on": line.on.isoformat(),
        "works": list(line.works),
        "person": line.person,
        "open": line.is_open,
        "outcome": line.outcome,
        "state": line.state,
        "entry_count": line.entries,
    }


def _part(rows: Sequence[Any], page: Page) -> Sequence[Any]:
    return rows[page.start : page.start + page.limit]


def _page_of(rows: list[dict[str, Any]], count: int, page: Page, name: str) -> dict[str, Any]:
    after = page.start + page.limit
    return {name: rows, "count": count, "next": after if after < count else None}


def _no_unit(uid: str) -> NotThere:
    return NotThere(what="there is no such unit", rule="a unit is named by its uid", got=uid, do="look for it with /api/units?text=…")
