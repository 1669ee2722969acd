"""Date columns: the order of day and month for each, every cell read once, several columns of one duty folded to the latest."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from pinseal.dates import PartialDate, parse_date
from pinseal.intake.column_cells import Key, Marked, read_each, text_of
from pinseal.intake.columns import decide_order, is_tick, orders_in
from pinseal.intake.date_cells import read_date
from pinseal.intake.date_shapes import ORDER_TOKEN
from pinseal.intake.date_words import DateContext
from pinseal.intake.details import yes_or_no
from pinseal.intake.findings import Ask, Flaw, Read
from pinseal.intake.gathering import Gathering, Part, faulty, report, settled
from pinseal.intake.layout import Column
from pinseal.intake.words import plain
from pinseal.reasons import Refusal

ORDERS = ("MDY", "DMY", "YMD")
_DAY = re.compile(r"\d{1,4}[/.\-]\d{1,2}[/.\-]\d{1,4}|\d[a-z. ]+\d{4}")
_MONTH_OR_YEAR = re.compile(r"^(?:\d{1,2}[/.\- ]'?\d{2,4}|'?\d{2}|\d{4}|\d{4}[/.\-]\d{1,2}|[a-z]{3,10}[. \-/']*\d{2,4})$")


def order_of(texts: Sequence[str], context: DateContext, *, other_language: bool) -> str | None:
    """The order that one column proves by itself.

    Dots under headings that are not English are written day first (common practice, no source).
    """
    order = decide_order(orders_in(texts, context))
    if (
        order == "undecidable"
        and other_language
        and all("." in text for text in texts if _DAY.search(text) and "-" not in text and "/" not in text)
    ):
        dotted = [text for text in texts if re.fullmatch(r"\d{1,2}\.\d{1,2}\.\d{2,4}", text.strip())]
        return "DMY" if dotted and len(dotted) == len([text for text in texts if _DAY.search(text)]) else order
    return order


def gives_days(keys: Sequence[Key]) -> bool:
    """Whether at least half of a column's dates are whole days."""
    days = months = 0
    for key in keys:
        if isinstance(key, Marked):
            if key.mark.day is not None:
                days, months = (days + 1, months) if key.mark.day.day else (days, months + 1)
        elif key:
            low = plain(key)
            if _DAY.search(low):
                days += 1
            elif _MONTH_OR_YEAR.match(low):
                months += 1
        if days + months >= 4000:
            break
    return days > 0 and days >= months


def context_of(gathering: Gathering, part: Part, column: Column, order: str | None) -> DateContext:
    """What the cells of one column are read with: its own order, else the list's, else what was given or answered."""
    settled_order = order if order in ORDERS else None
    if settled_order is None and order == "undecidable" and gathering.list_order in ORDERS:
        settled_order = gathering.list_order
    if settled_order is None and order in ("undecidable", "mixed"):
        settled_order = gathering.given_order or _answered_order(gathering, part, column, order)
    if order == "mixed":
        settled_order = settled_order or "mixed"
    days = gives_days(part.keys[column.index])
    assert column.field is not None
    return DateContext(field=column.field, order=settled_order, days=days, latest_year=gathering.latest_year, as_of=gathering.as_of)


def order_question(part: Part, column: Column, order: str) -> Ask:
    """One question for the whole list where nothing decides; one for each column whose cells contradict one another."""
    token = ORDER_TOKEN if order == "undecidable" else f"{ORDER_TOKEN} {part.sheet or ''} {column.heading}"
    return Ask("", token, ORDERS, "Which comes first in the dates of this list, the day or the month? MDY, DMY or YMD.")


def _answered_order(gathering: Gathering, part: Part, column: Column, order: str) -> str | None:
    own = Ask("", f"{ORDER_TOKEN} {part.sheet or ''} {column.heading}", ORDERS, "")
    return settled(gathering, own) or settled(gathering, order_question(part, column, order))


def read_column(
    gathering: Gathering, part: Part, column: Column, context: DateContext, order: str | None
) -> tuple[list[PartialDate | None], list[PartialDate | None] | None]:
    """Read one date column: values in row order, and, where cells stay open, the latest that each can mean; questions are gathered."""
    keys = part.keys[column.index]

    def read(key: Key) -> Read[PartialDate]:
        if isinstance(key, Marked):
            fault = faulty(key)
            return _checked_day(key.mark.day) if fault is None else Read(None, fault.flaw)
        if not key or not key.strip():
            return Read()
        return _with_answer(gathering, part, column, read_date(key, context), order)

    reads = read_each(keys, read)
    report(gathering, part, column, cast("dict[Key, Read[object]]", reads))
    values = {key: found.value for key, found in reads.items()}
    open_ones = {
        key: latest for key, found in reads.items() if found.value is None and found.ask and (latest := _latest_reading(found.ask))
    }
    bounds = [values[key] or open_ones.get(key) for key in keys] if open_ones else None
    return [values[key] for key in keys], bounds


def _latest_reading(ask: Ask) -> PartialDate | None:
    """The latest of a question's readings; None where one of them gives no year."""
    readings = ask.cell_readings or ask.readings
    if not all(re.fullmatch(r"\d{4}(?:-\d{2}){0,2}", reading) for reading in readings):
        return None
    return max((parse_date(reading) for reading in readings), key=lambda when: when.latest, default=None)


def _checked_day(day: PartialDate | None) -> Read[PartialDate]:
    if day is None:
        return Read(None, Flaw("unreadable", "no date could be read"))
    if day.year <= 1900:
        return Read(None, Flaw("impossible-date", "the date is a filler"))
    return Read(day)


def _with_answer(gathering: Gathering, part: Part, column: Column, found: Read[PartialDate], order: str | None) -> Read[PartialDate]:
    if found.ask is None:
        return found
    if found.ask.token == ORDER_TOKEN:
        return replace(found, ask=replace(order_question(part, column, order or "undecidable"), cell_readings=found.ask.readings))
    given = settled(gathering, found.ask)
    if given is None:
        return found
    try:
        return Read(parse_date(given), None, found.ask)
    except Refusal:
        return Read(None, None, found.ask)


def fold_latest(columns: Sequence[Sequence[PartialDate | None]]) -> list[PartialDate | None]:
    """Several columns of one duty: the latest date of each row counts."""
    if len(columns) == 1:
        return list(columns[0])
    return [
        max((when for when in row if when is not None), key=lambda when: when.latest, default=None) for row in zip(*columns, strict=True)
    ]


def read_year_columns(gathering: Gathering, part: Part) -> tuple[str, list[PartialDate | None]] | None:
    """Columns headed by years, with ticks or dates in them: the latest year that is marked."""
    columns = [column for column in part.table.columns if column.year is not None]
    if len(columns) < 2:
        return None
    named = {column.meaning.fields[0] for column in columns if column.meaning.fields}
    field = next(iter(named)) if len(named) == 1 else None
    if field is None:
        readings = ("last_maintenance", "last_inspection", "last_hydrostatic_test", "last_internal_examination", "last_recharge", "ignore")
        ask = Ask("", "year-columns", readings, "What do the marks under the years say was done?")
        field = settled(gathering, ask)
        if field is None:
            rows = [
                number
                for place, number in enumerate(part.numbers)
                if any(text_of(part.keys[column.index][place]).strip() for column in columns)
            ]
            heading = " | ".join(column.heading for column in columns)
            gathering.questions.add(ask, sheet=part.sheet, column=heading, rows=rows, raw=heading)
    if field is None or field == "ignore":
        return None
    found = []
    for column in columns:
        keys = part.keys[column.index]
        reads = read_each(keys, lambda key, column=column: _year_mark(gathering, key, column, field))  # type: ignore[misc]
        report(gathering, part, column, cast("dict[Key, Read[object]]", reads))
        found.append([reads[key].value for key in keys])
    return field, fold_latest(found)


def _year_mark(gathering: Gathering, key: Key, column: Column, field: str) -> Read[PartialDate]:
    assert column.year is not None
    if isinstance(key, Marked) and key.mark.day is not None:
        return Read(key.mark.day)
    low = plain(text_of(key))
    if not low or yes_or_no(low) is False or not low.strip("-–. "):
        return Read()
    if is_tick(low):
        return Read(PartialDate(column.year))
    order = gathering.list_order if gathering.list_order in ORDERS else gathering.given_order
    context = DateContext(field=field, order=order, days=True, latest_year=column.year, as_of=None)
    found = read_date(low, context)
    if found.value is not None and found.value.year == column.year and found.flaw is None:
        return Read(found.value)
    return Read(PartialDate(column.year), Flaw("words-beside", "read as done in the year of the heading; the rest was not read"))
