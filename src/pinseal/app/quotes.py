"""Prices, quotes of a site, figures for invoices, and whether a unit is worth its keep: from one shop's file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from pinseal.app.ground import Asked
from pinseal.app.papers import Papers, dates_as
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.documents.paper import Paper
    from pinseal.documents.tables import Table
    from pinseal.records.quotes import KeptQuote
    from pinseal.rules.price_book import PriceBook
    from pinseal.rules.quoting import Figures
    from pinseal.service.books import Books
    from pinseal.service.office import Writer
    from pinseal.service.price_keeping import PricesHeld
    from pinseal.service.quotes import Answered, InvoiceFigures, QuoteOfSite
    from pinseal.service.unit_costs import UnitAnswer
    from pinseal.store import Settings, Shop


class Quotes(Papers):
    """What is done with prices."""

    # -- the price book

    def prices(self, path: Path, *, on: date | None) -> PricesHeld:
        """The books that are kept, and the one in force. Raises `Refusal`."""
        with self._open(path, readonly=True) as shop:
            return self._prices(shop, on or shop.settings().today(self.now()))

    def import_prices(
        self, path: Path, file: Path, *, terms: Path | None, from_day: date | None, person: str | None, writer: str
    ) -> tuple[PriceBook, str]:
        """Keep a price book from a TOML or CSV file; the book and the uid of its record. Raises `Refusal`."""
        from pinseal.service.price_keeping import said_in

        content = _bytes_of(file)
        with self._open(path) as shop:
            today = shop.settings().today(self.now())
            other = (
                said_in(terms.name, _bytes_of(terms), terms=None, from_day=None) if terms else self._prices(shop, from_day or today).said
            )
            said = said_in(file.name, content, terms=other, from_day=from_day.isoformat() if from_day else None)
            return self._keep_prices(shop, said, file.name, person=person, writer=writer)

    def _keep_prices(self, shop: Shop, said: Mapping[str, Any], name: str, *, person: str | None, writer: str) -> tuple[PriceBook, str]:
        from pinseal.dates import PartialDate
        from pinseal.service.price_keeping import keep_prices

        day = PartialDate.of(shop.settings().today(self.now()))
        book, record = keep_prices(shop, self._writer(person, writer), said, name=name, day=day)
        return book, record.uid

    def _prices(self, shop: Shop, on: date) -> PricesHeld:
        from pinseal.records.quotes import fold_prices, in_force
        from pinseal.service.price_keeping import PricesHeld, load_prices
        from pinseal.store.looking import records_of_kinds

        veils = shop.veils()
        kept = fold_prices(veils.over_record(each) for each in records_of_kinds(shop, ("prices-kept", "corrected")))
        holds = in_force(kept, on)
        if holds is None:
            return PricesHeld(on=on, kept=kept)
        book, said = load_prices(holds, _kept_file(shop, holds.file))
        return PricesHeld(on=on, kept=kept, holds=holds, book=book, said=said)

    def _book(self, shop: Shop, on: date) -> PriceBook:
        """The book in force. Raises `Refusal` where there is none."""
        from pinseal.service.price_keeping import book_on

        held = self._prices(shop, on)
        if held.book is None:
            book_on(held.kept, on)
        assert held.book is not None
        return held.book

    def _writer(self, person: str | None, device: str) -> Writer:
        from pinseal.service.office import Writer

        return Writer(device=device, person=self._person(person), now=self.now(), new_uid=self._new_uid)

    # -- quotes

    def draft_quote(self, path: Path, site: str, *, until: date | None = None) -> QuoteOfSite:
        """What the work that is due at a site comes to today. Raises `Refusal`."""
        with self._open(path, readonly=True) as shop:
            return self._draft(shop, site, until)

    def _draft(self, shop: Shop, site: str, until: date | None) -> QuoteOfSite:
        from pinseal.app.kept_books import KeptBooks
        from pinseal.rules.quoting import figures
        from pinseal.service.planned_work import planned_work
        from pinseal.service.quotes import QuoteOfSite

        settings = shop.settings()
        today, states = settings.today(self.now()), shop.units()
        own = [state for state in states if state.site == site]
        check_site(site, [state.site for state in states if state.site])
        book = self._book(shop, today)
        with dates_as(settings):
            dues = self._shop_dues(shop, Asked(), only=own, settings=settings)
            books = KeptBooks(self).make(shop).books
            work = planned_work(dues, books.deficiencies, book, site=site, until=until)
            found = figures(book, work.items, site=site, left_out=work.left_out)
        return QuoteOfSite(site=site, on=today, until=until, figures=found)

    def keep_quote(
        self, path: Path, site: str, *, until: date | None, valid_until: date | None, number: str | None, person: str | None, writer: str
    ) -> QuoteOfSite:
        """Make a quote of what is due at a site, and keep it. Raises `Refusal`."""
        from pinseal.app.kept_books import KeptBooks
        from pinseal.service.quotes import keep_quote, next_number

        with self._open(path) as shop:
            draft = self._draft(shop, site, until)
            said = number or next_number(self._kept_quotes(shop), draft.on)
            books = KeptBooks(self).make(shop).books
            uid = keep_quote(shop, self._writer(person, writer), draft, books, number=said, valid_until=valid_until)
            return self._quote(shop, uid)

    def quotes(self, path: Path, *, site: str | None = None) -> list[QuoteOfSite]:
        """The quotes that were kept, the newest first."""
        with self._open(path, readonly=True) as shop:
            return [self._loaded(shop, each) for each in self._kept_quotes(shop) if site in (None, each.site)]

    def quote(self, path: Path, name: str) -> QuoteOfSite:
        """One kept quote by its number or uid. Raises `Refusal`."""
        with self._open(path, readonly=True) as shop:
            return self._quote(shop, name)

    def answer_quote(self, path: Path, name: str, answers: Sequence[Answered], *, person: str | None, writer: str) -> QuoteOfSite:
        """Keep what the owner answered. Raises `Refusal`."""
        from pinseal.app.kept_books import KeptBooks
        from pinseal.service.quotes import answer_quote

        with self._open(path) as shop:
            quote, today = self._quote(shop, name), shop.settings().today(self.now())
            books: Books = KeptBooks(self).make(shop).books
            answer_quote(shop, self._writer(person, writer), quote, books, answers, today=today)
            return self._quote(shop, name)

    def _kept_quotes(self, shop: Shop) -> list[KeptQuote]:
        from pinseal.records.quotes import fold_quotes
        from pinseal.store.looking import records_of_kinds

        veils = shop.veils()
        kinds = ("quote-made", "quote-lines-answered", "corrected")
        zone = ZoneInfo(shop.settings().time_zone)
        return fold_quotes((veils.over_record(each) for each in records_of_kinds(shop, kinds)), zone)

    def _quote(self, shop: Shop, name: str) -> QuoteOfSite:
        kept = self._kept_quotes(shop)
        found = [each for each in kept if name in (each.uid, each.number)]
        if len(found) == 1:
            return self._loaded(shop, found[0])
        raise Refusal(
            what=f"{len(found)} quotes fit" if found else "there is no such quote",
            rule="a quote is named by its number or its uid",
            got=name,
            do="look at pinseal quotes",
        )

    def _loaded(self, shop: Shop, kept: KeptQuote) -> QuoteOfSite:
        from pinseal.service.quotes import load_quote

        return load_quote(kept, _kept_file(shop, kept.file))

    # -- figures for an invoice

    def invoice_figures(self, path: Path, site: str, *, first: date, last: date | None) -> InvoiceFigures:
        """What was done at a site on a day, or on some days of one visit. Raises `Refusal`."""
        from pinseal.app.kept_books import KeptBooks
        from pinseal.records.fold import fold
        from pinseal.rules.quoting import figures
        from pinseal.service.done_work import Days, done_work, kinds_of_work
        from pinseal.service.quotes import InvoiceFigures
        from pinseal.store.looking import records_of_kinds, records_of_units

        last = last or first
        _check_days(first, last)
        with self._open(path, readonly=True) as shop:
            settings, veils = shop.settings(), shop.veils()
            near = {r.unit for r in records_of_kinds(shop, (*kinds_of_work(), "corrected")) if _is_near(r, first, last)}
            histories = records_of_units(shop, sorted(near))
            check_site(site, [state.site for state in shop.units() if state.site])
            book, people = self._book(shop, first), frozenset(veils.over(each.name) for each in shop.people())
            _check_one_book(book, self._book(shop, last))
            books = KeptBooks(self).make(shop).books
        shown = {uid: [veils.over_record(each) for each in some] for uid, some in histories.items()}
        with dates_as(settings):
            units = [(fold(some, last), some) for _, some in sorted(shown.items())]
            work = done_work(units, books.deficiencies, book, site=site, days=Days(first=first, last=last, people=people))
            found = figures(book, work.items, site=site, left_out=work.left_out)
        return InvoiceFigures(site=site, first=first, last=last, figures=found)

    # -- repair or replace

    def repair_or_replace(self, path: Path, unit: str, *, years: int) -> UnitAnswer:
        """Whether a unit is worth its keep over some years. Raises `Refusal`."""
        from pinseal.app.kept_books import KeptBooks
        from pinseal.service.office import find_one
        from pinseal.service.unit_costs import Ground, repair_or_replace

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            state = find_one(shop.find(unit), unit, where="in this shop")
            with dates_as(settings):
                dues = self._shop_dues(shop, Asked(), only=[state], settings=settings)
                whole = shop.unit(state.uid or "")
                ground = Ground(
                    chosen=dues.chosen,
                    on=dues.on,
                    years=years,
                    basis=dues.evaluation.basis,
                    assume=dues.assume,
                    book=self._book(shop, dues.on),
                    site=state.site or "",
                )
                books = KeptBooks(self).make(shop).books
                condemned = whole.condemned if whole else None
                return repair_or_replace(state, dues.of_unit(0), books.deficiencies, ground, condemned=condemned)

    # -- papers and tables

    def write_accounts(self, file: Path, found: Figures, *, site: str, day: str, paper: str) -> int:
        """Write the lines for the shop's accounts to a new CSV file; the number of rows. Raises `Refusal`."""
        from pinseal.app.tables import new_file

        if file.suffix.lower() != ".csv":
            raise Refusal(what="accounts take CSV", rule="the file ends in .csv", got=file.name, do="name the file so that it does")
        return new_file(file, account_table(found, site=site, day=day, paper=paper), "iso")

    def quote_paper(self, path: Path, quote: QuoteOfSite) -> Paper:
        """A quote as a paper."""
        from pinseal.service.quote_words import quote_data

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
        tie = f"record {quote.kept.record}" if quote.kept else "not kept"
        with dates_as(settings):
            return self._figures_paper(settings, quote_data(quote), "Quote", site=quote.site, foot=[quote.figures.book, tie])

    def invoice_paper(self, path: Path, found: InvoiceFigures) -> Paper:
        """The figures for an invoice as a paper."""
        from pinseal.service.quote_words import invoice_data

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
        with dates_as(settings):
            data = invoice_data(found.figures, site=found.site, days=days_words(found.first, found.last))
            return self._figures_paper(settings, data, "Invoice figures", site=found.site, foot=[found.figures.book])

    def _figures_paper(self, settings: Settings, data: dict[str, Any], kind: str, *, site: str, foot: Sequence[str]) -> Paper:
        from pinseal.documents.paper import Paper

        packs = [f"packs {', '.join(settings.packs)}"] if settings.packs else []
        title, right, owner = data.pop("title"), data.pop("right"), settings.owner_at(site)
        data["owner"] = f"For {owner}" if owner else ""
        head = self._head(settings, title=title, kind=kind, form=settings.form_at(site) or "", right=right, foot=[*foot, *packs])
        return Paper(template="quote", head=head, data=data)


def account_table(found: Figures, *, site: str, day: str, paper: str) -> Table:
    """The lines for the shop's accounts."""
    from pinseal.documents.tables import Column, Table
    from pinseal.service.quote_words import ACCOUNT_HEADS, account_rows

    return Table(
        title=paper, columns=[Column(head=head) for head in ACCOUNT_HEADS], rows=account_rows(found, site=site, day=day, paper=paper)
    )


def days_words(first: date, last: date) -> str:
    """One day, or from a first to a last."""
    from pinseal.dates import span_for_people

    return span_for_people(first, last)


def check_site(site: str, known: Sequence[str]) -> None:
    """Refuse a site that no unit is at."""
    from difflib import get_close_matches

    if site in known:
        return
    sites = sorted(set(known))
    near = get_close_matches(site, sites, n=3) or sites[:10]
    more = " …" if len(sites) > len(near) else ""
    raise Refusal(
        what="no unit is at this site",
        rule=f"sites are named as the register names them: {', '.join(near)}{more}" if sites else "the shop has no sites yet",
        got=site,
        do="check the name",
    )


def _check_days(first: date, last: date) -> None:
    if last < first or (last - first).days > 366:
        raise Refusal(
            what="these are no days of a visit",
            rule="the last day is not before the first, and at most a year after it",
            got=f"{first.isoformat()} to {last.isoformat()}",
            do="check the days",
        )


def _check_one_book(first: PriceBook, last: PriceBook) -> None:
    """Prices hold from a day: days with two books are billed apart."""
    if first.from_day != last.from_day:
        raise Refusal(
            what="new prices begin within these days",
            rule=f"figures rest on one price book; {last.title} holds from {last.from_day.isoformat()}",
            got=f"{first.title}, {last.title}",
            do="ask for the days before it and from it on by themselves",
        )


def _is_near(record: Any, first: date, last: date) -> bool:
    """Whether a record may be of these days; a correction may move any record to them."""
    return bool(record.kind == "corrected" or (record.done.earliest <= last and record.done.latest >= first))


def _kept_file(shop: Shop, sha256: str) -> bytes:
    kept = shop.file(sha256)
    if kept is None or not kept.is_file():
        raise Refusal(
            what="a file that a record names is not there",
            rule="a price book and a quote are kept as files in the shop's folder",
            got=sha256,
            do="restore the folder of the shop from a backup; pinseal verify names what is missing",
        )
    return kept.read_bytes()


def _bytes_of(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise Refusal(
            what="the file cannot be read", rule=f"the system says: {error.strerror}", got=str(file), do="check the name of the file"
        ) from error
