"""What a report of a visit says, in sentences: one line, the exceptions with what to do, each unit, the months to come."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from pinseal import kinds
from pinseal.dates import PartialDate, parse_date, span_for_people
from pinseal.records.corrections import Fact
from pinseal.records.record_kinds import KINDS
from pinseal.rules.notices import moment_words
from pinseal.rules.rows import Due
from pinseal.rules.visits import RESULTS, WHAT_TO_DO, WHEREABOUTS, Counts, needs_decision
from pinseal.service.books import STAGES
from pinseal.service.day import kind_words
from pinseal.service.visits import Visit, VisitRow, unit_name
from pinseal.sheets.judgement import in_short
from pinseal.sheets.model import ACTIONS

_TOLD = (
    "not-done", "moved", "placed-in-service", "returned", "shell-exchanged", "condemned", "removed", "retagged", "part-fitted", "remedied",
    "taken-away", "brought-back", "found-deficient", "impaired", "impairment-cleared", "left", "measured",
)  # fmt: skip
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")
_NEAR_MONTHS, _NEAR_YEARS = 18, 4  # after these months the years are summed, after these years all that is left


@dataclass(frozen=True, slots=True, kw_only=True)
class Exceptional:
    """Units with the same trouble: how they were left, why, what to do and by when; `decide`: the owner has the next word.

    `by` is the first day by which something must happen for one of them; None where no rule and no record names one.
    """

    units: tuple[VisitRow, ...]
    result: str
    because: tuple[str, ...]
    todo: str
    by: date | None
    decide: bool


def one_line(counts: Counts) -> str:
    """The visit in a sentence for the owner. Every number of it is a part of a sum.

    `52 listed, 51 found, 1 missing. 49 ready; 1 missing; 2 away with a loaner in its place. 3 need a decision.`
    """
    if not counts.listed and not counts.added:
        return "No unit is listed here, and none was found."
    rest = [
        f"{counts.where[code]:,} {WHEREABOUTS[code]}" for code in ("missing", "not-done", "away", "out", "unlooked") if counts.where[code]
    ]
    walk = ", ".join([f"{counts.listed:,} listed", f"{counts.found:,} found", *rest])
    added = f"; {counts.added:,} more that {'was' if counts.added == 1 else 'were'} not listed here before" if counts.added else ""
    left = [(RESULTS[code], counts.results[code]) for code in ("ready", *(code for code in RESULTS if code != "ready"))]
    outcome = "; ".join(f"{number:,} {word}" for word, number in left if number)
    decide = (
        f" {counts.decisions:,} {'needs' if counts.decisions == 1 else 'need'} a decision."
        if counts.decisions
        else " Nothing needs a decision."
    )
    return f"{walk}{added}. {outcome[:1].upper()}{outcome[1:]}.{decide}"


def reconciled(counts: Counts) -> list[tuple[str, int]]:
    """The sums, a line each: the listed units by where they were; then all units by how they were left."""
    return [(WHEREABOUTS[code], number) for code, number in counts.where.items() if number]


def exceptions(visit: Visit) -> list[Exceptional]:
    """What is not as it should be, the gravest first. Units with the same trouble stand together, whatever their days."""
    groups: dict[object, list[VisitRow]] = {}
    for row in visit.rows:
        if row.result != "ready":
            groups.setdefault((row.result, _because(row), _late_keys(row), needs_decision(row.standing), _own_day(row)), []).append(row)
    order = list(RESULTS)
    return sorted((_together(some) for some in groups.values()), key=lambda each: (order.index(each.result), each.by or date.max))


def _together(rows: Sequence[VisitRow]) -> Exceptional:
    first = rows[0]
    late = [due for row in rows for due in _told_late(row)]
    lines = [_sentence(_late([due for due in late if _late_key(due) == key])) for key in _late_keys(first)]
    return Exceptional(
        units=tuple(rows),
        result=first.result,
        because=(*_because(first), *lines),
        todo=_todo(first),
        by=min((day for row in rows if (day := _deadline(row))), default=None),
        decide=needs_decision(first.standing),
    )


def by_words(by: date | None, last: date) -> str:
    """`by 1 Dec 2026`; a day before the end of the visit is one that was not kept."""
    return f"{'was due by' if by < last else 'by'} {PartialDate.of(by).for_people()}" if by else ""


def _todo(row: VisitRow) -> str:
    asked = [ACTIONS.get(found.action, found.action) for found in row.open if found.action]
    return " ".join(dict.fromkeys(_sentence(each) for each in asked)) if row.result == "open" and asked else WHAT_TO_DO[row.result]


def _sentence(text: str) -> str:
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '!', '?')) else '.'}"


def _deadline(row: VisitRow) -> date | None:
    days = [due.earliest for due in row.dues if due.earliest and due.state == row.result and row.result in ("overdue", "withdraw")]
    return min([*days, *(day for day in (_own_day(row),) if day)], default=None)


def _own_day(row: VisitRow) -> date | None:
    """The first day that the records of this very unit name: it is back by then, somebody is told by then, a price holds until then."""
    days = [parse_date(row.away["back-by"]).latest] if row.away and row.away.get("back-by") else []
    days += [clock.earliest.date() for found in row.impairments for clock in found.dues if clock.earliest and clock.done is None]
    days += [found.quote.valid_until for found in row.open if found.quote and found.quote.valid_until and not found.quote.answer]
    return min(days, default=None)


def _because(row: VisitRow) -> tuple[str, ...]:
    return tuple(dict.fromkeys(_sentence(line) for line in _reasons(row) if line))


def _reasons(row: VisitRow) -> Iterable[str]:
    if row.away:
        yield from _away(row)
    if row.state.removed:
        yield row.state.removed
    if not row.standing.is_seen:
        yield from (fact.fields.get("reason", "") for fact in row.facts if fact.kind == "not-done")
    if row.result == "gone":
        yield "it belongs to another site now"
    for found in row.open:
        clause = f" ({found.clause})" if found.clause else ""
        yield f"{in_short(found.words, _WRONG_MAX)}{clause}, since {found.found.for_people()}: {STAGES[found.stage]}"
    for each in row.impairments:
        yield f"impaired: {each.impairments}"
        yield from (
            f"{clock.telling.words} by {moment_words(clock.earliest)}" for clock in each.dues if clock.earliest and clock.done is None
        )
    yield from (due.because[0] for due in row.dues if due.state == "withdraw" and due.because)


def _away(row: VisitRow) -> Iterable[str]:
    away = row.away or {}
    where = kinds.AWAY_TO.get(away.get("taken-to", ""), "a place that is not said")
    reason = away.get("reason", "")
    told_below = any(found.words in reason for found in row.open)
    why = f": {in_short(reason, _WRONG_MAX)}" if reason and not told_below else ""
    yield f"taken to {where} on {parse_date(away['since']).for_people()}{why}"
    if row.standing.away == "loaner":
        yield f"{row.loaner or 'a loaner'} hangs in its place"
    if away.get("back-by"):
        yield f"to be back by {parse_date(away['back-by']).for_people()}"


_WRONG_MAX = 250  # characters of one thing that is wrong: its page of the unit holds the whole reasoning
# Which states of what a unit owes are told with it: whoever replaces a unit or looks for it need not know what else it owes.
_LATE_TOLD = {
    "overdue": ("overdue", "may be overdue"), "doubt": ("may be overdue", "unknown"),
    "open": ("overdue",), "loaned": ("overdue",), "bare": ("overdue",), "not-done": ("overdue",),
}  # fmt: skip


def _told_late(row: VisitRow) -> list[Due]:
    return [due for due in row.dues if _late_state(due) in _LATE_TOLD.get(row.result, ())]


def _late_state(due: Due) -> str:
    return "may be overdue" if due.perhaps and due.state == "overdue" else due.state


def _late_key(due: Due) -> tuple[str, str, tuple[str, ...]]:
    state = _late_state(due)
    return due.duty, state, due.missing if state == "unknown" else ()


def _late_keys(row: VisitRow) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    return tuple(_late_key(due) for due in _told_late(row))


def _late(dues: Sequence[Due]) -> str:
    """One duty in one state, of one unit or of several."""
    duty, state, missing = _late_key(dues[0])
    name = kinds.DUTIES[duty]
    if state == "unknown":
        return f"{name}: cannot be told{', missing: ' + ', '.join(missing) if missing else ''}"
    first = min(due.earliest for due in dues if due.earliest)
    last = max(due.latest for due in dues if due.latest)
    if len({(due.earliest, due.latest) for due in dues}) > 1:
        return f"{name}: {state}, the last days run from {PartialDate.of(first).for_people()} to {PartialDate.of(last).for_people()}"
    how = "is not known better than" if state == "may be overdue" else "was"
    return f"{name}: {state}, its last day {how} {span_for_people(first, last)}"


def _span(due: Due) -> str:
    return span_for_people(due.earliest, due.latest) if due.earliest and due.latest else "not known"


def done_words(facts: Sequence[Fact]) -> str:
    """What was done to a unit, each thing once, in the order of the trade's table."""
    said: dict[str, None] = {}
    order = list(KINDS)
    for fact in sorted(facts, key=lambda each: order.index(each.kind) if each.kind in KINDS else 0):
        kind = KINDS.get(fact.kind)
        if kind and (kind.work or fact.kind in _TOLD):
            said[_deed(kind.label, fact)] = None
    return ", ".join(said)


def _deed(label: str, fact: Fact) -> str:
    if fact.kind == "not-done":
        return "looked for" if fact.fields.get("missing") == "yes" else label
    if fact.fields.get("result") == "fail":
        return f"{label}: failed"
    detail = {"part-fitted": fact.fields.get("part"), "recharged": fact.fields.get("mass"), "measured": fact.fields.get("quantity")}.get(
        fact.kind
    )
    return f"{label} ({detail.replace('-', ' ')})" if detail else label


def next_words(row: VisitRow) -> tuple[str, str]:
    """The next duty and by when; both say why where there is none."""
    if row.state.removed:
        return "", ""
    if row.state.placeholder:
        return "to be seen first", ""
    due = row.next_due
    return (kinds.DUTIES[due.duty], _span(due)) if due else ("no date known", "")


def months(visit: Visit) -> list[tuple[str, str]]:
    """What comes, by month; after a year and a half by year, and the years far ahead together."""
    month_of, last = visit.asked.last.year * 12 + visit.asked.last.month, visit.asked.last.year + _NEAR_YEARS
    summed: dict[str, dict[str, int]] = {}
    for (year, month), jobs in visit.upcoming.items():
        if year * 12 + month <= month_of + _NEAR_MONTHS:
            when = f"{_MONTHS[month - 1]} {year}"
        else:
            near = year * 12 <= month_of + _NEAR_MONTHS  # some months of this year have lines of their own
            when = f"later in {year}" if near else str(year) if year <= last else f"after {last}"
        line = summed.setdefault(when, {})
        for duty, number in jobs.items():
            line[duty] = line.get(duty, 0) + number
    return [(when, ", ".join(f"{number:,} × {kinds.DUTIES[duty]}" for duty, number in jobs.items())) for when, jobs in summed.items()]


def days_words(visit: Visit) -> str:
    first, last = visit.asked.first, visit.asked.last
    return PartialDate.of(first).for_people() if first == last else span_for_people(first, last)


def visit_json(visit: Visit) -> dict[str, Any]:
    """The report as plain values: the same content as the paper. Days are ISO."""
    return {
        "site": visit.asked.site,
        "from": visit.asked.first.isoformat(),
        "to": visit.asked.last.isoformat(),
        "people": list(visit.people),
        "line": one_line(visit.counts),
        "counts": visit.counts.as_json(),
        "exceptions": [_exception_json(each) for each in exceptions(visit)],
        "upcoming": [{"month": f"{year}-{month:02d}", "duties": dict(jobs)} for (year, month), jobs in visit.upcoming.items()],
        "units": [_row_json(row) for row in visit.rows],
        "photos": [
            {"unit": each.unit, "shows": each.shows, "done": str(each.done), "person": each.person, "sha256": each.sha256}
            for each in visit.photos
        ],
        "handed_over": [{"name": each.name, "done": str(each.done), "signature": each.signature or None} for each in visit.handed],
    }


def _exception_json(each: Exceptional) -> dict[str, Any]:
    return {
        "units": [row.state.uid for row in each.units],
        "result": each.result,
        "because": list(each.because),
        "todo": each.todo,
        "by": each.by.isoformat() if each.by else None,
        "decide": each.decide,
    }


def _row_json(row: VisitRow) -> dict[str, Any]:
    due = row.next_due
    return {
        "uid": row.state.uid,
        "id": row.state.id,
        "serial": row.state.serial,
        "place": row.place or None,
        "kind": kind_words(row.state),
        "listed": row.standing.listed,
        "where": row.where,
        "was": row.was or None,
        "done": done_words(row.facts),
        "result": row.result,
        "next": {"duty": due.duty, "earliest": str(due.earliest), "latest": str(due.latest)} if due else None,
    }


def names_of(rows: Sequence[VisitRow], most: int) -> str:
    """The names of units in a line; where there are more than `most`, how many more."""
    shown = ", ".join(unit_name(row.state) for row in rows[:most])
    return f"{shown} and {len(rows) - most:,} more" if len(rows) > most else shown
