"""The account of a batch of agent: what should lie in it, what was found on the scale, and which entry does not fit where they differ.

Every weighing begins a new stretch, so a difference is looked for between two weighings and nowhere else. Whether a difference is the
scale's doing is judged as in `sums_of_mass`. What is said of an entry that may be wrong is a hint (common practice, no source), no verdict.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinseal.dates import PartialDate
from pinseal.measures import LB_KG
from pinseal.rules.sums_of_mass import Balance, judge_short

INTO = ("begun", "bought", "recovered")
OUT_OF = ("charged", "sent")
WEIGHED = "weighed"


@dataclass(frozen=True, slots=True, kw_only=True)
class AccountEntry:
    """One entry: `what` is one of `INTO`, `OUT_OF` or `WEIGHED`; `kg` is None where no mass was recorded that can be read.

    `unit` is the uid of the extinguisher that it is about, empty for the store alone.
    """

    record: str
    done: PartialDate
    what: str
    kg: Fraction | None
    unit: str = ""

    @property
    def change_kg(self) -> Fraction:
        """By how much it changes what lies there [kg]."""
        return (self.kg or Fraction(0)) * (1 if self.what in INTO else -1 if self.what in OUT_OF else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """An entry that may be the wrong one, and what would make the account close."""

    entry: AccountEntry
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """What happened between two weighings (the beginning counts as one). Masses [kg]; `balance` is None where it cannot be told: `why`."""

    since: PartialDate | None
    until: PartialDate
    record: str
    entries: tuple[AccountEntry, ...]
    book_kg: Fraction | None
    weighed_kg: Fraction
    balance: Balance | None
    suspects: tuple[Suspect, ...] = ()
    why: str = ""

    @property
    def lost_kg(self) -> Fraction | None:
        return None if self.book_kg is None else self.book_kg - self.weighed_kg


def in_order(entries: Sequence[AccountEntry]) -> list[AccountEntry]:
    """The entries by their day, then in the order in which they were written. On its day the beginning is first."""
    return sorted(entries, key=lambda each: (each.done.latest, each.done.earliest, each.what not in ("begun", "bought"), each.record))


def book_kg(entries: Sequence[AccountEntry], on: date) -> Fraction | None:
    """What should lie in a batch at the end of a day [kg]: its last weighing with what came and went since.

    None where an entry since then has no mass. Before its first entry a batch holds nothing.
    """
    found: Fraction | None = Fraction(0)
    for each in in_order(entries):
        if each.done.latest > on:
            continue
        if each.what == WEIGHED:
            found = each.kg
        else:
            found = None if found is None or each.kg is None else found + each.change_kg
    return found


def stretches(entries: Sequence[AccountEntry], *, scale_kg: Fraction | None) -> list[Stretch]:
    """The account of a batch, weighing by weighing. `scale_kg` [kg]: how far one weighing may be wrong (k = 2); None is not known."""
    found: list[Stretch] = []
    since, had, between = None, Fraction(0), []
    for each in in_order(entries):
        if each.what != WEIGHED:
            between.append(each)
        elif each.kg is not None:
            found.append(_stretch(since, had, tuple(between), each, scale_kg))
            since, had, between = each.done, each.kg, []
    return found


def _stretch(
    since: PartialDate | None, had: Fraction, between: tuple[AccountEntry, ...], weighing: AccountEntry, scale_kg: Fraction | None
) -> Stretch:
    assert weighing.kg is not None, "a stretch ends with a weighing that has a mass"
    unweighed = sum(each.kg is None for each in between)
    book = None if unweighed else had + sum((each.change_kg for each in between), Fraction(0))
    why = ""
    if unweighed:
        why = f"{unweighed} entr{'y has' if unweighed == 1 else 'ies have'} no mass"
    elif scale_kg is None:
        why = "how far the scale may be wrong is not known"
    balance = None
    if book is not None and scale_kg is not None:
        count = len(between) + 1 + (since is not None)
        balance = judge_short(short_kg=book - weighing.kg, weighings=count, scale_kg=scale_kg)
    wrong = balance is not None and balance.verdict != "pass"
    return Stretch(
        since=since,
        until=weighing.done,
        record=weighing.record,
        entries=between,
        book_kg=book,
        weighed_kg=weighing.kg,
        balance=balance,
        suspects=tuple(_suspects(between, balance)) if balance and wrong else (),
        why=why,
    )


_HINTS: tuple[tuple[Callable[[Fraction], Fraction], str], ...] = (
    (lambda kg: -kg, "it closes if this entry never happened, or was written twice"),
    (lambda kg: kg, "it closes if this happened once more and was not written down"),
    (lambda kg: kg / LB_KG - kg, "it closes if this was read in kg and written in lb"),
    (lambda kg: kg * LB_KG - kg, "it closes if this was read in lb and written in kg"),
)


def _suspects(entries: Sequence[AccountEntry], balance: Balance) -> list[Suspect]:
    """The entries that would make the account close, each changed in one usual way."""
    found = []
    for each in entries:
        if each.kg:
            sign = 1 if each.what in INTO else -1
            words = [text for change, text in _HINTS if abs(balance.short_kg + sign * change(each.kg)) <= balance.uncertainty_kg]
            found += [Suspect(entry=each, words=text) for text in words]
    return found
