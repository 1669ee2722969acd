"""A shop's price book: what it asks for each service, by type of unit, size range and site, and the terms on which it adds up.

Nothing is taken for granted: every term (what is included in what, what goes along, minimum, rounding, tax) must be said in the book.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from pinseal import kinds
from pinseal.dates import parse_day
from pinseal.measures import FACTORS
from pinseal.money import ROUNDINGS, Money, check_currency, parse_amount
from pinseal.reasons import Refusal
from pinseal.standards.strict import Place
from pinseal.units import Quantity, parse_quantity

# What can be asked a price for. A price is for one unit unless `per` says a mass, a volume or a piece.
SERVICES: Mapping[str, str] = {
    **{code: label for code, label in kinds.DUTIES.items() if code != "retirement"},
    "recharge": "recharge",
    "agent": "agent",
    "part": "part",
    "mark": "mark",
    "repair": "repair",
    "new-unit": "new unit in its place",
    "travel": "travel",
}
MASSES, VOLUMES = ("kg", "lb"), ("L", "gal")
# A service that is of no single unit's work, but of a thing that the price must name.
NAMED: Mapping[str, str] = {"part": "part", "mark": "mark", "repair": "finding"}
_CODES: Mapping[str, tuple[str, ...]] = {
    "expelled_by": tuple(kinds.EXPELLED_BY),
    "shell": tuple(kinds.SHELLS),
    "wheeled": tuple(kinds.YES_NO),
    "method": tuple(kinds.TEST_METHODS),
}
_TEXTS = ("site", "part", "mark", "finding")
ENTRY_KEYS = ("id", "service", "agent", *_CODES, "over", "up_to", *_TEXTS, "per", "price", "words")
TERM_KEYS = (
    "title", "from", "currency", "rounding", "tax_name", "tax_percent", "site_minimum", "minimum_counts_travel", "includes", "goes_with",
    "not_offered", "agent_new_percent", "agent_put_back_billed", "failed_tests_billed", "margin_percent",
)  # fmt: skip
_TEXT_MAX = 200
ENTRIES_MAX = 5_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceEntry:
    """One price. `agents` empty is any agent; `codes` and `texts` are further conditions by name; `over` and `up_to` bound the size."""

    id: str
    service: str
    price: Money
    per: str
    words: str
    agents: frozenset[str] = frozenset()
    codes: Mapping[str, str] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    over: Quantity | None = None
    up_to: Quantity | None = None

    @property
    def conditions(self) -> int:
        """How many conditions it has: the more, the closer it fits."""
        return bool(self.agents) + len(self.codes) + len(self.texts) + bool(self.over or self.up_to)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook:
    """A price book. Percentages are exact fractions of a hundred."""

    title: str
    from_day: date
    currency: str
    rounding: str
    tax_name: str
    tax_percent: Fraction
    site_minimum: Money
    minimum_counts_travel: bool
    includes: Mapping[str, tuple[str, ...]]
    goes_with: Mapping[str, tuple[str, ...]]
    not_offered: tuple[str, ...]
    agent_new_percent: Fraction
    agent_put_back_billed: bool
    failed_tests_billed: bool
    margin_percent: Fraction
    entries: tuple[PriceEntry, ...]

    def terms(self) -> tuple[str, ...]:
        """The terms in sentences, as they stand at the end of every paper."""
        return tuple(_terms(self))


def parse_toml(text: str, *, name: str) -> dict[str, Any]:
    """A price book as it is written, in plain values. Raises `Refusal`."""
    try:
        said: dict[str, Any] = _plain(tomllib.loads(text))
        return said
    except tomllib.TOMLDecodeError as mistake:
        raise Refusal(
            what=f"{name}: not readable as TOML", rule="a price book is valid TOML", got=str(mistake), do="correct the line"
        ) from None


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_plain(each) for each in value]
    return value.isoformat() if isinstance(value, date) else value


def read_book(said: Mapping[str, Any], *, name: str) -> PriceBook:
    """A price book from plain values: the terms, and `price`, a list of entries. Raises `Refusal` that names the file and the entry."""
    place = Place(name, kind="price")
    place.keys(said, {*TERM_KEYS, "price"})
    for key in TERM_KEYS:
        if key not in said:
            raise place.refuse(
                f"{key} is not said", rule="every term of a price book is said, none is taken for granted", got="nothing", do=f"add {key}"
            )
    currency = check_currency(place.text(said, "currency"))
    entries = tuple(_placed_entry(each, number, currency, name) for number, each in enumerate(place.tables(said, "price"), start=1))
    _check_entries(entries, place)
    includes, goes_with = (_table(place, said, key) for key in ("includes", "goes_with"))
    _check_no_circle(place, includes)
    return PriceBook(
        title=_short(place, said, "title"),
        from_day=parse_day(place.text(said, "from")),
        currency=currency,
        rounding=place.code(said["rounding"], ROUNDINGS, what="rounding"),
        tax_name=_short(place, said, "tax_name"),
        tax_percent=_percent(place, said, "tax_percent"),
        site_minimum=parse_amount(place.text(said, "site_minimum"), currency),
        minimum_counts_travel=place.flag(said, "minimum_counts_travel"),
        includes=includes,
        goes_with=goes_with,
        not_offered=place.codes(said, "not_offered", SERVICES, what="service"),
        agent_new_percent=_percent(place, said, "agent_new_percent"),
        agent_put_back_billed=place.flag(said, "agent_put_back_billed"),
        failed_tests_billed=place.flag(said, "failed_tests_billed"),
        margin_percent=_percent(place, said, "margin_percent"),
        entries=entries,
    )


def _short(place: Place, table: Mapping[str, Any], key: str) -> str:
    text = place.text(table, key).strip()
    if len(text) > _TEXT_MAX:
        raise place.refuse(f"{key} is too long", rule=f"at most {_TEXT_MAX} characters", got=f"{len(text)} characters", do="shorten it")
    return text


def _percent(place: Place, table: Mapping[str, Any], key: str) -> Fraction:
    """A percentage in quotes, read exactly: "8.25"."""
    text = place.text(table, key).strip()
    plain = text.replace(".", "", 1)
    if not (plain.isascii() and plain.isdigit()) or len(text) > 12 or Fraction(text) > 100:
        raise place.refuse(f"{key} is no percentage", rule='a number from 0 to 100 in quotes, as in "8.25"', got=text, do="write it so")
    return Fraction(text)


def _table(place: Place, said: Mapping[str, Any], key: str) -> dict[str, tuple[str, ...]]:
    """Services by a service: `maintenance = ["inspection", "mark:tag", "part:seal"]`."""
    table = said[key]
    if not isinstance(table, dict):
        raise place.refuse(f"{key} is no table", rule=f"{key} names services by a service", got=table, do=f"write [{key}]")
    for service in table:
        place.code(service, SERVICES, what="service")
    return {service: tuple(_token(place, each) for each in place.texts(table, service)) for service in table}


def _token(place: Place, text: str) -> str:
    """A service, or one thing of it: `part:seal`, `mark:tag`."""
    service, colon, thing = text.partition(":")
    place.code(service, SERVICES, what="service")
    if colon and (service not in NAMED or not thing.strip()):
        raise place.refuse("this is no service", rule="after the colon stands a part, a mark or a finding", got=text, do="write part:seal")
    return text


def _check_no_circle(place: Place, includes: Mapping[str, tuple[str, ...]]) -> None:
    """Of two services that include each other none would ever be paid."""

    def reach(service: str, path: tuple[str, ...]) -> None:
        if service in path:
            raise place.refuse(
                "services include each other",
                rule="one of them must be paid for",
                got=" includes ".join((*path, service)),
                do="take one out",
            )
        for each in includes.get(service, ()):
            reach(each.partition(":")[0], (*path, service))

    for service in includes:
        reach(service, ())


def _placed_entry(said: Mapping[str, Any], number: int, currency: str, name: str) -> PriceEntry:
    """An entry. A refusal of its amount or its size names the entry too: a book has many."""
    try:
        return _entry(said, number, currency, name)
    except Refusal as refused:
        if refused.what.startswith(name):
            raise
        what = f"{name}, price {said.get('id') or number}: {refused.what}"
        raise Refusal(what=what, rule=refused.rule, got=refused.got, do=refused.do) from refused


def _entry(said: Mapping[str, Any], number: int, currency: str, name: str) -> PriceEntry:
    place = Place(name, str(said.get("id") or number), kind="price")
    place.keys(said, set(ENTRY_KEYS))
    service = place.code(said.get("service"), SERVICES, what="service")
    texts = {key: _short(place, said, key) for key in _TEXTS if said.get(key)}
    _check_named(place, service, texts)
    entry = PriceEntry(
        id=_short(place, said, "id"),
        service=service,
        price=parse_amount(place.text(said, "price"), currency),
        per=_per(place, service, said),
        words=place.text(said, "words", ""),
        agents=frozenset(_agents(place, said)),
        codes={key: place.code(said[key], codes, what=key.replace("_", " ")) for key, codes in _CODES.items() if said.get(key)},
        texts=texts,
        over=parse_quantity(said["over"]) if said.get("over") else None,
        up_to=parse_quantity(said["up_to"]) if said.get("up_to") else None,
    )
    _check_sizes(place, entry)
    return entry


def _check_named(place: Place, service: str, texts: Mapping[str, str]) -> None:
    wanted = NAMED.get(service)
    for key in NAMED.values():
        if (key == wanted) != (key in texts):
            rule = f"a price for {service} names its {wanted}" if key == wanted else f"only a price for {key} names one"
            raise place.refuse(f"{key} does not fit", rule=rule, got=texts.get(key, "nothing"), do="correct the entry")
    if "mark" in texts:
        place.code(texts["mark"], kinds.MARKS, what="mark")


def _per(place: Place, service: str, said: Mapping[str, Any]) -> str:
    if service == "agent":
        return place.code(said.get("per"), (*MASSES, *VOLUMES), what="measure for agent")
    usual = {"part": "piece", "mark": "piece", "travel": "visit"}.get(service, "unit")
    return place.code(said.get("per") or usual, (usual,), what=f"measure for {service}")


def _agents(place: Place, said: Mapping[str, Any]) -> Iterable[str]:
    """Agents by code or group; several stand in a list, or behind one another with spaces."""
    given = said.get("agent") or []
    for word in given.split() if isinstance(given, str) else place.texts(said, "agent"):
        code = place.code(word, (*kinds.AGENTS, *kinds.AGENT_GROUPS), what="agent")
        yield from kinds.AGENT_GROUPS.get(code, (code,))


def _check_sizes(place: Place, entry: PriceEntry) -> None:
    low, high = entry.over, entry.up_to
    if low and high and (low.dimension != high.dimension or exact_si(low) >= exact_si(high)):
        rule = "over is less than up_to, both masses or both volumes"
        raise place.refuse("no size lies between these", rule=rule, got=f"over {low}, up to {high}", do="correct the sizes")


def _check_entries(entries: tuple[PriceEntry, ...], place: Place) -> None:
    if len(entries) > ENTRIES_MAX:
        raise place.refuse("too many prices", rule=f"at most {ENTRIES_MAX}", got=len(entries), do="leave out what is not used")
    seen: set[str] = set()
    for entry in entries:
        if entry.id in seen:
            raise place.refuse("two prices have one id", rule="each price has an id of its own", got=entry.id, do="rename one")
        seen.add(entry.id)


def exact_si(quantity: Quantity) -> Fraction:
    """A printed quantity in kg or m3, exactly: 10 lb is 10 lb, however it is compared."""
    unit = {"l": "L", "ml": "mL"}.get(quantity.unit, quantity.unit)
    return Fraction(str(quantity.value)) * FACTORS["mass" if quantity.dimension == "kg" else "volume"][unit]


def token_words(token: str) -> str:
    """A service, or one thing of it, as people say it."""
    service, _, thing = token.partition(":")
    return thing_words(service, thing) if thing else SERVICES[service]


def thing_words(service: str, thing: str) -> str:
    """A part, a mark, or the finding that a repair puts right, as people say it."""
    if service == "mark":
        return kinds.MARKS.get(thing, thing)
    return f"{SERVICES[service]}: {thing.replace('-', ' ')}"


def percent_words(percent: Fraction) -> str:
    """`8.25`, without zeros at its end."""
    return f"{float(percent):.6f}".rstrip("0").rstrip(".")


def _terms(book: PriceBook) -> Iterable[str]:
    for service, tokens in book.includes.items():
        if tokens:
            yield f"The price of {SERVICES[service]} includes: {', '.join(map(token_words, tokens))}."
    for service, tokens in book.goes_with.items():
        if tokens:
            yield f"Where {SERVICES[service]} is planned, this is planned with it: {', '.join(map(token_words, tokens))}."
    if book.not_offered:
        yield f"Not in these figures, because the shop asks no price for it: {', '.join(SERVICES[each] for each in book.not_offered)}."
    yield f"For a planned recharge {percent_words(book.agent_new_percent)} % of the charge on the nameplate is taken as new agent."
    yield f"Agent that went back into its unit is {'billed like new agent' if book.agent_put_back_billed else 'not billed'}."
    yield f"A test that was failed is {'billed like one that was passed' if book.failed_tests_billed else 'not billed'}."
    if book.site_minimum.minor:
        counted = "with travel" if book.minimum_counts_travel else "without travel"
        yield f"A visit comes to {book.site_minimum} at least, {counted}, before {book.tax_name}."
    yield f"What is priced by mass or volume, and {book.tax_name}, is rounded {ROUNDINGS[book.rounding]}; nothing else needs rounding."
