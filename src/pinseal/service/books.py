"""What the office keeps an eye on: deficiencies that stand open, units that are away, sheets, what came in, agent by lot.

Everything follows from records, with corrections applied; nothing is kept besides them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from pinseal.dates import PartialDate, parse_date, parse_day
from pinseal.money import DECIMALS, Money
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct

# The kinds of record that the books are made of. Corrections belong to every one of them.
BOOK_KINDS = (
    "found-deficient", "deficiency-quoted", "quote-answered", "remedied", "taken-away", "brought-back", "sample-checked", "corrected",
)  # fmt: skip
# How far a deficiency is on its way, in the order of the way. One that was declined stays open.
STAGES: dict[str, str] = {
    "found": "found, no price yet",
    "quoted": "quoted, no answer yet",
    "agreed": "agreed, to be done",
    "declined": "declined by the owner",
    "done": "put right",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """A price that the owner was told, and what was answered. `price` is None where the record cannot be read as money."""

    record: str
    price: Money | None
    on: PartialDate
    person: str
    work: str = ""
    number: str = ""
    valid_until: date | None = None
    answer: str = ""
    answered: PartialDate | None = None
    answered_by: str = ""
    answer_person: str = ""
    reason: str = ""

    def ran_out(self, today: date) -> bool:
        """Whether the price no longer holds and was not agreed to while it did."""
        return self.valid_until is not None and not self.answer and today > self.valid_until


@dataclass(frozen=True, slots=True, kw_only=True)
class Deficiency:
    """Something found wrong with a unit, on its way from found over quoted and agreed or declined to put right.

    `unit` is the uid of the unit, `record` that of the finding, `mended_by` that of the record that put it right. `quotes` are the
    prices that were told, the latest last.
    """

    unit: str
    record: str
    finding: str
    words: str
    action: str
    clause: str
    found: PartialDate
    person: str
    sheet: str = ""
    quotes: tuple[Quote, ...] = ()
    remedied: PartialDate | None = None
    how: str = ""
    remedied_by: str = ""
    mended_by: str = ""
    mended_sheet: str = ""

    @property
    def is_open(self) -> bool:
        return self.remedied is None

    @property
    def quote(self) -> Quote | None:
        """The price that holds: the one that was told last."""
        return self.quotes[-1] if self.quotes else None

    @property
    def stage(self) -> str:
        """A key of `STAGES`."""
        if self.remedied is not None:
            return "done"
        return (self.quote.answer or "quoted") if self.quote else "found"

    @property
    def stage_since(self) -> PartialDate:
        """The day on which it came to its stage."""
        if self.remedied is not None:
            return self.remedied
        return self.found if self.quote is None else self.quote.answered or self.quote.on


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """A unit that was taken away and is not back. `loaner` is the uid of what stands in, "none", or empty where it is not said."""

    unit: str
    taken_to: str
    since: PartialDate
    back_by: PartialDate | None
    loaner: str
    state: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLine:
    """One job sheet in a list. `outcome` is empty while it is open; `quick` names confirmations too quick to have looked."""

    uid: str
    unit: str
    on: date
    works: tuple[str, ...]
    person: str
    begun: datetime
    entries: int
    touched: datetime
    outcome: str = ""
    state: str = ""
    quick: tuple[str, ...] = ()
    checked: bool = False

    @property
    def is_open(self) -> bool:
        return not self.outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """What one person's records of one kind, received on one day, come to: the newest of them, how many, about which units."""

    kind: str
    person: str
    received: datetime
    count: int
    units: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Books:
    """The books of a shop as they stand."""

    deficiencies: tuple[Deficiency, ...] = ()
    away: tuple[Away, ...] = ()
    sheets: tuple[SheetLine, ...] = ()
    arrivals: tuple[Arrival, ...] = ()
    _sheets: Mapping[str, SheetLine] = field(init=False, repr=False, compare=False)
    _away: Mapping[str, Away] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_sheets", {each.uid: each for each in self.sheets})
        object.__setattr__(self, "_away", {each.unit: each for each in self.away})

    def only(self, units: Iterable[str]) -> Books:
        """The books of some units alone: what an owner of a site may see."""
        some = frozenset(units)
        arrivals = (replace(each, units=tuple(uid for uid in each.units if uid in some)) for each in self.arrivals)
        return Books(
            deficiencies=tuple(each for each in self.deficiencies if each.unit in some),
            away=tuple(each for each in self.away if each.unit in some),
            sheets=tuple(each for each in self.sheets if each.unit in some),
            arrivals=tuple(replace(each, count=len(each.units)) for each in arrivals if each.units),
        )

    def sheet(self, uid: str) -> SheetLine | None:
        return self._sheets.get(uid)

    def away_of(self, unit: str | None) -> Away | None:
        """Where a unit is, if it is away."""
        return self._away.get(unit or "")

    def deficiency(self, record: str) -> Deficiency | None:
        """The deficiency by the uid of the record that found it."""
        return next((each for each in self.deficiencies if each.record == record), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitBook:
    """What the books say of one unit: its findings in the order of their days, whether it is away, and the sheets that were checked."""

    deficiencies: tuple[Deficiency, ...] = ()
    away: Away | None = None
    checked: frozenset[str] = frozenset()


def unit_books(records: Iterable[Record]) -> dict[str, UnitBook]:
    """The books of each unit by its uid. `records` are those of `BOOK_KINDS`: all that these units have."""
    by_unit: dict[str, list[Record]] = {}
    for record in records:
        by_unit.setdefault(record.unit, []).append(record)
    return {unit: _unit_book(unit, some) for unit, some in by_unit.items()}


def _unit_book(unit: str, records: Sequence[Record]) -> UnitBook:
    facts, _ = apply_corrections(distinct(records)[0])
    people = {record.uid: record.person for record in records}
    moves = [fact for fact in facts if fact.kind in ("taken-away", "brought-back")]
    return UnitBook(
        deficiencies=tuple(_deficiencies(unit, facts, people)),
        away=_gone(unit, moves[-1]) if moves and moves[-1].kind == "taken-away" else None,
        checked=frozenset(fact.fields.get("sheet", "") for fact in facts if fact.kind == "sample-checked"),
    )


def bound(
    books: Mapping[str, UnitBook],
    sheets: Sequence[SheetLine] = (),
    latest: Iterable[Record] = (),
) -> Books:
    """The books of a shop from those of its units. `latest` are the last records received, of any kind."""
    checked = frozenset().union(*(each.checked for each in books.values()))
    found = [each for book in books.values() for each in book.deficiencies]
    away = [book.away for book in books.values() if book.away is not None]
    return Books(
        deficiencies=tuple(sorted(found, key=lambda each: (each.found.latest, each.record), reverse=True)),
        # The one that must be back first stands at the top; without a day they stand last.
        away=tuple(sorted(away, key=lambda each: (each.back_by.latest if each.back_by else date.max, each.since.earliest, each.unit))),
        sheets=tuple(replace(each, checked=True) if each.uid in checked else each for each in sheets),
        arrivals=tuple(_arrivals(latest)),
    )


def make_books(records: Iterable[Record], sheets: Sequence[SheetLine] = (), latest: Iterable[Record] = ()) -> Books:
    """The books of a shop. `records` are those of `BOOK_KINDS`, `latest` the last ones received, of any kind."""
    return bound(unit_books(records), sheets, latest)


def _deficiencies(unit: str, facts: Iterable[Fact], people: Mapping[str, str]) -> list[Deficiency]:
    """Every finding of a unit. A remedy closes every finding of its code that was made before it, or on its sheet."""
    own: list[Deficiency] = []
    for fact in facts:
        if fact.kind == "found-deficient":
            own.append(_found(unit, fact, people))
        elif step := _STEPS.get(fact.kind):
            own = [step(each, fact, people) for each in own]
    return own


def _found(unit: str, fact: Fact, people: Mapping[str, str]) -> Deficiency:
    said = fact.fields
    return Deficiency(
        unit=unit,
        record=fact.uid,
        finding=said.get("finding", ""),
        words=said.get("words", "") or said.get("finding", "").replace("-", " "),
        action=said.get("action", ""),
        clause=said.get("clause", ""),
        found=fact.done,
        person=people.get(fact.uid, ""),
        sheet=said.get("sheet", ""),
    )


def _remedied(each: Deficiency, fact: Fact, people: Mapping[str, str]) -> Deficiency:
    """A finding after a remedy. Facts come in the order of their days, so a finding that stands here was made before it."""
    said = fact.fields
    meant = said["deficiency"] == each.record if said.get("deficiency") else said.get("finding") == each.finding
    if not each.is_open or not meant:
        return each
    return replace(
        each,
        remedied=fact.done,
        how=said.get("how", ""),
        remedied_by=people.get(fact.uid, ""),
        mended_by=fact.uid,
        mended_sheet=said.get("sheet", ""),
    )


def _quoted(each: Deficiency, fact: Fact, people: Mapping[str, str]) -> Deficiency:
    said = fact.fields
    if said.get("deficiency") != each.record:
        return each
    minor, currency = said.get("price-minor", ""), said.get("currency", "")
    quote = Quote(
        record=fact.uid,
        price=Money(int(minor), currency) if minor.isdigit() and currency in DECIMALS else None,
        on=fact.done,
        person=people.get(fact.uid, ""),
        work=said.get("work", ""),
        number=said.get("quote", ""),
        valid_until=parse_day(said["valid-until"]) if said.get("valid-until") else None,
    )
    return replace(each, quotes=(*each.quotes, quote))


def _answered(each: Deficiency, fact: Fact, people: Mapping[str, str]) -> Deficiency:
    """A deficiency after an answer, which is of one price alone: a later price waits for an answer of its own."""
    return replace(each, quotes=tuple(_with_answer(quote, fact, people) for quote in each.quotes))


def _with_answer(quote: Quote, fact: Fact, people: Mapping[str, str]) -> Quote:
    said = fact.fields
    if said.get("quoted") != quote.record or not said.get("answer"):
        return quote
    return replace(
        quote,
        answer=said["answer"],
        answered=fact.done,
        answered_by=said.get("answered-by", ""),
        answer_person=people.get(fact.uid, ""),
        reason=said.get("reason", ""),
    )


_STEPS: dict[str, Callable[[Deficiency, Fact, Mapping[str, str]], Deficiency]] = {
    "deficiency-quoted": _quoted,
    "quote-answered": _answered,
    "remedied": _remedied,
}


def _gone(unit: str, fact: Fact) -> Away:
    said = fact.fields
    return Away(
        unit=unit,
        taken_to=said.get("taken-to", ""),
        since=fact.done,
        back_by=parse_date(said["back-by"]) if said.get("back-by") else None,
        loaner=said.get("loaner", ""),
        state=said.get("state", ""),
        reason=said.get("reason", ""),
    )


def _arrivals(latest: Iterable[Record]) -> list[Arrival]:
    """Records that came in together: of one kind, by one person, on one day. The newest first."""
    found: dict[tuple[str, str, date], list[Record]] = {}
    for record in latest:
        if record.received is not None:
            found.setdefault((record.kind, record.person, record.received.date()), []).append(record)
    made = [
        Arrival(
            kind=kind,
            person=person,
            received=max(each.received for each in some if each.received),
            count=len(some),
            units=tuple(dict.fromkeys(each.unit for each in some)),
        )
        for (kind, person, _), some in found.items()
    ]
    return sorted(made, key=lambda each: each.received, reverse=True)
