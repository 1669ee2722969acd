"""What was read out of a list, in words: questions, problems, every row raw beside read, and the known units beside it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Protocol
from urllib.parse import urlencode

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, ngettext, number
from pinseal.dates import PartialDate, parse_date
from pinseal.intake.heading_words import PLAIN_FIELDS
from pinseal.intake.questions import Question
from pinseal.intake.register import CountPart, Problem, Register, RegisterUnit
from pinseal.reasons import Refusal
from pinseal.service.taking_in import ImportPlan, Line, TakenIn, Unsure
from pinseal.units import Quantity
from pinseal.web.date_words import date_words
from pinseal.web.doors import About
from pinseal.web.pages import frame, page_count, paged
from pinseal.web.tray import Draft
from pinseal.web.views import (
    Against,
    Asking,
    Cell,
    Choice,
    Grouped,
    ImportPage,
    Moved,
    ReadingPage,
    ReadRow,
    RowsPage,
    TakenPage,
    Trouble,
)
from pinseal.web.words import agent_words, field_words, size_words

ANSWER_PREFIX = "answer-"
OPEN = "unknown"  # the reading of a question that is left open on purpose
SHOWN = {
    "all": marked("every row"),
    "problems": marked("rows with a problem"),
    "units": marked("rows that are units"),
    "other": marked("rows that are no units"),
}
SOME = 20
ROWS_A_PAGE = 50
_ROWS_NAMED = 6
_LABELS: dict[str, Mapping[str, str]] = {
    "agent": {code: agent.label for code, agent in kinds.AGENTS.items()},
    "expelled_by": kinds.EXPELLED_BY,
    "shell": kinds.SHELLS,
    "hose": kinds.HOSES,
    "test_method": kinds.TEST_METHODS,
}
# Readings that are no codes: units of size, orders of dates.
_WORDS = {
    "lb": "lb",
    "kg": "kg",
    "gal": "gal (US)",
    "l": "L",
    "MDY": marked("month, day, year"),
    "DMY": marked("day, month, year"),
    "YMD": marked("year, month, day"),
}
_ORDERS = {
    "MDY": marked("month, day, year"),
    "DMY": marked("day, month, year"),
    "YMD": marked("year, month, day"),
    "mixed": marked("mixed"),
    "undecidable": marked("cannot be told"),
}


class _Placed(Protocol):
    @property
    def sheet(self) -> str | None: ...
    @property
    def row(self) -> int: ...


def import_page(about: About, troubles: tuple[Trouble, ...], size_max: str) -> ImportPage:
    return ImportPage(frame=frame(about, title=_("Import"), here="/import"), troubles=troubles, size_max=size_max)


def reading_page(
    about: About,
    *,
    key: str,
    draft: Draft,
    register: Register,
    answers: Mapping[str, str],
    against: ImportPlan | None,
    against_trouble: str,
    troubles: tuple[Trouble, ...],
    person: str,
) -> ReadingPage:
    """The list as read, with what it asks."""
    here = f"/import/{key}"
    still = {question.id for question in register.questions} | {doubt.id for doubt in (against.uncertain if against else ())}
    numbered = [(number, question) for number, question in enumerate(draft.asked.values(), start=1)]
    return ReadingPage(
        frame=frame(about, title=draft.upload.name, here="/import"),
        troubles=troubles,
        name=draft.upload.name,
        told=_told(register, len(still)),
        here=here,
        rows_href=f"{here}/rows",
        problems_href=f"{here}/rows?show=problems",
        open=tuple(_asking(number, q, answers) for number, q in numbered if q.id in still),
        answered=tuple(_asking(number, q, answers) for number, q in numbered if q.id not in still),
        problems=tuple(_problem_groups(register.problems)),
        problem_count=len(register.problems),
        not_units=tuple(Grouped(name=kind, count=count) for kind, count in Counter(each.kind for each in register.not_units).most_common()),
        unused=tuple(each for each in register.unused_answers if each not in draft.asked),
        against=_against(against) if against else None,
        against_trouble=against_trouble,
        units=len(register.units),
        person=person,
        notes=tuple(_notes(register)),
    )


def _told(register: Register, still: int) -> str:
    parts = (
        ngettext("%(n)s unit", "%(n)s units", len(register.units)),
        ngettext("%(n)s open question", "%(n)s open questions", still),
        ngettext("%(n)s problem", "%(n)s problems", len(register.problems)),
        ngettext("%(n)s row that is no unit", "%(n)s rows that are no units", len(register.not_units)),
    )
    return " · ".join(parts)


def _notes(register: Register) -> Iterator[str]:
    """How the dates and the file itself were read."""
    orders: dict[str, list[str]] = {}
    for each in register.date_orders:
        if each.order in _ORDERS:
            orders.setdefault(each.order, []).append(f"{each.column}{f' ({each.sheet})' if each.sheet else ''}")
    for order, columns in orders.items():
        yield _("Order of dates: %(order)s, in %(columns)s.", order=_(_ORDERS[order]), columns=", ".join(dict.fromkeys(columns)))
    if register.encoding and register.separator:
        separator = _separator(register.separator)
        yield _("Text read as %(encoding)s, cells parted by %(what)s.", encoding=register.encoding, what=separator)
    elif register.encoding:
        yield _("Text read as %(encoding)s.", encoding=register.encoding)


def _separator(separator: str) -> str:
    return {"\t": _("tabs"), ",": _("commas"), ";": _("semicolons"), "|": _("bars")}.get(separator, separator)


def _asking(number: int, asked: Question | Unsure, answers: Mapping[str, str]) -> Asking:
    given = answers.get(asked.id, "")
    field = asked.field if isinstance(asked, Question) else None
    readings = [Choice(value=each, label=_reading_words(field, each), chosen=each == given) for each in asked.readings if each != OPEN]
    left = _("leave it open: it stays unknown") if isinstance(asked, Question) else _("leave it open: it is taken as a new unit")
    readings.append(Choice(value=OPEN, label=left, chosen=given == OPEN))
    known = {choice.value for choice in readings}
    return Asking(
        id=f"question-{number}",
        name=f"{ANSWER_PREFIX}{asked.id}",
        ask=asked.ask if isinstance(asked, Question) else asked.words,
        raw=asked.raw if isinstance(asked, Question) else "",
        where=_where_all(asked) if isinstance(asked, Question) else "",
        readings=tuple(readings),
        free=given if given not in known else "",
    )


def _reading_words(field: str | None, reading: str) -> str:
    """A reading in words: its label, or a date as people say it."""
    label = _LABELS.get(field or "", {}).get(reading) or _LABELS["agent"].get(reading) or _WORDS.get(reading)
    if label:
        return _(label)
    with suppress(Refusal):  # not a date: shown as it is
        return date_words(parse_date(reading))
    return _(reading)


def _where_all(question: Question) -> str:
    places = [_where_rows(question.sheet, question.column, question.rows)]
    places += [_where_rows(sheet, column, rows) for sheet, column, rows in question.also[:3]]
    rest = len(question.also) - 3
    return "; ".join([*places, *([ngettext("and %(n)s column more", "and %(n)s columns more", rest)] if rest > 0 else [])])


def _where_rows(sheet: str | None, column: str | None, rows: Sequence[int]) -> str:
    shown = ", ".join(str(row) for row in rows[:_ROWS_NAMED])
    if len(rows) > _ROWS_NAMED:
        shown = _("%(rows)s and %(n)s more", rows=shown, n=number(len(rows) - _ROWS_NAMED))
    parts = (
        _("sheet %(name)s", name=sheet) if sheet else "",
        _("column %(name)s", name=column) if column else "",
        ngettext("row %(rows)s", "rows %(rows)s", len(rows), rows=shown) if rows else "",
    )
    return ", ".join(part for part in parts if part)


def _problem_groups(problems: Sequence[Problem]) -> Iterator[Grouped]:
    groups: dict[str, list[Problem]] = {}
    for problem in problems:
        groups.setdefault(problem.kind, []).append(problem)
    for kind, found in sorted(groups.items(), key=lambda each: -len(each[1])):
        yield Grouped(name=_(kind.replace("-", " ")), count=len(found), some=tuple(_problem_words(each) for each in found[:SOME]))


def _problem_words(problem: Problem) -> str:
    raw = f" “{problem.raw}”" if problem.raw else ""
    column = f", {problem.column}" if problem.column else ""
    return f"{_where(problem)}{column}{raw}: {problem.why}"


def _where(placed: _Placed) -> str:
    return _listed_words(placed.sheet, placed.row)


def _listed_words(sheet: str | None, row: int) -> str:
    return _("%(sheet)s, row %(row)s", sheet=sheet, row=row) if sheet else _("row %(row)s", row=row)


def _against(plan: ImportPlan) -> Against:
    return Against(
        same=plan.same,
        changed=tuple(
            Moved(
                name=line.name,
                href=_href(line),
                where=_listed_at(line),
                changes=tuple(_change_words(change.fact, change.was, change.now) for change in line.changes),
            )
            for line in plan.changed[:SOME]
        ),
        changed_count=len(plan.changed),
        new=Grouped(name=_("new"), count=len(plan.new), some=tuple(f"{line.name} ({_listed_at(line)})" for line in plan.new[:SOME])),
        vanished=tuple((line.name, _href(line)) for line in plan.vanished[:SOME]),
        vanished_count=len(plan.vanished),
        placeholders=plan.placeholders,
    )


def _href(line: Line) -> str:
    return f"/units/{line.known.uid}" if line.known and line.known.uid else ""


def _listed_at(line: Line) -> str:
    state = line.listed
    return "" if state is None or state.row is None else _listed_words(state.sheet, state.row)


def _change_words(fact: str, was: str, now: str) -> tuple[str, str, str]:
    name, now_words = field_words(fact, now)
    return name, field_words(fact, was)[1] if was else "", now_words


def rows_page(about: About, key: str, name: str, register: Register, shown: str, number: int) -> RowsPage:
    """A page of the rows, in the order of the list."""
    found = _rows(register, shown)
    number = min(number, page_count(len(found), ROWS_A_PAGE))
    here = f"/import/{key}/rows"
    picked = found[(number - 1) * ROWS_A_PAGE : number * ROWS_A_PAGE]
    heads = _heads([each for _, each in picked if isinstance(each, RegisterUnit)])
    problems: dict[tuple[str | None, int], list[Problem]] = {}
    for problem in register.problems:
        problems.setdefault((problem.sheet, problem.row), []).append(problem)
    open_cells = {(q.sheet, row, q.field or "") for q in register.questions for row in q.rows}

    def href(*, page: int) -> str:
        return f"{here}?{urlencode({'show': shown, 'page': page})}"

    return RowsPage(
        frame=frame(about, title=_("%(name)s, row by row", name=name), here="/import"),
        name=name,
        back=f"/import/{key}",
        shown=tuple(Choice(value=f"{here}?show={code}", label=_(words), chosen=code == shown) for code, words in SHOWN.items()),
        heads=tuple(_(head.replace("_", " ")) for head in heads),
        rows=tuple(_read_row(outcome, each, heads, problems, open_cells) for outcome, each in picked),
        paging=paged(len(found), number, href, rows_a_page=ROWS_A_PAGE),
    )


def _rows(register: Register, shown: str) -> list[tuple[str, RegisterUnit | Problem | _Placed]]:
    """Every row once, with what became of it, in the order of the list."""
    order = _sheet_order(register)
    units = {(unit.sheet, unit.row): unit for unit in register.units}
    wrong = {(problem.sheet, problem.row): problem for problem in register.problems}
    found: list[tuple[str, RegisterUnit | Problem | _Placed]] = [("unit", unit) for unit in register.units]
    found += [("problem", problem) for place, problem in wrong.items() if place not in units]
    found += [(each.kind, each) for each in register.not_units if (each.sheet, each.row) not in wrong]
    if shown == "problems":
        found = [row for row in found if (row[1].sheet, row[1].row) in wrong]
    elif shown == "units":
        found = [row for row in found if row[0] == "unit"]
    elif shown == "other":
        found = [row for row in found if row[0] not in ("unit", "problem")]
    return sorted(found, key=lambda row: (order[row[1].sheet], row[1].row))


def _sheet_order(register: Register) -> dict[str | None, int]:
    sheets = dict.fromkeys(each.sheet for group in (register.units, register.not_units, register.problems) for each in group)
    return {sheet: number for number, sheet in enumerate(sheets)}


def _heads(units: Sequence[RegisterUnit]) -> tuple[str, ...]:
    """The facts that any of these rows says or holds, in the order of the plain headings; other columns after them."""
    said = {name for unit in units for name in PLAIN_FIELDS if getattr(unit, name) is not None}
    raw = dict.fromkeys(name for unit in units for name in unit.raw)
    return tuple(name for name in PLAIN_FIELDS if name in said or name in raw) + tuple(name for name in raw if name not in PLAIN_FIELDS)


def _read_row(
    outcome: str,
    row: RegisterUnit | Problem | _Placed,
    heads: Sequence[str],
    problems: Mapping[tuple[str | None, int], Sequence[Problem]],
    open_cells: set[tuple[str | None, int, str]],
) -> ReadRow:
    wrong = problems.get((row.sheet, row.row), ())
    told = tuple(_told_in_row(each) for each in wrong)
    if not isinstance(row, RegisterUnit):
        words = _("counted, not listed") if any(each.kind == "count-row" for each in wrong) else _(outcome.replace("-", " "))
        return ReadRow(where=_where(row), outcome=words, problems=told)
    cells = tuple(_cell(row, head, wrong, is_open=(row.sheet, row.row, head) in open_cells) for head in heads)
    return ReadRow(where=_where(row), outcome="unit", cells=cells, problems=told)


def _cell(row: RegisterUnit, head: str, wrong: Sequence[Problem], *, is_open: bool) -> Cell:
    """One fact of a row. A problem names the heading of the list, so its cell is found by that or by what stands in it."""
    raw, known = row.raw.get(head, ""), head in PLAIN_FIELDS
    read = value_words(head, getattr(row, head)) if known else ""
    is_wrong = any(each.column == head or (each.raw and each.raw.strip() == raw.strip()) for each in wrong)
    return Cell(
        name=_(head.replace("_", " ")),
        raw=raw,
        read=read,
        open=is_open,
        wrong=is_wrong,
        unread=known and bool(raw) and not (read or is_open),
    )


def _told_in_row(problem: Problem) -> str:
    raw = f"“{problem.raw}”: " if problem.raw else ""
    column = f"{problem.column}, " if problem.column and problem.column != problem.raw else ""
    return f"{column}{raw}{problem.why}{_parts_words(problem.parts)}"


def _parts_words(parts: Sequence[CountPart]) -> str:
    """What a counting row counts: `7 x 5 lb ABC dry chemical`."""
    said = []
    for part in parts:
        count = str(part.count) if part.count is not None else _(" or ").join(map(str, part.readings)) or _("some")
        size = f"{size_words(part.size)} " if part.size else ""
        said.append(f"{count} x {size}{agent_words(part.agent)}")
    return f" ({'; '.join(said)})" if said else ""


def value_words(field: str, value: object) -> str:
    """A fact as read, for people."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, PartialDate):
        return date_words(value)
    if isinstance(value, Quantity):
        return size_words(value)
    return _(_LABELS[field][str(value)]) if str(value) in _LABELS.get(field, {}) else str(value)


def taken_page(about: About, name: str, taken: TakenIn) -> TakenPage:
    """What was written."""
    counts = (
        Grouped(name=_("new units"), count=taken.new),
        Grouped(name=_("units with changes"), count=taken.changed),
        Grouped(name=_("units that are only counted"), count=taken.placeholders),
        Grouped(name=_("records"), count=taken.records),
    )
    return TakenPage(frame=frame(about, title=_("Taken in"), here="/import"), name=name, counts=counts)
