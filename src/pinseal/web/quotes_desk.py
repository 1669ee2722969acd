"""The routes of prices: the price book, quotes of sites with their answers, figures for an invoice, repair or replace."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.documents.tables import Column, Table
from pinseal.reasons import Refusal
from pinseal.rules.quoting import Figures
from pinseal.service.quote_words import ACCOUNT_HEADS, account_rows
from pinseal.service.quotes import Answered, InvoiceFigures, QuoteOfSite
from pinseal.web.account import OWNER
from pinseal.web.office_common import Sight, account_of, answer, form_of, is_staff, not_here, one, person_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form
from pinseal.web.office_files import csv_answer, file_name, pdf_answer
from pinseal.web.quote_pages import invoice_page, prices_page, quote_page, quotes_page, worth_page
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble
from pinseal.web.words import read_day

_YEARS = 12
_TYPED = ("said", "answered_by", "reason", "until", "valid_until", "number")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What the person of a request may see, and the figures that they ask for."""

    sight: Sight
    quote: QuoteOfSite


class QuoteDesk:
    """The pages of prices, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/prices", self.prices, name="prices"),
            Route("/quotes", self.quotes, name="quotes"),
            Route("/quotes/draft", self.draft, name="quote-draft"),
            Route("/quotes/keep", self.keep, methods=["POST"], name="quote-keep"),
            Route("/quotes/{uid}.pdf", self.pdf, name="quote-file"),
            Route("/quotes/{uid}.csv", self.csv, name="quote-file"),
            Route("/quotes/{uid}", self.quote, name="quote"),
            Route("/quotes/{uid}/answer", self.answer, methods=["POST"], name="quote-answer"),
            Route("/invoice-figures", self.invoice, name="invoice-figures"),
            Route("/invoice-figures.pdf", self.invoice_pdf, name="invoice-file"),
            Route("/invoice-figures.csv", self.invoice_csv, name="invoice-file"),
            Route("/units/{uid}/worth", self.worth, name="unit-worth"),
        ]

    def prices(self, request: Request) -> Response:
        """The price book."""
        return answer(prices_page(sight(self.office, request), self.office.prices()))

    # -- quotes

    def quotes(self, request: Request) -> Response:
        """Every quote that this person may see."""
        seen = sight(self.office, request)
        return answer(quotes_page(seen, self._own(seen), may_make=is_staff(request)))

    def _own(self, seen: Sight) -> list[QuoteOfSite]:
        if not seen.prices:
            raise not_here()
        return [each for each in self.office.quotes() if seen.reach is None or each.site in seen.reach]

    def draft(self, request: Request) -> Response:
        """What the work that is due at a site comes to."""
        said = request.query_params
        return self._draft(request, said.get("site", ""), said.get("until", ""), {})

    def _draft(self, request: Request, site: str, until: str, form: Form, refused: Refusal | None = None) -> Response:
        seen = sight(self.office, request)
        try:
            found = self.office.draft_quote(site, _day(until))
        except Refusal:
            if refused is None:
                raise
            found = self.office.draft_quote(site, None)
        troubles = (Trouble(text=in_sentences(refused), at="keep"),) if refused else ()
        typed = {name: one(form, name) for name in _TYPED} | {"until": until}
        return answer(quote_page(seen, found, may_keep=True, troubles=troubles, typed=typed), bad=bool(troubles))

    async def keep(self, request: Request) -> Response:
        """Keep a quote, so that the owner can answer it."""
        return await run_in_threadpool(self._keep, request, await form_of(request))

    def _keep(self, request: Request, form: Form) -> Response:
        site, until = one(form, "site"), one(form, "until")
        try:
            uid = self.office.keep_quote(
                site, until=_day(until), valid_until=_day(one(form, "valid_until")), number=one(form, "number"), person=person_of(request)
            )
        except Refusal as refused:
            return self._draft(request, site, until, form, refused)
        return see_other(f"/quotes/{uid}")

    def _found(self, request: Request) -> _Seen:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        found = next((each for each in self._own(seen) if each.kept and each.kept.uid == uid), None)
        if found is None:
            raise not_here()
        return _Seen(sight=seen, quote=found)

    def quote(self, request: Request) -> Response:
        """One quote with its answers."""
        return self._page(request, self._found(request))

    def _page(self, request: Request, found: _Seen, refused: Refusal | None = None, form: Form | None = None) -> Response:
        troubles = (Trouble(text=in_sentences(refused), at="answer"),) if refused else ()
        page = quote_page(
            found.sight,
            found.quote,
            may_answer=True,
            answers_as=_owner_of(request),
            troubles=troubles,
            typed={name: one(form or {}, name) for name in _TYPED},
            ticked=frozenset(form.get("line", ())) if form else None,
        )
        return answer(page, bad=bool(troubles))

    async def answer(self, request: Request) -> Response:
        """Keep what the owner answered."""
        return await run_in_threadpool(self._answer, request, await form_of(request))

    def _answer(self, request: Request, form: Form) -> Response:
        found = self._found(request)
        assert found.quote.kept is not None, "only kept quotes are found"
        uid = found.quote.kept.uid
        try:
            self.office.answer_quote(uid, _answers(found.quote, form, _owner_of(request)), person_of(request))
        except Refusal as refused:
            return self._page(request, found, refused, form)
        return see_other(f"/quotes/{uid}")

    def pdf(self, request: Request) -> Response:
        """A quote as a paper."""
        found = self._found(request).quote
        return pdf_answer(self.office.quote_pdf(found), file_name("quote", found.kept.number if found.kept else ""))

    def csv(self, request: Request) -> Response:
        """The lines of a quote for accounts."""
        found = self._found(request).quote
        number = found.kept.number if found.kept else ""
        return _csv(found.figures, site=found.site, day=found.on.isoformat(), paper=f"quote {number}", name=file_name("quote", number))

    # -- figures for an invoice

    def invoice(self, request: Request) -> Response:
        """What was done at a site on some days."""
        return answer(invoice_page(sight(self.office, request), self._invoice(request)))

    def invoice_pdf(self, request: Request) -> Response:
        """The same as a paper."""
        found = self._invoice(request)
        return pdf_answer(self.office.invoice_pdf(found), file_name("invoice-figures", found.site, found.first.isoformat()))

    def invoice_csv(self, request: Request) -> Response:
        """The same for accounts."""
        found = self._invoice(request)
        day = found.first.isoformat() if found.first == found.last else f"{found.first.isoformat()} to {found.last.isoformat()}"
        name = file_name("invoice-figures", found.site, found.first.isoformat())
        return _csv(found.figures, site=found.site, day=day, paper="invoice figures", name=name)

    def _invoice(self, request: Request) -> InvoiceFigures:
        said, today = request.query_params, self.office.about().today
        first = _day(said.get("from", "")) or today
        return self.office.invoice_figures(said.get("site", ""), first, _day(said.get("to", "")) or first)

    # -- repair or replace

    def worth(self, request: Request) -> Response:
        """Whether a unit is worth its keep."""
        seen, uid = sight(self.office, request), request.path_params["uid"]
        state = seen.state(uid)
        if state is None or not seen.prices:
            raise not_here()
        years = request.query_params.get("years", "")
        count = int(years) if years.isascii() and years.isdigit() and len(years) < 4 else _YEARS
        return answer(worth_page(seen, self.office.worth(uid, count), state, count))


def _day(text: str) -> date | None:
    """A day of an address or a form: ISO, or as people type it; None where nothing is said. Raises `Refusal`."""
    if not text.strip():
        return None
    return read_day(text)


def _owner_of(request: Request) -> str:
    """The name of who is signed in, where that is an owner; else empty."""
    account = account_of(request)
    return account.name if account is not None and account.role == OWNER else ""


def _answers(quote: QuoteOfSite, form: Form, owner: str) -> list[Answered]:
    """What the form says: all agreed, all declined, or the ticked lines agreed and the others declined. Raises `Refusal`.

    An owner who is signed in answers by their own name, whatever the form says.
    """
    by, said, reason = owner or one(form, "answered_by"), one(form, "said"), one(form, "reason")
    if not by:
        raise _needed(_("nobody is named who answered"), _("write the name of who answered for the owner"))
    if said in ("agreed", "declined"):
        return [Answered(lines=(), answer=said, by=by, reason=reason)]
    if said != "lines":
        raise _needed(_("it is not said what the owner answered"), _("choose one of the answers"))
    ticked = set(form.get("line", ()))
    agreed = tuple(line.number for line in quote.figures.lines if line.number in ticked)
    rest = tuple(line.number for line in quote.figures.lines if line.number not in ticked)
    parts = (Answered(lines=agreed, answer="agreed", by=by, reason=reason), Answered(lines=rest, answer="declined", by=by, reason=reason))
    return [each for each in parts if each.lines]


def _needed(what: str, do: str) -> Refusal:
    return Refusal(what=what, rule=_("the record keeps it"), got=_("nothing"), do=do)


def _csv(found: Figures, *, site: str, day: str, paper: str, name: str) -> Response:
    columns = [Column(head=head) for head in ACCOUNT_HEADS]
    table = Table(title=paper, columns=columns, rows=account_rows(found, site=site, day=day, paper=paper))
    return csv_answer(table, name)


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of prices."""
    return QuoteDesk(office).routes()
