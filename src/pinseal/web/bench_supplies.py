"""The routes of the supply bottles: the page, its picture, and what is written of a bottle."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.documents.supply_drawing import draw_supply
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit
from pinseal.service.supplies import Bank, bank_for
from pinseal.web.bench_queue_page import BENCH_WORKS
from pinseal.web.bench_supply_page import Queue, supply_page
from pinseal.web.office_common import Sight, answer, form_of, is_staff, not_here, one, person_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form
from pinseal.web.office_registers_page import away_now
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble

FIELDS = {
    "receive": ("id", "gas", "water-capacity", "serial", "dew-point", "purity", "certificate"),
    "read": ("shows", "at-temperature"),
    "return": ("reason",),
}
_QUEUE_MAX = 40


class SupplyDesk:
    """The pages of the supply bottles, for one shop."""

    def __init__(self, office: OfficeRooms) -> None:
        self.office = office

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/bench/supply", self.shown, name="bench-supply"),
            Route("/bench/supply.svg", self.picture, name="bench-supply-picture"),
            Route("/bench/supply/{deed}", self.write, methods=["POST"], name="bench-supply-write"),
        ]

    def shown(self, request: Request) -> Response:
        """The bottles, and what they do for the unit that is chosen."""
        return self._page(request, request.query_params.get("unit", ""))

    def _page(self, request: Request, uid: str, said: dict[str, str] | None = None, trouble: Trouble | None = None) -> Response:
        seen = sight(self.office, request)
        page = supply_page(
            seen,
            self.office.bottles(),
            self._queue(seen),
            self._unit(seen, uid) if uid else None,
            system=self.office.system(),
            may_write=is_staff(request),
            said=said or {},
            trouble=trouble,
        )
        return answer(page, bad=bool(trouble))

    def picture(self, request: Request) -> Response:
        """The bank for a unit, drawn."""
        seen = sight(self.office, request)
        unit = self._unit(seen, request.query_params.get("unit", ""))
        system = self.office.system()
        here = sorted((each for each in self.office.bottles() if each.returned is None), key=lambda each: (each.id.casefold(), each.uid))
        found = bank_for(unit, seen.dues.of_unit(seen.places[unit.state.uid or ""]), seen.about.today, here, system=system)
        if not isinstance(found, Bank):
            raise not_here()
        return Response(draw_supply(found.plan, system), media_type="image/svg+xml")

    async def write(self, request: Request) -> Response:
        """A bottle comes, is read, or goes back."""
        return await run_in_threadpool(self._write, request, await form_of(request))

    def _write(self, request: Request, form: Form) -> Response:
        deed = request.path_params["deed"]
        if deed not in FIELDS:
            raise not_here()
        uid, unit = one(form, "bottle"), one(form, "unit")
        fields = {name: one(form, name) for name in FIELDS[deed] if one(form, name)}
        try:
            self.office.write_bottle(deed, uid, fields, person_of(request))
        except Refusal as refused:
            said = {**{name: one(form, name) for name in FIELDS[deed]}, "bottle": uid}
            return self._page(request, unit, said, Trouble(text=in_sentences(refused), at=f"{deed}-{uid}" if uid else deed))
        return see_other("/bench/supply" + (f"?unit={unit}" if unit and sight(self.office, request).sees(unit) else ""))

    def _queue(self, seen: Sight) -> Queue:
        """The units on the bench, those that are away first."""
        away = [each.unit for each in away_now(seen) if each.taken_to in ("bench", "van")]
        sheets = [each.unit for each in seen.books.sheets if each.is_open and BENCH_WORKS & set(each.works) and seen.sees(each.unit)]
        shown = list(dict.fromkeys((*away, *sheets)))[:_QUEUE_MAX]
        found = self.office.units(shown)
        return [(found[uid], seen.dues.of_unit(seen.places[uid])) for uid in shown if uid in found]

    def _unit(self, seen: Sight, uid: str) -> Unit:
        unit = self.office.unit(uid) if seen.sees(uid) else None
        if unit is None:
            raise not_here()
        return unit


def routes(office: OfficeRooms) -> list[BaseRoute]:
    """The routes of the supply bottles."""
    return SupplyDesk(office).routes()
