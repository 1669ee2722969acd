"""An invented shop on disk with a fixed clock, phones that work on it, and a browser on its API. Everything here is made up."""

from __future__ import annotations

import hashlib
import struct
import zlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sheet_walks import UNITS, walk
from starlette.applications import Starlette
from starlette.testclient import TestClient

from pinseal.app import App
from pinseal.app.api import ShopApi
from pinseal.app.day import ShopDay
from pinseal.app.door import ShopDoor
from pinseal.app.office_pages import ShopRooms
from pinseal.dates import PartialDate
from pinseal.records.record import Draft, Record, uuid7
from pinseal.records.registering import registered_fields
from pinseal.records.unit import UnitState
from pinseal.service.registry import Signed
from pinseal.service.sheet_shapes import SheetAsked
from pinseal.sheets.entries import Entry
from pinseal.store import Settings, Shop
from pinseal.web.account import AUTHORITY, BENCH, OWNER, SUPERVISOR, TECHNICIAN, Account
from pinseal.web.api import api_routes
from pinseal.web.api_doors import ApiRooms

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
TODAY = NOW.date()
MILL, PIER = "Invented Mill", "Invented Pier"
KINDS = ("portable-powder", "carbon-dioxide", "water-based", "cartridge-powder", "halogenated", "portable-powder stamped")
LEAD = Account(uid="lead", name="Ida Quill", role=SUPERVISOR)
TECH = Account(uid="tech", name="Tobiah Marsh", role=TECHNICIAN)
OTHER = Account(uid="other", name="Orla Fenn", role=TECHNICIAN)
SHOP_HAND = Account(uid="bench", name="Nell Harrow", role=BENCH)
SITE_OWNER = Account(uid="owner", name="Osric Lane", role=OWNER, sites=(MILL,))
INSPECTOR = Account(uid="inspector", name="Maud Fell", role=AUTHORITY)
EVERYBODY = {each.uid: each for each in (LEAD, TECH, OTHER, SHOP_HAND, SITE_OWNER, INSPECTOR)}
PHONE, OTHER_PHONE = "phone-0001", "phone-0002"


class FixedApp(App):
    """The app with a clock that stands until it is moved."""

    moment = NOW

    def now(self) -> datetime:
        self.moment += timedelta(microseconds=1)
        return self.moment


class Uids:
    """Uids as a device makes them, the same in every run."""

    def __init__(self, seed: int = 0, at: datetime = NOW) -> None:
        self.seed, self.at, self.count = seed, at, 0

    def __call__(self) -> str:
        self.count += 1
        return uuid7(at=self.at, randomness=hashlib.sha256(f"{self.seed}/{self.count}".encode()).digest()[:8], sequence=self.count % 4096)


def unit_uid(number: int) -> str:
    return uuid7(at=NOW - timedelta(days=400), randomness=number.to_bytes(8, "big"), sequence=number)


def unit_state(number: int) -> UnitState:
    """Unit `number`: one of a few kinds with a full nameplate, every third one at the pier. The test of number 9 is long overdue."""
    tested = PartialDate(2010 if number == 9 else 2023, 5)
    day = number % 28 + 1
    dates = {
        "manufactured": PartialDate(2005, 3), "maintenance": PartialDate(2025, 4, 20), "inspection": PartialDate(2026, 4, day),
        "hydrostatic-test": tested, "recharge": PartialDate(2026, 3, day), "internal-examination": PartialDate(2023, 5, 9),
    }  # fmt: skip
    return UnitState(
        uid=unit_uid(number),
        id=f"M-{number:03d}",
        serial=f"ZQ{44_000 + number}",
        site=PIER if number % 3 == 2 else MILL,
        place=f"room {number}",
        nameplate=UNITS[KINDS[number % len(KINDS)]],
        dates=dates,
    )


def make_shop(folder: Path, units: int = 6) -> tuple[FixedApp, Path]:
    """A shop with some units and a scale."""
    app, path = FixedApp(), folder / "works.pinseal"
    settings = Settings(packs=("us-osha", "us-nfpa10"), units="us")
    with Shop.create(path, settings, person="Ida Quill", now=NOW - timedelta(days=300)) as shop:
        drafts = [
            Draft(
                kind="registered",
                unit=unit_uid(n),
                person="Ida Quill",
                done=PartialDate(2025, 7, 8),
                fields=registered_fields(unit_state(n)),
            )
            for n in range(units)
        ]
        shop.write(drafts, writer="office", received=NOW - timedelta(days=299))
    signed = Signed(person="Ida Quill", device="office", on=TODAY)
    app.add_instrument(path, {"id": "SC-1", "what": "scale", "resolution": "0.1 oz", "uncertainty": "0.1 oz"}, signed)
    app.check_instrument(path, "SC-1", {"check": "good"}, signed)
    return app, path


# What a phone makes


def fact(uid: str, unit: int | str = 0, kind: str = "inspected", done: str = "2026-05-04", **fields: str) -> dict[str, Any]:
    """One fact as a phone sends it."""
    return {"uid": uid, "kind": kind, "unit": unit if isinstance(unit, str) else unit_uid(unit), "done": done, "fields": fields}


def batch(*drafts: Any, sheets: Any = (), device: str = PHONE, **more: Any) -> dict[str, Any]:
    return {"device": device, "drafts": list(drafts), "sheets": list(sheets), **more}


def good_entries(app: App, path: Path, unit: str, works: tuple[str, ...] = ("inspection",), on: Any = TODAY) -> list[Entry]:
    """The entries of somebody who finds nothing wrong."""
    opened = app.sheet(path, SheetAsked(unit=unit, works=works, on=on))
    return [replace(each, person="") for each in walk(opened.work).entries]


def sheet(uids: Uids, unit: int | str, entries: list[Entry], works: tuple[str, ...] = ("inspection",), **more: Any) -> dict[str, Any]:
    """A job sheet as a phone sends it."""
    said = [{**each.as_json(), "uid": uids()} for each in entries]
    uid = unit if isinstance(unit, str) else unit_uid(unit)
    return {"uid": uids(), "unit": uid, "on": "2026-05-04", "works": list(works), "entries": said, "close": True, **more}


# What the door answered, and what the shop then holds


def words(answer: dict[str, Any]) -> list[str]:
    return [each["word"] for each in answer["drafts"]]


def held(shop: tuple[FixedApp, Path], unit: int = 0) -> list[Record]:
    with Shop.open(shop[1], readonly=True) as opened:
        return opened.records(unit_uid(unit))


def everything(shop: tuple[FixedApp, Path]) -> list[str]:
    with Shop.open(shop[1], readonly=True) as opened:
        assert opened.verify().holds
        return [record.digest for record in opened.records()]


# Photos


def png(width: int = 4, height: int = 3, more: bytes = b"") -> bytes:
    """A grey PNG of that size; a large one is small as a file."""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * min((width + 1) * height, 100_000), 9)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + more + _chunk(b"IDAT", rows) + _chunk(b"IEND", b"")


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def jpeg(width: int = 4, height: int = 3, *, frame: int = 0xC0) -> bytes:
    """The skeleton of a JPEG: an application part, a frame header, the start of a scan, the end."""
    part = b"\xff\xe0" + struct.pack(">H", 9) + b"made up"
    size = b"\xff" + bytes([frame]) + struct.pack(">HBHHB", 8, 8, height, width, 0)
    return b"\xff\xd8" + part + size + b"\xff\xda\x00\x02" + b"\x11\x22" + b"\xff\xd9"


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


# The API


class FakeTokens:
    """`UID-SCOPES` is a token of that account, for example `tech-door` or `lead-read+work`."""

    def account_of(self, token: str) -> tuple[Account, frozenset[str]] | None:
        uid, _, scopes = token.partition("-")
        return (EVERYBODY[uid], frozenset(scopes.split("+"))) if uid in EVERYBODY and scopes else None


def rooms_of(app: App, path: Path) -> ApiRooms:
    return ApiRooms(api=ShopApi(ShopRooms(app, path)), door=ShopDoor(app, path), days=ShopDay(app, path), tokens=FakeTokens())


def api_of(app: App, path: Path) -> Starlette:
    """The API alone, as the site mounts it."""
    return Starlette(routes=api_routes(rooms_of(app, path)))


def signed_in(app: App, path: Path, token: str = "tech-read+work+door") -> TestClient:
    """A program with a token."""
    headers = {"authorization": f"Bearer {token}"} if token else {}
    return TestClient(api_of(app, path), base_url="http://127.0.0.1:8000", headers=headers, raise_server_exceptions=True)
