"""The routes of deficiencies: the list, one with its way, and the forms by which it goes on: a price, an answer, the mending."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.dates import PartialDate
from pinseal.money import parse_amount
from pinseal.reasons import Refusal
from pinseal.service.books import Deficiency, Quote
from pinseal.web.account import AUTHORITY, OWNER
from pinseal.web.asked import read_page
from pinseal.web.date_words import date_words
from pinseal.web.office_common import Sight, account_of, answer, form_of, not_here, one, person_of, see_other, sight
from pinseal.web.office_deficiencies_page import DeficienciesAsked, May, asked_for, deficiencies_page, deficiency_page
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form
from pinseal.web.office_files import file_answer
from pinseal.web.office_tables import deficiencies_table
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble
from pinseal.web.words import read_day

_FIELDS = ("price", "currency", "work", "number", "valid_until", "said", "answered_by", "reason", "how", "day")


def _asked(request: Request) -> DeficienciesAsked:
    said = request.query_params
    asked = DeficienciesAsked(show=said.get("show", "open"), site=said.get("site", ""), age=said.get("age", ""))
    if not asked.known:
        raise not_here()
    return asked


class DeficiencyDesk:
    """The pages of deficiencies, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/deficiencies", self.all, name="deficiencies"),
            Route("/deficiencies.csv", self.as_file, name="deficiencies-file"),
            Route("/deficiencies.xlsx", self.as_file, name="deficiencies-file"),
            Route("/deficiencies/{uid}", self.one, name="deficiency"),
            Route("/deficiencies/{uid}/quote", self.quote, methods=["POST"], name="deficiency-quote"),
            Route("/deficiencies/{uid}/answer", self.answer, methods=["POST"], name="deficiency-answer"),
            Route("/deficiencies/{uid}/mend", self.mend, methods=["POST"], name="deficiency-mend"),
        ]

    def all(self, request: Request) -> Response:
        """What was found wrong."""
        page = read_page(request.query_params.get("page", ""), [])
        return answer(deficiencies_page(sight(self.office, request), _asked(request), page))

    def as_file(self, request: Request) -> Response:
        """The list as a file, as it is filtered."""
        seen = sight(self.office, request)
        asked = _asked(request)
        return file_answer(request, deficiencies_table(seen, asked_for(seen, asked)), f"deficiencies-{asked.show}", seen.about)

    def one(self, request: Request) -> Response:
        """One deficiency on its way."""
        seen = sight(self.office, request)
        return self._page(request, seen, self._found(seen, request))

    def _found(self, seen: Sight, request: Request) -> Deficiency:
        found = seen.books.deficiency(request.path_params["uid"])
        if found is None or not seen.sees(found.unit):
            raise not_here()
        return found

    def _page(self, request: Request, seen: Sight, found: Deficiency, refused: Refusal | None = None, form: Form | None = None) -> Response:
        account = account_of(request)
        owner = _owner_of(request)
        staff = account is None or account.role not in (OWNER, AUTHORITY)
        troubles = (Trouble(text=in_sentences(refused), at=one(form or {}, "form") or "way"),) if refused else ()
        page = deficiency_page(
            seen,
            found,
            May(quote=staff, answer=staff or bool(owner), mend=staff, answers_as=owner),
            currency=str(self.office.settings().get("currency") or ""),
            troubles=troubles,
            typed={name: one(form or {}, name) for name in _FIELDS},
        )
        return answer(page, bad=bool(troubles))

    async def quote(self, request: Request) -> Response:
        """Tell the owner a price."""
        return await run_in_threadpool(self._write, request, {**await form_of(request), "form": ["quote"]})

    async def answer(self, request: Request) -> Response:
        """Keep what the owner answered."""
        return await run_in_threadpool(self._write, request, {**await form_of(request), "form": ["answer"]})

    async def mend(self, request: Request) -> Response:
        """Keep that it was put right."""
        return await run_in_threadpool(self._write, request, {**await form_of(request), "form": ["mend"]})

    def _write(self, request: Request, form: Form) -> Response:
        seen = sight(self.office, request)
        found = self._found(seen, request)
        try:
            kind, day, fields = _MAKERS[one(form, "form")](found, form, _owner_of(request))
            if day.earliest > seen.about.today:
                raise _wrong_day(_("nothing is written down before it happens"), day)
            self.office.record(kind=kind, unit=found.unit, done=day, fields=fields, person=person_of(request))
        except Refusal as refused:
            return self._page(request, seen, found, refused, form)
        return see_other(f"/deficiencies/{found.record}")


def _owner_of(request: Request) -> str:
    """The name of who is signed in, where that is an owner; else empty."""
    account = account_of(request)
    return account.name if account is not None and account.role == OWNER else ""


Made = tuple[str, PartialDate, Mapping[str, str]]


def _needed(form: Form, name: str, what: str, do: str) -> str:
    if text := one(form, name):
        return text
    raise Refusal(what=what, rule=_("the record keeps it"), got=_("nothing"), do=do)


def _day(form: Form, not_before: PartialDate, what: str) -> PartialDate:
    day = PartialDate.of(read_day(_needed(form, "day", _("no day is said"), _("say on which day it was"))))
    if day.latest < not_before.earliest:
        raise _wrong_day(_(what, date=date_words(not_before)), day)
    return day


def _wrong_day(rule: str, day: PartialDate) -> Refusal:
    return Refusal(what=_("the day cannot be right"), rule=rule, got=date_words(day), do=_("correct the day"))


def _open(found: Deficiency) -> None:
    if not found.is_open:
        raise Refusal(
            what=_("it was put right already"),
            rule=_("a price, an answer or a mending is of a deficiency that stands open"),
            got=found.words,
            do=_("look at its way on this page"),
        )


def _quote_made(found: Deficiency, form: Form, _owner: str) -> Made:
    _open(found)
    currency = _needed(
        form, "currency", _("no currency is said"), _("write for example EUR, or choose the shop's currency in the settings")
    )
    price = parse_amount(_needed(form, "price", _("no price is said"), _("write the price")), currency)
    day = _day(form, found.found, marked("it was found on %(date)s"))
    until = read_day(one(form, "valid_until")) if one(form, "valid_until") else None
    if until is not None and until < day.earliest:
        raise _wrong_day(_("a price holds at least on the day on which it is told"), PartialDate.of(until))
    fields = {
        "deficiency": found.record,
        "price-minor": str(price.minor),
        "currency": price.currency,
        "work": one(form, "work"),
        "quote": one(form, "number"),
        "valid-until": until.isoformat() if until else "",
    }
    return "deficiency-quoted", day, _said(fields)


def _answer_made(found: Deficiency, form: Form, owner: str) -> Made:
    """An owner who is signed in answers by their own name, whatever the form says."""
    _open(found)
    quote = _quote_named(found, one(form, "quoted"))
    said = {
        "quoted": quote.record,
        "answer": _needed(form, "said", _("it is not said what the owner answered"), _("choose agreed or declined")),
        "answered-by": owner
        or _needed(form, "answered_by", _("nobody is named who answered"), _("write the name of who answered for the owner")),
        "reason": one(form, "reason"),
    }
    return "quote-answered", _day(form, quote.on, marked("the price was told on %(date)s")), _said(said)


def _quote_named(found: Deficiency, record: str) -> Quote:
    """The price that the form was about; an answer to one that was replaced since is refused."""
    quote = found.quote
    if quote is not None and quote.record == record:
        return quote
    raise Refusal(
        what=_("another price was told since") if quote else _("no price was told"),
        rule=_("an answer is of the price that holds"),
        got=record,
        do=_("read the price on this page, and answer again"),
    )


def _mend_made(found: Deficiency, form: Form, _owner: str) -> Made:
    _open(found)
    how = _needed(form, "how", _("it is not said what was done"), _("say how it was put right"))
    fields = {"finding": found.finding, "deficiency": found.record, "how": how}
    return "remedied", _day(form, found.found, marked("it was found on %(date)s")), fields


def _said(fields: Mapping[str, str]) -> dict[str, str]:
    return {name: value for name, value in fields.items() if value}


_MAKERS = {"quote": _quote_made, "answer": _answer_made, "mend": _mend_made}


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of deficiencies."""
    return DeficiencyDesk(office).routes()
