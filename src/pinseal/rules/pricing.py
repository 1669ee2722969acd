"""Which price of a book is meant: the one whose conditions fit closest. Where that cannot be told, there is no price, with the reason."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal import kinds
from pinseal.records.unit import UnitState, letters_and_figures
from pinseal.rules.price_book import NAMED, SERVICES, PriceBook, PriceEntry, exact_si, thing_words

_NAMES = {
    "expelled_by": "what it is expelled by",
    "shell": "what its shell is made of",
    "wheeled": "whether it has wheels",
    "method": "how it is tested",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a price is looked for. `thing` is the part, mark or finding; `method` the test method; `agent` what it is filled with, where
    that is another one than the nameplate says."""

    service: str
    unit: UnitState | None = None
    site: str = ""
    thing: str = ""
    method: str | None = None
    agent: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPrice:
    """Why there is no price."""

    why: str


def price_of(book: PriceBook, wanted: Wanted) -> PriceEntry | NoPrice:
    """The price that fits closest: the most conditions met. Two that fit alike and differ, or one that may fit closer, are no price."""
    named = [entry for entry in book.entries if entry.service == wanted.service]
    met = [(entry, missing) for entry in named if (missing := _missing(entry, wanted)) is not None]
    sure = [entry for entry, missing in met if not missing]
    best = max((entry.conditions for entry in sure), default=-1)
    fits = [entry for entry in sure if entry.conditions == best]
    closer = [(entry, missing) for entry, missing in met if missing and entry.conditions >= best and not _same(entry, fits)]
    if closer:
        names = list(dict.fromkeys(name for _, missing in closer for name in missing))
        return NoPrice(why=f"the price turns on what is not on record: {', '.join(names)}")
    if not fits:
        return NoPrice(why=f"the price book has no price for {_words(wanted)}")
    if not all(_same(entry, fits[:1]) for entry in fits):
        return NoPrice(why=f"two prices fit alike: {', '.join(entry.id for entry in fits)}")
    return fits[0]


def _same(entry: PriceEntry, others: list[PriceEntry]) -> bool:
    return any((entry.price, entry.per) == (other.price, other.per) for other in others)


def _words(wanted: Wanted) -> str:
    words = thing_words(wanted.service, wanted.thing) if wanted.service in NAMED else SERVICES[wanted.service]
    plate = wanted.unit.nameplate if wanted.unit else None
    agent = wanted.agent or (plate.agent if plate else None)
    kind = " ".join(
        part for part in (plate.size.for_people() if plate and plate.size else "", kinds.AGENTS[agent].label if agent else "") if part
    )
    return f"{words} ({kind})" if kind else words


def _missing(entry: PriceEntry, wanted: Wanted) -> tuple[str, ...] | None:
    """The facts that must be known before the entry surely fits; None where it surely does not."""
    found: list[str] = []
    for fits in (_agent(entry, wanted), _size(entry, wanted), *_codes(entry, wanted), *_texts(entry, wanted)):
        if fits is False:
            return None
        if isinstance(fits, str):
            found.append(fits)
    return tuple(found)


def _agent(entry: PriceEntry, wanted: Wanted) -> bool | str:
    if not entry.agents:
        return True
    agent = wanted.agent or (wanted.unit.nameplate.agent if wanted.unit else None)
    return "the agent" if agent is None else agent in entry.agents


def _size(entry: PriceEntry, wanted: Wanted) -> bool | str:
    if entry.over is None and entry.up_to is None:
        return True
    size = wanted.unit.nameplate.size if wanted.unit else None
    if size is None:
        return "the size"
    bounds = [bound for bound in (entry.over, entry.up_to) if bound]
    if any(bound.dimension != size.dimension for bound in bounds):
        return False
    above = entry.over is None or exact_si(size) > exact_si(entry.over)
    return above and (entry.up_to is None or exact_si(size) <= exact_si(entry.up_to))


def _codes(entry: PriceEntry, wanted: Wanted) -> list[bool | str]:
    plate = wanted.unit.nameplate if wanted.unit else None
    wheeled = None if plate is None or plate.wheeled is None else "yes" if plate.wheeled else "no"
    known = {"expelled_by": plate and plate.expelled_by, "shell": plate and plate.shell, "wheeled": wheeled, "method": wanted.method}
    return [_NAMES[name] if not known[name] else known[name] == code for name, code in entry.codes.items()]


def _texts(entry: PriceEntry, wanted: Wanted) -> list[bool | str]:
    found: list[bool | str] = []
    for name, text in entry.texts.items():
        if name == "site":
            found.append(text == wanted.site)
        else:
            found.append(NAMED.get(wanted.service) == name and letters_and_figures(text) == letters_and_figures(wanted.thing))
    return found
