"""The page on which a job sheet is begun: what is due is chosen already, and what does not apply says why."""

from __future__ import annotations

from collections.abc import Sequence

from pinseal.reasons import Refusal
from pinseal.sheets.compose import duty_words
from pinseal.web.office_common import Sight, refusal_words
from pinseal.web.office_doors import Offered, OfficeRooms
from pinseal.web.office_views import BeginPage
from pinseal.web.office_work_parts import unit_head, works_words
from pinseal.web.pages import frame
from pinseal.web.views import Choice, Trouble


def begin_page(seen: Sight, office: OfficeRooms, uid: str, *, only: Sequence[str], troubles: tuple[Trouble, ...] = ()) -> BeginPage:
    """What a new sheet of a unit can be for, of the works in `only`."""
    state = seen.state(uid)
    assert state is not None, "the unit is seen"
    head, offered, why_not = unit_head(state), Offered(works={}, due=()), ""
    try:
        offered = office.offered(uid)
    except Refusal as refused:
        why_not = refusal_words(refused)
    works = [code for code, bar in offered.works.items() if not bar and code in only]
    due = tuple(code for code in offered.due if code in works)
    return BeginPage(
        frame=frame(seen.about, title=f"Begin a job sheet of {head.name}", here="/sheets"),
        unit=head,
        here=f"/units/{uid}/sheet",
        works=tuple(Choice(value=code, label=duty_words(code), chosen=code in due) for code in works),
        cannot=tuple((duty_words(code), bar) for code, bar in offered.works.items() if bar and code in only),
        others=offered.others,
        due=f"Due now: {works_words(due)}." if due else "Nothing is due now.",
        why_not=why_not,
        troubles=troubles,
    )
