"""Today in the office: what is late, what stands open, who is away, which sheets wait, and what came in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from pinseal.catalogue import ngettext
from pinseal.service.books import Arrival
from pinseal.service.disagreements import Disagreement
from pinseal.service.impairments import Impairment
from pinseal.web.notice_page import impairment_row, seen_impairments
from pinseal.web.office_common import Sight
from pinseal.web.office_deficiencies_page import deficiency_row, open_deficiencies
from pinseal.web.office_disagreements import disagreement_row
from pinseal.web.office_list_views import ArrivalRow, OfficeTodayPage
from pinseal.web.office_registers_page import away_now, away_row
from pinseal.web.office_sheet_page import day, sheet_row
from pinseal.web.office_visit_page import visits_of
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import today_page
from pinseal.web.words import record_words

_SHOWN, _ARRIVALS, _UNITS = 5, 8, 3
_LATELY = timedelta(days=14)


def office_today_page(seen: Sight, found: Sequence[Disagreement], impaired: Sequence[Impairment]) -> OfficeTodayPage:
    """The day as this person may see it."""
    base = today_page(seen.about, seen.dues)
    out_of_order = seen_impairments(seen, impaired)
    wrong, away = open_deficiencies(seen), away_now(seen)
    lines = [line for line in reversed(seen.books.sheets) if seen.sees(line.unit)]
    sheets = [line for line in lines if line.is_open]
    check = [line for line in lines if line.quick and not line.checked and not line.is_open]
    disputed = [(each, state) for each in found if (state := seen.state(each.unit)) is not None]
    return OfficeTodayPage(
        frame=base.frame,
        base=base,
        deficiencies=tuple(deficiency_row(seen, each) for each in wrong[:_SHOWN]),
        deficiency_count=len(wrong),
        impairments=tuple(impairment_row(seen, each) for each in out_of_order[:_SHOWN]),
        impairment_count=len(out_of_order),
        away=tuple(away_row(seen, each) for each in away[:_SHOWN]),
        away_count=len(away),
        sheets=tuple(sheet_row(seen, line) for line in sheets[:_SHOWN]),
        sheet_count=len(sheets),
        to_check=tuple(sheet_row(seen, line) for line in check[:_SHOWN]),
        check_count=len(check),
        disagreements=tuple(disagreement_row(each, unit_head(state)) for each, state in disputed[:_SHOWN]),
        disagreement_count=len(disputed),
        arrivals=tuple(row for each in seen.books.arrivals if (row := _arrival(seen, each)))[:_ARRIVALS],
        visits=visits_of(seen, since=seen.about.today - _LATELY, most=_SHOWN),
    )


def _arrival(seen: Sight, each: Arrival) -> ArrivalRow | None:
    """What came in together; None where it is about no unit that is seen."""
    states = [state for uid in each.units if (state := seen.state(uid)) is not None]
    if not states:
        return None
    label = record_words(each.kind)
    return ArrivalRow(
        what=ngettext("%(what)s: %(n)s unit", "%(what)s: %(n)s units", len(states), what=label) if len(states) > 1 else label,
        when=day(each.received.date()),
        who=each.person,
        units=tuple(unit_head(state) for state in states[:_UNITS]),
        more=max(0, len(states) - _UNITS),
    )
