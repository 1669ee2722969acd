"""The API under /api: JSON for programs and for the field page. FastAPI is loaded with the first request, not before.

Every answer that is not 2xx has one shape: `{"error": {"what", "rule", "got", "do"}}`.
"""

from __future__ import annotations

from threading import Lock

from starlette.routing import BaseRoute, Mount
from starlette.types import ASGIApp, Receive, Scope, Send

from pinseal.web.api_doors import ApiRooms


def api_routes(rooms: ApiRooms) -> list[BaseRoute]:
    """The API of one shop. It asks for a sign-in or a token by itself."""
    return [Mount("/api", LateApi(rooms), name="api")]


class LateApi:
    """The application, made when it is first asked."""

    def __init__(self, rooms: ApiRooms) -> None:
        self.rooms = rooms
        self._lock = Lock()
        self._app: ASGIApp | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await self.made()(scope, receive, send)

    def made(self) -> ASGIApp:
        with self._lock:
            if self._app is None:
                from pinseal.web.api_app import build_api

                self._app = build_api(self.rooms)
            return self._app
