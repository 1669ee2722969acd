"""What the pages of prices ask of the shop: its price book, quotes of a site, figures for an invoice, whether a unit is worth its keep.

Any call may raise `Refusal` or `ShopUnusable`. Who may see what is decided by the pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Protocol

from pinseal.service.price_keeping import PricesHeld
from pinseal.service.quotes import Answered, InvoiceFigures, QuoteOfSite
from pinseal.service.unit_costs import UnitAnswer


class PriceRooms(Protocol):
    """The shop as the pages of prices need it."""

    def prices(self) -> PricesHeld:
        """The price book that holds today, and every one that is kept."""
        ...

    def quotes(self) -> Sequence[QuoteOfSite]:
        """Every quote that was kept, the newest first. The same answer may be given again."""
        ...

    def draft_quote(self, site: str, until: date | None) -> QuoteOfSite:
        """What the work that is due at a site comes to today."""
        ...

    def keep_quote(self, site: str, *, until: date | None, valid_until: date | None, number: str, person: str) -> str:
        """Keep a quote of what is due at a site now; its uid."""
        ...

    def answer_quote(self, uid: str, answers: Sequence[Answered], person: str) -> None:
        """Keep what the owner answered."""
        ...

    def quote_pdf(self, quote: QuoteOfSite) -> bytes:
        """A quote as a paper."""
        ...

    def invoice_figures(self, site: str, first: date, last: date) -> InvoiceFigures:
        """What was done at a site on some days, in figures."""
        ...

    def invoice_pdf(self, found: InvoiceFigures) -> bytes:
        """The figures for an invoice as a paper."""
        ...

    def worth(self, unit: str, years: int) -> UnitAnswer:
        """Whether to keep a unit, by its uid, or to hang a new one in its place."""
        ...
