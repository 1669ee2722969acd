"""The routes of notices: impaired units with their clocks, what is recorded of them, and the papers."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import datetime, time

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.service.impairments import Impairment
from pinseal.web.notice_page import moment_text, notices_page
from pinseal.web.office_common import Sight, answer, form_of, is_staff, not_here, one, person_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form
from pinseal.web.office_files import pdf_answer
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble
from pinseal.web.words import read_day

_TIME = re.compile(r"([01]?\d|2[0-3])[:.]([0-5]\d)", re.ASCII)
_FIELDS = ("party", "day", "time", "name", "how")


class NoticeDesk:
    """The pages of notices, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/notices", self.shown, name="notices"),
            Route("/notices", self.begun, methods=["POST"], name="notice-begin"),
            Route("/notices/{record}.pdf", self.paper, name="notice-paper"),
            Route("/notices/{record}/told", self.told, methods=["POST"], name="notice-told"),
            Route("/notices/{record}/cleared", self.cleared, methods=["POST"], name="notice-cleared"),
            Route("/units/{uid}/condemned.pdf", self.condemned, name="unit-condemned"),
        ]

    def shown(self, request: Request) -> Response:
        """Impaired units: who must be told, by when."""
        return self._page(request)

    def _page(self, request: Request, said: Mapping[str, str] | None = None, trouble: Trouble | None = None) -> Response:
        page = notices_page(
            sight(self.office, request),
            self.office.impairments(),
            now=self.office.moment(),
            open_only=request.query_params.get("show") != "all",
            may_write=is_staff(request),
            place=str((self.office.settings().get("marks") or {}).get("*", "")),
            said=said or {},
            trouble=trouble,
        )
        return answer(page, bad=bool(trouble))

    def _found(self, request: Request) -> Impairment:
        seen, record = sight(self.office, request), request.path_params["record"]
        found = next((each for each in self.office.impairments() if each.record == record and seen.sees(each.unit)), None)
        if found is None:
            raise not_here()
        return found

    def paper(self, request: Request) -> Response:
        """The notice of one impairment, as PDF."""
        found = self._found(request)
        return pdf_answer(self.office.paper("notice", found.unit, found.record), f"notice-{found.record}")

    def condemned(self, request: Request) -> Response:
        """The notice that the shell of a unit is condemned, as PDF."""
        uid = request.path_params["uid"]
        if not sight(self.office, request).sees(uid):
            raise not_here()
        try:
            return pdf_answer(self.office.paper("condemnation", uid), f"condemned-{uid}")
        except Refusal as refused:
            raise not_here() from refused

    async def begun(self, request: Request) -> Response:
        """Keep that a unit was found impaired."""
        return await run_in_threadpool(self._begin, request, await form_of(request))

    def _begin(self, request: Request, form: Form) -> Response:
        seen = sight(self.office, request)
        try:
            unit = _unit_named(seen, one(form, "unit"))
            at = _moment(form, None, self.office.moment())
            what = one(form, "impairments")
            if not what:
                raise _nothing(_("it is not said what is impaired"), _("say what is unsafe or does not work"))
            said = {"impairments": what, "rules-of": one(form, "rules-of"), "number": one(form, "number")}
            fields = {"at": at.isoformat(timespec="minutes"), **{name: text for name, text in said.items() if text}}
            self.office.record(kind="impaired", unit=unit, done=PartialDate.of(at.date()), fields=fields, person=person_of(request))
        except Refusal as refused:
            typed = {name: one(form, name) for name in (*_FIELDS, "unit", "impairments", "rules-of", "number")}
            return self._page(request, typed, Trouble(text=in_sentences(refused), at="impaired"))
        return see_other("/notices")

    async def told(self, request: Request) -> Response:
        """Keep that somebody was told."""
        return await run_in_threadpool(self._write, request, await form_of(request), _told)

    async def cleared(self, request: Request) -> Response:
        """Keep that an impairment is cleared."""
        return await run_in_threadpool(self._write, request, await form_of(request), _cleared)

    def _write(self, request: Request, form: Form, make: Callable[[Impairment, Form], tuple[str, dict[str, str]]]) -> Response:
        found = self._found(request)
        try:
            at = _moment(form, found, self.office.moment())
            kind, fields = make(found, form)
            said = {"impairment": found.record, "at": at.isoformat(timespec="minutes"), **{k: v for k, v in fields.items() if v}}
            self.office.record(kind=kind, unit=found.unit, done=PartialDate.of(at.date()), fields=said, person=person_of(request))
        except Refusal as refused:
            name = "told" if make is _told else "cleared"
            trouble = Trouble(text=in_sentences(refused), at=f"{name}-{found.record}")
            return self._page(request, {field: one(form, field) for field in _FIELDS}, trouble)
        return see_other("/notices")


def _nothing(what: str, do: str) -> Refusal:
    return Refusal(what=what, rule=_("the record keeps it"), got=_("nothing"), do=do)


def _unit_named(seen: Sight, text: str) -> str:
    """The uid of the one unit in sight that has this number or serial. Raises `Refusal`."""
    key = text.casefold()
    found = [each.uid for each in seen.dues.states if key and key in ((each.id or "").casefold(), (each.serial or "").casefold(), each.uid)]
    if len(found) == 1 and found[0]:
        return found[0]
    raise Refusal(
        what=_("several units have this number") if found else _("there is no such unit"),
        rule=_("a unit is named by its number or its serial"),
        got=text,
        do=_("look it up with the search, and check the number"),
    )


def _moment(form: Form, found: Impairment | None, now: datetime) -> datetime:
    """When it was. Raises `Refusal` for a moment before the impairment, and for one that is still to come."""
    day, match = read_day(one(form, "day")), _TIME.fullmatch(one(form, "time"))
    if match is None:
        raise Refusal(
            what=_("this is no time of the day"),
            rule=_("hours and minutes, from 00:00 to 23:59"),
            got=one(form, "time"),
            do=_("write it as in %(example)s", example="14:30"),
        )
    at = datetime.combine(day, time(int(match[1]), int(match[2])), now.tzinfo)
    began = found.case.at.replace(second=0, microsecond=0) if found else None
    if at > now or (began and at < began):
        rule = _("it is not after %(last)s, which is now", last=moment_text(now))
        if began:
            rule = _("from %(first)s, when it was found, to %(last)s, which is now", first=moment_text(began), last=moment_text(now))
        raise Refusal(what=_("this moment cannot be right"), rule=rule, got=moment_text(at), do=_("correct the day or the time"))
    return at


def _told(found: Impairment, form: Form) -> tuple[str, dict[str, str]]:
    party = one(form, "party")
    if party not in {due.telling.to for due in found.dues}:
        raise Refusal(what=_("it is not said who was told"), rule=_("a notice goes to somebody"), got=party, do=_("choose who was told"))
    return "notice-given", {"party": party, "name": one(form, "name"), "how": one(form, "how")}


def _cleared(found: Impairment, form: Form) -> tuple[str, dict[str, str]]:
    if found.case.cleared is not None:
        raise Refusal(
            what=_("it was cleared already"),
            rule=_("an impairment is cleared once"),
            got=moment_text(found.case.cleared),
            do=_("look at its clocks"),
        )
    how = one(form, "how")
    if not how:
        raise _nothing(_("it is not said how it was cleared"), _("say what was done"))
    return "impairment-cleared", {"how": how}


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of notices."""
    return NoticeDesk(office).routes()
