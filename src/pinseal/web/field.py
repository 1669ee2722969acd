"""The field page: one page that works on a phone without a signal. It holds nothing of the shop; what it takes along comes by the API.

Its files stand under a checksum over all of them, so that a page never runs with half of another version. The small worker
is served from here with that checksum and the list of the files written before it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import BaseRoute, Route

from pinseal.web.guards import FIELD_PAGE as PAGE
from pinseal.web.render import field_html, style_href

_WORKER = "worker.js"
_TYPES = {"js": "text/javascript", "css": "text/css", "svg": "image/svg+xml", "png": "image/png"}
_KEPT_FOR_GOOD = "public, max-age=31536000, immutable"
_FONTS = ("barlow-latin-400-normal", "barlow-latin-600-normal", "barlow-condensed-latin-500-normal")


@cache
def held_files() -> Mapping[str, bytes]:
    """The files of the page by name, the worker apart."""
    folder = files("pinseal.web") / "static" / "field"
    return {each.name: each.read_bytes() for each in sorted(folder.iterdir(), key=lambda each: each.name) if _kind(each.name)}


def _kind(name: str) -> str | None:
    return _TYPES.get(name.rpartition(".")[2])


class Field:
    """The page, its files and its worker. `mark` goes into the version, so that a test can make another one."""

    def __init__(self, *, mark: str = "") -> None:
        self.version = _version(mark)

    def routes(self) -> list[BaseRoute]:
        return [
            Route(PAGE, self.page, name="field"),
            Route(f"{PAGE}/worker.js", self.worker, name="field-worker"),
            Route(f"{PAGE}/app.webmanifest", self.manifest, name="field-manifest"),
            Route(f"{PAGE}/files/{{version}}/{{name}}", self.file, name="field-file"),
        ]

    def _folder(self) -> str:
        return f"{PAGE}/files/{self.version}"

    def page(self, _: Request) -> Response:
        return HTMLResponse(field_html(folder=self._folder()), headers={"cache-control": "no-cache"})

    def worker(self, _: Request) -> Response:
        names = [name for name in held_files() if name != _WORKER]
        fonts = [f"/static/fonts/{name}.woff2" for name in _FONTS]
        kept = [*(f"{self._folder()}/{name}" for name in names), style_href(), *fonts, "/mark.svg", f"{PAGE}/app.webmanifest"]
        head = f"const VERSION = {json.dumps(self.version)};\nconst FILES = {json.dumps(kept)};\n"
        headers = {"cache-control": "no-cache", "service-worker-allowed": PAGE}
        return Response(head + held_files()[_WORKER].decode(), media_type="text/javascript", headers=headers)

    def manifest(self, _: Request) -> Response:
        icons = [
            {"src": f"{self._folder()}/icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
            {"src": f"{self._folder()}/icon-192.png", "sizes": "192x192", "type": "image/png", "purpose": "any"},
            {"src": f"{self._folder()}/icon-512.png", "sizes": "512x512", "type": "image/png", "purpose": "any maskable"},
        ]
        said = {
            "id": PAGE,
            "name": "pinseal field",
            "short_name": "pinseal",
            "start_url": PAGE,
            "scope": PAGE,
            "display": "standalone",
            "background_color": "#f6f4ee",
            "theme_color": "#1c2024",
            "icons": icons,
        }
        return Response(json.dumps(said), media_type="application/manifest+json", headers={"cache-control": "no-cache"})

    def file(self, request: Request) -> Response:
        name = request.path_params["name"]
        if request.path_params["version"] != self.version or name not in held_files() or name == _WORKER:
            raise HTTPException(404)
        return Response(held_files()[name], media_type=_kind(name), headers={"cache-control": _KEPT_FOR_GOOD})


def _version(mark: str) -> str:
    """A checksum over everything that the page is made of."""
    digest = hashlib.sha256(f"{mark}\n{style_href()}\n{field_html(folder='')}".encode())
    for name, content in held_files().items():
        digest.update(f"\n{name} {hashlib.sha256(content).hexdigest()}".encode())
    return digest.hexdigest()[:16]
