"""What the office pages write into a real shop: a price and its answer, photos, settings; and that it verifies afterwards."""

from __future__ import annotations

import hashlib
import struct
import zlib
from pathlib import Path

from starlette.testclient import TestClient
from tests.app.test_office_rooms import client_of, fill, rooms_of, uids
from tests.cli.conftest import Command, FixedApp


def picture() -> bytes:
    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\0")) + chunk(b"IEND", b"")


def found(shop: Path, pinseal: Command) -> tuple[TestClient, str]:
    fill(shop, range(3, 4))
    return client_of(shop), f"/deficiencies/{rooms_of(shop).books().deficiencies[0].record}"


def test_a_price_and_its_answer_are_kept_by_the_name_of_who_is_signed_in(shop: Path, pinseal: Command) -> None:
    client, here = found(shop, pinseal)
    assert client.post("/settings/change", data={"packs": ["us-osha"], "currency": "eur"}).status_code == 200
    assert 'value="EUR"' in client.get(here).text
    form = {"price": "12,50", "currency": "EUR", "day": "2026-11-20"}
    assert client.post(f"{here}/quote", data=form).status_code == 200
    quote = rooms_of(shop).books().deficiencies[0].quote
    assert (str(quote.price), quote.person) == ("12.50 EUR", "the demo")
    said = {"quoted": quote.record, "said": "declined", "answered_by": "Ola Brandt", "day": "2026-11-21"}
    assert client.post(f"{here}/answer", data=said).status_code == 200
    assert rooms_of(shop).books().deficiencies[0].stage == "declined"
    assert client.post(f"{here}/mend", data={"how": "bolted", "day": "2026-11-22"}).status_code == 200
    assert rooms_of(shop).books().deficiencies[0].stage == "done"
    assert FixedApp().verify(shop).holds


def test_a_photo_is_kept_beside_the_shop_and_shown_from_there(shop: Path, pinseal: Command) -> None:
    client, unit = client_of(shop), uids(rooms_of(shop))["T-1"]
    sent = {"photo": ("gauge.png", picture(), "image/png")}
    assert client.post(f"/units/{unit}/photos", data={"note": "the gauge", "day": "2026-11-20"}, files=sent).status_code == 200
    sha256 = hashlib.sha256(picture()).hexdigest()
    assert rooms_of(shop).files_of([sha256, "b" * 64, "../x"]) == {sha256: "image/png"}
    assert client.get(f"/units/{unit}/files/{sha256}").content == picture()
    assert "The gauge" in client.get(f"/units/{unit}").text
    assert FixedApp().verify(shop).holds
    shop.with_name(f"{shop.name}.files").joinpath(sha256).unlink()
    assert client.get(f"/units/{unit}/files/{sha256}").status_code == 404
    assert f"files/{sha256}" not in client.get(f"/units/{unit}").text


def test_the_style_of_dates_holds_on_the_pages_and_not_in_the_record(shop: Path, pinseal: Command) -> None:
    client, here = found(shop, pinseal)
    assert client.post("/settings/change", data={"packs": ["us-osha"], "date_style": "mdy"}).status_code == 200
    assert "10/05/2026" in client.get(here).text
    assert client.post(f"{here}/mend", data={"how": "bolted", "day": "11/22/2026"}).status_code == 200
    assert "11/22/2026" in client.get(here).text
    unit = rooms_of(shop).books().deficiencies[0].unit
    with FixedApp()._open(shop, readonly=True) as kept:
        assert not any("/2026" in value for record in kept.records(unit) for value in record.fields.values())


def test_a_currency_that_nobody_pays_with_is_refused_and_nothing_changes(shop: Path) -> None:
    client = client_of(shop)
    for said in ({"currency": "XXX"}, {"date_style": "stars"}):
        assert client.post("/settings/change", data={"packs": ["us-osha"], **said}).status_code == 400
    assert rooms_of(shop).settings()["currency"] is None
    assert rooms_of(shop).settings()["date_style"] == "words"
