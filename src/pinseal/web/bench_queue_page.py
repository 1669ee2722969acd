"""What waits on the bench: late first, then places that stand bare, then by the day; with the minutes and the parts that are left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.service.books import Away, SheetLine
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.sheets.parts import parts_of
from pinseal.web.bench_unit_page import minutes_left, proof_words
from pinseal.web.date_words import date_words
from pinseal.web.office_common import Sight
from pinseal.web.office_list_views import BenchPage, BenchRow
from pinseal.web.office_registers_page import away_now, away_row
from pinseal.web.office_sheet_page import day
from pinseal.web.office_work_parts import minutes_words, unit_head, works_words
from pinseal.web.pages import frame

BENCH_WORKS = frozenset({"internal-examination", "hydrostatic-test", "recharge", "agent-renewal", "hose-test", "expellant-cylinder-test"})
_LATE_FIRST = {"overdue": 0, "due": 1, "ahead": 2, "unknown": 3, "": 4}


def bench_page(seen: Sight, sheets: Mapping[str, OpenedSheet]) -> BenchPage:
    """Units at the bench and open sheets of bench work. `sheets` are the open ones, by uid."""
    lines = {line.unit: line for line in seen.books.sheets if line.is_open and BENCH_WORKS & set(line.works)}
    away = {each.unit: each for each in away_now(seen) if each.taken_to in ("bench", "van")}
    units = [*away, *(unit for unit in lines if unit not in away and seen.sees(unit))]
    shown = [(_order(seen, away.get(unit)), _row(seen, unit, away.get(unit), lines.get(unit), sheets)) for unit in units]
    rows = [row for _order_of, row in sorted(shown, key=lambda pair: pair[0])]
    work = [sheets[line.uid].work for unit, line in lines.items() if unit in units and line.uid in sheets]
    missing = Counter(part.name for each in work for part in parts_of(each) if part.is_missing)
    minutes = sum(minutes_left(each) for each in work)
    return BenchPage(
        frame=frame(seen.about, title=_("Bench"), here="/bench"),
        rows=tuple(rows),
        minutes=minutes_words(minutes) if minutes else "",
        parts=tuple(sorted(missing.items(), key=lambda pair: (-pair[1], pair[0]))),
        bare=sum(bool(row.bare) for row in rows),
    )


def _order(seen: Sight, away: Away | None) -> tuple[int, int, date]:
    if away is None:
        return _LATE_FIRST[""], 0, date.max
    row = away_row(seen, away)
    return _LATE_FIRST[row.late], 0 if row.bare else 1, away.back_by.latest if away.back_by else date.max


def _row(seen: Sight, uid: str, away: Away | None, line: SheetLine | None, sheets: Mapping[str, OpenedSheet]) -> BenchRow:
    state = seen.state(uid)
    assert state is not None, "only units that are seen are shown"
    gone = away_row(seen, away) if away else None
    work = sheets[line.uid].work if line and line.uid in sheets else None
    proof, shape, _why = proof_words(work) if work else ("", "", ())
    return BenchRow(
        unit=unit_head(state),
        works=works_words(work.job.works if work else line.works) if line else "",
        sheet_href=f"/sheets/{line.uid}/work" if line else "",
        begin_href="" if line else f"/units/{uid}/sheet",
        charge_href=f"/bench/charge/{uid}",
        bench_href=f"/bench/unit/{uid}",
        since=_since(away, line),
        back_by=gone.back_by if gone else "",
        late=gone.late if gone else "",
        note="; ".join(part for part in (gone.why, gone.note) if part) if gone else "",
        minutes=minutes_words(minutes_left(work)) if work and minutes_left(work) else "",
        proof=proof,
        proof_shape=shape,
        parts=tuple(part.name for part in parts_of(work) if part.is_missing) if work else (),
        stands_in=gone.stands_in if gone else None,
        bare=gone.bare if gone else "",
    )


def _since(away: Away | None, line: SheetLine | None) -> str:
    if away:
        return _("%(where)s since %(date)s", where=_(kinds.AWAY_TO[away.taken_to]), date=date_words(away.since))
    return _("sheet begun %(date)s", date=day(line.on)) if line else ""
