"""Printing from the pages over a real shop: the marks of a sheet, labels of a unit and a site, the address book; and what is refused."""

from __future__ import annotations

import io
from pathlib import Path
from urllib.parse import quote

import pytest
from PIL import Image
from starlette.testclient import TestClient
from tests.cli.conftest import Command, FixedApp
from tests.cli.test_print import _open_sheet, printed

from pinseal.app.people import ALONE, ShopPeople
from pinseal.store import Shop
from pinseal.web.rights import RIGHTS, STAFF

__all__ = ["printed"]
OURS = {"sec-fetch-site": "same-origin"}


def client_of(shop: Path) -> TestClient:
    app = FixedApp()
    site = app._site(shop, ShopPeople(app, shop, alone=ALONE), host="127.0.0.1", trusted=None)
    return TestClient(site, base_url="http://127.0.0.1:8000", client=("127.0.0.1", 50_000), headers=OURS)


@pytest.fixture
def client(printed: Path, shop: Path) -> TestClient:
    return client_of(shop)


def unit_of(shop: Path, text: str = "PC-9") -> str:
    with Shop.open(shop, readonly=True) as opened:
        return opened.find(text)[0].uid or ""


def closed_sheet(shop: Path) -> str:
    with Shop.open(shop, readonly=True) as opened:
        return next(each.uid for each in opened.sheets(unit_of(shop)) if each.closed)


def test_a_closed_sheet_offers_its_marks_and_says_why_not_the_others(client: TestClient, shop: Path) -> None:
    sheet = closed_sheet(shop)
    assert f"/sheets/{sheet}/marks" in client.get(f"/sheets/{sheet}").text
    page = client.get(f"/sheets/{sheet}/marks")
    assert page.status_code == 200
    assert f'src="/sheets/{sheet}/marks.png?mark=tag' in page.text
    assert "No recharge is on its record" in page.text
    assert "The sheet is still open" not in page.text


def test_the_pdf_and_the_picture_are_made_of_the_chosen_stock(client: TestClient, shop: Path) -> None:
    sheet = closed_sheet(shop)
    made = client.get(f"/sheets/{sheet}/marks.pdf?mark=tag&stock=tag-card")
    assert made.content.startswith(b"%PDF")
    assert made.headers["content-type"] == "application/pdf"
    assert made.headers["cache-control"] == "no-store"
    picture = Image.open(io.BytesIO(client.get(f"/sheets/{sheet}/marks.png?mark=tag&stock=tag-card").content))
    assert picture.height == pytest.approx(133.35 / 25.4 * 160, abs=3)  # at 160 dots an inch


@pytest.mark.parametrize(
    ("query", "code", "words"),
    [
        ("mark=recharge-tag", 400, "No recharge is on its record"),
        ("mark=tag&stock=codes-a4", 400, "This stock is wrong for the service tag"),
        ("mark=tag&stock=../../x.toml", 400, "There is no such stock"),
        ("mark=tag&stock=/etc/passwd", 400, "There is no such stock"),
        ("mark=tag&start=99", 400, "There is no such cell on this stock"),
        ("mark=tag&start=0", 400, "There is no such cell on this stock"),
        ("mark=tag&start=one", 400, "There is no such cell on this stock"),
        ("mark=medal", 404, ""),
    ],
)
@pytest.mark.parametrize("form", ["", ".pdf", ".png"])
def test_what_may_not_be_printed_is_refused_in_words_on_the_page(
    client: TestClient, shop: Path, query: str, code: int, words: str, form: str
) -> None:
    answer = client.get(f"/sheets/{closed_sheet(shop)}/marks{form}?{query}")
    assert answer.status_code == code
    assert "text/html" in answer.headers["content-type"]
    assert words in answer.text.replace("&#39;", "'")


def test_a_mark_of_an_open_sheet_says_that_it_does_not_count_yet(client: TestClient, shop: Path) -> None:
    sheet = _open_sheet(shop, until="service-tag")
    page = client.get(f"/sheets/{sheet.uid}/marks").text
    assert "The sheet is still open." in page
    assert f"/sheets/{sheet.uid}/marks.pdf?mark=tag" in page
    assert f"/sheets/{sheet.uid}/marks" in client.get(f"/sheets/{sheet.uid}/work").text
    assert client.get(f"/sheets/{sheet.uid}/marks.pdf?mark=tag").content.startswith(b"%PDF")


def test_an_open_sheet_with_steps_left_prints_nothing_and_names_them(client: TestClient, shop: Path) -> None:
    sheet = _open_sheet(shop, until="gauge-reading")
    page = client.get(f"/sheets/{sheet.uid}/marks")
    assert page.status_code == 200
    assert "Nothing can be printed from this sheet now." in page.text
    assert "Not answered: Read gauge and temperature" in page.text
    assert client.get(f"/sheets/{sheet.uid}/marks.pdf?mark=tag").status_code == 400


@pytest.mark.parametrize(("mark", "stock"), [("code-label", "codes-a4"), ("place-label", "labels-a4")])
def test_labels_of_a_unit_and_of_a_site(pinseal: Command, client: TestClient, shop: Path, mark: str, stock: str) -> None:
    for number in range(30):
        assert (
            pinseal("record", "registered", f"SM-{number}", "--on", "2026-11-23", "--site", "Sawmill", "--place", f"Bay {number}").code == 0
        )
    client = client_of(shop)
    unit = unit_of(shop, "SM-3")
    assert f"/labels?unit={unit}" in client.get(f"/units/{unit}").text
    assert client.get(f"/labels.pdf?unit={unit}&mark={mark}").content.startswith(b"%PDF")
    assert "/labels?site=Sawmill" in client.get("/sites/Sawmill").text
    page = client.get(f"/labels?site=Sawmill&mark={mark}&stock={stock}&start=3").text
    assert "31 pieces" in page  # T-1 of the small shop is there too
    assert f"/labels.png?site=Sawmill&amp;mark={mark}&amp;stock={stock}&amp;start=3" in page
    assert client.get(f"/labels.png?site=Sawmill&mark={mark}&stock={stock}&start=3").content.startswith(b"\x89PNG")


@pytest.mark.parametrize("query", ["", "site=", "site=Nowhere", "unit=none", "site=Sawmill&mark=tag"])
def test_labels_of_nothing_are_not_there(client: TestClient, query: str) -> None:
    assert client.get(f"/labels?{query}").status_code == 404
    assert client.get(f"/labels.pdf?{query}").status_code == 404


def test_the_owner_of_a_site_is_kept_on_its_page_and_stands_on_the_next_tag(pinseal: Command, client: TestClient, shop: Path) -> None:
    here = f"/sites/{quote('Pier Café')}"
    kept = client.post(here, data={"name": "Pier Company; Ltd", "address": "1 Long Quay = Tolberhaven"})
    assert kept.status_code == 200
    assert "Pier Company, Ltd, 1 Long Quay = Tolberhaven" in kept.text
    said = pinseal("print", "tag", "PC-9", "--form", "us-tx", "--out", "t.pdf", "--json").json
    assert said["marks"][0]["fields"]["owner"]["text"] == "Pier Company, Ltd, 1 Long Quay = Tolberhaven"
    assert client.post(here, data={"name": "", "address": ""}).status_code == 200
    assert pinseal("settings", "--json").json["sites"] == {}


def test_an_owner_without_an_address_is_refused_and_stays_typed(client: TestClient, shop: Path) -> None:
    answer = client.post(f"/sites/{quote('Pier Café')}", data={"name": "Pier Company", "address": " "})
    assert answer.status_code == 400
    assert "Say the address too" in answer.text
    assert 'value="Pier Company"' in answer.text
    assert client.post("/sites/Nowhere", data={"name": "x", "address": "y"}).status_code == 404


def test_marks_and_labels_are_printed_by_the_shop_alone() -> None:
    assert all(RIGHTS[name] == STAFF for name in ("sheet-marks", "sheet-marks-file", "labels", "labels-file"))
    assert RIGHTS["site-owner"] == {"supervisor"}
