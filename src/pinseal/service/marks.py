"""Marks to print: what a job sheet did, gathered from the records, put to the rules, and handed on to be drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, TypeVar

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.records.record import FIRST, Record, seal, uuid7
from pinseal.records.registers import Paper, Person
from pinseal.records.unit import UnitState
from pinseal.rules.marks import (
    EarnedMark,
    SheetWork,
    check_complete,
    check_due,
    check_stock,
    default_stock,
    rule_of,
    signer_of,
    years_on,
)
from pinseal.rules.papers import where
from pinseal.service.workshop import drafts_of
from pinseal.sheets.ahead import Ahead
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import in_short
from pinseal.standards.marks import PRINTED, MarkForm, MarkRule, form_named
from pinseal.standards.stocks import Stock, shipped_stocks

NOT_YET_COUNTED = "its sheet is still open: the mark counts only when it is fixed to the unit and that is answered on the sheet"
_WORK_WORDS: Mapping[str, str] = {
    "maintained": "maintenance",
    "opened": "inside examined",
    "recharged": "recharge",
    "tested": "pressure test",
    "hose-tested": "hose test",
    "conductivity-tested": "hose conductivity test",
    "agent-renewed": "agent renewed",
    "expellant-cylinder-tested": "gas cylinder test",
    "regulator-tested": "regulator test",
}
_WRONG_MAX = 170  # characters of one thing that is wrong, on a red tag
# The digit of the Australian tag for a work, the highest first (trade pages, second-hand).
_LEVELS: tuple[tuple[str, str], ...] = (("tested", "4"), ("recharged", "5"), ("maintained", "2"), ("inspected", "1"))


class Kept(Protocol):
    """What a kept job sheet tells."""

    @property
    def uid(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def on_day(self) -> date: ...
    @property
    def works(self) -> tuple[str, ...]: ...
    @property
    def closed(self) -> bool: ...


AnyKept = TypeVar("AnyKept", bound=Kept)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintAsked:
    """What is to be printed: which mark of which units, and how.

    `form` None is the form that holds at the unit's site, `stock` None the first held that fits. `sheet` names the job sheet of
    a single unit; else it is the newest one. `owner` is the owner's name and address where a form asks for them.
    """

    mark: str
    units: Sequence[str]
    form: str | None = None
    stock: str | None = None
    sheet: str | None = None
    years: int | None = None
    owner: str = ""
    start: int = 1
    site: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkAsked:
    """A mark that is asked for: in which form, on which stock (None: the first held that fits), for how many years (None: the most).

    `owner` is the owner's name and address: the one that was typed, else that of the shop's address book.
    """

    mark: str
    form: str
    stock: Stock | None = None
    years: int | None = None
    owner: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedMark:
    """A mark (a key of `PRINTED`) of one sheet: `why` says why it is not printed from it; empty where it may be."""

    mark: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a mark draws on beside the sheet: the unit, the firm in the form, the next due, and how names are shown."""

    unit: UnitState
    firm: Mapping[str, str]
    packs: tuple[str, ...]
    next_due: str = ""
    name_of: Callable[[str], str] = str


def newest(sheets: Sequence[AnyKept], unit: UnitState) -> AnyKept:
    """The job sheet of a unit that is of the latest day; of one day the open one, else the one begun last. Raises `Refusal` for none."""
    if sheets:
        return max(enumerate(sheets), key=lambda each: (each[1].on_day, not each[1].closed, each[0]))[1]
    raise Refusal(
        what="this unit has no finished job sheet",
        rule="a mark is printed only from a job sheet that is finished, or finished but for its marks",
        got=f"{unit.id or unit.serial or unit.uid}: none",
        do="work the sheet (`pinseal work`, or the field page), then print",
    )


def records_ahead(ahead: Ahead, job: Job, *, at: datetime) -> list[Record]:
    """The records that closing an open sheet would make of its unit, made as from `at`. They are written nowhere."""
    drafts = [each for each in drafts_of(ahead.closed, job, person=ahead.person) if each.unit == job.unit.uid]
    return [
        seal(each, uid=uuid7(at=at, randomness=bytes(8), sequence=place), writer="not written", previous=FIRST)
        for place, each in enumerate(drafts)
    ]


def sheet_work(sheet: Kept, records: Sequence[Record], people: Sequence[Person], *, ahead_for: str = "") -> SheetWork:
    """What a sheet did, by the records that it made; or would make, where it is open and finished for a mark (`ahead_for`)."""
    own = [record for record in records if record.fields.get("sheet") == sheet.uid]
    done: dict[str, Mapping[str, str]] = {}
    for record in own:
        done[f"marked-{record.fields['mark']}" if record.kind == "marked" else record.kind] = record.fields
    parts = dict.fromkeys(record.fields["part"] for record in own if record.kind == "part-fitted" and record.fields.get("part"))
    if parts:
        done["part-fitted"] = {"part": ", ".join(parts)}
    summary = next((record for record in reversed(own) if record.kind == "worked"), None)
    name = summary.person if summary else ""
    remedied = {(each.fields.get("finding"), each.fields.get("step")) for each in own if each.kind == "remedied"}
    findings = [
        in_short(each.fields.get("words") or each.fields["finding"], _WRONG_MAX)
        for each in own
        if each.kind == "found-deficient"
        and each.fields.get("action") != "note"
        and (each.fields.get("finding"), each.fields.get("step")) not in remedied
    ]
    return SheetWork(
        uid=sheet.uid,
        closed=sheet.closed and summary is not None,
        outcome=done.get("worked", {}).get("outcome", ""),
        on=sheet.on_day,
        person_name=name,
        person=next((each for each in people if each.name and each.name.casefold() == name.casefold()), None),
        works=sheet.works,
        done=done,
        findings=tuple(dict.fromkeys(findings)),
        ahead_for=ahead_for,
    )


def earned_mark(asked: MarkAsked, work: SheetWork, shown: Shown) -> EarnedMark:
    """A mark that a sheet earned, complete, signed by one who may, on the right stock. Raises `Refusal`, and says what is missing."""
    form = form_named(asked.form)
    rule = rule_of(form, asked.mark)
    stock = stock_for(asked)
    doubts = list(check_stock(rule, stock, shipped_stocks().values()))
    check_due(asked.mark, work, shown.unit)
    years = years_on(rule, asked.years)
    paper, of_person = signer_of(rule, form, work.person, work.person_name, on=work.on, packs=shown.packs)
    values = _values(asked, work, shown, paper, rule)
    check_complete(rule, values, stock)
    doubts += [*of_person, *_unread(rule, form)]
    if not work.closed:
        doubts.insert(0, NOT_YET_COUNTED)
    return EarnedMark(
        unit=shown.unit.uid or "",
        rule=rule,
        title=PRINTED[rule.mark],
        on=work.on,
        years=tuple(range(work.on.year, work.on.year + years)),
        values=values,
        works=tuple(kind for kind in _WORK_WORDS if kind in work.done and work.done[kind].get("result") != "fail"),
        doubts=tuple(doubts),
        sheet=work.uid,
        sheet_is_open=not work.closed,
    )


def stock_for(asked: MarkAsked) -> Stock:
    """The stock that is asked for, else the first held that fits."""
    return asked.stock or default_stock(rule_of(form_named(asked.form), asked.mark), shipped_stocks().values())


def _unread(rule: MarkRule, form: MarkForm) -> list[str]:
    found = [f"not read: {rule.not_seen} ({rule.source.document})"] if rule.not_seen else []
    if rule.source.checked in ("memory", "unsure", "practice"):
        found.append(f"what stands on it rests on: {where(rule.source)}")
    return [*found, form.note] if form.note else found


def _values(asked: MarkAsked, work: SheetWork, shown: Shown, paper: Paper | None, rule: MarkRule) -> dict[str, str]:
    owner_rule = rule.asks("owner")
    site_is_enough = owner_rule is None or owner_rule.checked == "practice"
    found = {
        **{f"firm-{name}": text for name, text in shown.firm.items()},
        **unit_values(shown.unit),
        "person-name": shown.name_of(work.person_name),
        "person-licence": (paper.number or "") if paper else "",
        "licence-class": (paper.class_ or "") if paper else "",
        "month-year": f"{work.on:%b %Y}",
        "day": f"{work.on.day} {work.on:%b %Y}",
        "work": ", ".join(words for kind, words in _WORK_WORDS.items() if kind in work.done),
        "work-done": _done_words(work),
        "owner": asked.owner or (shown.unit.site or "" if site_is_enough else ""),
        "test-pressure": work.done.get("tested", {}).get("pressure", ""),
        "level": next((digit for kind, digit in _LEVELS if kind in work.done), ""),
        "impairments": "\n".join(work.findings) or work.done.get("condemned", {}).get("reason", ""),
        "next-due": shown.next_due,
    }
    return {name: text for name, text in found.items() if text}


def _done_words(work: SheetWork) -> str:
    found = [words for kind, words in _WORK_WORDS.items() if kind in work.done]
    filled = work.done.get("recharged", {})
    agent = kinds.AGENTS[filled["agent"]].label if filled.get("agent") in kinds.AGENTS else ""
    if agent or filled.get("mass"):
        found.append(" ".join(part for part in ("filled:", agent, filled.get("mass", "")) if part))
    part = work.done.get("part-fitted", {}).get("part", "")
    return "; ".join([*found, f"new part: {part}"] if part else found)


def unit_values(unit: UnitState) -> dict[str, str]:
    """The fields of a mark that the register of units gives. What is not on record is left out."""
    plate, tested = unit.nameplate, unit.dates.get("hydrostatic-test") or unit.dates.get("manufactured")
    agent = kinds.AGENTS[plate.agent].label if plate.agent else ""
    return {
        "unit-id": unit.id or unit.serial or "",
        "serial": unit.serial or "",
        "unit-type": f"{agent}{', wheeled' if plate.wheeled else ''}",
        "unit-size": str(plate.size) if plate.size else "",
        "unit-place": ", ".join(part for part in (unit.site, unit.place) if part),
        "test-year": str(tested.earliest.year) if tested and tested.earliest.year == tested.latest.year else "",
    }
