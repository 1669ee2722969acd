"""Reading what is sent to the API: so many bytes and no more, JSON that is JSON, and one shape for everything that goes wrong."""

from __future__ import annotations

import gzip
import json
from collections.abc import Mapping, Sequence
from typing import Any

from fastapi import Request
from fastapi.exceptions import RequestValidationError
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.web.api_doors import NotForYou, NoToken, NotThere, TooMuch, WrongMedia, WrongShape
from pinseal.web.guards import TooLarge

DEPTH_MAX = 12
_GZIP_FROM = 20_000
_STATUS: tuple[tuple[type[Refusal], int], ...] = (
    (NoToken, 401),
    (NotForYou, 403),
    (NotThere, 404),
    (TooMuch, 413),
    (TooLarge, 413),
    (WrongMedia, 415),
    (WrongShape, 422),
    (ShopUnusable, 503),
    (Refusal, 400),
)


async def read_bytes(request: Request, most: int) -> bytes:
    """The body, of `most` bytes at most. What is beyond is read and thrown away, so that the sender hears the answer."""
    packed = request.headers.get("content-encoding", "identity").strip().lower()
    if packed not in ("", "identity"):  # unfolded it could be of any size
        raise WrongMedia(
            what="packed content is not taken here", rule="send it as it is", got=ascii(packed)[:40], do="leave content-encoding out"
        )
    parts: list[bytes] = []
    size = 0
    async for part in request.stream():
        size += len(part)
        if size <= most:
            parts.append(part)
    if size > most:
        raise TooMuch(
            what="that is too much at once",
            rule=f"{most / 1_000_000:g} MB at most",
            got=f"{size / 1_000_000:.1f} MB",
            do="send it in smaller parts",
        )
    return b"".join(parts)


async def read_json(request: Request, most: int) -> Any:
    """The body as JSON. Raises `Refusal` for another kind of content, and for what is no JSON."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json":
        raise WrongMedia(what="this is not taken here", rule="the content is application/json", got=kind[:80], do="send JSON in UTF-8")
    return await run_in_threadpool(parse_json, await read_bytes(request, most))


def parse_json(content: bytes) -> Any:
    """JSON as RFC 8259 has it: without NaN and infinities, and not nested without end. Raises `WrongShape`."""
    try:
        found = json.loads(content.decode("utf-8"), parse_constant=_no_number, object_pairs_hook=_each_key_once)
    except (UnicodeDecodeError, ValueError, RecursionError) as wrong:
        raise _no_json(str(wrong)) from wrong
    _check_depth(found, DEPTH_MAX)
    return found


def _no_number(text: str) -> Any:
    raise ValueError(f"{text} is no number")


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a key stands twice in one object")
    return made


def _check_depth(value: Any, left: int) -> None:
    if left < 0:
        raise _no_json("it is nested too deeply")
    inner: Sequence[Any] = list(value.values()) if isinstance(value, Mapping) else value if isinstance(value, list) else ()
    for each in inner:
        _check_depth(each, left - 1)


def _no_json(why: str) -> WrongShape:
    got = ascii(why)[:120]
    return WrongShape(what="this cannot be read", rule="the content is JSON in UTF-8", got=got, do="send it as docs/api.md says")


def answer(request: Request, content: Any, status: int = 200) -> Response:
    """Plain JSON, packed where that is worth it and the asker can unpack it."""
    body = json.dumps(content, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode("utf-8", "replace")
    headers = {"vary": "accept-encoding"}
    if len(body) >= _GZIP_FROM and "gzip" in request.headers.get("accept-encoding", ""):
        body, headers = gzip.compress(body, 5), headers | {"content-encoding": "gzip"}
    return Response(body, status, media_type="application/json", headers=headers)


# What goes wrong


def refused(_: Request, error: Exception) -> JSONResponse:
    """A refusal in its four parts."""
    assert isinstance(error, Refusal)
    status = next(code for kind, code in _STATUS if isinstance(error, kind))
    headers = {"www-authenticate": "Bearer"} if status == 401 else None
    return JSONResponse({"error": _plain(error.as_json())}, status, headers=headers)


def not_shaped(request: Request, error: Exception) -> JSONResponse:
    """A request that does not have the shape of its route."""
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    where = " ".join(str(part) for part in first["loc"])
    rule = f"{where}: {first['msg']}"
    return refused(request, WrongShape(what="this cannot be read", rule=rule, got=ascii(first.get("input"))[:80], do="see docs/api.md"))


def not_found(_: Request, error: Exception) -> JSONResponse:
    """An address that is not there, or that does not take this method."""
    assert isinstance(error, HTTPException)
    what = {404: "there is no such address", 405: "this address does not take this method"}.get(error.status_code, "this was not taken")
    refusal = {"what": what, "rule": "the addresses are in /api/openapi.json", "got": str(error.detail), "do": "check the address"}
    return JSONResponse({"error": refusal}, error.status_code, headers=error.headers)


def own_fault(_: Request, __: Exception) -> JSONResponse:
    """A mistake of the program."""
    refusal = {"what": "the program made a mistake", "rule": "nothing was half written", "got": "", "do": "send it again"}
    return JSONResponse({"error": refusal}, 500)


def _plain(said: Mapping[str, str]) -> dict[str, str]:
    """Texts that JSON in UTF-8 can carry: half a character that came in is shown as a mark."""
    return {name: text.encode("utf-8", "replace").decode() for name, text in said.items()}
