"""What programs do with job sheets: begin one, enter, hear the decision, finish. The same services as the commands and pages."""

from __future__ import annotations

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from pinseal.web import api_shapes as shapes
from pinseal.web.account import Account
from pinseal.web.api_access import access
from pinseal.web.api_body import answer
from pinseal.web.api_doors import ApiRooms, SheetWanted
from pinseal.web.api_read import day_of


def work_router(rooms: ApiRooms) -> APIRouter:
    router = APIRouter(tags=["work"])
    names = ("api-sheet-begin", "api-sheet-enter", "api-sheet-finish", "api-decide")
    may_begin, may_enter, may_finish, may_decide = (Depends(access(rooms.tokens, name)) for name in names)

    @router.post("/sheets", name="api-sheet-begin", status_code=201, response_model=shapes.SheetAnswer)
    def begin(request: Request, body: shapes.SheetBody, account: Account = may_begin) -> Response:
        """Begin a job sheet for a unit, or go on with the one that you have open when no works are named."""
        return answer(request, rooms.api.begin_sheet(_wanted(body), account), 201)

    @router.post("/sheets/{uid}/entries", name="api-sheet-enter", response_model=shapes.EnteredAnswer)
    def enter(request: Request, uid: str, body: shapes.EntryBody, account: Account = may_enter) -> Response:
        """Take one entry; it is kept before the answer is given. The answer holds the verdict on its readings."""
        return answer(request, rooms.api.enter(uid, body.entry, account))

    @router.post("/sheets/{uid}/finish", name="api-sheet-finish", response_model=shapes.FinishedAnswer)
    def finish(request: Request, uid: str, account: Account = may_finish) -> Response:
        """Close a job sheet with its records, all or none."""
        return answer(request, rooms.api.finish(uid, account))

    @router.post("/decide", name="api-decide", response_model=shapes.DecideAnswer)
    def decide(request: Request, body: shapes.DecideBody, account: Account = may_decide) -> Response:
        """How much a unit needs, by a few facts of it. Nothing is written."""
        return answer(request, rooms.api.decide(_wanted(body), body.entries, account))

    return router


def _wanted(body: shapes.SheetBody) -> SheetWanted:
    return SheetWanted(unit=body.unit, works=None if body.works is None else tuple(body.works), on=day_of(body.on))
