"""The shape of a rule pack: editions, provisions, clocks. Values only; reading and checking is in `load`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from pinseal import kinds
from pinseal.reasons import Citation

EFFECTS = {
    "clock": "a duty with a date",
    "exempt": "the document says that this unit does not owe this duty",
    "gap": "the document owes an answer that this pack does not hold, so the duty is unknown",
    "withdraw": "the unit may not be in use",
}

CONVENTIONS = {
    "anniversary": "the same day, that many months or years later (29 February becomes 28 February)",
    "end-of-month": "the last day of the month that many months or years later",
    "end-of-year": "31 December of the year that many years later",
    "days": "that many days later",
}

# attribute of `applies`: the codes that it may take
ATTRIBUTES: dict[str, tuple[str, ...]] = {
    "agent": tuple(kinds.AGENTS),
    "expelled_by": tuple(kinds.EXPELLED_BY),
    "shell": tuple(kinds.SHELLS),
    "wheeled": ("yes", "no"),
    "rechargeable": ("yes", "no"),
    "hose": tuple(kinds.HOSES),
    "specification": kinds.CYLINDER_SPECIFICATIONS,
    "water_capacity": tuple(kinds.WATER_CAPACITIES),
    "test_method": tuple(kinds.TEST_METHODS),
}

ATTRIBUTE_LABELS = {
    "agent": "agent",
    "expelled_by": "expelled by",
    "shell": "shell",
    "wheeled": "wheeled",
    "rechargeable": "rechargeable",
    "hose": "hose",
    "specification": "cylinder specification",
    "water_capacity": "water capacity",
    "test_method": "test method",
}


@dataclass(frozen=True, slots=True)
class Interval:
    """An interval as printed: a count and `day`, `month` or `year`.

    >>> str(Interval(12, "year")), Interval(1, "year").months
    ('12 years', 12)
    """

    count: int
    unit: str

    @property
    def months(self) -> int:
        """The interval in months; only for months and years."""
        return self.count * (12 if self.unit == "year" else 1)

    def __str__(self) -> str:
        return f"{self.count} {self.unit}" + ("" if self.count == 1 else "s")


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """The fact that a clock is first counted from.

    `within` sets the start aside when it lies later than that after `within_of` (a unit sold long after manufacture).
    `year_only_next_january` is California's reading of a label that shows only a year.
    """

    fact: str
    interval: Interval
    convention: str
    within: Interval | None = None
    within_of: str | None = None
    year_only_next_january: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """How the last permitted day of a duty is counted.

    `first` holds the starts for a unit on which the duty was never done: of several, `pick` takes the first one known
    (`first-known`) or the one that falls due earliest (`earliest`). `after` holds the facts that restart the clock; from
    the latest of them the `interval` runs. `tolerance_months` widens both ways: work counts from that much before, and
    the last permitted day is that much later. `join` names a duty of the same calendar year that this one is done with.
    """

    first: tuple[Start, ...]
    pick: str
    after: tuple[str, ...]
    interval: Interval | None
    convention: str
    tolerance_months: int = 0
    join: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Provision:
    """One rule of one document. `applies` maps an attribute to the codes it fits; an attribute left out fits all."""

    pack: str
    id: str
    title: str
    duty: str
    effect: str
    clause: str
    editions: tuple[str, ...]
    in_force_from: date
    in_force_to: date | None
    checked: str
    checked_on: date
    by: str
    applies: Mapping[str, frozenset[str]]
    clock: Clock | None = None
    made_before: date | None = None
    withdraw_by: date | None = None
    at_next: tuple[str, ...] = ()
    binds: str | None = None
    note: str = ""
    source: str = ""
    file: str = ""

    @property
    def governs(self) -> bool:
        """A provision that was only vaguely remembered is shown, and never governs."""
        return self.checked != "unsure"

    def in_force(self, on: date) -> bool:
        return self.in_force_from <= on and (self.in_force_to is None or on <= self.in_force_to)


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """One edition of a document that the pack holds. The last one listed is the newest held."""

    id: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A set of provisions of one document, with the editions held and what is not held."""

    id: str
    title: str
    document: str
    jurisdiction: str
    editions: tuple[Edition, ...]
    provisions: tuple[Provision, ...]
    notes: tuple[str, ...] = ()

    @property
    def newest(self) -> str:
        return self.editions[-1].id


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A pack at one edition: what a shop works by."""

    pack: Pack
    edition: str

    @property
    def provisions(self) -> tuple[Provision, ...]:
        return tuple(p for p in self.pack.provisions if self.edition in p.editions)

    def cite(self, provision: Provision) -> Citation:
        return Citation(
            pack=self.pack.id,
            provision=provision.id,
            document=self.pack.document,
            edition=self.edition,
            clause=provision.clause,
            checked=provision.checked,
        )
