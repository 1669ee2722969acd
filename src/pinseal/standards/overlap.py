"""Refuse a pack that gives one unit two values for the same duty at the same time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import combinations

from pinseal.reasons import Refusal
from pinseal.standards.model import Provision


def _same_time(a: Provision, b: Provision) -> bool:
    a_end, b_end = a.in_force_to or date.max, b.in_force_to or date.max
    return a.in_force_from <= b_end and b.in_force_from <= a_end and not set(a.editions).isdisjoint(b.editions)


def _same_unit(a: Provision, b: Provision) -> bool:
    return all(not codes.isdisjoint(b.applies[attribute]) for attribute, codes in a.applies.items() if attribute in b.applies)


def overlaps(a: Provision, b: Provision) -> bool:
    """Do two provisions of one pack give one unit two values? A unit may have several reasons to be withdrawn."""
    return a.duty == b.duty and a.duty != "retirement" and a.governs == b.governs and _same_time(a, b) and _same_unit(a, b)


def refuse_overlaps(provisions: Sequence[Provision]) -> None:
    """Raise `Refusal` for the first pair with the same id, or that overlaps."""
    for a, b in combinations(provisions, 2):
        if a.id == b.id:
            raise Refusal(
                what=f"{b.file}, provision {b.id}: the id is used twice", rule="ids are unique in a pack", got=a.file, do="rename one"
            )
        if overlaps(a, b):
            raise Refusal(
                what=f"{b.file}, provision {b.id}: two values for the same duty of the same unit",
                rule="within a pack one unit has one value for a duty at a time",
                got=f"{a.id} ({a.file}) also applies",
                do="narrow `applies`, `editions` or the days in force of one of them",
            )
