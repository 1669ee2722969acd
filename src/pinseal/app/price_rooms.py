"""The pages of prices: one shop's price book, quotes and figures, remembered as long as nothing was written about prices."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from pinseal.app.pages import ShopOffice

if TYPE_CHECKING:
    from pinseal.app import App
    from pinseal.service.price_keeping import PricesHeld
    from pinseal.service.quotes import Answered, InvoiceFigures, QuoteOfSite
    from pinseal.service.unit_costs import UnitAnswer
    from pinseal.store import Shop

_WRITER = "office"


class ShopPrices(ShopOffice):
    """Answers `web.price_doors.PriceRooms` for one shop's file."""

    app: App

    def prices(self) -> PricesHeld:
        return self.app.prices(self.path, on=None)

    def quotes(self) -> Sequence[QuoteOfSite]:
        from pinseal.app.kept_lists import as_before_without
        from pinseal.records.quotes import PRICE_RECORDS

        def make(shop: Shop) -> tuple[QuoteOfSite, ...]:
            return tuple(self.app._loaded(shop, each) for each in self.app._kept_quotes(shop))

        return self._memory.get("quotes", make, as_before_without(PRICE_RECORDS))

    def draft_quote(self, site: str, until: date | None) -> QuoteOfSite:
        return self.app.draft_quote(self.path, site, until=until)

    def keep_quote(self, site: str, *, until: date | None, valid_until: date | None, number: str, person: str) -> str:
        made = self.app.keep_quote(
            self.path, site, until=until, valid_until=valid_until, number=number or None, person=person or None, writer=_WRITER
        )
        assert made.kept is not None, "a quote that was kept is kept"
        return made.kept.uid

    def answer_quote(self, uid: str, answers: Sequence[Answered], person: str) -> None:
        self.app.answer_quote(self.path, uid, answers, person=person or None, writer=_WRITER)

    def quote_pdf(self, quote: QuoteOfSite) -> bytes:
        return self.app.quote_paper(self.path, quote).draw().pages.files[0]

    def invoice_figures(self, site: str, first: date, last: date) -> InvoiceFigures:
        return self.app.invoice_figures(self.path, site, first=first, last=last)

    def invoice_pdf(self, found: InvoiceFigures) -> bytes:
        return self.app.invoice_paper(self.path, found).draw().pages.files[0]

    def worth(self, unit: str, years: int) -> UnitAnswer:
        return self.app.repair_or_replace(self.path, unit, years=years)
