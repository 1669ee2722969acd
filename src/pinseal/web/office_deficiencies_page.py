"""Deficiencies in words: the list by how far each is on its way, and the way of one from found to put right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from pinseal.dates import PartialDate
from pinseal.service.books import STAGES, Deficiency, Quote
from pinseal.sheets.model import ACTIONS
from pinseal.web.office_common import Sight
from pinseal.web.office_list_views import DeficienciesPage, DeficiencyPage, DeficiencyRow, WayStep
from pinseal.web.office_views import Link
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame, page_count, paged
from pinseal.web.views import Choice, Trouble
from pinseal.web.words import count_words, length_words

# What can be asked for: everything open, one stage, everything.
SHOWN = {"open": "open", **STAGES, "all": "all"}
AGES = {"": "of any age", "30": "older than 30 days", "90": "older than 90 days", "365": "older than a year"}
ROWS_A_PAGE = 50
_WAITS = {
    "found": "{} without a price",
    "quoted": "{} without an answer",
    "agreed": "agreed {} ago",
    "declined": "declined {} ago",
    "done": "put right {} ago",
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
        parts = (SHOWN[self.show] if self.show != "all" else "", self.site and f"at {self.site}", AGES[self.age] if self.age else "")
        return ", ".join(part for part in parts if part)


def days_since(day: PartialDate, today: date) -> int:
    return max(0, (today - day.earliest).days)


def clock_words(each: Deficiency, today: date) -> str:
    """How long it has been where it is on its way: `40 days without a price`."""
    days = days_since(each.stage_since, today)
    if each.remedied is not None:
        return f"put right after {length_words(max(0, (each.remedied.latest - each.found.earliest).days))}"
    return _WAITS[each.stage].format(length_words(days)) if days else f"{STAGES[each.stage].partition(',')[0]} today"


def deficiency_row(seen: Sight, each: Deficiency) -> DeficiencyRow:
    state = seen.state(each.unit)
    assert state is not None, "only deficiencies of units that are seen are shown"
    days = days_since(each.found, seen.about.today)
    return DeficiencyRow(
        unit=unit_head(state),
        href=f"/deficiencies/{each.record}",
        state="put right" if not each.is_open else "left the fleet" if state.removed else "open",
        found=each.found.for_people(),
        age=f"{length_words(days)} ago" if days > 0 else "today",
        what=each.words,
        source=each.clause,
        forces=ACTIONS.get(each.action, each.action),
        stage=STAGES[each.stage],
        clock=clock_words(each, seen.about.today),
        price=_price(seen, each.quote) if each.is_open else "",
        remedied=each.remedied.for_people() if each.remedied else "",
        how=f"{each.how}, {each.remedied_by}" if each.remedied_by else each.how,
        person=each.person,
        sheet_href=f"/sheets/{each.sheet}" if seen.books.sheet(each.sheet) else "",
    )


def _price(seen: Sight, quote: Quote | None) -> str:
    if quote is None or not seen.prices:
        return ""
    return str(quote.price) if quote.price else "a price that cannot be read"


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
        return [each for _, each in sorted(done, key=lambda pair: (pair[0], pair[1].record), reverse=True)]
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
        frame=frame(seen.about, title="Deficiencies", here="/deficiencies"),
        shown=tuple(
            Link(text=words, href=asked.href(show=code), on=code == asked.show, count=counts[code]) for code, words in SHOWN.items()
        ),
        sites=(
            Choice(value="", label="every site", chosen=not asked.site),
            *(Choice(value=s, label=s, chosen=s == asked.site) for s in sites),
        ),
        ages=tuple(Choice(value=code, label=words, chosen=code == asked.age) for code, words in AGES.items()),
        show=asked.show,
        said=": ".join(part for part in (count_words(len(found), "deficiency", "deficiencies"), asked.words()) if part),
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
        frame=frame(seen.about, title="Deficiency", here="/deficiencies"),
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
        day=PartialDate.of(seen.about.today).for_people(),
        troubles=troubles,
        typed=typed or {},
    )


def _told(seen: Sight, each: Deficiency) -> str:
    """What is open to do, in a sentence."""
    quote, today = each.quote, seen.about.today
    if not each.is_open:
        return ""
    if not in_fleet(seen, each):
        return "The unit has left the fleet; nothing more is to be done about it."
    if quote is not None and quote.ran_out(today) and quote.valid_until:
        return f"The price held until {PartialDate.of(quote.valid_until).for_people()} and was not answered. Quote it anew."
    if each.stage == "declined":
        return "The owner declined. It stands open, and what it forces still holds."
    return {
        "found": "No price was told to the owner yet.",
        "quoted": "The owner has not answered yet.",
        "agreed": "The owner agreed. The work is to be done.",
    }[each.stage]


def _steps(seen: Sight, each: Deficiency) -> Iterator[WayStep]:
    sheet = seen.books.sheet
    yield WayStep(
        name="Found",
        shape="overdue",
        when=each.found.for_people(),
        who=each.person,
        said=tuple(part for part in (each.clause, ACTIONS.get(each.action, each.action)) if part),
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
            name="Put right",
            shape="ahead",
            when=each.remedied.for_people(),
            took=_between(before, each.remedied),
            who=each.remedied_by,
            said=(each.how,) if each.how else (),
            href=f"/sheets/{each.mended_sheet}" if sheet(each.mended_sheet) else "",
        )


def _quote_step(seen: Sight, quote: Quote, before: PartialDate) -> WayStep:
    until = f"holds until {PartialDate.of(quote.valid_until).for_people()}" if quote.valid_until else ""
    number = f"on paper {quote.number}" if quote.number else ""
    return WayStep(
        name=f"Quoted {_price(seen, quote)}".strip(),
        shape="due",
        when=quote.on.for_people(),
        took=_between(before, quote.on),
        who=quote.person,
        said=tuple(part for part in (quote.work, number, until) if part),
    )


def _answer_step(quote: Quote) -> WayStep:
    assert quote.answered is not None
    return WayStep(
        name=f"{quote.answer.capitalize()} by {quote.answered_by}",
        shape="ahead" if quote.answer == "agreed" else "unknown",
        when=quote.answered.for_people(),
        took=_between(quote.on, quote.answered),
        who=f"written by {quote.answer_person}" if quote.answer_person != quote.answered_by else "",
        said=(quote.reason,) if quote.reason else (),
    )


def _between(first: PartialDate, then: PartialDate) -> str:
    """How long a step took, where both days are known."""
    if first.precision != "day" or then.precision != "day":
        return ""
    days = (then.earliest - first.earliest).days
    return "the same day" if days == 0 else f"after {length_words(days)}" if days > 0 else ""


def stages_of(found: Sequence[Deficiency]) -> Mapping[str, int]:
    """How many open deficiencies are at each stage, by its words; those with none are left out."""
    counts = Counter(each.stage for each in found)
    return {words: counts[code] for code, words in STAGES.items() if counts[code]}
