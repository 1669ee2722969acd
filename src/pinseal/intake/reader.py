"""Read a list as owners keep them: `read_register` is the door of the intake."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from types import MappingProxyType

from pinseal.dates import PartialDate
from pinseal.intake.checks import duplicate_problems
from pinseal.intake.column_cells import column_of
from pinseal.intake.columns import decide_order, orders_in
from pinseal.intake.date_columns import ORDERS
from pinseal.intake.date_words import DateContext
from pinseal.intake.files import open_book
from pinseal.intake.gathering import Gathering
from pinseal.intake.grid import Book
from pinseal.intake.headings import language_of
from pinseal.intake.kind_cells import Custom
from pinseal.intake.legends import read_legends
from pinseal.intake.list_dates import as_of, full_dates
from pinseal.intake.places import site_of_sheet, site_of_title
from pinseal.intake.plans import SheetPlan, plan_book
from pinseal.intake.questions import Questions
from pinseal.intake.register import DateOrder, NotUnit, Problem, Register, UnitColumns
from pinseal.intake.sheet_problems import sheet_problems, total_problems
from pinseal.intake.sheet_reader import SheetReader
from pinseal.intake.words import plain
from pinseal.reasons import Refusal

MATERIALISED_MAX = 50_000
NO_ANSWERS: Mapping[str, str] = MappingProxyType({})


def read_register(
    path: str | Path, answers: Mapping[str, str] = NO_ANSWERS, date_order: str | None = None, *, today: date | None = None
) -> Register:
    """Read one list: CSV, TSV or semicolons in any encoding, or XLSX.

    `answers` settle questions by id; `date_order` (MDY, DMY, YMD) is used only where a column decides nothing itself.
    `today` is the day against which dates to come are told where the list does not say when it was made.
    Raises `Refusal` for what is no register, and for an answer that is none of the readings.
    """
    if date_order is not None and date_order not in ORDERS:
        raise Refusal(
            what="this is no order of day and month", rule="the order is MDY, DMY or YMD", got=date_order, do="choose one of the three"
        )
    with _no_collecting():
        return read_book(open_book(path), answers, date_order, today=today or date.today())  # noqa: DTZ011 - the desk's own day


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Millions of small lists are made at once: the collector would walk them again and again, and find nothing."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def read_book(book: Book, answers: Mapping[str, str], date_order: str | None, *, today: date) -> Register:
    """Read an opened list. See `read_register`."""
    questions = Questions(answers)
    plans = plan_book(book, questions)
    custom = customs_of(plans)
    if custom.headings or custom.expelled or custom.codes:  # what the legend says of headings and codes may give columns another meaning
        questions = Questions(answers)
        plans = plan_book(book, questions, custom)
    gathering = Gathering(questions=questions, custom=custom, as_of=None, today=today, latest_year=today.year, given_order=date_order)
    sites = _fallback_sites(plans)
    readers = [SheetReader(gathering, plan, sites[plan.sheet.name], other_language=_other_language(plans)) for plan in plans]
    orders = _decide_orders(gathering, plans, readers)
    units = UnitColumns([columns for reader in readers for columns in reader.read()])
    return _register(book, gathering, plans, readers, units, orders)


def customs_of(plans: Sequence[SheetPlan]) -> Custom:
    """The list's own shorthand, from its legends, its notes and its cells."""
    lines = [line for plan in plans for line in plan.walk.lines]
    pairs = [pair for plan in plans for pair in plan.walk.pairs]
    kinds: dict[str, None] = {}
    hints: list[str] = []
    used: set[str] = set()
    for plan in plans:
        for table, numbers in zip(plan.tables, plan.walk.data, strict=True):
            rows = [plan.sheet.rows[number - 1] for number in numbers]
            for column in table.columns:
                if column.due or column.field not in ("agent", "size", "notes", "expelled_by", "shell", "wheeled"):
                    continue
                texts = [text for text in dict.fromkeys(column_of(rows, column.index)) if text][:5000]
                if column.field == "notes":
                    lines += [_as_definition(text) for text in texts if "=" in text or " is the " in text]
                    continue
                used |= _short_words(texts)
                if column.field in ("agent", "size"):
                    kinds |= dict.fromkeys(texts[:2000])
                    hints += column.units
    return read_legends(lines, pairs, kinds, hints, used)


def _short_words(texts: Iterable[str]) -> set[str]:
    """The short words of coded cells, which a legend may explain."""
    return {word.strip(" .:()") for text in dict.fromkeys(texts) for word in plain(text).split() if len(word) <= 6}


def _as_definition(text: str) -> str:
    head, _, rest = text.partition(" is the ")
    return f"{head} = {rest}" if rest and len(head) <= 6 else text


def _other_language(plans: Sequence[SheetPlan]) -> bool:
    headings = tuple(column.heading for plan in plans for table in plan.tables for column in table.columns)
    return language_of(headings) == "other"


def _fallback_sites(plans: Sequence[SheetPlan]) -> dict[str | None, str | None]:
    """The site of rows that stand under no section: the sheet's name, else what the sheet's or the list's title names."""
    titled = [plan for plan in plans if plan.tables or not plan.walk.pairs]  # a sheet of codes and meanings names no site
    first = next((name for plan in titled if (name := site_of_title(plan.walk.title))), None)
    found: dict[str | None, str | None] = {}
    for plan in plans:
        found[plan.sheet.name] = site_of_sheet(plan.sheet.name) or site_of_title(plan.walk.title) or first
    return found


def _decide_orders(gathering: Gathering, plans: Sequence[SheetPlan], readers: Sequence[SheetReader]) -> list[DateOrder]:
    """Each column's own order, then the list's, then the day the list was made."""
    found = [order for reader in readers for order in reader.orders()]
    proved = {order.order for order in found if order.order in ORDERS}
    dates = full_dates(line for plan in plans for line in plan.walk.lines)
    if not proved:
        said = decide_order(orders_in(dates, DateContext(latest_year=gathering.latest_year)))
        proved = {said} if said in ORDERS else set()
    if len(proved) == 1 and not any(order.order == "mixed" for order in found):
        gathering.list_order = proved.pop()
    made = as_of(dates, gathering.list_order or gathering.given_order, gathering.latest_year)
    if made is not None and made <= gathering.today:
        gathering.as_of, gathering.latest_year = made, made.year
    return found


def _list_order(gathering: Gathering, orders: Sequence[DateOrder]) -> str | None:
    kinds = {order.order for order in orders}
    proved = kinds & set(ORDERS)
    if "mixed" in kinds or len(proved) > 1:
        return "mixed"
    if gathering.list_order is not None:
        return gathering.list_order
    return "undecidable" if "undecidable" in kinds else None


def _shown_orders(gathering: Gathering, orders: Sequence[DateOrder]) -> tuple[DateOrder, ...]:
    """Columns that prove nothing take the list's order, or the one that was given."""
    return tuple(
        DateOrder(
            sheet=order.sheet,
            column=order.column,
            order=(gathering.list_order or order.order) if order.order == "undecidable" else order.order,
        )
        for order in orders
    )


def _register(
    book: Book,
    gathering: Gathering,
    plans: Sequence[SheetPlan],
    readers: Sequence[SheetReader],
    units: UnitColumns,
    orders: list[DateOrder],
) -> Register:
    headings = {
        plan.sheet.name: {column.field: column.heading for table in plan.tables for column in table.columns if column.field}
        for plan in plans
    }
    problems: list[Problem] = [*gathering.problems]
    problems += duplicate_problems(units, headings)
    for plan in plans:
        problems += sheet_problems(plan)
    problems += total_problems(plans, readers, units, problems)
    place = {plan.sheet.name: number for number, plan in enumerate(plans)}
    problems.sort(key=lambda each: (place.get(each.sheet, 0), each.row))
    others = tuple(NotUnit(sheet=plan.sheet.name, row=row, kind=kind) for plan in plans for row, kind in sorted(plan.walk.kinds))
    return Register(
        units=tuple(units) if len(units) <= MATERIALISED_MAX else units, questions=gathering.questions.asked(), problems=tuple(problems),
        not_units=others,
        date_order=_list_order(gathering, orders), date_orders=_shown_orders(gathering, orders),
        as_of=PartialDate.of(gathering.as_of) if gathering.as_of else None, form=book.form, encoding=book.encoding,
        separator=book.separator,
        unused_answers=gathering.questions.unused(),
    )  # fmt: skip
