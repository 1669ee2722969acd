"""The full page of a unit, from birth to scrap: its life as a line and year by year, its next job, sheets, readings, photos."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from urllib.parse import quote

from pinseal import kinds
from pinseal.catalogue import SOURCE, language, marked, ngettext
from pinseal.catalogue import gettext as _
from pinseal.records.fold import Unit
from pinseal.records.record import Record
from pinseal.rules.leak_words import KIND_LABELS, Words
from pinseal.rules.leaks import LeakAnswer
from pinseal.service.disagreements import disagreements
from pinseal.service.workshop import due_works
from pinseal.sheets.compose import duty_words
from pinseal.web.office_common import Sight
from pinseal.web.office_deficiencies_page import deficiency_row
from pinseal.web.office_disagreements import rows_of
from pinseal.web.office_photos_page import photo_views
from pinseal.web.office_sheet_page import day, outcome_words
from pinseal.web.office_unit_views import LeakView, LifeDeed, LifeMark, LifeYear, OfficeUnitPage, OpenWrong
from pinseal.web.office_views import Link, PhotoForm
from pinseal.web.office_work_parts import works_words
from pinseal.web.unit_page import SHAPE_OF, unit_page
from pinseal.web.views import Deed, Timeline, UnitPage
from pinseal.web.words import unit_name

_ROUTINE = frozenset({"inspected", "measured"})
_TOLD = {"made": "made", "opened": "opened", "tested": "tested", "ended": "ended"}
_ROWS, _PERCENT_A_LETTER = 2, 1.05
_OTHER_SHAPES = {"found-deficient": "found", "remedied": "right", "taken-away": "away", "brought-back": "away"}


def office_unit_page(
    seen: Sight,
    unit: Unit,
    records: Sequence[Record],
    *,
    leak: LeakAnswer | None,
    system: str,
    may_work: bool,
    media: Mapping[str, str],
    form: PhotoForm | None,
    trouble: str = "",
) -> OfficeUnitPage:
    """One unit of the shop as it stands today."""
    base = unit_page(seen.about, seen.dues, unit, records, prices=seen.prices)
    uid = unit.state.uid or ""
    clocks = seen.dues.of_unit(seen.places[uid])
    works = () if unit.state.removed or unit.state.placeholder else due_works(clocks)
    lines = [line for line in reversed(seen.books.sheets) if line.unit == uid]
    loaner = next((each for each in seen.books.away if each.loaner == uid), None)
    stands_for = seen.state(loaner.unit) if loaner else None
    return OfficeUnitPage(
        frame=replace(base.frame, here="/sites"),
        base=base,
        sheet_href=f"/units/{uid}/sheet" if may_work and not unit.state.removed and not unit.state.placeholder else "",
        worth_href=f"/units/{uid}/worth" if seen.prices and not unit.state.removed and not unit.state.placeholder else "",
        share_href=f"/units/{uid}/share" if records else "",
        next_job=", ".join(_(duty_words(work)) for work in works),
        next_because=_next_because(base),
        open_sheets=tuple(
            Link(text=f"{works_words(s.works)}, {s.person}, {day(s.on)}", href=f"/sheets/{s.uid}") for s in lines if s.is_open
        ),
        sheets=tuple(Link(text=f"{day(s.on)}: {outcome_words(s.outcome)}", href=f"/sheets/{s.uid}") for s in lines if not s.is_open),
        deficiencies=tuple(_deficiencies(seen, uid)),
        stands_in=_("It stands in for %(unit)s.", unit=unit_name(stands_for)) if stands_for else "",
        stands_in_href=f"/units/{stands_for.uid}" if stands_for else "",
        marks=life_marks(base.timeline) if base.timeline else (),
        life=tuple(_life(base, records, uid)),
        leak=_leak(leak, uid, system) if leak else None,
        disagreements=rows_of(disagreements(records)),
        settle_href=f"/units/{uid}/settle",
        condemned_href=f"/units/{uid}/condemned.pdf" if unit.condemned else "",
        settle_trouble=trouble,
        photos=photo_views(records, media, uid),
        photo_form=form,
        papers=tuple(_papers(unit, uid)),
        site_href=f"/sites/{quote(unit.state.site, safe='')}" if unit.state.site else "",
        labels_href=f"/labels?unit={uid}",
    )


def _next_because(base: UnitPage) -> str:
    """The clock that comes first, where nothing is due now."""
    ahead = next((row for row in base.clocks if row.state == "ahead"), None)
    return _("Nothing is due now. Next: %(duty)s, %(by)s.", duty=ahead.duty, by=ahead.by) if ahead else _("Nothing is due now.")


def _deficiencies(seen: Sight, uid: str) -> Iterator[OpenWrong]:
    for each in seen.books.deficiencies:
        if each.unit == uid and each.is_open:
            row = deficiency_row(seen, each)
            yield OpenWrong(
                href=row.href,
                what=row.what,
                found=_("found %(date)s, %(age)s", date=row.found, age=row.age),
                forces=row.forces,
                stage=" ".join(part for part in (row.stage, row.price) if part),
                clock=row.clock,
            )


def _papers(unit: Unit, uid: str) -> Iterator[Link]:
    """The certificates that can be had: of the newest passed test and the newest maintenance of which the day is known."""
    words = {
        "tested": ("hydrostatic-test", marked("Certificate of the pressure test of %(day)s")),
        "maintained": ("maintenance", marked("Record of the maintenance of %(day)s")),
    }
    for kind, (work, text) in words.items():
        newest = next((fact for fact in reversed(unit.facts) if fact.kind == kind), None)
        if newest and newest.done.precision == "day" and newest.fields.get("result", "pass") == "pass":
            yield Link(text=_(text, day=day(newest.done.earliest)), href=f"/units/{uid}/certification.pdf?of={work}")


# -- the line


def life_marks(line: Timeline) -> tuple[LifeMark, ...]:
    """Words for the great deeds of a life, in rows, none over another; what finds no room is left to the years below."""
    ends = [-1.0] * _ROWS
    found = []
    for point in sorted((p for p in line.points if p.shape in _TOLD), key=lambda p: p.at):
        text = _short(point.label)
        wide = len(text) * _PERCENT_A_LETTER
        right = point.at + wide > 100
        start = point.at - wide if right else point.at
        row = next((row for row in range(_ROWS) if start >= ends[row]), None)
        if row is None:
            continue
        ends[row] = start + wide + 1.5
        found.append(LifeMark(text=text, at=point.at, row=row, anchor="end" if right else "start"))
    return tuple(found)


def _short(label: str) -> str:
    """The label of a deed as a single word where that is known how; only English is cut."""
    return label.removeprefix("last ").split(" and ")[0] if language() == SOURCE else label


def _life(base: UnitPage, records: Sequence[Record], uid: str) -> Iterator[LifeYear]:
    """Year by year, the latest first. Routine looks of one year stand on one line."""
    ordered = sorted(records, key=lambda r: (r.done.latest, r.done.earliest, r.uid), reverse=True)  # as `base.history` stands
    pairs = list(zip(ordered, base.history, strict=True))
    for year, some in groupby(pairs, key=lambda pair: pair[0].done.latest.year):
        yield LifeYear(year=str(year), deeds=tuple(_deeds(list(some), uid)))


def _deeds(pairs: Sequence[tuple[Record, Deed]], uid: str) -> Iterator[LifeDeed]:
    routine: dict[str, list[tuple[Record, Deed]]] = {}
    for record, deed in pairs:
        if record.kind in _ROUTINE and not deed.marks and not deed.standing and not record.fields.get("found"):
            routine.setdefault(record.kind, []).append((record, deed))
    told: set[str] = set()
    for record, deed in pairs:
        some = routine.get(record.kind, [])
        if len(some) > 1 and any(record is each for each, _ in some):
            if record.kind not in told:
                told.add(record.kind)
                yield _several(some)
            continue
        yield _deed(record, deed, uid)


def _several(some: Sequence[tuple[Record, Deed]]) -> LifeDeed:
    first, last = some[-1][1], some[0][1]
    days = tuple(f"{deed.done}, {deed.person}" + "".join(f", {fact.name} {fact.value}" for fact in deed.said[:2]) for _, deed in some)
    return LifeDeed(
        shape="yearly",
        what=ngettext("%(what)s, %(n)s time", "%(what)s, %(n)s times", len(some), what=last.what),
        when=_("%(first)s to %(last)s", first=first.done, last=last.done),
        deed=_bare(last),
        days=days,
    )


def _bare(deed: Deed) -> Deed:
    return Deed(done=deed.done, what=deed.what, said=(), person="", received="", standing="", marks=())


def _deed(record: Record, deed: Deed, uid: str) -> LifeDeed:
    shape = SHAPE_OF.get(record.kind) or _OTHER_SHAPES.get(record.kind, "other")
    photo = record.fields.get("file", "")
    return LifeDeed(shape=shape, what=deed.what, when=deed.done, deed=deed, photo=f"/units/{uid}/files/{photo}" if photo else "")


# -- the readings


def _leak(answer: LeakAnswer, uid: str, system: str) -> LeakView:
    words = Words(answer, system)
    because = tuple(words.because())
    return LeakView(
        href=f"/units/{uid}/leak.svg",
        verdict=answer.verdict,
        words=_(KIND_LABELS.get(answer.kind, answer.kind)),
        because=because,
        would_change=words.would_change(),
        told=ngettext(
            "%(n)s reading: %(what)s",
            "%(n)s readings: %(what)s",
            len(answer.series.days),
            what=because[0] if because else _(kinds.VERDICTS[answer.verdict]),
        ),
    )
