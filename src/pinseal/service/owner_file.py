"""The owner's file of a site: what hangs there with every date, who looked at it in which month, what a year brought, what is wrong.

Everything follows from records. The numbers of the year reconcile by construction: who was there at its start, less who went, plus
who came, is who was there at its end; the same for deficiencies.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from pinseal.records.corrections import Fact
from pinseal.records.fold import Unit, fold, is_unit
from pinseal.records.record import Record
from pinseal.records.record_kinds import KINDS
from pinseal.records.stays import Stay, stays_of
from pinseal.records.unit import UnitState
from pinseal.rules.months import GAPS, Month, MonthCell, month_cells
from pinseal.rules.rows import Due
from pinseal.service.books import Away, Books, Deficiency
from pinseal.service.duelist import DueList, row_json, unit_json
from pinseal.service.impairments import Impairment


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """A unit that was ever at the site, as its records make it at the end of the file, with its stays there and who wrote its records."""

    unit: Unit
    stays: tuple[Stay, ...]
    people: Mapping[str, str]

    @property
    def state(self) -> UnitState:
        return self.unit.state

    def here(self, first: date, last: date) -> bool:
        return any(stay.meets(first, last) for stay in self.stays)

    def at(self, day: date) -> bool:
        return any(stay.covers(day) for stay in self.stays)


ELSEWHERE = "another site"


def life_of(records: Sequence[Record], site: str, on: date, *, named: Collection[str] = ()) -> Life | None:
    """A unit as it stood at the end of a day; None for what is no unit, or was never in the fleet of the site by then.

    Other sites are told by name only where they are `named`: a loaner goes from one owner to the next, and the file of the one
    says nothing of the other.
    """
    if not is_unit(records):
        return None
    unit = fold(records, on)
    stays = tuple(_veiled(stay, named) for stay in stays_of(unit.facts) if stay.site == site and stay.since <= on)
    return Life(unit=unit, stays=stays, people={record.uid: record.person for record in records}) if stays else None


def _veiled(stay: Stay, named: Collection[str]) -> Stay:
    before, after = (ELSEWHERE if site and site not in named else site for site in (stay.before, stay.after))
    return replace(stay, before=before, after=after)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileUnit:
    """A unit of the inventory: its place in the due list, its state, its months, who wrote the records that the months rest on."""

    index: int
    state: UnitState
    months: tuple[MonthCell, ...]
    people: Mapping[str, str]

    def as_json(self, months: Sequence[Month], dues: Sequence[Due]) -> dict[str, Any]:
        state = self.state
        cells = {month.code: cell.as_json(self.people) for month, cell in zip(months, self.months, strict=True)}
        dates = {fact: str(day) for fact, day in state.dates.items()}
        return {
            **unit_json(state),
            "place": state.place,
            "agent": state.nameplate.agent,
            "size": str(state.nameplate.size) if state.nameplate.size else None,
            "dates": dates,
            "dues": [row_json(due, state) for due in dues],
            "months": cells,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A unit that came to the fleet of the site or left it. `other` is the unit that took its place, or whose place it took."""

    state: UnitState
    stay: Stay
    other: UnitState | None = None

    @property
    def came_from(self) -> str:
        """`new on record`, `back in the fleet`, `moved here from X`."""
        if self.stay.back:
            return "back in the fleet"
        return f"moved here from {self.stay.before}" if self.stay.before else "new on record"

    @property
    def went_to(self) -> str:
        """Why it left, as it is on record."""
        if self.stay.removed:
            return self.stay.removed
        return f"moved to {self.stay.after}" if self.stay.after else "no site any more"

    def as_json(self, *, came: bool) -> dict[str, Any]:
        fact = self.stay.came if came else self.stay.went
        assert fact is not None, "a unit that went has a record of it"
        said = {"unit": unit_json(self.state), "on": str(fact.done), "record": fact.uid, "condemned": self.stay.condemned and not came}
        return {**said, "why": self.came_from if came else self.went_to, "other": unit_json(self.other) if self.other else None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fleet:
    """The fleet over the year: `start` and `end` are numbers of units; `start + len(came) - len(went) == end`."""

    start: int
    came: tuple[Change, ...]
    went: tuple[Change, ...]
    end: int

    @property
    def replaced(self) -> int:
        """The units that went and whose place another took."""
        return sum(1 for each in self.went if each.other)

    @property
    def condemned(self) -> int:
        return sum(1 for each in self.went if each.stay.condemned)


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """Work of one kind in the year: how often, on how many units, how often with the result that it failed."""

    kind: str
    times: int
    units: int
    failed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong:
    """Deficiencies of the units that were here in the year.

    `start + found - mended - gone == end`; `gone` were open on units that left. `of_year` are those that were found or put right in it.
    """

    start: int
    found: int
    mended: int
    gone: int
    end: int
    open: tuple[Deficiency, ...]
    of_year: tuple[Deficiency, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerFile:
    """The owner's file of a site for a year, as the record stands at the end of `last`. `whole` says whether the year is over."""

    site: str
    year: int
    first: date
    last: date
    whole: bool
    dues: DueList
    units: tuple[FileUnit, ...]
    months: tuple[Month, ...]
    fleet: Fleet
    done: tuple[Done, ...]
    wrong: Wrong
    names: Mapping[str, UnitState]
    impairments: tuple[Impairment, ...] = ()
    away: tuple[Away, ...] = ()

    @property
    def gaps(self) -> int:
        """The months of units with nothing on record, or in which they could not be looked at."""
        return sum(1 for unit in self.units for cell in unit.months if cell.state in GAPS)

    def as_json(self) -> dict[str, Any]:
        fleet, wrong = self.fleet, self.wrong
        return {
            "site": self.site,
            "year": self.year,
            "from": self.first.isoformat(),
            "to": self.last.isoformat(),
            "whole_year": self.whole,
            "packs": [{"pack": each.pack.id, "edition": each.edition} for each in self.dues.chosen],
            "fleet": {
                "start": fleet.start,
                "came": [each.as_json(came=True) for each in fleet.came],
                "went": [each.as_json(came=False) for each in fleet.went],
                "end": fleet.end,
                "replaced": fleet.replaced,
                "condemned": fleet.condemned,
            },
            "done": [{"kind": each.kind, "times": each.times, "units": each.units, "failed": each.failed} for each in self.done],
            "deficiencies": {
                "start": wrong.start,
                "found": wrong.found,
                "put_right": wrong.mended,
                "left_with_their_unit": wrong.gone,
                "end": wrong.end,
                "open": [_wrong_json(each, self.last) for each in wrong.open],
                "of_year": [_wrong_json(each, self.last) for each in wrong.of_year],
            },
            "impairments": [each.as_json() for each in self.impairments],
            "gaps": self.gaps,
            "months": [month.code for month in self.months],
            "units": [each.as_json(self.months, self.dues.of_unit(each.index)) for each in self.units],
        }


def _wrong_json(each: Deficiency, last: date) -> dict[str, Any]:
    return {
        "unit": each.unit,
        "record": each.record,
        "finding": each.finding,
        "words": each.words,
        "clause": each.clause,
        "action": each.action,
        "found": str(each.found),
        "found_by": each.person,
        "stage": each.stage,
        "days_open": days_open(each, last),
        "put_right": str(each.remedied) if each.remedied else None,
        "how": each.how,
        "put_right_by": each.remedied_by,
    }


def days_open(each: Deficiency, last: date) -> int | None:
    """Whole days that a deficiency has been or was open, where both ends are known to the day."""
    end = each.remedied
    if each.found.precision != "day" or (end is not None and end.precision != "day"):
        return None
    return max(0, ((end.earliest if end else last) - each.found.earliest).days)


def owner_file(
    *,
    site: str,
    year: int,
    today: date,
    found: Mapping[str, Life],
    dues: DueList,
    months: Sequence[Month],
    books: Books,
    impairments: Sequence[Impairment] = (),
) -> OwnerFile:
    """Put the file together. `found` are the lives of the units at `dues.on`; `dues` has the units that are there then, in order."""
    first, last = date(year, 1, 1), dues.on
    inside = {uid: life for uid, life in found.items() if life.here(first, last)}
    units = tuple(
        _file_unit(index, state, found[state.uid or ""], months, today=min(today, last)) for index, state in enumerate(dues.states)
    )
    there = {unit.state.uid for unit in units}
    return OwnerFile(
        site=site,
        year=year,
        first=first,
        last=last,
        whole=last == date(year, 12, 31) and today > last,
        dues=dues,
        units=units,
        months=tuple(months),
        fleet=_fleet(inside, first, last),
        done=_done(inside, first, last),
        wrong=_wrong(inside, books.deficiencies, first, last),
        names={uid: life.state for uid, life in inside.items()},
        impairments=tuple(each for each in impairments if each.unit in there),
        away=tuple(each for each in books.away if each.unit in there),
    )


def _file_unit(index: int, state: UnitState, life: Life, months: Sequence[Month], *, today: date) -> FileUnit:
    # What was done while it hung elsewhere is not of this site.
    own = [fact for fact in life.unit.facts if life.here(fact.done.earliest, fact.done.latest)]
    cells = month_cells(own, months, here=lambda month: life.here(month.first, month.last), today=today)
    people = {fact.uid: life.people.get(fact.uid, "") for cell in cells for fact in cell.facts}
    return FileUnit(index=index, state=state, months=cells, people=people)


def _fleet(inside: Mapping[str, Life], first: date, last: date) -> Fleet:
    """A unit that came and went within the year stands in both lists, so that the sum holds."""
    eve = first - timedelta(days=1)
    came = [_change(life, stay) for life in inside.values() for stay in life.stays if eve < stay.since <= last]
    went = [_change(life, stay) for life in inside.values() for stay in life.stays if stay.until and eve < stay.until <= last]
    return Fleet(
        start=sum(life.at(eve) for life in inside.values()),
        came=tuple(sorted(came, key=lambda each: (each.stay.since, each.state.uid or ""))),
        went=tuple(_with_others(sorted(went, key=lambda each: (each.stay.until or last, each.state.uid or "")), came)),
        end=sum(life.at(last) for life in inside.values()),
    )


def _change(life: Life, stay: Stay) -> Change:
    return Change(state=life.state, stay=stay)


def _with_others(went: Iterable[Change], came: Sequence[Change]) -> Iterable[Change]:
    """Each unit that went, with the one that came to its place in the same year; each that came takes one place at most."""
    free = {id(each): each for each in came}
    for each in went:
        place = each.state.place
        other = next((new for new in free.values() if place and new.state.place == place and new.state.uid != each.state.uid), None)
        if other is not None:
            del free[id(other)]
        yield replace(each, other=other.state if other else None)


def _done(inside: Mapping[str, Life], first: date, last: date) -> tuple[Done, ...]:
    """The work of the year, in the order of the kinds; a deed counts where its unit was here on its day."""
    counted: dict[str, list[tuple[str, Fact]]] = {}
    for uid, life in inside.items():
        for fact in life.unit.facts:
            kind = KINDS.get(fact.kind)
            if kind is None or not (kind.work or fact.kind == "not-done") or not _in_year(fact, first, last):
                continue
            if life.here(fact.done.earliest, fact.done.latest):
                counted.setdefault(fact.kind, []).append((uid, fact))
    return tuple(
        Done(
            kind=code,
            times=len(counted[code]),
            units=len({uid for uid, _ in counted[code]}),
            failed=sum(1 for _, fact in counted[code] if fact.fields.get("result") == "fail"),
        )
        for code in KINDS
        if code in counted
    )


def _in_year(fact: Fact, first: date, last: date) -> bool:
    return first <= fact.done.earliest <= last and fact.done.earliest.year == fact.done.latest.year


def _wrong(inside: Mapping[str, Life], deficiencies: Iterable[Deficiency], first: date, last: date) -> Wrong:
    """Deficiencies as they stood at the end of `last`: what was put right later was open then.

    What was over before a unit came here is left out.
    """
    told = [_as_of(each, last) for each in deficiencies if each.unit in inside and each.found.earliest <= last]
    own = [each for each in told if inside[each.unit].here(each.found.earliest, each.remedied.latest if each.remedied else last)]
    before = [each for each in own if each.found.earliest < first]
    start = [each for each in before if each.remedied is None or each.remedied.earliest >= first]
    found = [each for each in own if each.found.earliest >= first]
    mended = [each for each in (*start, *found) if each.remedied is not None]
    still = [each for each in (*start, *found) if each.remedied is None]
    left = [each for each in still if not inside[each.unit].at(last)]
    stand = tuple(each for each in still if inside[each.unit].at(last))
    year = {each.record for each in (*found, *mended)}
    of_year = _oldest_first(each for each in own if each.record in year)
    return Wrong(
        start=len(start),
        found=len(found),
        mended=len(mended),
        gone=len(left),
        end=len(stand),
        open=_oldest_first(stand),
        of_year=of_year,
    )


def _oldest_first(some: Iterable[Deficiency]) -> tuple[Deficiency, ...]:
    return tuple(sorted(some, key=lambda each: (each.found.earliest, each.record)))


def _as_of(each: Deficiency, last: date) -> Deficiency:
    if each.remedied is None or each.remedied.earliest <= last:
        return each
    return replace(each, remedied=None, how="", remedied_by="", mended_by="", mended_sheet="")
