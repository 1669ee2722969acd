"""A job sheet to read and to print, and the list of the sheets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, ngettext
from pinseal.records.record import Record
from pinseal.service.books import SheetLine
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.sheets.closing import state_words
from pinseal.sheets.decision import DECISIONS
from pinseal.sheets.model import WORKS, Step
from pinseal.sheets.view import notes
from pinseal.sheets.working import Confirmed, Working
from pinseal.web.date_words import day_date
from pinseal.web.office_common import Sight
from pinseal.web.office_views import Link, PhotoForm, PhotoView, Sample, SheetPage, SheetRow, SheetsPage
from pinseal.web.office_work_parts import decided, finding_view, stages, unit_head, works_words
from pinseal.web.pages import due_row, frame, page_count, paged
from pinseal.web.views import Trouble
from pinseal.web.words import record_words

SHOWN = {"open": marked("open"), "closed": marked("closed"), "check": marked("to look at as a sample"), "all": marked("all")}
ROWS_A_PAGE = 50
# The names under which an entry keeps what was said.
_ENTRY_NAMES = (
    marked("step"), marked("answer"), marked("confirm"), marked("fix"), marked("override"), marked("extend"), marked("abandon"),
    marked("note"), marked("how"), marked("part"), marked("left"), marked("where"), marked("reason"), marked("supervisor"),
    marked("number"), marked("count"), marked("covers"), marked("sample"), marked("group"), marked("agrees"),
)  # fmt: skip
# How a sheet can end that is no decision.
_OUTCOMES = {**DECISIONS, "taken-away": marked("taken away"), "abandoned": marked("broken off"), "stays": marked("it stays as it is")}


def outcome_words(code: str) -> str:
    return _(_OUTCOMES.get(code, code.replace("-", " ")))


def day(on: date) -> str:
    return day_date(on)


def _fits(line: SheetLine, show: str) -> bool:
    return {"open": line.is_open, "closed": not line.is_open, "check": bool(line.quick) and not line.checked}.get(show, True)


def sheets_page(seen: Sight, show: str, page: int) -> SheetsPage:
    """The sheets of one kind, the newest first."""
    lines = [line for line in reversed(seen.books.sheets) if seen.sees(line.unit)]
    found = [line for line in lines if _fits(line, show)]
    page = min(page, page_count(len(found), ROWS_A_PAGE))
    links = (
        Link(text=_(words), href=f"/sheets?show={code}", on=code == show, count=sum(_fits(line, code) for line in lines))
        for code, words in SHOWN.items()
    )

    def href(*, page: int) -> str:
        return f"/sheets?show={show}&page={page}"

    return SheetsPage(
        frame=frame(seen.about, title=_("Job sheets"), here="/sheets"),
        shown=tuple(links),
        rows=tuple(sheet_row(seen, line) for line in found[(page - 1) * ROWS_A_PAGE : page * ROWS_A_PAGE]),
        paging=paged(len(found), page, href, rows_a_page=ROWS_A_PAGE),
    )


def sheet_row(seen: Sight, line: SheetLine) -> SheetRow:
    state = seen.state(line.unit)
    assert state is not None, "only sheets of units that are seen are shown"
    quick = ""
    if line.quick and not line.checked:
        quick = ngettext("%(n)s confirmation too quick to have looked", "%(n)s confirmations too quick to have looked", len(line.quick))
    return SheetRow(
        href=f"/sheets/{line.uid}",
        on=day(line.on),
        unit=unit_head(state),
        works=works_words(line.works),
        person=line.person,
        state=_("open") if line.is_open else outcome_words(line.outcome),
        is_open=line.is_open,
        entries=line.entries,
        quick=quick,
    )


def sheet_page(
    seen: Sight,
    line: SheetLine,
    sheet: OpenedSheet,
    *,
    entries: Sequence[tuple[int, str, date, Mapping[str, Any]]],
    records: Sequence[Record],
    may_work: bool,
    may_check: bool,
    photos: tuple[PhotoView, ...],
    form: PhotoForm | None,
    troubles: tuple[Trouble, ...] = (),
) -> SheetPage:
    """One sheet, open or closed, as it stands by its entries."""
    work = sheet.work
    work_href = f"/sheets/{line.uid}/work"
    return SheetPage(
        frame=frame(seen.about, title=_("Job sheet of %(unit)s", unit=unit_head(work.job.unit).name), here="/sheets"),
        uid=line.uid,
        unit=unit_head(work.job.unit),
        on=day(line.on),
        works=works_words(work.job.works),
        packs=", ".join(work.job.packs),
        person=line.person,
        state=_("open; the unit is now: %(state)s", state=_(state_words(work))) if line.is_open else outcome_words(line.outcome),
        left="" if line.is_open else line.state,
        is_open=line.is_open,
        work_href=work_href if line.is_open and may_work else "",
        cautions=tuple(map(_, work.job.type.cautions)),
        notes=(*notes(work.job), *sheet.others, *(_("Set aside: %(what)s", what=each) for each in work.set_aside)),
        dues=work.job.dues if line.is_open else (),
        stages=stages(work, work_href if line.is_open and may_work else "", leaving=line.is_open),
        findings=tuple(finding_view(work, found) for found in work.findings),
        decision=decided(work),
        samples=tuple(_sample(work, each, line, may_check) for each in work.confirmations),
        overrides=tuple(f"{_title(work, step)}: {_(gate.replace('-', ' '))}. {words}" for (gate, step), words in work.overrides.items()),
        flags=tuple(work.flags),
        records=_records(records),
        next_dues=_next(seen, line.unit) if not line.is_open else (),
        entered=tuple((number, f"{person}, {day(received)}", _entered(entry, work)) for number, person, received, entry in entries),
        photos=photos,
        photo_form=form,
        here=f"/sheets/{line.uid}",
        troubles=troubles,
    )


def _title(work: Working, code: str) -> str:
    step = work.job.step(code)
    return _(step.title) if step else code


def _sample(work: Working, each: Confirmed, line: SheetLine, may_check: bool) -> Sample:
    took = _("not timed")
    if each.seconds is not None:
        took = _("%(took)s s; a trained hand takes about %(usual)s s", took=each.seconds, usual=each.expected_seconds)
    return Sample(
        group=each.group,
        title=", ".join(_title(work, step) for step in each.steps),
        words=ngettext(
            "%(n)s item confirmed together by %(person)s: %(took)s",
            "%(n)s items confirmed together by %(person)s: %(took)s",
            len(each.steps),
            person=each.person or _("somebody not named"),
            took=took,
        ),
        quick=each.quick,
        ask=may_check and each.group in line.quick and not line.checked,
    )


def _records(records: Sequence[Record]) -> tuple[str, ...]:
    labels = Counter(record_words(each.kind) for each in records)
    return tuple(label if count == 1 else f"{label} ({count})" for label, count in labels.items())


def _next(seen: Sight, uid: str) -> tuple[Any, ...]:
    place = seen.places[uid]
    return tuple(due_row(seen.dues, due) for due in seen.dues.of_unit(place) if due.state != "unknown" or due.missing)


def _entered(entry: Mapping[str, Any], work: Working) -> str:
    """An entry as it was kept, in one line, with the words that the sheet has for its codes."""
    if "closed" in entry:
        return _("closed: %(how)s", how=outcome_words(str(entry["closed"])))
    step = work.job.step(str(entry.get("step", "")))
    parts = []
    for name, value in entry.items():
        if name in ("person", "at", "seconds", "instruments"):
            continue
        parts.append(_readings(value, step) if isinstance(value, Mapping) else f"{_(name)} {_said(name, str(value), work, step)}")
    return "; ".join(parts)


def _readings(said: Mapping[str, Any], step: Step | None) -> str:
    labels = {want.name: _(want.label) for want in step.wants} if step else {}
    return ", ".join(f"{labels.get(name, name)} {text}" for name, text in said.items())


def _said(name: str, value: str, work: Working, step: Step | None) -> str:
    """The words of a code, where the sheet has some."""
    if name == "step":
        return _title(work, value)
    if name == "answer" and step is not None:
        answer = step.answer(value)
        return _(answer.says) if answer else _(value.replace("-", " "))
    if name == "fix" and value in work.job.findings:
        return _(work.job.findings[value].title)
    return _(WORKS[value]) if value in WORKS else value
