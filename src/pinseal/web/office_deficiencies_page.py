"""Deficiencies in words: the list by how far each is on its way, and the way of one from found to put right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, ngettext
from pinseal.dates import PartialDate
from pinseal.service.books import STAGES, Deficiency, Quote
from pinseal.sheets.model import ACTIONS
from pinseal.web.date_words import date_words, day_date
from pinseal.web.office_common import Sight
from pinseal.web.office_list_views import DeficienciesPage, DeficiencyPage, DeficiencyRow, WayStep
from pinseal.web.office_views import Link
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame, page_count, paged
from pinseal.web.views import Choice, Trouble
from pinseal.web.words import length_words

# What can be asked for: everything open, one stage, everything.
SHOWN = {"open": marked("open"), **STAGES, "all": marked("all")}
AGES = {
    "": marked("of any age"),
    "30": marked("older than 30 days"),
    "90": marked("older than 90 days"),
    "365": marked("older than a year"),
}
ROWS_A_PAGE = 50
_WAITS = {
    "found": marked("%(length)s without a price"),
    "quoted": marked("%(length)s without an answer"),
    "agreed": marked("agreed %(length)s ago"),
    "declined": marked("declined %(length)s ago"),
    "done": marked("put right %(length)s ago"),
}
_TODAY = {
    "found": marked("found today"),
    "quoted": marked("quoted today"),
    "agreed": marked("agreed today"),
    "declined": marked("declined today"),
    "done": marked("put right today"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DeficienciesAsked:
    """Which deficiencies are asked for."""

    show: str = "open"
    site: str = ""
    age: str = ""

    @property
    def known(self) -> bool:
        return self.show in SHOWN and self.age in AGES

    def href(self, base: str = "/deficiencies", **changes: Any) -> str:
        asked = replace(self, **{name: value for name, value in changes.items() if name != "page"})
        page = changes.get("page", 1)
        pairs = {"show": asked.show, "site": asked.site, "age": asked.age} | ({"page": page} if page > 1 else {})
        return f"{base}?{urlencode({name: value for name, value in pairs.items() if value})}"

    def words(self) -> str:
        """What is asked for, in plain words."""
        parts = (
            _(SHOWN[self.show]) if self.show != "all" else "",
            self.site and _("at %(site)s", site=self.site),
            _(AGES[self.age]) if self.age else "",
        )
        return ", ".join(part for part in parts if part)


def days_since(day: PartialDate, today: date) -> int:
    return max(0, (today - day.earliest).days)


def clock_words(each: Deficiency, today: date) -> str:
    """How long it has been where it is on its way: `40 days without a price`."""
    days = days_since(each.stage_since, today)
    if each.remedied is not None:
        took = max(0, (each.remedied.latest - each.found.earliest).days)
        return _("put right after %(length)s", length=length_words(took))
    return _(_WAITS[each.stage], length=length_words(days)) if days else _(_TODAY[each.stage])


def deficiency_row(seen: Sight, each: Deficiency) -> DeficiencyRow:
    state = seen.state(each.unit)
    assert state is not None, "only deficiencies of units that are seen are shown"
    days = days_since(each.found, seen.about.today)
    return DeficiencyRow(
        unit=unit_head(state),
        href=f"/deficiencies/{each.record}",
        state=marked("put right") if not each.is_open else marked("left the fleet") if state.removed else marked("open"),
        found=date_words(each.found),
        age=_("%(length)s ago", length=length_words(days)) if days > 0 else _("today"),
        what=_(each.words),
        source=each.clause,
        forces=_(ACTIONS.get(each.action, each.action)),
        stage=_(STAGES[each.stage]),
        clock=clock_words(each, seen.about.today),
        price=_price(seen, each.quote) if each.is_open else "",
        remedied=date_words(each.remedied) if each.remedied else "",
        how=f"{each.how}, {each.remedied_by}" if each.remedied_by else each.how,
        person=each.person,
        sheet_href=f"/sheets/{each.sheet}" if seen.books.sheet(each.sheet) else "",
    )


def _price(seen: Sight, quote: Quote | None) -> str:
    if quote is None or not seen.prices:
        return ""
    return str(quote.price) if quote.price else _("a price that cannot be read")


def open_deficiencies(seen: Sight) -> list[Deficiency]:
    """What stands open on units of the fleet, the oldest first."""
    found = (each for each in seen.books.deficiencies if each.is_open and in_fleet(seen, each))
    return sorted(found, key=lambda each: (each.found.earliest, each.record))


def in_fleet(seen: Sight, each: Deficiency) -> bool:
    state = seen.state(each.unit)
    return state is not None and not state.removed


def asked_for(seen: Sight, asked: DeficienciesAsked) -> list[Deficiency]:
    """The deficiencies asked for: the oldest open one first; what was put right by when that was, the newest first."""
    every = [each for each in seen.books.deficiencies if seen.sees(each.unit) and _narrowed(seen, each, asked)]
    if asked.show == "all":
        return every
    if asked.show == "done":
        done = [(each.remedied.latest, each) for each in every if each.remedied is not None]
        return [each for _day, each in sorted(done, key=lambda pair: (pair[0], pair[1].record), reverse=True)]
    found = [each for each in every if each.is_open and in_fleet(seen, each) and asked.show in ("open", each.stage)]
    return sorted(found, key=lambda each: (each.stage_since.earliest if asked.show != "open" else each.found.earliest, each.record))


def _narrowed(seen: Sight, each: Deficiency, asked: DeficienciesAsked) -> bool:
    state = seen.state(each.unit)
    old = not asked.age or each.found.latest < seen.about.today - timedelta(days=int(asked.age))
    return old and (not asked.site or (state is not None and state.site == asked.site))


def _counts(seen: Sight, asked: DeficienciesAsked) -> Mapping[str, int]:
    every = [each for each in seen.books.deficiencies if seen.sees(each.unit) and _narrowed(seen, each, asked)]
    counts = Counter(each.stage for each in every if not each.is_open or in_fleet(seen, each))
    return counts | Counter({"open": sum(counts.values()) - counts["done"], "all": len(every)})


def deficiencies_page(seen: Sight, asked: DeficienciesAsked, page: int) -> DeficienciesPage:
    """What was found wrong, filtered, with how far each is on its way."""
    sites = sorted({state.site for each in seen.books.deficiencies if (state := seen.state(each.unit)) and state.site})
    found, counts = asked_for(seen, asked), _counts(seen, asked)
    page = min(page, page_count(len(found), ROWS_A_PAGE))
    return DeficienciesPage(
        frame=frame(seen.about, title=_("Deficiencies"), here="/deficiencies"),
        shown=tuple(
            Link(text=_(words), href=asked.href(show=code), on=code == asked.show, count=counts[code]) for code, words in SHOWN.items()
        ),
        sites=(
            Choice(value="", label=_("every site"), chosen=not asked.site),
            *(Choice(value=s, label=s, chosen=s == asked.site) for s in sites),
        ),
        ages=tuple(Choice(value=code, label=_(words), chosen=code == asked.age) for code, words in AGES.items()),
        show=asked.show,
        said=": ".join(part for part in (ngettext("%(n)s deficiency", "%(n)s deficiencies", len(found)), asked.words()) if part),
        rows=tuple(deficiency_row(seen, each) for each in found[(page - 1) * ROWS_A_PAGE : page * ROWS_A_PAGE]),
        paging=paged(len(found), page, asked.href, rows_a_page=ROWS_A_PAGE),
        csv_href=asked.href("/deficiencies.csv"),
        xlsx_href=asked.href("/deficiencies.xlsx"),
    )


# -- one deficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class May:
    """What the person who looks may write about a deficiency. An owner answers by their own name."""

    quote: bool
    answer: bool
    mend: bool
    answers_as: str = ""


def deficiency_page(
    seen: Sight,
    each: Deficiency,
    may: May,
    *,
    currency: str,
    troubles: tuple[Trouble, ...] = (),
    typed: Mapping[str, str] | None = None,
) -> DeficiencyPage:
    """One deficiency: its way, and the forms for the next step where this person may take it."""
    live = each.is_open and in_fleet(seen, each)
    quote = each.quote
    return DeficiencyPage(
        frame=frame(seen.about, title=_("Deficiency"), here="/deficiencies"),
        row=deficiency_row(seen, each),
        here=f"/deficiencies/{each.record}",
        steps=tuple(_steps(seen, each)),
        told=_told(seen, each),
        may_quote=live and may.quote,
        may_answer=live and may.answer and quote is not None and quote.price is not None,
        may_mend=live and may.mend,
        answers_as=may.answers_as,
        quoted=quote.record if quote else "",
        price=_price(seen, quote),
        is_answered=bool(quote and quote.answer),
        currency=currency,
        day=day_date(seen.about.today),
        troubles=troubles,
        typed=typed or {},
    )


def _told(seen: Sight, each: Deficiency) -> str:
    """What is open to do, in a sentence."""
    quote, today = each.quote, seen.about.today
    if not each.is_open:
        return ""
    if not in_fleet(seen, each):
        return _("The unit has left the fleet; nothing more is to be done about it.")
    if quote is not None and quote.ran_out(today) and quote.valid_until:
        return _("The price held until %(date)s and was not answered. Quote it anew.", date=day_date(quote.valid_until))
    if each.stage == "declined":
        return _("The owner declined. It stands open, and what it forces still holds.")
    return {
        "found": _("No price was told to the owner yet."),
        "quoted": _("The owner has not answered yet."),
        "agreed": _("The owner agreed. The work is to be done."),
    }[each.stage]


def _steps(seen: Sight, each: Deficiency) -> Iterator[WayStep]:
    sheet = seen.books.sheet
    yield WayStep(
        name=_("Found"),
        shape="overdue",
        when=date_words(each.found),
        who=each.person,
        said=tuple(part for part in (each.clause, _(ACTIONS.get(each.action, each.action))) if part),
        href=f"/sheets/{each.sheet}" if sheet(each.sheet) else "",
    )
    before = each.found
    for quote in each.quotes:
        yield _quote_step(seen, quote, before)
        before = quote.on
        if quote.answer and quote.answered:
            yield _answer_step(quote)
            before = quote.answered
    if each.remedied is not None:
        yield WayStep(
            name=_("Put right"),
            shape="ahead",
            when=date_words(each.remedied),
            took=_between(before, each.remedied),
            who=each.remedied_by,
            said=(each.how,) if each.how else (),
            href=f"/sheets/{each.mended_sheet}" if sheet(each.mended_sheet) else "",
        )


def _quote_step(seen: Sight, quote: Quote, before: PartialDate) -> WayStep:
    until = _("holds until %(date)s", date=day_date(quote.valid_until)) if quote.valid_until else ""
    number = _("on paper %(number)s", number=quote.number) if quote.number else ""
    return WayStep(
        name=_("Quoted %(price)s", price=_price(seen, quote)).strip(),
        shape="due",
        when=date_words(quote.on),
        took=_between(before, quote.on),
        who=quote.person,
        said=tuple(part for part in (quote.work, number, until) if part),
    )


def _answer_step(quote: Quote) -> WayStep:
    assert quote.answered is not None
    return WayStep(
        name=_("Agreed by %(name)s", name=quote.answered_by)
        if quote.answer == "agreed"
        else _("Declined by %(name)s", name=quote.answered_by),
        shape="ahead" if quote.answer == "agreed" else "unknown",
        when=date_words(quote.answered),
        took=_between(quote.on, quote.answered),
        who=_("written by %(name)s", name=quote.answer_person) if quote.answer_person != quote.answered_by else "",
        said=(quote.reason,) if quote.reason else (),
    )


def _between(first: PartialDate, then: PartialDate) -> str:
    """How long a step took, where both days are known."""
    if first.precision != "day" or then.precision != "day":
        return ""
    days = (then.earliest - first.earliest).days
    if days == 0:
        return _("the same day")
    return _("after %(length)s", length=length_words(days)) if days > 0 else ""
