"""What programs read of a shop: units, dues, deficiencies, sheets, registers."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from starlette.responses import Response

from pinseal import kinds
from pinseal.dates import parse_day
from pinseal.web import api_shapes as shapes
from pinseal.web.account import Account
from pinseal.web.api_access import access
from pinseal.web.api_body import answer
from pinseal.web.api_doors import LIMIT_MAX, LIMIT_USUAL, ApiRooms, DuesAsked, Page, UnitsAsked

Limit = Annotated[int, Query(ge=1, le=LIMIT_MAX)]
Start = Annotated[int, Query(ge=0, le=10_000_000)]
Text = Annotated[str, Query(max_length=200)]
On = Annotated[str | None, Query(pattern=shapes.DAY_PATTERN)]
State = Annotated[str, Query(pattern=f"^({'|'.join(kinds.STATES)})$")]
Duty = Annotated[str, Query(pattern=f"^({'|'.join(kinds.DUTIES)})?$")]


def day_of(text: str | None) -> date | None:
    """A day of the address. Raises `Refusal` for one that is not in the calendar."""
    return parse_day(text) if text else None


def read_router(rooms: ApiRooms) -> APIRouter:
    router = APIRouter(tags=["read"])
    _units(router, rooms)
    _lists(router, rooms)
    _registers(router, rooms)
    return router


def _may(rooms: ApiRooms, name: str) -> Any:
    return Depends(access(rooms.tokens, name))


def _units(router: APIRouter, rooms: ApiRooms) -> None:
    may_list, may_see = _may(rooms, "api-units"), _may(rooms, "api-unit")

    @router.get("/units", name="api-units", response_model=shapes.UnitsAnswer)
    def units(
        request: Request,
        account: Account = may_list,
        text: Text = "",
        site: Text = "",
        removed: bool = False,
        start: Start = 0,
        limit: Limit = LIMIT_USUAL,
    ) -> Response:
        """Units in the order of registering; with `text`, those that have most of its words, the best first."""
        asked = UnitsAsked(text=text, site=site, removed=removed, page=Page(start=start, limit=limit))
        return answer(request, rooms.api.units(asked, account))

    @router.get("/units/{uid}", name="api-unit", response_model=shapes.UnitAnswer)
    def unit(request: Request, uid: str, account: Account = may_see) -> Response:
        """One unit: what is known of it, its dues with their reasons, its readings, its records."""
        return answer(request, rooms.api.unit(uid, account))


def _lists(router: APIRouter, rooms: ApiRooms) -> None:
    may_dues, may_found = _may(rooms, "api-dues"), _may(rooms, "api-deficiencies")
    may_sheets, may_sheet = _may(rooms, "api-sheets"), _may(rooms, "api-sheet")

    @router.get("/dues", name="api-dues", response_model=shapes.DuesAnswer)
    def dues(
        request: Request,
        account: Account = may_dues,
        on: On = None,
        state: Annotated[list[State] | None, Query(max_length=6)] = None,
        duty: Duty = "",
        site: Text = "",
        start: Start = 0,
        limit: Limit = LIMIT_USUAL,
    ) -> Response:
        """The due list, the most urgent first, each row with its reasons."""
        states = tuple(each for each in kinds.STATES if each in (state or ()))
        asked = DuesAsked(on=day_of(on), states=states, duty=duty, site=site, page=Page(start=start, limit=limit))
        return answer(request, rooms.api.dues(asked, account))

    @router.get("/deficiencies", name="api-deficiencies", response_model=shapes.DeficienciesAnswer)
    def deficiencies(
        request: Request,
        account: Account = may_found,
        site: Text = "",
        every: bool = False,
        start: Start = 0,
        limit: Limit = LIMIT_USUAL,
    ) -> Response:
        """What was found wrong and is not put right yet, the newest first; with `every`, what was put right too."""
        return answer(request, rooms.api.deficiencies(site, every, Page(start=start, limit=limit), account))

    @router.get("/sheets", name="api-sheets", response_model=shapes.SheetsAnswer)
    def sheets(
        request: Request,
        account: Account = may_sheets,
        unit: Text = "",
        only_open: bool = False,
        start: Start = 0,
        limit: Limit = LIMIT_USUAL,
    ) -> Response:
        """Job sheets in the order in which they were begun."""
        return answer(request, rooms.api.sheets(unit, only_open, Page(start=start, limit=limit), account))

    @router.get("/sheets/{uid}", name="api-sheet", response_model=shapes.SheetAnswer)
    def sheet(request: Request, uid: str, account: Account = may_sheet) -> Response:
        """One job sheet as it stands: steps, limits, gates, entries, verdicts, what is next."""
        return answer(request, rooms.api.sheet(uid, account))


def _registers(router: APIRouter, rooms: ApiRooms) -> None:
    may_instruments, may_people = _may(rooms, "api-instruments"), _may(rooms, "api-people")

    @router.get("/instruments", name="api-instruments", dependencies=[may_instruments], response_model=shapes.InstrumentsAnswer)
    def instruments(request: Request, on: On = None) -> Response:
        """The instruments, each with how it stands on the day."""
        return answer(request, rooms.api.instruments(day_of(on)))

    @router.get("/people", name="api-people", dependencies=[may_people], response_model=shapes.PeopleAnswer)
    def people(request: Request, on: On = None) -> Response:
        """The people of the register with their papers. For supervisors."""
        return answer(request, rooms.api.people(day_of(on)))
