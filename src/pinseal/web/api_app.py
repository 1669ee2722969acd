"""The API as an application: its routes, its description at /api/openapi.json, and one shape for what goes wrong."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException

from pinseal.reasons import Refusal
from pinseal.web.api_body import not_found, not_shaped, own_fault, refused
from pinseal.web.api_doors import ApiRooms
from pinseal.web.api_read import read_router
from pinseal.web.api_shapes import Problem
from pinseal.web.api_work import work_router
from pinseal.web.door import door_router

_ABOUT = """Read a shop, work its job sheets, and sync devices.

A browser that is signed in needs nothing more. A program sends `Authorization: Bearer TOKEN`; a token opens its scopes
(read, work, door) as far as the role of its account goes. What each item holds is told in docs/api.md."""
_PROBLEMS = {
    400: "refused, in words",
    401: "nobody is signed in",
    403: "not for this role or token",
    404: "not there",
    413: "too much at once",
    415: "another kind of content",
    422: "cannot be read",
    429: "asked too often",
    503: "the shop cannot be used now",
}


def build_api(rooms: ApiRooms) -> FastAPI:
    """The API of one shop, to be mounted."""
    problems: dict[int | str, dict[str, Any]] = {code: {"model": Problem, "description": words} for code, words in _PROBLEMS.items()}
    api = FastAPI(title="pinseal", version="1", description=_ABOUT, docs_url=None, redoc_url=None, responses=problems)
    for router in (read_router(rooms), work_router(rooms), door_router(rooms)):
        api.include_router(router)
    api.add_exception_handler(Refusal, refused)
    api.add_exception_handler(RequestValidationError, not_shaped)
    api.add_exception_handler(HTTPException, not_found)
    api.add_exception_handler(Exception, own_fault)
    return api
