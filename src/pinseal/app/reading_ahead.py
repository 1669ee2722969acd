"""What the first pages and the first day of a phone need is read ahead, while nobody asks for it.

The first page of a large shop would else take seconds: its due list, its books and its search are made when they are first
asked for. A thread beside the server asks for them itself. It stands aside while somebody waits; a page that is asked for
meanwhile waits for what is being made at most as long as it would have taken to make it.
"""

from __future__ import annotations

import asyncio
import logging
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from pinseal.app.day import ShopDay
    from pinseal.app.office_pages import ShopRooms

_LOOK_S, _QUIET_S = 0.05, 0.5
_ASIDE_MAX_S = 10.0  # a request that hangs does not put it off for ever
PATHS = ("/", "/dues", "/search?q=a", "/dues/months", "/sites", "/deficiencies", "/sheets", "/instruments", "/bench", "/loaners")
_PLATES_MAX, _PLATES_AT_ONCE = 400, 4


class Asked(Protocol):
    """What knows for how long nobody has waited for an answer."""

    @property
    def quiet_s(self) -> float: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A piece of it, short enough that a request can wait for it."""

    name: str
    make: Callable[[], object]


def read_ahead(steps: Iterable[Step], traffic: Asked, stopped: threading.Event) -> None:
    """Take one step after the other, each when nobody waits for an answer. What fails is said in the log, and hurts nobody."""
    name = "begin"
    try:
        for step in steps:
            name = step.name
            _stand_aside(traffic, stopped)
            if stopped.is_set():
                return
            step.make()
    except Exception as error:  # noqa: BLE001 - whatever it is: the page that needs it meets it again and says so
        logging.getLogger("pinseal").warning("Reading ahead ended at %s: %r. Pages are made when they are asked for.", name, error)


def _stand_aside(traffic: Asked, stopped: threading.Event) -> None:
    waited = 0.0
    while traffic.quiet_s < _QUIET_S and waited < _ASIDE_MAX_S and not stopped.wait(_LOOK_S):
        waited += _LOOK_S


def steps_of(office: ShopRooms, site: ASGIApp, days: ShopDay) -> Iterator[Step]:
    """What the pages share, the pages in the order in which people open them, then one unit of each nameplate for the day of a phone.

    `site` is asked within the process and signs in by itself; no port leads to it.
    """
    # What is remembered first, each by itself: a request that needs it too waits for it, and makes the rest of its page undisturbed.
    today = office.about().today
    yield Step(name="the due list", make=partial(office.due_list, today))
    yield Step(name="the books", make=office.books)
    yield Step(name="what people disagree about", make=office.disagreements)
    yield Step(name="the search", make=office.index)
    yield from (Step(name=path, make=partial(ask, site, path)) for path in PATHS)
    states = office.due_list(today).states
    if states:
        yield Step(name="the page of a unit", make=partial(ask, site, f"/units/{states[0].uid}"))
    plates = [uid for uid in {state.nameplate: state.uid for state in states if not state.removed}.values() if uid]
    for first in range(0, min(len(plates), _PLATES_MAX), _PLATES_AT_ONCE):
        some = plates[first : first + _PLATES_AT_ONCE]
        yield Step(name="the day of a phone", make=partial(days.work_out, some))


def ask(site: ASGIApp, path: str) -> int:
    """Ask a site within the process for a page, and give the status of its answer. Raises what the site raises."""
    address, _, query = path.partition("?")
    scope: dict[str, Any] = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": address,
        "raw_path": address.encode(),
        "root_path": "",
        "query_string": query.encode(),
        "headers": [(b"host", b"localhost")],
        "client": ("127.0.0.1", 0),
        "server": ("localhost", 80),
    }
    given: list[int] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        if message["type"] == "http.response.start":
            given.append(message["status"])

    asyncio.run(site(scope, receive, send))  # type: ignore[arg-type]
    return given[0]
