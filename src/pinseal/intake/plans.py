"""The plan of a list before its cells are read: tables, the facts of their columns, and what each row is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pinseal.intake.agents import find_agent
from pinseal.intake.cards import Cards, is_all_cards, read_cards, read_pairs_of_rows
from pinseal.intake.columns import SAMPLE, looks_like_date, settle
from pinseal.intake.findings import Ask
from pinseal.intake.grid import Book, Sheet, tidy
from pinseal.intake.heading_words import DATE_FIELDS
from pinseal.intake.headings import Meaning
from pinseal.intake.kind_cells import NO_CUSTOM, Custom
from pinseal.intake.layout import Column, Table, find_tables
from pinseal.intake.questions import Questions
from pinseal.intake.row_kinds import Walk, walk_sheet
from pinseal.intake.words import plain
from pinseal.reasons import Refusal

_KIND_FIELDS = frozenset(("agent", "size", "serial", "rating", *DATE_FIELDS))


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPlan:
    """One sheet with its tables and its sorted rows. `borrowed` where its columns come from another sheet's heading."""

    sheet: Sheet
    tables: list[Table]
    walk: Walk
    borrowed: bool = False
    has_headings: bool = True


def samples_of(sheet: Sheet, table: Table) -> list[list[str]]:
    """For each column up to `SAMPLE` different texts, from the first rows of the table."""
    samples = []
    rows = sheet.rows[table.first - 1 : min(table.last, table.first + 5000)]
    for column in table.columns:
        texts: dict[str, None] = {}
        for row in rows:
            if column.index < len(row) and row[column.index].strip():
                texts.setdefault(row[column.index].strip())
                if len(texts) >= SAMPLE:
                    break
        samples.append(list(texts))
    return samples


def plan_book(book: Book, questions: Questions, custom: Custom = NO_CUSTOM) -> list[SheetPlan]:
    """Find the tables of every sheet. Raises `Refusal` where no sheet has a table of extinguishers."""
    if all(is_all_cards(sheet) for sheet in book.sheets if sheet.rows):
        cards = [_plan_cards(sheet) for sheet in book.sheets]
        if any(plan.tables for plan in cards):
            return cards
    found: list[tuple[Sheet, list[Table]]] = []
    for sheet in book.sheets:
        tables = []
        for table in find_tables(sheet, custom.headings):
            samples = samples_of(sheet, table)
            columns = settle(table.columns, samples, custom)
            tables.append(replace(table, columns=_asked(sheet, table, columns, samples, questions)))
        found.append((sheet, tables))
    if not any(is_unit_table(table.columns) for _, tables in found for table in tables):
        cards = [_plan_cards(sheet) for sheet in book.sheets]
        if not any(plan.tables for plan in cards):
            raise _no_register(book)
        return cards
    return [_plan(sheet, tables, found) for sheet, tables in found]


def _plan_cards(sheet: Sheet) -> SheetPlan:
    """A sheet of cards as a table. The lines of a card after its first are notes: what they say stands in the card's unit."""
    cards = read_cards(sheet)
    if cards is None:
        return SheetPlan(sheet=sheet, tables=[], walk=walk_sheet(sheet, []))
    return _plan_of(cards, has_headings=False)


def _plan_of(cards: Cards, *, has_headings: bool) -> SheetPlan:
    table = replace(cards.table, columns=settle(cards.table.columns, samples_of(cards.sheet, cards.table)))
    walk = walk_sheet(cards.sheet, [table])
    walk.kinds = [(row, "note" if row in cards.lines else kind) for row, kind in walk.kinds]
    return SheetPlan(sheet=cards.sheet, tables=[table], walk=walk, has_headings=has_headings)


def is_unit_table(columns: Sequence[Column]) -> bool:
    """Whether columns say what units are: an agent, a size, a serial, a rating or a date of work, or a number with a place."""
    fields = {column.field for column in columns if column.field and not column.due}
    return (bool(fields & _KIND_FIELDS) and len(fields) >= 2) or {"id", "place"} <= fields


def _plan(sheet: Sheet, tables: list[Table], found: list[tuple[Sheet, list[Table]]]) -> SheetPlan:
    if len(tables) == 1:
        pairs = read_pairs_of_rows(sheet, tables[0], lambda text: any(find_agent(plain(text))[:2]))
        if pairs is not None:
            return _plan_of(pairs, has_headings=True)
    if not tables and _is_dense(sheet):
        for _, others in found:
            for other in others:
                if is_unit_table(other.columns) and _fits(sheet, other.columns):
                    table = Table(top=1, bottom=0, last=len(sheet.rows), columns=other.columns)
                    return SheetPlan(sheet=sheet, tables=[table], walk=walk_sheet(sheet, [table]), borrowed=True, has_headings=False)
    return SheetPlan(sheet=sheet, tables=tables, walk=walk_sheet(sheet, tables))


def _is_dense(sheet: Sheet) -> bool:
    return sum(1 for row in sheet.rows if sum(1 for cell in row if cell.strip()) >= 3) >= 2


def _fits(sheet: Sheet, columns: Sequence[Column]) -> bool:
    """Whether most rows of a sheet with no heading name an agent in the column where another sheet has its agents."""
    place = next((column.index for column in columns if column.field == "agent"), None)
    rows = [row for row in sheet.rows if sum(1 for cell in row if cell.strip()) >= 3]
    if place is None or any(len(row) > len(columns) and any(row[len(columns) :]) for row in rows):
        return False
    named = sum(1 for row in rows if place < len(row) and any(find_agent(plain(row[place]))[:2]))
    return named * 5 >= len(rows) * 4


def _asked(sheet: Sheet, table: Table, columns: Sequence[Column], samples: list[list[str]], questions: Questions) -> tuple[Column, ...]:
    """Ask about columns whose heading says nothing though their cells hold dates."""
    result = []
    for column, sample in zip(columns, samples, strict=True):
        wanted = column.field is None and not column.due and column.year is None and tidy(column.heading)
        if wanted and not column.meaning.fields and sample and sum(map(looks_like_date, sample)) * 10 >= len(sample) * 7:
            readings = (*DATE_FIELDS, "next due", "ignore")
            ask = Ask("", f"column {column.heading}", readings, f"What do the dates under {column.heading} say?")
            given = questions.answer(ask)
            if given is None:
                questions.add(ask, sheet=sheet.name, column=column.heading, rows=[max(table.bottom, 1)], raw=column.heading)
            elif given in DATE_FIELDS:
                column = replace(column, field=given, meaning=Meaning((given,)))
        result.append(column)
    return tuple(result)


def _no_register(book: Book) -> Refusal:
    seen = []
    for sheet in book.sheets:
        for row in sheet.rows:
            cells = [tidy(cell) for cell in row if cell.strip()]
            if cells:
                name = f"sheet {sheet.name}: " if sheet.name else ""
                seen.append(name + " | ".join(cells)[:120])
                break
    return Refusal(
        what="this is not a register of extinguishers",
        rule="a register has a row of headings with at least two of: number, place, kind, size, serial, made, dates of work",
        got=f"the first rows are: {'; '.join(seen[:3])}" if seen else "no rows",
        do="add a row of headings, such as id, site, place, agent, size, manufactured, last maintenance",
    )
