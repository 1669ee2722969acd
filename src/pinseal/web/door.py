"""The sync door in the API: a device hands in what it has, hands in photos, and takes a day along."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from pinseal.web.account import Account
from pinseal.web.api_access import access
from pinseal.web.api_body import answer, read_bytes, read_json
from pinseal.web.api_doors import ApiRooms
from pinseal.web.api_read import day_of
from pinseal.web.api_shapes import BATCH_SCHEMA, DAY_PATTERN, SHA256_PATTERN, DayAnswer, DoorAnswer, PhotoAnswer

BATCH_BYTES_MAX = 8_000_000
PHOTO_BYTES_MAX = 15_000_000
_BATCH = {"requestBody": {"required": True, "content": {"application/json": {"schema": BATCH_SCHEMA}}}}
_BYTES = {"schema": {"type": "string", "format": "binary"}}
_PHOTO = {"requestBody": {"required": True, "content": {"image/jpeg": _BYTES, "image/png": _BYTES}}}


def door_router(rooms: ApiRooms) -> APIRouter:
    router = APIRouter(prefix="/door", tags=["door"])
    may_send, may_take, may_show = (Depends(access(rooms.tokens, name)) for name in ("api-door", "api-day", "api-photo"))

    @router.post("", name="api-door", response_model=DoorAnswer, openapi_extra=_BATCH)
    async def send(request: Request, account: Account = may_send) -> Response:
        """Hand in facts and job sheets. Each item is answered by itself; one that is refused stops no other."""
        batch = await read_json(request, BATCH_BYTES_MAX)
        return answer(request, await run_in_threadpool(rooms.door.take, batch, account))

    @router.put("/photos/{sha256}", name="api-photo", response_model=PhotoAnswer, openapi_extra=_PHOTO)
    async def photo(
        request: Request,
        sha256: Annotated[str, Path(pattern=SHA256_PATTERN)],
        account: Account = may_show,
        name: Annotated[str, Query(max_length=200)] = "",
    ) -> Response:
        """Hand in a photo under the SHA-256 of its content. JPEG or PNG."""
        content = await read_bytes(request, PHOTO_BYTES_MAX)

        def keep() -> dict[str, Any]:
            return rooms.door.keep_photo(sha256, content, name=name, account=account)

        return answer(request, await run_in_threadpool(keep))

    @router.get("/day", name="api-day", response_model=DayAnswer)
    def day(
        request: Request,
        account: Account = may_take,
        site: Annotated[list[str] | None, Query(max_length=200)] = None,
        on: Annotated[str | None, Query(pattern=DAY_PATTERN)] = None,
    ) -> Response:
        """Take a day along: the units of some sites with dues, last readings, deficiencies and job sheets. No site: all of them."""
        found = rooms.days.day(tuple(site or ()), day_of(on), account)
        tag = f'"{found["version"]}"'
        if request.headers.get("if-none-match") == tag:
            return Response(status_code=304, headers={"etag": tag})
        made = answer(request, found)
        made.headers["etag"] = tag
        return made

    return router
