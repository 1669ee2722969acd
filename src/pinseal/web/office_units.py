"""Units in the office: the page of one, sites with their places, and the search over anything half-known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext
from pinseal.dates import PartialDate
from pinseal.documents.leak_drawing import picture_of
from pinseal.documents.leak_plot import leak_svg
from pinseal.reasons import Refusal
from pinseal.records.site_owner import SiteOwner
from pinseal.service.disagreements import disagreements
from pinseal.web.account import AUTHORITY, OWNER
from pinseal.web.asked import read_page
from pinseal.web.guards import FIELD_PAGE
from pinseal.web.office_common import account_of, answer, form_of, is_staff, not_here, one, person_of, reach_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_files import file_answer
from pinseal.web.office_photos import PhotoDesk
from pinseal.web.office_photos_page import file_names, photo_form
from pinseal.web.office_sites_page import search_page, site_href, site_page, sites_page
from pinseal.web.office_tables import inventory_table
from pinseal.web.office_unit_page import office_unit_page
from pinseal.web.office_visit_page import visits_of
from pinseal.web.quote_pages import draft_href
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble

_QUESTION_MAX = 200


class UnitDesk:
    """The pages of units, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/u/{uid}", self.code, name="unit-code"),
            Route("/units/{uid}", self.unit, name="unit"),
            Route("/units/{uid}/settle", self.settle, methods=["POST"], name="unit-settle"),
            Route("/units/{uid}/leak.svg", self.leak, name="unit-leak"),
            *PhotoDesk(self.office, self._photo_again).routes(),
            Route("/sites", self.sites, name="sites"),
            Route("/sites/{site:path}", self.site, name="site"),
            Route("/sites/{site:path}", self.own, methods=["POST"], name="site-owner"),
            Route("/inventory.csv", self.inventory, name="site-file"),
            Route("/inventory.xlsx", self.inventory, name="site-file"),
            Route("/search", self.search, name="search"),
        ]

    def code(self, request: Request) -> Response:
        """The short address that a unit's code holds: an owner comes to the inspection on the phone, the others to the unit."""
        unit = self.office.within(reach_of(request)).unit(request.path_params["uid"].lower())
        if unit is None or not unit.state.uid:
            raise not_here()
        account = account_of(request)
        if account is None or account.role != OWNER:
            return see_other(f"/units/{unit.state.uid}")
        return see_other(f"{FIELD_PAGE}#/code/{unit.state.uid}/{quote(unit.state.site or '', safe='')}")

    def unit(self, request: Request) -> Response:
        """One unit from birth to scrap."""
        return self._unit(request)

    async def settle(self, request: Request) -> Response:
        """Void one of two records that disagree; both stay on record, and why stands beside them."""
        return await run_in_threadpool(self._settle, request, await form_of(request))

    def _settle(self, request: Request, form: Mapping[str, list[str]]) -> Response:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        found = disagreements(self.office.history(uid)) if seen.sees(uid) else ()
        record, why = one(form, "record"), one(form, "reason")
        if record and record not in {side.fact.uid for each in found for side in (each.one, each.other)}:
            raise not_here()
        if not record or not why:
            return self._unit(request, gettext("Choose the record that is wrong, and say how you know."))
        fields = {"corrects": record, "void": "yes", "reason": why}
        try:
            self.office.record(kind="corrected", unit=uid, done=PartialDate.of(seen.about.today), fields=fields, person=person_of(request))
        except Refusal as refused:
            return self._unit(request, in_sentences(refused))
        return see_other(f"/units/{uid}")

    def _photo_again(self, request: Request, troubles: tuple[Trouble, ...], typed: Mapping[str, str]) -> Response:
        return self._unit(request, photo=troubles, typed=typed)

    def _unit(
        self, request: Request, trouble: str = "", *, photo: tuple[Trouble, ...] = (), typed: Mapping[str, str] | None = None
    ) -> Response:
        seen, uid = sight(self.office, request), request.path_params["uid"]
        unit = self.office.unit(uid) if seen.sees(uid) else None
        if unit is None:
            raise not_here()
        account, records = account_of(request), self.office.history(uid)
        may_work = account is None or account.role != AUTHORITY
        page = office_unit_page(
            seen,
            unit,
            records,
            leak=self.office.leak(uid),
            system=self.office.system(),
            may_work=may_work,
            media=self.office.files_of(file_names(records)),
            form=photo_form(seen, uid, troubles=photo, typed=typed) if may_work else None,
            trouble=trouble,
        )
        return answer(page, bad=bool(trouble or photo))

    def leak(self, request: Request) -> Response:
        """The picture of a unit's readings."""
        uid = request.path_params["uid"]
        found = self.office.leak(uid) if sight(self.office, request).sees(uid) else None
        if found is None:
            raise not_here()
        return Response(leak_svg(picture_of(found, self.office.system())), media_type="image/svg+xml")

    def sites(self, request: Request) -> Response:
        """Every site with what it owes."""
        return answer(sites_page(sight(self.office, request)))

    def site(self, request: Request) -> Response:
        """The units of one site by place."""
        return self._site(request, SiteOwner.read(self.office.settings().get("sites", {}).get(request.path_params["site"], "")))

    def _site(self, request: Request, owner: SiteOwner, *troubles: Trouble) -> Response:
        seen, site, asked = sight(self.office, request), request.path_params["site"], request.query_params
        number = read_page(asked.get("page", ""), [])
        page = site_page(seen, site, number, everything=asked.get("all") == "1", owner=owner, troubles=troubles)
        if page is None:
            raise not_here()
        quote_href = draft_href(site) if is_staff(request) else ""
        return answer(replace(page, visits=visits_of(seen, site=site), quote_href=quote_href), bad=bool(troubles))

    async def own(self, request: Request) -> Response:
        """Keep whose a site is and where, for tags, notices and reports."""
        return await run_in_threadpool(self._own, request, await form_of(request))

    def _own(self, request: Request, form: Mapping[str, list[str]]) -> Response:
        site = request.path_params["site"]
        if not any(state.site == site for state in sight(self.office, request).dues.states):
            raise not_here()
        owner = SiteOwner(name=one(form, "name"), address=one(form, "address"))
        if owner.name and not owner.address:
            return self._site(request, owner, Trouble(text=gettext("Say the address too: a tag asks for both."), at="address"))
        try:
            self.office.change_settings({"sites": {site: owner.text()}}, person_of(request))
        except Refusal as refused:
            return self._site(request, owner, Trouble(text=in_sentences(refused), at="address"))
        return see_other(site_href(site))

    def inventory(self, request: Request) -> Response:
        """The units of one site as a file; of every site where none is named."""
        seen, site = sight(self.office, request), request.query_params.get("site", "")
        if site and not any(state.site == site for state in seen.dues.states):
            raise not_here()
        return file_answer(request, inventory_table(seen, site), "inventory", seen.about)

    def search(self, request: Request) -> Response:
        """Units by anything half-known."""
        text = request.query_params.get("q", "").strip()[:_QUESTION_MAX]
        index = self.office.index()
        found = index.find(text, only=reach_of(request)) if text else None
        return answer(search_page(sight(self.office, request), index.states, text, found))


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of units and sites."""
    return UnitDesk(office).routes()
