"""Which column holds which fact, settled by the heading and, where that leaves a choice, by what the cells hold."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from pinseal.intake.date_shapes import triple_orders
from pinseal.intake.date_words import DateContext
from pinseal.intake.details import expelled_code
from pinseal.intake.findings import CELL_READ_MAX, is_absent
from pinseal.intake.heading_words import DATE_FIELDS, MORE_FIELDS
from pinseal.intake.headings import NOTHING, Meaning
from pinseal.intake.kind_cells import NO_CUSTOM, Custom, read_kind
from pinseal.intake.layout import Column
from pinseal.intake.sizes import is_rating
from pinseal.intake.words import fold, plain

SAMPLE = 200
_TICK = re.compile(r"^(?:[x✓✔√☑*]|ok|done|yes|y|si|ja|oui|j|o|pass|passed)\.?$")
_DATE_LIKE = re.compile(r"\d{1,4}[/.\-]\d{1,4}|^'?\d{2}$|(?:19|20)\d{2}|\b[a-z]{3,9}\.? ?'?\d{2}\b|^\d{5}$")
_ONE_EACH = ("id", "serial", "site", "rating", "expelled_by", "shell", "wheeled", "model", "lot", "count", "rechargeable", "hose",
"test_method",
             "recharge_opened", "cylinder_specification", "service_pressure", "water_capacity", "running", "status",
             *MORE_FIELDS)  # fmt: skip


def is_tick(text: str) -> bool:
    """Whether a cell is a mere tick."""
    return bool(_TICK.match(plain(text)))


def looks_like_date(text: str) -> bool:
    """A cheap look: whether a cell could hold a date."""
    return bool(_DATE_LIKE.search(plain(text[:CELL_READ_MAX])))


def settle(columns: Sequence[Column], samples: Sequence[Sequence[str]], custom: Custom = NO_CUSTOM) -> tuple[Column, ...]:
    """Give each column its fact. `samples` are the distinct texts of each column's cells, up to `SAMPLE`."""
    settled: list[Column] = []
    taken: dict[str, int] = {}
    for column, sample in zip(columns, samples, strict=True):
        field = _field(column, [text for text in sample if not is_absent(plain(text))], custom)
        settled.append(replace(column, field=field))
    for place, column in sorted(enumerate(settled), key=lambda pair: (-pair[1].meaning.sure, pair[0])):
        field = column.field
        if field in _ONE_EACH and not column.due:
            if field in taken:
                settled[place] = replace(column, field="place" if field == "site" else None)
            else:
                taken[field] = place
    if not any(column.field == "agent" for column in settled):
        settled = [_names_kinds(column, sample) for column, sample in zip(settled, samples, strict=True)]
    if sum(1 for column in settled if column.field == "last_maintenance" and not column.due) == 0:
        settled = [_unsure_overhaul(column) for column in settled]
    if "id" not in taken and "running" in taken:
        settled[taken["running"]] = replace(settled[taken["running"]], field="id")
    return tuple(settled)


# Headings that stand over numbers in one list and over kinds in another; the cells say which.
_UNIT_HEADINGS = ("unit", "extinguisher", "ext", "bottle", "equipment")
_NUMBER = re.compile(r"[A-Za-z]{0,4}[ -]?\d{1,6}[A-Za-z]?")


def _names_kinds(column: Column, sample: Sequence[str]) -> Column:
    """Where no heading says agent, a column whose cells nearly all name one is read as such, and that is said."""
    if column.field is None and not column.meaning.fields and column.year is None and sample and _share(sample, _names_agent) >= 0.8:
        return replace(column, field="agent", meaning=Meaning(("agent",), sure=85.0))
    return column


def _unsure_overhaul(column: Column) -> Column:
    """`Revisione` beside a column of checks is the overhaul with a look inside (common practice, no source); alone it may be either."""
    if fold(column.heading) in ("revisione", "ultima revisione", "data revisione") and not column.due:
        return replace(column, field=None, meaning=NOTHING)
    return column


def _field(column: Column, sample: list[str], custom: Custom) -> str | None:
    fields = column.meaning.fields
    if not fields or column.due:
        return fields[0] if fields else None
    first = fields[0]
    if not sample:
        return first
    if first in DATE_FIELDS and column.year is None and all(is_tick(text) for text in sample):
        return None  # a tick says that it was done, not when
    if first == "id" and custom.codes and _share(sample, lambda text: plain(text) in custom.codes) >= 0.8:
        return "agent"
    if fold(column.heading) in _UNIT_HEADINGS and all(_NUMBER.fullmatch(text) and not _has_unit(text) for text in sample):
        return "id"
    if "rating" in fields and "agent" in fields:
        return "rating" if _share(sample, is_rating) >= 0.6 and _share(sample, _names_agent) < 0.6 else "agent"
    if "agent" in fields and "expelled_by" in fields:
        return (
            "expelled_by"
            if _share(sample, partial(_says_expelled, custom=custom)) >= 0.6 and _share(sample, _names_agent) < 0.3
            else "agent"
        )
    if first == "size" and _share(sample, is_rating) >= 0.8 and not _share(sample, _has_unit):
        return "rating"
    if first == "expelled_by" and _share(sample, lambda text: bool(re.search(r"\d{2}", text))) >= 0.6:
        return "service_pressure"
    if first in DATE_FIELDS and len(fields) > 1 and _share(sample, looks_like_date) < 0.3:
        return next((field for field in fields[1:] if field not in DATE_FIELDS), first)
    return first


def _share(sample: Sequence[str], test: Callable[[str], bool]) -> float:
    return sum(1 for text in sample if test(text)) / len(sample)


def _names_agent(text: str) -> bool:
    kind = read_kind(text)
    return bool(kind.agent or kind.unsure)


def _has_unit(text: str) -> bool:
    kind = read_kind(text)
    return bool(kind.amount and kind.amount.unit)


def _says_expelled(text: str, custom: Custom) -> bool:
    return plain(text).strip(" .") in custom.expelled or expelled_code(plain(text)) is not None


def orders_in(texts: Sequence[str], context: DateContext) -> list[frozenset[str]]:
    """For each cell that needs an order of day and month, the orders it allows."""
    found = []
    for text in texts:
        low = plain(text).strip(" .,;")
        for part in [low] if triple_orders(low, context) is not None else re.split(r"[+&;,\s]+", low):
            possible = triple_orders(part, context)
            if possible:
                found.append(frozenset(possible))
    return found


def decide_order(evidence: Sequence[frozenset[str]]) -> str | None:
    """The order that a column's cells prove: MDY, DMY, YMD, `mixed`, `undecidable`, or None where no cell needs one.

    >>> decide_order([frozenset({"MDY"}), frozenset({"MDY", "DMY"})]), decide_order([frozenset({"MDY", "DMY"})])
    ('MDY', 'undecidable')
    """
    if not evidence:
        return None
    four_figures = any("YMD" not in orders for orders in evidence)
    clear = [orders - {"YMD"} if four_figures and len(orders) > 1 else orders for orders in evidence]
    votes = [next(iter(orders)) for orders in clear if len(orders) == 1]
    tally = sorted(((votes.count(order), order) for order in set(votes)), reverse=True)
    if len(tally) == 1 or (len(tally) > 1 and tally[0][0] >= 10 and sum(count for count, _ in tally[1:]) * 20 <= tally[0][0]):
        return tally[0][1]
    if len(tally) > 1:
        return "mixed"
    shared = frozenset.intersection(*clear)
    return next(iter(shared)) if len(shared) == 1 else "undecidable"
