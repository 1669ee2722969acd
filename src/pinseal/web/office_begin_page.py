"""The page on which a job sheet is begun: what is due is chosen already, and what does not apply says why."""

from __future__ import annotations

from collections.abc import Sequence

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.sheets.compose import duty_words
from pinseal.web.office_common import Sight
from pinseal.web.office_doors import Offered, OfficeRooms
from pinseal.web.office_views import BeginPage
from pinseal.web.office_work_parts import unit_head, works_words
from pinseal.web.pages import frame
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Choice, Trouble


def begin_page(seen: Sight, office: OfficeRooms, uid: str, *, only: Sequence[str], troubles: tuple[Trouble, ...] = ()) -> BeginPage:
    """What a new sheet of a unit can be for, of the works in `only`."""
    state = seen.state(uid)
    assert state is not None, "the unit is seen"
    head, offered, why_not = unit_head(state), Offered(works={}, due=()), ""
    try:
        offered = office.offered(uid)
    except Refusal as refused:
        why_not = in_sentences(refused)
    works = [code for code, bar in offered.works.items() if not bar and code in only]
    due = tuple(code for code in offered.due if code in works)
    return BeginPage(
        frame=frame(seen.about, title=_("Begin a job sheet of %(unit)s", unit=head.name), here="/sheets"),
        unit=head,
        here=f"/units/{uid}/sheet",
        works=tuple(Choice(value=code, label=_(duty_words(code)), chosen=code in due) for code in works),
        cannot=tuple((_(duty_words(code)), _(bar)) for code, bar in offered.works.items() if bar and code in only),
        others=offered.others,
        due=_("Due now: %(works)s.", works=works_words(due)) if due else _("Nothing is due now."),
        why_not=why_not,
        troubles=troubles,
    )
