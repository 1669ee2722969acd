"""The field page: one page that works on a phone without a signal. It holds nothing of the shop; what it takes along comes by the API.

Its files stand under a checksum over all of them, so that a page never runs with half of another version. The small worker
is served from here with that checksum and the list of the files written before it. The reader of codes (`static/vendor`) stands
under a checksum of its own: a new version of the page does not make a phone fetch a megabyte again.
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

from pinseal.catalogue import language
from pinseal.web.field_words import SPOKEN, spoken_js
from pinseal.web.guards import FIELD_PAGE as PAGE
from pinseal.web.render import field_html, style_href

_WORKER = "worker.js"
_TYPES = {"js": "text/javascript", "css": "text/css", "svg": "image/svg+xml", "png": "image/png", "wasm": "application/wasm"}
_KEPT_FOR_GOOD = "public, max-age=31536000, immutable"
_FONTS = ("barlow-latin-400-normal", "barlow-latin-600-normal", "barlow-condensed-latin-500-normal")


@cache
def held_files() -> Mapping[str, bytes]:
    """The files of the page by name, the worker apart."""
    return _files_of("field")


@cache
def reader_files() -> Mapping[str, bytes]:
    """The files of the reader of codes by name: what a browser without a detector of its own loads to scan."""
    return _files_of("vendor")


def _files_of(folder: str) -> Mapping[str, bytes]:
    found = sorted((files("pinseal.web") / "static" / folder).iterdir(), key=lambda each: each.name)
    return {each.name: each.read_bytes() for each in found if _kind(each.name)}


def _kind(name: str) -> str | None:
    return _TYPES.get(name.rpartition(".")[2])


class Field:
    """The page, its files and its worker. `mark` goes into the version, so that a test can make another one."""

    def __init__(self, *, mark: str = "") -> None:
        self.mark = mark

    @property
    def version(self) -> str:
        """It changes with the language too, so that a phone never mixes two."""
        return _version(self.mark, language())

    def routes(self) -> list[BaseRoute]:
        return [
            Route(PAGE, self.page, name="field"),
            Route(f"{PAGE}/worker.js", self.worker, name="field-worker"),
            Route(f"{PAGE}/app.webmanifest", self.manifest, name="field-manifest"),
            Route(f"{PAGE}/files/{{version}}/{{name}}", self.file, name="field-file"),
            Route(f"{PAGE}/reader/{{version}}/{{name}}", self.reader, name="field-reader"),
        ]

    def _folder(self) -> str:
        return f"{PAGE}/files/{self.version}"

    def page(self, _: Request) -> Response:
        return HTMLResponse(field_html(folder=self._folder(), reader=reader_folder()), headers={"cache-control": "no-cache"})

    def worker(self, _: Request) -> Response:
        names = [name for name in held_files() if name != _WORKER]
        fonts = [f"/static/fonts/{name}.woff2" for name in _FONTS]
        kept = [*(f"{self._folder()}/{name}" for name in names), style_href(), *fonts, "/mark.svg", f"{PAGE}/app.webmanifest"]
        reader = [f"{reader_folder()}/{name}" for name in reader_files()]
        said = {"VERSION": self.version, "FILES": kept, "READER": reader}
        head = "".join(f"const {name} = {json.dumps(value)};\n" for name, value in said.items())
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
        own = {name: content for name, content in held_files().items() if name != _WORKER} | {SPOKEN: spoken_js().encode()}
        return _file(request, own, self.version)

    def reader(self, request: Request) -> Response:
        return _file(request, reader_files(), reader_version())


def _file(request: Request, held: Mapping[str, bytes], version: str) -> Response:
    name = request.path_params["name"]
    if request.path_params["version"] != version or name not in held:
        raise HTTPException(404)
    return Response(held[name], media_type=_kind(name), headers={"cache-control": _KEPT_FOR_GOOD})


@cache
def reader_version() -> str:
    """A checksum over the reader of codes."""
    return _sum_of("", reader_files())


def reader_folder() -> str:
    """Where the files of the reader of codes stand."""
    return f"{PAGE}/reader/{reader_version()}"


@cache
def _version(mark: str, spoken: str) -> str:
    """A checksum over everything that the page is made of, in the language that is spoken."""
    page = field_html(folder="", reader=reader_folder())
    return _sum_of(f"{mark}\n{spoken}\n{style_href()}\n{page}", {**held_files(), SPOKEN: spoken_js().encode()})


def _sum_of(head: str, held: Mapping[str, bytes]) -> str:
    digest = hashlib.sha256(head.encode())
    for name, content in held.items():
        digest.update(f"\n{name} {hashlib.sha256(content).hexdigest()}".encode())
    return digest.hexdigest()[:16]
