"""What the templates of prices are given: the price book, quotes, figures for an invoice, whether a unit is worth its keep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinseal.web.views import Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """One price of the book."""

    id: str
    service: str
    holds: str
    words: str
    price: str
    per: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PricesPage:
    """The price book that holds today; `kept` are the others, each with its title and from when it holds."""

    frame: Frame
    title: str
    since: str
    currency: str
    rows: tuple[PriceRow, ...]
    terms: tuple[str, ...]
    tax: str
    kept: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureLine:
    """One line. `href` leads to its unit, where this person may see it; `answer` is agreed, declined or empty."""

    number: str
    name: str
    href: str
    place: str
    words: str
    why: str
    source: str
    quantity: str
    price: str
    amount: str
    included_in: str
    answer: str = ""
    answered: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureGap:
    """Work without a price."""

    name: str
    href: str
    place: str
    words: str
    why: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FiguresView:
    """Lines and sums, what has no price, what is left out, the terms."""

    lines: tuple[FigureLine, ...]
    gaps: tuple[FigureGap, ...]
    left_out: tuple[str, ...]
    terms: tuple[str, ...]
    subtotal: str
    tax: str
    tax_words: str
    total: str
    whole: bool
    book: str
    answered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteRow:
    """One quote in the list. `shape` is a state of the due list, for its mark."""

    number: str
    href: str
    site: str
    made: str
    total: str
    shape: str
    state: str
    holds: str


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotesPage:
    """The quotes that this person may see; `sites` is what a new one can be made of."""

    frame: Frame
    rows: tuple[QuoteRow, ...]
    sites: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotePage:
    """A quote: a draft with the form that keeps it, or a kept one with the form that answers it."""

    frame: Frame
    site: str
    site_href: str
    number: str
    made: str
    until: str
    holds: str
    shape: str
    state: str
    figures: FiguresView
    answers: tuple[str, ...]
    agreed: str
    may_keep: bool
    may_answer: bool
    answers_as: str
    here: str
    pdf_href: str
    csv_href: str
    troubles: tuple[Trouble, ...]
    typed: Mapping[str, str]
    ticked: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoicePage:
    """What was done at a site on some days, in figures."""

    frame: Frame
    site: str
    site_href: str
    first: str
    last: str
    figures: FiguresView
    pdf_href: str
    csv_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaySide:
    """One of two ways: its sum, whether it is whole, what it lacks, and its costs by year (year, what, sum)."""

    total: str
    whole: bool
    missing: tuple[str, ...]
    years: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthPage:
    """Repair or replace."""

    frame: Frame
    name: str
    kind: str
    unit_href: str
    here: str
    shape: str
    answer: str
    because: tuple[str, ...]
    keep: WaySide
    new: WaySide
    margin: str
    years: int
    assumptions: tuple[str, ...]
    book: str


TEMPLATES: dict[type[object], str] = {
    PricesPage: "prices.html",
    QuotesPage: "quotes.html",
    QuotePage: "quote.html",
    InvoicePage: "invoice_figures.html",
    WorthPage: "unit_worth.html",
}
