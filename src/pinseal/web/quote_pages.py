"""The price book, quotes and figures in words. Pure: values in, values out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from urllib.parse import urlencode

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.money import total
from pinseal.records.quotes import LinesAnswer
from pinseal.records.unit import UnitState
from pinseal.rules.price_book import SERVICES, PriceEntry, percent_words
from pinseal.rules.quoting import Figures, Line, Unpriced
from pinseal.rules.repair_or_replace import ANSWERS, Cost, Side
from pinseal.service.price_keeping import PricesHeld
from pinseal.service.quotes import STATES, InvoiceFigures, QuoteOfSite, line_words
from pinseal.service.unit_costs import UnitAnswer
from pinseal.web.date_words import date_words, day_date
from pinseal.web.listing import natural
from pinseal.web.office_common import Sight
from pinseal.web.office_sites_page import site_href
from pinseal.web.pages import frame
from pinseal.web.quote_views import (
    FigureGap,
    FigureLine,
    FiguresView,
    InvoicePage,
    PriceRow,
    PricesPage,
    QuotePage,
    QuoteRow,
    QuotesPage,
    WaySide,
    WorthPage,
)
from pinseal.web.views import Trouble
from pinseal.web.words import kind_words, unit_name

_SHAPES = {"draft": "unknown", "open": "due", "agreed": "ahead", "partly agreed": "due", "declined": "unknown"}
_ANSWER_SHAPES = {"keep": "ahead", "replace": "overdue", "too close": "may be overdue", "unknown": "unknown"}
_AGENTS_NAMED = 3


# -- the price book


def prices_page(seen: Sight, held: PricesHeld) -> PricesPage:
    """The book that holds today, and from when the others hold."""
    book = held.book
    return PricesPage(
        frame=frame(seen.about, title=_("Price book"), here="/prices"),
        title=book.title if book else "",
        since=day_date(book.from_day) if book else "",
        currency=book.currency if book else "",
        rows=tuple(_price_row(each) for each in book.entries) if book else (),
        terms=book.terms() if book else (),
        tax=f"{book.tax_name}: {percent_words(book.tax_percent)} %" if book else "",
        kept=tuple((each.title, day_date(each.from_day)) for each in reversed(held.kept) if each != held.holds),
    )


def _price_row(entry: PriceEntry) -> PriceRow:
    return PriceRow(
        id=entry.id,
        service=_(SERVICES[entry.service]),
        holds=", ".join(_conditions(entry)) or _("any unit"),
        words=entry.words,
        price=str(entry.price).rpartition(" ")[0],
        per=entry.per,
    )


def _conditions(entry: PriceEntry) -> list[str]:
    """For which units a price holds."""
    found = [_agents(entry.agents)] if entry.agents else []
    tables = {"expelled_by": kinds.EXPELLED_BY, "shell": kinds.SHELLS, "method": kinds.TEST_METHODS}
    for name, code in entry.codes.items():
        found.append(_(tables[name][code]) if name in tables else _("wheeled") if code == "yes" else _("not wheeled"))
    for name, text in entry.texts.items():
        found.append(_("at %(site)s", site=text) if name == "site" else _(kinds.MARKS[text]) if name == "mark" else text.replace("-", " "))
    found += [_("over %(size)s", size=entry.over.for_people())] if entry.over else []
    return found + ([_("up to %(size)s", size=entry.up_to.for_people())] if entry.up_to else [])


def _agents(agents: frozenset[str]) -> str:
    """Agents by the name of their group, where they are just that; else by their own names."""
    for group, members in kinds.AGENT_GROUPS.items():
        if agents == frozenset(members):
            return _(kinds.AGENT_GROUP_LABELS[group])
    names = [_(kinds.AGENTS[code].label) for code in kinds.AGENTS if code in agents]
    if len(names) <= _AGENTS_NAMED:
        return _(" or ").join(names)
    groups = [g for g, members in kinds.AGENT_GROUPS.items() if frozenset(members) <= agents]
    rest = agents - frozenset(code for group in groups for code in kinds.AGENT_GROUPS[group])
    names = [_(kinds.AGENT_GROUP_LABELS[group]) for group in groups] + [_(kinds.AGENTS[code].label) for code in sorted(rest)]
    return _(" or ").join(names)


# -- figures


def figures_view(seen: Sight, found: Figures, quote: QuoteOfSite | None = None) -> FiguresView:
    """Lines and sums as a page shows them."""
    answered = bool(quote and quote.kept and quote.kept.answers)
    return FiguresView(
        lines=tuple(_line(seen, line, quote) for line in found.lines),
        gaps=tuple(_gap(seen, each) for each in found.unpriced),
        left_out=found.left_out,
        terms=found.terms,
        subtotal=str(found.subtotal),
        tax=str(found.tax),
        tax_words=f"{found.tax_name}, {percent_words(Fraction(found.tax_percent))} %",
        total=str(found.total),
        whole=found.is_whole,
        book=found.book,
        answered=answered,
    )


def _line(seen: Sight, line: Line, quote: QuoteOfSite | None) -> FigureLine:
    answer = quote.kept.answer_of(line.number) if quote and quote.kept else None
    price = "" if line.included_in or line.price is None else _("%(price)s a %(per)s", price=line.price.plain, per=line.per)
    return FigureLine(
        number=line.number,
        name=line.name,
        href=f"/units/{line.unit}" if seen.sees(line.unit) else "",
        place=line.place,
        words=line.words,
        why=line.why,
        source=line.source,
        quantity=line.quantity,
        price=price,
        amount=str(line.amount).rpartition(" ")[0],
        included_in=line.included_in,
        answer=answer.answer if answer else "",
        answered=_who_and_when(answer) if answer else "",
    )


def _who_and_when(answer: LinesAnswer) -> str:
    return f"{answer.by}, {day_date(answer.at.date())}, {answer.at:%H:%M}"


def _gap(seen: Sight, each: Unpriced) -> FigureGap:
    href = f"/units/{each.unit}" if seen.sees(each.unit) else ""
    return FigureGap(name=each.name, href=href, place=each.place, words=each.words, why=each.why, reason=each.reason)


# -- quotes


def quotes_page(seen: Sight, found: Sequence[QuoteOfSite], *, may_make: bool) -> QuotesPage:
    """The quotes of the sites that this person may see."""
    sites = {state.site for state in seen.dues.states if state.site and not state.removed} if may_make else set()
    return QuotesPage(
        frame=frame(seen.about, title=_("Quotes"), here="/quotes"),
        rows=tuple(_quote_row(seen, each) for each in found),
        sites=tuple(sorted(sites, key=natural)),
    )


def _quote_row(seen: Sight, each: QuoteOfSite) -> QuoteRow:
    kept = each.kept
    assert kept is not None, "the list is of kept quotes"
    return QuoteRow(
        number=kept.number,
        href=f"/quotes/{kept.uid}",
        site=each.site,
        made=date_words(kept.made),
        total=str(each.figures.total),
        shape=_SHAPES[each.state()],
        state=_(STATES[each.state()]),
        holds=_holds(seen, each),
    )


def _holds(seen: Sight, quote: QuoteOfSite) -> str:
    kept = quote.kept
    if kept is None or kept.valid_until is None:
        return ""
    words = day_date(kept.valid_until)
    return _("held until %(day)s", day=words) if kept.ran_out(seen.about.today) else _("holds until %(day)s", day=words)


def draft_href(site: str, until: str = "") -> str:
    """Where a quote of a site is drafted."""
    return f"/quotes/draft?{urlencode({'site': site} | ({'until': until} if until else {}))}"


def invoice_href(site: str, first: str, last: str, path: str = "/invoice-figures") -> str:
    """Where the figures of a visit stand."""
    return f"{path}?{urlencode({'site': site, 'from': first, 'to': last})}"


def quote_page(
    seen: Sight,
    quote: QuoteOfSite,
    *,
    may_keep: bool = False,
    may_answer: bool = False,
    answers_as: str = "",
    troubles: tuple[Trouble, ...] = (),
    typed: Mapping[str, str] | None = None,
    ticked: frozenset[str] | None = None,
) -> QuotePage:
    """A draft, or a kept quote with its answers."""
    kept, state = quote.kept, quote.state()
    here = f"/quotes/{kept.uid}" if kept else draft_href(quote.site, quote.until.isoformat() if quote.until else "")
    agreed = frozenset(line.number for line in quote.figures.lines if quote.answer_of(line) != "declined")
    return QuotePage(
        frame=frame(seen.about, title=_("Quote for %(site)s", site=quote.site), here="/quotes"),
        site=quote.site,
        site_href=site_href(quote.site) if seen.reach is None or quote.site in seen.reach else "",
        number=kept.number if kept else "",
        made=day_date(quote.on),
        until=day_date(quote.until) if quote.until else "",
        holds=_holds(seen, quote),
        shape=_SHAPES[state],
        state=_(STATES[state]),
        figures=figures_view(seen, quote.figures, quote),
        answers=tuple(_answer_words(each, len(quote.figures.lines)) for each in kept.answers) if kept else (),
        agreed=str(quote.agreed) if kept and kept.answers else "",
        may_keep=may_keep and bool(quote.figures.lines),
        may_answer=may_answer,
        answers_as=answers_as,
        here=here,
        pdf_href=f"/quotes/{kept.uid}.pdf" if kept else "",
        csv_href=f"/quotes/{kept.uid}.csv" if kept else "",
        troubles=troubles,
        typed=typed or {},
        ticked=agreed if ticked is None else ticked,
    )


def _answer_words(each: LinesAnswer, lines: int) -> str:
    """Who said what to which lines, when, and why."""
    who = _who_and_when(each)
    which = line_words(each.lines)
    if not each.lines or len(each.lines) == lines:
        said = _("all lines agreed: %(who)s", who=who) if each.answer == "agreed" else _("all lines declined: %(who)s", who=who)
    elif each.answer == "agreed":
        said = _("lines %(lines)s agreed: %(who)s", lines=which, who=who)
    else:
        said = _("lines %(lines)s declined: %(who)s", lines=which, who=who)
    return f"{said}; {each.reason}" if each.reason else said


def invoice_page(seen: Sight, found: InvoiceFigures) -> InvoicePage:
    """The figures of a visit."""
    first, last = found.first.isoformat(), found.last.isoformat()
    return InvoicePage(
        frame=frame(seen.about, title=_("Figures for an invoice: %(site)s", site=found.site), here="/quotes"),
        site=found.site,
        site_href=site_href(found.site),
        first=day_date(found.first),
        last=day_date(found.last),
        figures=figures_view(seen, found.figures),
        pdf_href=invoice_href(found.site, first, last, "/invoice-figures.pdf"),
        csv_href=invoice_href(found.site, first, last, "/invoice-figures.csv"),
    )


# -- repair or replace


def worth_page(seen: Sight, found: UnitAnswer, state: UnitState, years: int) -> WorthPage:
    """Whether a unit is worth its keep: the answer, both ways by year, what they take for granted."""
    weighed = found.weighed
    return WorthPage(
        frame=frame(seen.about, title=_("Repair or replace %(unit)s", unit=unit_name(state)), here="/sites"),
        name=unit_name(state),
        kind=kind_words(state.nameplate),
        unit_href=f"/units/{state.uid}",
        here=f"/units/{state.uid}/worth",
        shape=_ANSWER_SHAPES[weighed.answer],
        answer=_(ANSWERS[weighed.answer]),
        because=weighed.because,
        keep=_side(weighed.keep),
        new=_side(weighed.replace),
        margin=str(weighed.margin),
        years=years,
        assumptions=found.assumptions,
        book=found.book,
    )


def _side(side: Side) -> WaySide:
    by_year: dict[int, list[Cost]] = {}
    for cost in side.costs:
        by_year.setdefault(cost.on.year, []).append(cost)
    return WaySide(
        total=str(side.total),
        whole=side.is_whole,
        missing=side.missing,
        years=tuple(
            (
                str(year),
                ", ".join(dict.fromkeys(_(SERVICES.get(each.line.service, each.line.words)) for each in some)),
                total((each.line.amount for each in some), side.currency).plain,
            )
            for year, some in by_year.items()
        ),
    )
