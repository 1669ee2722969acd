"""How lists, dues and units are said on a terminal. Colour only helps: every state is a word as well."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

import click

from pinseal import kinds
from pinseal.cli.options import say
from pinseal.dates import PartialDate, span_for_people

_COLOURS = {"withdraw": "red", "overdue": "red", "may be overdue": "yellow", "due": "yellow", "ahead": "green", "unknown": "cyan"}
_STATE_WIDTH = max(len(s) for s in kinds.STATES) + 2
_DUE_WIDTH = len("30 Sep 2026 to 30 Sep 2028")


def day_words(day: date | None) -> str:
    return PartialDate.of(day).for_people() if day else ""


def duty_label(duty: str) -> str:
    return kinds.DUTIES[duty]


def state_words(state: str) -> str:
    return click.style(f"{state:<{_STATE_WIDTH}}", fg=_COLOURS.get(state), bold=state in ("withdraw", "overdue"))


def short(text: str, length: int = 72) -> str:
    """A text on one line, cut where it is long."""
    plain = " ".join(text.split())
    return plain if len(plain) <= length else f"{plain[: length - 1].rstrip()}…"


def unit_words(state: Any) -> str:
    """A unit in one phrase: its number, serial, what it is, and where it belongs."""
    numbers = " / ".join(dict.fromkeys(n for n in (state.id, state.serial) if n)) or (
        f"row {state.row}" if state.row else state.uid or "unit"
    )
    size = f"{state.nameplate.size.for_people()} " if state.nameplate.size else ""
    place = short(", ".join(p for p in (state.site, state.place) if p))
    return f"{short(numbers)}  {size}{kinds.agent_label(state.nameplate.agent)}" + (f"  ({place})" if place else "")


def due_words(row: Any) -> str:
    if row.earliest is None or row.latest is None:
        return "no date"
    return span_for_people(row.earliest, row.latest)


def counted(number: int, noun: str) -> str:
    """`1 unit`, `2 units`."""
    return f"{number} {noun}" + ("" if number == 1 else "s")


def say_summary(found: Any) -> None:
    """What was asked, of how many, by which documents, and the count of each state."""
    summary = found.summary()
    packs = ", ".join(f"{c.pack.id} {c.edition}" for c in found.chosen)
    if not found.states:
        say(f"No units are here yet: `pinseal import` takes a list in, `pinseal record registered` a single unit. (By {packs}.)")
        say()
        return
    say(f"{counted(summary['units'], 'unit')}, {counted(summary['rows'], 'due')} on {day_words(found.on)}, by {packs}")
    states = ", ".join(f"{name} {count}" for name, count in summary["states"].items() if count)
    removed = f"; {summary['removed']} removed from the fleet owe nothing" if summary["removed"] else ""
    say(f"{states}{removed}")
    if found.open_questions:
        asks = counted(found.open_questions, "question")
        say(f"{asks} of the list not answered, so some dates are wide; `pinseal read` shows what is asked.")
    if found.unused_answers:
        say(f"Answers to nothing that this list asks: {', '.join(found.unused_answers)}")
    say()


def say_due(row: Any, state: Any, *, whole: bool = False, also: Sequence[Any] = ()) -> None:
    """One due: state, date, duty, unit; then the reasons (all of them, or the first three)."""
    say(f"{state_words(row.state)}{due_words(row):<{_DUE_WIDTH}} {duty_label(row.duty):<24} {unit_words(state)}")
    indent = " " * _STATE_WIDTH
    for other in also:
        say(f"{indent}{'':<{_DUE_WIDTH}} {'':<24} {unit_words(other)}")
    if row.not_before:
        say(f"{indent}Counts from {day_words(row.not_before)}.")
    if row.perhaps:
        say(f"{indent}Only if it is owed at all: see what is missing.")
    for reason in row.because if whole else row.because[:3]:
        say(f"{indent}{reason}")
    if row.binds == "refill":
        say(f"{indent}A charged cylinder may stay until it is emptied; it may not be filled or topped up after that day.")
    if row.missing:
        say(f"{indent}Missing: {', '.join(row.missing)}.")
    if row.withdrawn and row.duty != "retirement":
        say(f"{indent}This unit is to be withdrawn.")
    say()


def say_urgent(found: Any, count: int) -> None:
    """The most urgent dues. Rows that differ in nothing but the unit are told once, with the other units named."""
    told: dict[tuple[Any, ...], list[Any]] = {}
    for row in found.urgent(count):
        told.setdefault((row.state, row.duty, row.earliest, row.latest, row.because), []).append(row)
    for rows in told.values():
        say_due(rows[0], found.states[rows[0].index], also=[found.states[row.index] for row in rows[1:]])


def say_what_would_help(found: Any, count: int) -> None:
    """Where nameplate facts are missing on most rows shown, say how to assume them for a first look."""
    vague = [name for name in ("shell", "expelled by") if any(name in row.missing for row in found.urgent(count))]
    if vague:
        names = " and ".join(vague)
        say(f"For a first look, {names} can be assumed: --assume shell=mild-steel,expelled-by=stored-pressure. Every row then says so.")


def say_unit(state: Any) -> None:
    """What is known of one unit."""
    say(unit_words(state))
    plate = state.nameplate
    facts = [kinds.EXPELLED_BY.get(plate.expelled_by or ""), kinds.SHELLS.get(plate.shell or ""), kinds.HOSES.get(plate.hose or "")]
    facts += [
        "wheeled" if plate.wheeled else None,
        "nonrechargeable" if plate.rechargeable is False else None,
        plate.cylinder_specification,
        plate.rating,
    ]
    if any(facts):
        say("  " + ", ".join(f for f in facts if f))
    for fact, day in state.dates.items():
        if fact != "recharge-maybe-opened":
            say(f"  {kinds.FACTS[fact]}: {day.for_people()}")
    if state.removed:
        say(f"  removed: {state.removed}")
    say()


def say_register(register: Any) -> None:
    """What a list gave: counts, the questions, the problems."""
    removed = sum(1 for p in register.problems if p.kind == "removed")
    say(f"{counted(len(register.units), 'unit')} read" + (f", {removed} of them removed" if removed else ""))
    others = Counter(n.kind for n in register.not_units)
    if others:
        say("Other rows: " + ", ".join(f"{count} {kind}" for kind, count in others.most_common()))
    if register.date_order:
        say(f"Order of dates: {register.date_order}")
    say()
    _say_problems(register.problems)
    if register.unused_answers:
        say(f"Answers to nothing that this list asks: {', '.join(register.unused_answers)}")
        say()
    if not register.questions:
        say("Nothing to ask.")
        return
    say(f"{counted(len(register.questions), 'question')}. Answer each with --answer ID=READING, or in a file with --answers FILE:")
    for question in register.questions:
        where = f"{question.sheet}, " if question.sheet else ""
        rows = ", ".join(str(r) for r in question.rows[:5]) + (" …" if len(question.rows) > 5 else "")
        say(f"  {question.id}")
        say(f"    {question.ask}")
        says = f"the cell says “{short(question.raw)}”; it can be: {', '.join(question.readings)}"
        say(f"    {where}column {question.column}, rows {rows}; {says}")


def _say_problems(problems: Sequence[Any]) -> None:
    by_kind: dict[str, list[Any]] = defaultdict(list)
    for problem in problems:
        by_kind[problem.kind].append(problem)
    for kind, found in by_kind.items():
        say(f"{kind}: {len(found)}")
        for problem in found[:3]:
            where = f"{problem.sheet} row {problem.row}" if problem.sheet else f"row {problem.row}"
            say(f"  {where}: “{short(problem.raw)}” {problem.why}")
        if len(found) > 3:
            say(f"  and {len(found) - 3} more (--json shows all)")
    if problems:
        say()


def say_forecast(jobs: Iterable[Any], on: date) -> None:
    """Jobs a year, by duty, in columns."""
    counts: dict[int, Counter[str]] = defaultdict(Counter)
    for job in jobs:
        counts[job.on.year][job.duty] += 1
    duties = [d for d in kinds.DUTIES if any(c[d] for c in counts.values())]
    if not duties:
        say(f"No dated job lies ahead of {day_words(on)}.")
        return
    say("year  " + "  ".join(duty_label(d) for d in duties))
    for year in sorted(counts):
        say(f"{year}  " + "  ".join(f"{counts[year][d]:>{len(duty_label(d))}}" for d in duties))
