"""A visit: what was done at a site on some days, unit by unit, with sums that reconcile and the records that it rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.corrections import Fact
from pinseal.records.fold import Unit, fold, is_unit
from pinseal.records.record import Record
from pinseal.records.unit import UnitState
from pinseal.rules.rows import Due
from pinseal.rules.visits import SEEN_KINDS, Counts, Standing, count, result, whereabouts
from pinseal.service.books import Deficiency
from pinseal.service.day import open_deficiencies, walking_order
from pinseal.service.impairments import Impairment

DEED_KINDS = tuple(sorted(SEEN_KINDS | {"not-done"}))  # a day with one of these at a site is a visit
DAYS_MAX = 92
_WORK_FACTS = frozenset(kinds.FACTS) & (frozenset(kinds.DUTIES) | {"recharge"})
# The owner's own look by hand has no place among the jobs to come, and who maintained a unit has looked at it too.
_OWN_LOOK = "inspection"


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitAsked:
    """Which site, and from which day to which."""

    site: str
    first: date
    last: date

    @property
    def about(self) -> dict[str, str]:
        return {"paper": "visit report", "site": self.site, "from": self.first.isoformat(), "to": self.last.isoformat()}


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldedUnit:
    """One unit as it stood before the visit (None: not there yet) and at its end, with the facts of the visit in order."""

    before: UnitState | None
    end: Unit
    facts: tuple[Fact, ...]
    listed: bool
    away_before: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitRow:
    """One unit of a visit. `result` is a key of `rules.visits.RESULTS`; `was` the place where it was listed, if it hangs elsewhere now.

    `place` is where it hangs on the site; of a unit that went to another site, where it hung before: a report tells of one site alone.
    """

    unit: Unit
    facts: tuple[Fact, ...]
    standing: Standing
    result: str
    where: str
    dues: Sequence[Due] = ()
    open: tuple[Deficiency, ...] = ()
    impairments: tuple[Impairment, ...] = ()
    place: str = ""
    was: str = ""
    loaner: str = ""

    @property
    def state(self) -> UnitState:
        return self.unit.state

    @property
    def away(self) -> Mapping[str, str] | None:
        return self.unit.away

    @property
    def next_due(self) -> Due | None:
        """The first duty to come that a shop does; None for a unit that owes nothing more, or whose dates are not known."""
        dated = [due for due in self.dues if due.earliest and due.duty not in (_OWN_LOOK, "retirement")]
        return min(dated, key=lambda due: (due.earliest or date.max, due.duty), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPhoto:
    """A file that a record of the visit names: of which unit (its uid and number), what it shows, when, by whom, its SHA-256."""

    uid: str
    unit: str
    shows: str
    done: PartialDate
    person: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOver:
    """To whom the work was handed over; `signature` is the SHA-256 of the drawn one, empty where the name alone was typed."""

    name: str
    done: PartialDate
    signature: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A visit with its sums. `rests_on` are the uids of its records, `upcoming` counts the jobs to come by year, month and duty."""

    asked: VisitAsked
    rows: tuple[VisitRow, ...]
    counts: Counts
    people: tuple[str, ...]
    photos: tuple[VisitPhoto, ...]
    handed: tuple[HandOver, ...]
    upcoming: Mapping[tuple[int, int], Mapping[str, int]]
    rests_on: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class PastVisit:
    """A day on which somebody worked at a site, and on how many units."""

    site: str
    on: date
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What a visit is put together with beside its units: who wrote which record, what is wrong by unit, the names of loaners by uid."""

    people: Mapping[str, str] = field(default_factory=dict)
    deficiencies: Mapping[str, tuple[Deficiency, ...]] = field(default_factory=dict)
    impairments: Mapping[str, Sequence[Impairment]] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)


def work_days(state: UnitState) -> tuple[str, frozenset[date]]:
    """The site of a unit and the days of its last deeds, as far as they are known to the day."""
    return state.site or "", frozenset(done.earliest for fact, done in state.dates.items() if fact in _WORK_FACTS and done.day)


def past_visits(days: Iterable[tuple[str, frozenset[date]]]) -> tuple[PastVisit, ...]:
    """The visits that the last deeds of units (`work_days`) tell of, the latest first. Older work at the same units does not show here."""
    found: Counter[tuple[date, str]] = Counter((day, site) for site, some in days if site for day in some)
    return tuple(PastVisit(site=site, on=day, units=units) for (day, site), units in sorted(found.items(), reverse=True))


def check_days(first: date, last: date, today: date) -> None:
    """Raises `Refusal` for days that run backwards, for more of them than a visit has, and for days to come."""
    if last > today:
        raise Refusal(
            what="this visit has not been made yet",
            rule=f"a report tells of what was done; today is {today.isoformat()}",
            got=last.isoformat(),
            do="name a day that has been; what comes is in the due list",
        )
    if not 0 <= (last - first).days < DAYS_MAX:
        raise Refusal(
            what="these days are no visit",
            rule=f"a visit has a first and a last day, {DAYS_MAX} days at most",
            got=f"{first.isoformat()} to {last.isoformat()}",
            do="name the day with --on, or the days with --from and --to",
        )


def units_of_visit(asked: VisitAsked, histories: Mapping[str, Sequence[Record]]) -> list[FoldedUnit]:
    """The units that belonged to the site before the visit or at its end, in walking order. Each history is that of one unit."""
    found = []
    for records in histories.values():
        folded = _folded(asked, records) if is_unit(records) else None
        if folded is not None:
            found.append(folded)
    return sorted(found, key=lambda each: walking_order(each.end.state))


def _folded(asked: VisitAsked, records: Sequence[Record]) -> FoldedUnit | None:
    end = fold(records, asked.last)
    if not end.facts:
        return None
    before = fold(records, asked.first - timedelta(days=1))
    came_now = all(fact.done.earliest >= asked.first and "row" not in fact.fields for fact in end.facts if fact.kind == "registered")
    was = before.state if before.facts and not came_now else None
    listed = was is not None and was.site == asked.site and not was.removed and before.matched_to is None
    if not listed and (end.state.site != asked.site or end.state.removed):
        return None
    facts = tuple(fact for fact in end.facts if fact.done.precision == "day" and asked.first <= fact.done.earliest <= asked.last)
    return FoldedUnit(before=was, end=end, facts=facts, listed=listed, away_before=listed and before.away is not None)


def deficiencies_then(records: Iterable[Record], last: date) -> dict[str, tuple[Deficiency, ...]]:
    """What stood open at the end of a day, by unit. A correction counts whenever it was written."""
    return open_deficiencies(each for each in records if each.kind == "corrected" or each.done.earliest <= last)


def make_visit(asked: VisitAsked, units: Sequence[FoldedUnit], dues: Sequence[Sequence[Due]], around: Around) -> Visit:
    """The visit; `dues` are those of each unit on its last day, in the same order."""
    rows = tuple(_row(asked, each, some, around) for each, some in zip(units, dues, strict=True))
    facts = [(row, fact) for row in rows for fact in row.facts]
    people = sorted({around.people.get(fact.uid, "") for _, fact in facts if fact.kind in SEEN_KINDS or fact.kind == "not-done"} - {""})
    return Visit(
        asked=asked,
        rows=rows,
        counts=count(row.standing for row in rows),
        people=tuple(people),
        photos=tuple(_photo(row, fact, around) for row, fact in facts if fact.fields.get("file") and "handed-to" not in fact.fields),
        handed=_handed(fact for _, fact in facts),
        upcoming=_upcoming(rows, asked.last),
        rests_on=frozenset(uid for each, row in zip(units, rows, strict=True) for uid in _rests_on(each, row)),
    )


def _row(asked: VisitAsked, each: FoldedUnit, dues: Sequence[Due], around: Around) -> VisitRow:
    end, uid = each.end, each.end.state.uid or ""
    wrong, impaired = around.deficiencies.get(uid, ()), tuple(around.impairments.get(uid, ()))
    loaner = (end.away or {}).get("loaner", "")
    elsewhere = each.before is not None and each.before.site == end.state.site and each.before.place != end.state.place
    owed = [due for due in dues if due.duty != _OWN_LOOK] if any(fact.kind == "maintained" for fact in each.facts) else dues
    standing = Standing(
        kinds=frozenset(fact.kind for fact in each.facts),
        listed=each.listed,
        at_site=end.state.site == asked.site,
        elsewhere=elsewhere,
        looked_for=any(fact.kind == "not-done" and fact.fields.get("missing") == "yes" for fact in each.facts),
        not_done=any(fact.kind == "not-done" for fact in each.facts),
        removed=end.state.removed is not None,
        away_before=each.away_before,
        away="" if end.away is None else "loaner" if loaner and loaner != "none" else "bare",
        stages=tuple(found.stage for found in wrong),
        impaired=any(found.case.cleared is None for found in impaired),
        due_states=frozenset("may be overdue" if due.perhaps and due.state == "overdue" else due.state for due in owed),
    )
    here = each.before if each.before is not None and not standing.at_site else end.state
    return VisitRow(
        unit=end,
        facts=each.facts,
        standing=standing,
        result=result(standing),
        where=whereabouts(standing),
        dues=owed,
        open=wrong,
        impairments=impaired,
        place=here.place or "",
        was=(each.before.place or "") if elsewhere and each.before else "",
        loaner=around.names.get(loaner, ""),
    )


def _photo(row: VisitRow, fact: Fact, around: Around) -> VisitPhoto:
    shows = fact.fields.get("note", "") or fact.fields.get("words", "") or fact.fields.get("finding", "").replace("-", " ")
    person = around.people.get(fact.uid, "")
    return VisitPhoto(
        uid=row.state.uid or "", unit=unit_name(row.state), shows=shows, done=fact.done, person=person, sha256=fact.fields["file"]
    )


def _handed(facts: Iterable[Fact]) -> tuple[HandOver, ...]:
    """Each customer and signature once; a phone writes the same one to every unit."""
    said = (fact for fact in facts if fact.fields.get("handed-to"))
    made = (HandOver(name=f.fields["handed-to"], done=f.done, signature=f.fields.get("file", "")) for f in said)
    return tuple(dict.fromkeys(sorted(made, key=lambda each: (str(each.done), each.name, each.signature))))


def _upcoming(rows: Iterable[VisitRow], last: date) -> dict[tuple[int, int], dict[str, int]]:
    """Jobs of units that are still of the site, after the visit. What is late already is told with its unit."""
    found: Counter[tuple[int, int, str]] = Counter()
    for row in rows:
        for due in row.dues if row.standing.at_site else ():
            if due.earliest and due.earliest > last and due.duty != _OWN_LOOK:
                found[due.earliest.year, due.earliest.month, due.duty] += 1
    months: dict[tuple[int, int], dict[str, int]] = {}
    for (year, month, duty), jobs in sorted(found.items()):
        months.setdefault((year, month), {})[duty] = jobs
    return months


def _rests_on(each: FoldedUnit, row: VisitRow) -> set[str]:
    """The visit's own records, those that the list and the dates start from, and every correction that holds of any of them."""
    wanted = {fact.uid for fact in each.facts} | set(row.state.set_by.values())
    wanted |= {held[-1].record for held in row.unit.identities.values() if held}
    wanted |= {fact.uid for fact in row.unit.facts if fact.kind in ("registered", "impaired", "notice-given", "impairment-cleared")}
    wanted |= {found.record for found in row.open} | {quote.record for found in row.open for quote in found.quotes}
    wanted |= {row.unit.away["record"]} if row.unit.away else set()
    return wanted | {uid for fact in row.unit.facts if fact.uid in wanted for uid in fact.corrected_by}


def unit_name(state: UnitState) -> str:
    """The number by which people know it."""
    return state.id or state.serial or "unit without a number"
