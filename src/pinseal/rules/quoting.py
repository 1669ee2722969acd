"""From pieces of work to lines with prices: which price, why, and from which record; what has no price is named, never nothing.

The same sum serves a quote (work that is planned) and the figures of an invoice (work that is on record).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from pinseal.measures import FACTORS
from pinseal.money import Money, rounded, total
from pinseal.records.unit import UnitState
from pinseal.rules.price_book import NAMED, SERVICES, PriceBook, PriceEntry, thing_words
from pinseal.rules.pricing import NoPrice, Wanted, price_of

NO_UNIT = ""
_DIMENSIONS = {"kg": "mass", "lb": "mass", "L": "volume", "gal": "volume"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """How much or how many: `exact` in kg, m3 or pieces; `text` as it was said."""

    exact: Fraction
    kind: str
    text: str


ONE = Quantity(exact=Fraction(1), kind="pieces", text="1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One piece of work that is planned or was done.

    `visit` is what inclusions hold within: work on one unit on one day. `record` is the uid of the record that it rests on, `why` says
    so in words. `told` is a price that the owner was told for it already, with `told_by`, the record of that. `quantity` None means
    that it is not known how much it is.
    """

    service: str
    visit: str
    why: str
    unit: UnitState | None = None
    record: str = ""
    thing: str = ""
    method: str | None = None
    agent: str | None = None
    quantity: Quantity | None = ONE
    told: Money | None = None
    told_by: str = ""

    @property
    def tokens(self) -> frozenset[str]:
        """How a price book can name it in what is included."""
        return frozenset({self.service, f"{self.service}:{self.thing}"} if self.thing else {self.service})


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line. `number` is its name in the paper; `included_in` the service whose price covers it, and then the amount is nothing.

    `unit`, `name`, `place` are the unit's uid, number and place (empty for travel and the minimum); `source` says which price.
    """

    number: str
    service: str
    words: str
    amount: Money
    why: str
    source: str
    record: str = ""
    unit: str = NO_UNIT
    name: str = ""
    place: str = ""
    quantity: str = "1"
    price: Money | None = None
    per: str = ""
    included_in: str = ""
    thing: str = ""

    def as_json(self) -> dict[str, Any]:
        plain = {name: getattr(self, name) for name in _LINE_TEXTS}
        return {**plain, "amount_minor": self.amount.minor, "price_minor": self.price.minor if self.price else None}


_LINE_TEXTS = (
    "number", "service", "words", "why", "source", "record", "unit", "name", "place", "quantity", "per", "included_in", "thing",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpriced:
    """Work that has no price, and why."""

    words: str
    why: str
    reason: str
    record: str = ""
    unit: str = NO_UNIT
    name: str = ""
    place: str = ""

    def as_json(self) -> dict[str, str]:
        return {name: getattr(self, name) for name in _UNPRICED_TEXTS}


_UNPRICED_TEXTS = ("words", "why", "reason", "record", "unit", "name", "place")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Lines that add up. `unpriced` is work without a price; `left_out` says in sentences what is not billed, and why."""

    currency: str
    lines: tuple[Line, ...]
    unpriced: tuple[Unpriced, ...]
    left_out: tuple[str, ...]
    tax_name: str
    tax_percent: str
    tax: Money
    book: str
    terms: tuple[str, ...]

    @property
    def subtotal(self) -> Money:
        return total((line.amount for line in self.lines), self.currency)

    @property
    def total(self) -> Money:
        return total((self.subtotal, self.tax), self.currency)

    @property
    def is_whole(self) -> bool:
        """Whether everything has a price: else the total is a part of what it will come to."""
        return not self.unpriced

    def as_json(self) -> dict[str, Any]:
        return {
            "currency": self.currency,
            "lines": [line.as_json() for line in self.lines],
            "unpriced": [each.as_json() for each in self.unpriced],
            "left_out": list(self.left_out),
            "subtotal_minor": self.subtotal.minor,
            "tax_name": self.tax_name,
            "tax_percent": self.tax_percent,
            "tax_minor": self.tax.minor,
            "total_minor": self.total.minor,
            "whole": self.is_whole,
            "book": self.book,
            "terms": list(self.terms),
        }


def read_figures(said: Mapping[str, Any]) -> Figures:
    """The inverse of `Figures.as_json`."""
    currency = said["currency"]
    lines = tuple(
        Line(
            **{name: each[name] for name in _LINE_TEXTS},
            amount=Money(each["amount_minor"], currency),
            price=None if each["price_minor"] is None else Money(each["price_minor"], currency),
        )
        for each in said["lines"]
    )
    return Figures(
        currency=currency,
        lines=lines,
        unpriced=tuple(Unpriced(**{name: each[name] for name in _UNPRICED_TEXTS}) for each in said["unpriced"]),
        left_out=tuple(said["left_out"]),
        tax_name=said["tax_name"],
        tax_percent=said["tax_percent"],
        tax=Money(said["tax_minor"], currency),
        book=said["book"],
        terms=tuple(said["terms"]),
    )


def figures(book: PriceBook, items: Sequence[Item], *, site: str, left_out: Sequence[str] = (), visit: bool = True) -> Figures:
    """The lines of some work at a site. `visit` adds travel and the minimum of a visit; without it the lines stand for themselves."""
    lines: list[Line] = []
    unpriced: list[Unpriced] = []
    covers = _covers(book, items)
    for item in items:
        if item.service in book.not_offered:
            continue
        made = _line(book, item, site, covers(item))
        (lines if isinstance(made, Line) else unpriced).append(made)  # type: ignore[arg-type]
    out = list(left_out)
    if visit and (lines or unpriced):
        out += _add_visit(book, site, lines, unpriced)
    numbered = tuple(replace(line, number=str(number)) for number, line in enumerate(lines, start=1))
    subtotal = total((line.amount for line in numbered), book.currency)
    return Figures(
        currency=book.currency,
        lines=numbered,
        unpriced=tuple(unpriced),
        left_out=tuple(out),
        tax_name=book.tax_name,
        tax_percent=str(book.tax_percent),
        tax=rounded(Fraction(subtotal.minor) * book.tax_percent / 100, book.currency, book.rounding),
        book=book_words(book),
        terms=book.terms(),
    )


def book_words(book: PriceBook) -> str:
    """How a paper names the book that it rests on."""
    return f"{book.title}, from {book.from_day.isoformat()}"


def item_words(item: Item) -> str:
    """What the work is, in a few words."""
    return thing_words(item.service, item.thing) if item.service in NAMED else SERVICES[item.service]


def _covers(book: PriceBook, items: Sequence[Item]) -> Any:
    """For an item the service of the same visit to its unit whose price includes it; empty where none does."""
    present: dict[str, set[str]] = {}
    for item in items:
        present.setdefault(item.visit, set()).add(item.service)

    def cover(item: Item) -> str:
        if item.told is not None:
            return ""  # a price that was agreed to is owed as agreed
        return next((by for by, tokens in book.includes.items() if by in present[item.visit] and item.tokens & set(tokens)), "")

    return cover


def _about(item: Item) -> dict[str, str]:
    unit = item.unit
    if unit is None:
        return {"why": item.why, "record": item.record}
    name = unit.id or unit.serial or "unit without a number"
    return {"why": item.why, "record": item.record, "unit": unit.uid or "", "name": name, "place": unit.place or ""}


def _line(book: PriceBook, item: Item, site: str, cover: str) -> Line | Unpriced:
    words, about = item_words(item), _about(item)
    quantity = item.quantity.text if item.quantity else ""
    base: dict[str, Any] = {"number": "", "service": item.service, "words": words, "quantity": quantity, "thing": item.thing} | about
    if item.told is not None:
        if item.told.currency != book.currency:
            return Unpriced(words=words, reason=f"its price was told in {item.told.currency}, the book is in {book.currency}", **about)
        source = f"the price that the owner was told (record {item.told_by})"
        return Line(**base, amount=item.told, price=item.told, per="unit", source=source)
    if cover:
        source = f"the book includes it in the price of {SERVICES[cover]}"
        return Line(**base, amount=Money(0, book.currency), source=source, included_in=SERVICES[cover])
    wanted = Wanted(service=item.service, unit=item.unit, site=site, thing=item.thing, method=item.method, agent=item.agent)
    entry = price_of(book, wanted)
    if isinstance(entry, NoPrice):
        return Unpriced(words=words, reason=entry.why, **about)
    if item.quantity is None:
        return Unpriced(words=words, reason="how much it was is not on record", **about)
    amount = _amount(book, entry, item.quantity)
    if amount is None:
        reason = f"price {entry.id} is by {entry.per}, but {item.quantity.text} is no {_DIMENSIONS.get(entry.per, 'count')}"
        return Unpriced(words=words, reason=reason, **about)
    said = f"{words}, {entry.words}" if entry.words else words
    return Line(**{**base, "words": said}, amount=amount, price=entry.price, per=entry.per, source=f"price {entry.id}")


def _amount(book: PriceBook, entry: PriceEntry, quantity: Quantity) -> Money | None:
    """Price times quantity; None where the price is by another measure."""
    dimension = _DIMENSIONS.get(entry.per, "pieces")
    if dimension != quantity.kind:
        return None
    count = quantity.exact / FACTORS[dimension][entry.per] if entry.per in _DIMENSIONS else quantity.exact
    return rounded(entry.price.minor * count, book.currency, book.rounding)


def _add_visit(book: PriceBook, site: str, lines: list[Line], unpriced: list[Unpriced]) -> Iterator[str]:
    """Add travel, and what is missing to the minimum of a visit. Yields, in a sentence, why the minimum is left open."""
    work = total((line.amount for line in lines), book.currency)
    travel = Item(service="travel", visit="travel", why="one visit to the site")
    if "travel" not in book.not_offered:
        made = _line(book, travel, site, "")
        (lines if isinstance(made, Line) else unpriced).append(made)  # type: ignore[arg-type]
    counted = total((line.amount for line in lines), book.currency) if book.minimum_counts_travel else work
    short = book.site_minimum.minor - counted.minor
    if short > 0 and unpriced:
        yield f"The minimum of a visit ({book.site_minimum}) is left open: work without a price may come to it."
    elif short > 0:
        lines.append(_minimum(book, Money(short, book.currency), counted))


def _minimum(book: PriceBook, short: Money, counted: Money) -> Line:
    return Line(
        number="",
        service="site-minimum",
        words="to the minimum of a visit",
        amount=short,
        price=short,
        per="visit",
        why=f"a visit comes to {book.site_minimum} at least, and this one to {counted}",
        source="the book's minimum",
    )


def same_work_once(items: Iterable[Item]) -> tuple[list[Item], list[str]]:
    """Work without what is there twice: one record is never billed twice, nor is one service on one unit on one day.

    Parts, marks, repairs and agent may well come several times; of these only the same record of the same thing is the same work.
    """
    kept: list[Item] = []
    left_out: list[str] = []
    records: set[tuple[str, str, str]] = set()
    services: set[tuple[str, str]] = set()
    twice: set[str] = set()
    for item in items:
        if item.record and ((item.record, item.service, item.thing) in records or item.record in twice):
            continue  # the same once more, or the agent of a filling that is on record twice
        records.add((item.record, item.service, item.thing))
        once = item.service not in (*NAMED, "agent")
        if once and (item.visit, item.service) in services:
            name = item.unit.id or item.unit.serial or item.unit.uid if item.unit else ""
            left_out.append(f"{name}: {item_words(item)} is on record twice for one day and is billed once (record {item.record}).")
            twice.add(item.record)
            continue
        services.add((item.visit, item.service))
        kept.append(item)
    return kept, left_out
