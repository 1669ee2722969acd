"""Impairments in words: which are open, which clock presses, who was told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.dates import PartialDate
from pinseal.rules.notices import NoticeDue, rule_words
from pinseal.service.impairments import Impairment
from pinseal.standards.marks import mark_forms
from pinseal.standards.notices import ANYWHERE
from pinseal.web.date_words import date_words
from pinseal.web.notice_views import ClockRow, ImpairmentRow, NoticesPage
from pinseal.web.office_common import Sight
from pinseal.web.office_views import Link
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame
from pinseal.web.views import Choice, Trouble

# Of a clock: the shape, and the word beside it. The most pressing first.
STATES: Mapping[str, tuple[str, str]] = {
    "overdue": ("overdue", marked("overdue")),
    "may be overdue": ("may be overdue", marked("may be overdue")),
    "due": ("due", marked("due")),
    "not begun": ("unknown", marked("not begun")),
    "done late": ("overdue", marked("told late")),
    "perhaps done late": ("may be overdue", marked("perhaps told late")),
    "done": ("ahead", marked("told")),
}
_OPEN = ("overdue", "may be overdue", "due", "not begun")


def moment_text(at: datetime) -> str:
    """A day and an hour, in the time zone that the moment carries: `3 Jul 2026, 10:00`."""
    return f"{date_words(PartialDate.of(at.date()))}, {at:%H:%M}"


def seen_impairments(seen: Sight, found: Sequence[Impairment], *, open_only: bool = True) -> list[Impairment]:
    """Those of units that are seen, the most pressing clock first."""
    here = [each for each in found if seen.sees(each.unit) and (each.is_open or not open_only)]
    return sorted(here, key=lambda each: (_pressing(each), each.case.at))


def _pressing(each: Impairment) -> int:
    states = list(STATES)
    return min((states.index(due.state) for due in each.dues), default=len(states))


def impairment_row(seen: Sight, each: Impairment) -> ImpairmentRow:
    """One impairment with its clocks."""
    state = seen.state(each.unit)
    assert state is not None, "only impairments of units that are seen are shown"
    pressing = min(each.dues, key=lambda due: list(STATES).index(due.state), default=None)
    still = [due for due in each.dues if due.done is None]
    return ImpairmentRow(
        record=each.record,
        unit=unit_head(state),
        impairments=tuple(line.strip() for line in each.impairments.replace(";", "\n").splitlines() if line.strip()),
        since=moment_text(each.case.at),
        number=each.number,
        person=each.person,
        cleared=moment_text(each.case.cleared) if each.case.cleared else "",
        late=STATES[pressing.state][0] if pressing else "unknown",
        next_words=_next_words(pressing) if pressing else "",
        clocks=tuple(_clock(due, each) for due in each.dues),
        because=tuple(dict.fromkeys(line for due in each.dues if due.earliest for line in due.because)),
        parties=tuple(Choice(value=due.telling.to, label=_(kinds.TOLD[due.telling.to]), chosen=False) for due in still if due.earliest),
        paper_href=f"/notices/{each.record}.pdf",
        may_clear=each.case.cleared is None,
    )


def _next_words(due: NoticeDue) -> str:
    who = _(kinds.TOLD[due.telling.to])
    if due.state == "not begun":
        return _("when it is cleared: %(who)s", who=who)
    if due.state not in _OPEN:
        return _("everybody was told")
    assert due.earliest is not None, "a clock that runs has an end"
    return _("tell %(who)s by %(moment)s", who=who, moment=moment_text(due.earliest))


def _clock(due: NoticeDue, each: Impairment) -> ClockRow:
    shape, word = STATES[due.state]
    or_by = ""
    if due.latest and due.latest != due.earliest:
        or_by = _("or %(moment)s, if holidays do not count", moment=moment_text(due.latest))
    told = ""
    if due.done:
        told = ", ".join(part for part in (moment_text(due.done.at), each.names.get(due.done.record, ""), due.done.how) if part)
    return ClockRow(
        shape=shape,
        state=_(word),
        what=due.telling.words,
        by=moment_text(due.earliest) if due.earliest else "",
        or_by=or_by,
        told=told,
        source=rule_words(due.telling),
    )


def notices_page(
    seen: Sight,
    found: Sequence[Impairment],
    *,
    now: datetime,
    open_only: bool,
    may_write: bool,
    place: str,
    said: Mapping[str, str],
    trouble: Trouble | None = None,
) -> NoticesPage:
    """The impairments as this person may see them.

    `place` is the form of marks whose rules are offered first, `said` a form that was refused.
    """
    shown = seen_impairments(seen, found, open_only=open_only)
    return NoticesPage(
        frame=frame(seen.about, title=_("Notices"), here="/notices"),
        rows=tuple(impairment_row(seen, each) for each in shown),
        shown=(
            Link(text=_("open"), href="/notices", on=open_only),
            Link(text=_("all"), href="/notices?show=all", on=not open_only),
        ),
        open_only=open_only,
        may_write=may_write,
        day=date_words(PartialDate.of(now.date())),
        time=f"{now:%H:%M}",
        places=_places(said.get("rules-of", place)),
        said=dict(said),
        at=trouble.at if trouble else "",
        troubles=(trouble,) if trouble else (),
    )


def _places(chosen: str) -> tuple[Choice, ...]:
    """Whose rules say who is told: the practice of any place, or one of the places that are held."""
    held = [Choice(value=name, label=form.title, chosen=name == chosen) for name, form in mark_forms().items() if name != ANYWHERE]
    return (Choice(value="", label=_("the practice of any place"), chosen=chosen in ("", ANYWHERE)), *held)
