"""The page of one unit: its clocks, what is known of it, its line from birth to today, its history."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.dates import PartialDate, parse_date
from pinseal.money import DECIMALS, Money
from pinseal.records.corrections import Fact as KeptFact
from pinseal.records.fold import Unit
from pinseal.records.record import Record
from pinseal.records.record_kinds import FACT_OF_FIELD, KINDS
from pinseal.records.unit import Nameplate
from pinseal.service.duelist import DueList
from pinseal.web.date_words import date_words, day_date
from pinseal.web.doors import About
from pinseal.web.pages import due_row, frame
from pinseal.web.views import Deed, Fact, Point, Tick, Timeline, UnitPage
from pinseal.web.words import agent_words, field_words, kind_words, place_words, record_words, size_words, unit_name

_PRICE_FIELDS = ("price-minor", "currency")
_TICKS_MAX = 5
_LANES = 4  # above the line
_ON_THE_LINE = ("made", "yearly")
_APART_PERCENT = 2.5
# shape on the line: the kinds of record and the facts that are drawn with it
_SHAPES = {
    "made": (marked("made or placed"), ("manufactured", "placed-in-service", "sold-and-tagged", "shell-exchanged")),
    "opened": (
        marked("opened or recharged"),
        ("internal-examination", "opened", "recharge", "recharged", "agent-renewal", "agent-renewed"),
    ),
    "tested": (
        marked("tested"),
        (
            "hydrostatic-test", "tested", "hose-test", "hose-tested", "conductivity-test", "conductivity-tested",
            "expellant-cylinder-test", "expellant-cylinder-tested", "regulator-test", "regulator-tested",
        ),
    ),
    "yearly": (marked("inspected or maintained"), ("inspection", "inspected", "maintenance", "maintained")),
    "ended": (marked("condemned, recalled or removed"), ("condemned", "recalled", "removed")),
}  # fmt: skip
_BENCH = (
    "test_pressure", "gauge_low", "gauge_high", "charging_gas", "gross_weight", "gross_weight_low", "gross_weight_high", "empty_weight",
    "cartridge_weight", "cartridge_weight_low", "expellant_pressure", "regulator_pressure",
)  # fmt: skip
SHAPE_OF = {code: shape for shape, (_, codes) in _SHAPES.items() for code in codes}


def unit_page(about: About, dues: DueList, unit: Unit, records: Sequence[Record], *, prices: bool = True) -> UnitPage:
    """One unit of the shop on the day of the due list. Without `prices`, what the owner was quoted is left out."""
    state = unit.state
    index = next((i for i, each in enumerate(dues.states) if each.uid == state.uid), None)
    clocks = [] if index is None else dues.of_unit(index)
    return UnitPage(
        frame=frame(about, title=unit_name(state), here="/dues"),
        name=unit_name(state),
        kind=_("only counted on a list, not yet seen") if state.placeholder else kind_words(state.nameplate),
        place=place_words(state),
        standing=tuple(_standing(unit)),
        clocks=tuple(due_row(dues, due) for due in sorted(clocks, key=lambda due: list(kinds.STATES).index(due.state))),
        facts=tuple(_facts(unit)),
        timeline=timeline(unit.facts, dues.on),
        history=tuple(history_of(unit, records, prices=prices)),
        day=day_date(dues.on),
    )


def _standing(unit: Unit) -> Iterator[str]:
    """What a person must know before touching it."""
    if unit.state.removed:
        yield _("Out of the fleet: %(why)s. It owes no duty.", why=unit.state.removed)
    if unit.condemned:
        yield _("Condemned: %(why)s. The shell may never be charged again.", why=unit.condemned)
    if unit.away is not None:
        yield _("Taken away: %(where)s.", where=_away_words(unit.away))
    for title in unit.recalled:
        yield _("On a recall list: %(title)s.", title=title)


def _away_words(away: Mapping[str, str]) -> str:
    """Where it went, since when, by when it must be back."""
    where = _(kinds.AWAY_TO.get(away.get("taken-to", ""), marked("where is not said")))
    since = date_words(parse_date(away["since"]))
    if "back-by" not in away:
        return _("%(where)s, since %(date)s", where=where, date=since)
    back = date_words(parse_date(away["back-by"]))
    return _("%(where)s, since %(date)s, back by %(back)s", where=where, date=since, back=back)


def _facts(unit: Unit) -> Iterator[Fact]:
    state, plate = unit.state, unit.state.nameplate
    said: list[tuple[str, object]] = [
        ("serial", state.serial),
        ("tag", unit.tag),
        ("site", state.site),
        ("place", state.place),
        ("agent", agent_words(plate.agent)),
        ("size", plate.size and size_words(plate.size)),
        ("rating", plate.rating),
        ("expelled by", _(kinds.EXPELLED_BY.get(plate.expelled_by or "", ""))),
        ("shell", _(kinds.SHELLS.get(plate.shell or "", ""))),
        ("wheeled", _truth(plate.wheeled)),
        ("rechargeable", _truth(plate.rechargeable)),
        ("hose", _(kinds.HOSES.get(plate.hose or "", ""))),
        ("cylinder specification", plate.cylinder_specification),
        ("service pressure", plate.service_pressure),
        ("water capacity", plate.water_capacity and size_words(plate.water_capacity)),
        ("model", plate.model),
        ("lot", plate.lot),
        *_bench_facts(plate),
        ("test method", _(kinds.TEST_METHODS.get(state.test_method or "", ""))),
    ]
    since = {name: unit.identities.get(name, ()) for name in ("shell", "place", "tag")}
    for name, value in said:
        held = since.get({"serial": "shell"}.get(name, name), ())
        note = _("since %(day)s", day=date_words(held[-1].since)) if len(held) > 1 and name in ("serial", "place", "tag") else ""
        if value:
            yield Fact(name=_(name), value=str(value), note=note)


def _bench_facts(plate: Nameplate) -> Iterator[tuple[str, object]]:
    """What the bench needs of the nameplate, under the names of its fields."""
    for name in _BENCH:
        value = getattr(plate, name)
        yield name.replace("_", " "), _(kinds.GASES.get(value, value or "")) if name == "charging_gas" else value


def _truth(value: bool | None) -> str:
    return "" if value is None else _("yes") if value else _("no")


def latest_first(records: Sequence[Record]) -> list[Record]:
    return sorted(records, key=lambda r: (r.done.latest, r.done.earliest, r.uid), reverse=True)


def history_of(unit: Unit, records: Sequence[Record], *, prices: bool = False) -> Iterator[Deed]:
    """Every record, the latest deed first (`latest_first`), with how it counts after corrections."""
    counting = {fact.uid: fact for fact in unit.facts}
    named = {record.uid: record for record in records}
    for record in latest_first(records):
        received = day_date(record.received.date()) if record.received else ""
        yield Deed(
            done=date_words(record.done),
            what=record_words(record.kind),
            said=tuple(_said(record, named, prices=prices)),
            person=record.person,
            received=received,
            standing=_counts_as(record, counting),
            marks=tuple(mark.text for mark in unit.marks if mark.record == record.uid),
        )


def _said(record: Record, named: dict[str, Record], *, prices: bool) -> Iterator[Fact]:
    price = money_of(record.fields)
    for name, value in record.fields.items():
        if name == "file":  # shown among the photos
            continue
        if name.removeprefix("to-") in _PRICE_FIELDS and not prices:
            continue
        if price is not None and name in _PRICE_FIELDS:
            if name == "price-minor":
                yield Fact(name=_("price"), value=str(price))
            continue
        if name in ("corrects", "to", "deficiency", "quoted") and value in named:
            other = named[value]
            yield Fact(name=_(name), value=f"{record_words(other.kind)}, {date_words(other.done)}")
            continue
        label, shown = field_words(name, value)
        yield Fact(name=label, value=shown)


def money_of(fields: Mapping[str, str]) -> Money | None:
    """The price that a record names; None where it names none that can be read."""
    minor, currency = fields.get("price-minor", ""), fields.get("currency", "")
    readable = minor.isascii() and minor.isdigit() and len(minor) <= 12 and currency in DECIMALS
    return Money(int(minor), currency) if readable else None


def _counts_as(record: Record, counting: dict[str, KeptFact]) -> str:
    if record.kind == "corrected":
        return ""
    fact = counting.get(record.uid)
    if fact is None:
        return _("does not count: it was corrected away")
    return _("counts as corrected") if fact.corrected_by else ""


def timeline(facts: Sequence[KeptFact], today: date) -> Timeline | None:
    """The dated facts of a unit on a line from the first of them to today; None where there are none."""
    dated = sorted(
        {(code, day) for fact in facts for code, day in _dated(fact) if code in SHAPE_OF and day.earliest <= today},
        key=lambda each: (each[1].earliest, each[1].latest, each[0]),
    )
    if not dated:
        return None
    first = date(dated[0][1].earliest.year, 1, 1)
    days = max(1, (today - first).days)
    points = tuple(_in_lanes([_point(code, day, first, today, days) for code, day in dated]))
    shapes = {point.shape for point in points}
    legend = tuple((shape, _(words)) for shape, (words, _codes) in _SHAPES.items() if shape in shapes)
    told = "; ".join(f"{_label(code)} {date_words(day)}" for code, day in dated)
    return Timeline(
        points=points, ticks=_ticks(first, today, days), legend=legend, told=told, is_over=any(code == "removed" for code, _day in dated)
    )


def _dated(fact: KeptFact) -> Iterator[tuple[str, PartialDate]]:
    kind = KINDS.get(fact.kind)
    if kind is None or not kind.knowledge:
        yield fact.kind, fact.done
    for name, value in fact.fields.items():
        if name in FACT_OF_FIELD:
            yield FACT_OF_FIELD[name], parse_date(value)


def _label(code: str) -> str:
    return record_words(code) if code in KINDS else _(kinds.FACTS[code])


def _point(code: str, day: PartialDate, first: date, today: date, days: int) -> Point:
    start = 100 * (day.earliest - first).days / days
    end = 100 * (min(day.latest, today) - first).days / days
    return Point(
        shape=SHAPE_OF[code],
        lane=0,
        at=round((start + end) / 2, 2),
        start=round(start, 2),
        width=round(end - start, 2),
        label=_label(code),
    )


def _in_lanes(points: Sequence[Point]) -> Iterator[Point]:
    """The looks of every month and year lie on the line; a deed stands above it, in the lowest lane that is free there."""
    ends: list[float] = []
    for point in sorted(points, key=lambda p: p.at):
        if point.shape in _ON_THE_LINE:
            yield point
            continue
        lane = next((lane for lane, end in enumerate(ends) if point.at - end >= _APART_PERCENT), min(len(ends), _LANES - 1))
        ends[lane : lane + 1] = [point.at]
        yield replace(point, lane=lane + 1)


def _ticks(first: date, today: date, days: int) -> tuple[Tick, ...]:
    step = max(1, -(-(today.year - first.year) // _TICKS_MAX))
    years = range(first.year, today.year + 1, step)
    return tuple(Tick(at=round(100 * (date(year, 1, 1) - first).days / days, 2), label=str(year)) for year in years)
