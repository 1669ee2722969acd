"""From the due list and the records to what the templates show. Pure: values in, values out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, ngettext, number
from pinseal.reasons import Citation
from pinseal.records.unit import UnitState
from pinseal.rules.rows import Due, PackDue
from pinseal.service.duelist import DueList
from pinseal.standards.model import Chosen
from pinseal.web import listing
from pinseal.web.asked import SORTS, Asked
from pinseal.web.date_words import day_date, weekday_words
from pinseal.web.doors import About
from pinseal.web.views import (
    Choice,
    Cited,
    DueRow,
    DuesPage,
    Frame,
    Head,
    OtherSay,
    Paging,
    StateCount,
    TodayPage,
    Trouble,
)
from pinseal.web.words import by_words, kind_words, last_day_words, note_words, place_words, unit_name

URGENT_SHOWN = 12
_NOTES = (marked("invented"),)  # what `About.note` may say
ROWS_A_PAGE = 50
ROWS_AT_ONCE_MAX = 1_000
_HEADS = (
    (marked("State"), "urgency"),
    (marked("By"), "by"),
    (marked("Duty"), "duty"),
    (marked("Unit"), "unit"),
    (marked("Place"), "place"),
)


def frame(about: About, *, title: str, here: str = "") -> Frame:
    name = f"{about.name} ({_(about.note)})" if about.note else about.name
    return Frame(title=title, shop=name, today=weekday_words(about.today), here=here)


def pack_words(chosen: Sequence[Chosen]) -> tuple[str, ...]:
    """The packs in use, each with its edition."""
    return tuple(f"{each.pack.id} ({each.edition})" for each in chosen)


def unit_href(state: UnitState) -> str:
    return f"/units/{state.uid}" if state.uid else ""


def due_row(dues: DueList, due: Due) -> DueRow:
    """One due in words."""
    state = dues.states[due.index]
    return DueRow(
        state=due.state,
        by=by_words(due),
        note=note_words(due, dues.on),
        duty=_(kinds.DUTIES[due.duty]),
        title=_("%(duty)s, %(last_day)s", duty=_(kinds.DUTIES[due.duty]), last_day=last_day_words(due)),
        unit=unit_name(state),
        unit_href=unit_href(state),
        kind=_("only counted on a list") if state.placeholder else kind_words(state.nameplate),
        place=place_words(state),
        withdrawn=due.withdrawn and due.state != "withdraw",
        because=due.because,
        missing=tuple(map(_, due.missing)),
        assumed=due.assumed,
        cited=_cited(due.governing),
        others=tuple(_other(each) for each in due.others),
    )


def _cited(governing: Citation | None) -> Cited | None:
    if governing is None:
        return None
    edition = "" if governing.edition in governing.document else f" ({governing.edition})"
    text = f"{governing.document}{edition}, {governing.clause}"
    return Cited(pack=governing.pack, text=text, checked=_(kinds.CHECKED[governing.checked]), read=governing.checked == "public copy")


def _other(due: PackDue) -> OtherSay:
    return OtherSay(pack=due.pack, state=due.state, by=by_words(due), because=due.because, cited=_cited(due.governing))


def _counts(found: Mapping[str, int], asked: Asked) -> tuple[StateCount, ...]:
    """One count for each state; its link sets the filter, or takes it off."""
    counts = []
    for state in kinds.STATES:
        on = state in asked.states
        states = tuple(s for s in kinds.STATES if (s in asked.states) != (s == state))
        counts.append(StateCount(state=state, count=found.get(state, 0), href=asked.href(states=states), on=on))
    return tuple(counts)


def today_page(about: About, dues: DueList) -> TodayPage:
    """Counts by state, and the most urgent dues."""
    summary = dues.summary()
    return TodayPage(
        frame=frame(about, title=_("Today"), here="/"),
        units=summary["units"],
        rows=summary["rows"],
        states=_counts(summary["states"], Asked()),
        urgent=tuple(due_row(dues, due) for due in dues.urgent(URGENT_SHOWN) if due.state not in ("ahead", "unknown")),
        packs=pack_words(dues.chosen),
    )


def dues_page(about: About, dues: DueList, asked: Asked, troubles: tuple[Trouble, ...] = ()) -> DuesPage:
    """The due list as asked for. While a filter cannot be read nothing is listed, so that no filter is ignored silently."""
    found, counts = listing.narrowed(dues, asked)
    picked, paging = _page(found if not troubles else [], asked)
    sites = sorted({*dues.kept.over(listing.site_in_fleet, listing.sites_by_name), *((asked.site,) if asked.site else ())})
    return DuesPage(
        frame=frame(about, title=_("Dues"), here="/dues"),
        troubles=troubles,
        on=asked.on_text,
        day=day_date(dues.on),
        packs=pack_words(dues.chosen),
        states=_counts(counts, asked),
        state_choices=tuple(Choice(value=s, label=s, chosen=s in asked.states) for s in kinds.STATES),
        duties=_choices({duty: _(label) for duty, label in kinds.DUTIES.items()}, asked.duty, _("every duty")),
        sites=_choices({site: site for site in sites}, asked.site, _("every site")),
        sorts=_choices({code: _(label) for code, label in SORTS.items()}, asked.sort),
        text=asked.text,
        said=asked.words(),
        clear=Asked(on=asked.on, on_text=asked.on_text).href() if asked.narrowed else "",
        heads=tuple(_head(label, sort, asked) for label, sort in _HEADS),
        rows=tuple(due_row(dues, due) for due in listing.built(dues, picked)),
        paging=paging,
        units=dues.units,
    )


def _choices(table: Mapping[str, str], chosen: str, every: str = "") -> tuple[Choice, ...]:
    first = (Choice(value="", label=every, chosen=not chosen),) if every else ()
    return first + tuple(Choice(value=value, label=label, chosen=value == chosen) for value, label in table.items())


def _head(label: str, sort: str, asked: Asked) -> Head:
    here = asked.sort == sort
    order = ("descending" if asked.down else "ascending") if here else "none"
    return Head(label=_(label), href=asked.href(sort=sort, down=here and not asked.down), order=order)


def _page(found: Sequence[listing.Line], asked: Asked) -> tuple[Sequence[listing.Line], Paging]:
    """The rows of the page asked for; one past the end gives the last."""
    if asked.everything:
        shown, every = min(len(found), ROWS_AT_ONCE_MAX), number(len(found))
        text = ngettext("%(n)s row of %(all)s on one page", "%(n)s rows of %(all)s on one page", shown, all=every)
        return found[:ROWS_AT_ONCE_MAX], Paging(text=text, before=asked.href(everything=False) if len(found) > ROWS_A_PAGE else "")
    page = min(asked.page, page_count(len(found), ROWS_A_PAGE))
    return found[(page - 1) * ROWS_A_PAGE : page * ROWS_A_PAGE], paged(len(found), page, asked.href, asked.href(everything=True))


def page_count(rows: int, rows_a_page: int) -> int:
    return max(1, -(-rows // rows_a_page))


def paged(rows: int, page: int, href: Callable[..., str], everything: str = "", rows_a_page: int = ROWS_A_PAGE) -> Paging:
    """The words and ways of one page of a list; `href` takes the number of a page by the name `page`."""
    last = page_count(rows, rows_a_page)
    if rows == 0:
        return Paging(text=_("no rows"))
    first, end = (page - 1) * rows_a_page + 1, min(page * rows_a_page, rows)
    text = ngettext("%(n)s row", "%(n)s rows", rows)
    if last > 1:
        text = ngettext(
            "%(first)s to %(last)s of %(n)s row", "%(first)s to %(last)s of %(n)s rows", rows, first=number(first), last=number(end)
        )
    return Paging(
        text=text,
        before=href(page=page - 1) if page > 1 else "",
        after=href(page=page + 1) if page < last else "",
        everything=everything if last > 1 else "",
    )
