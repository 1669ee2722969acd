"""Every page of the invented shop in a language of nobody: whatever people read is in the catalogue, or is marked as English."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from page_walk import path_of, walk
from pseudo import CLOSE, OPEN, PSEUDO, bare_texts, make_pseudo, without
from starlette.testclient import TestClient

from pinseal import catalogue
from pinseal.app import App
from pinseal.demo.prices import BOOK
from pinseal.standards import held_packs
from pinseal.store import Shop

NOW = datetime(2026, 11, 24, 18, tzinfo=UTC)
OWN_NAMES = ("pinseal", "tolberhaven", "the demo", "Android", "Zed", "zed", "pinseal-unsent-….json", "CSV", "XLSX", "UTC", "MB")
# Signs of units, names of documents, agents and specifications: the same in every language.
SIGNS = (
    "psi",
    "scf",
    "bar",
    "kPa",
    "MPa",
    "lb",
    "oz",
    "kg",
    "gal",
    "mL",
    "cm3",
    "in",
    "mm",
    "ft",
    "NFPA",
    "CFR",
    "DOT",
    "UL",
    "US",
    "min",
    "us",
    "metric",
    "si",
)


class DayApp(App):
    def now(self) -> datetime:
        return NOW


@pytest.fixture(scope="module")
def spoken_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, list[str]]]:
    """A browser at the invented shop that reads the pseudo-language, and every text that is data there, the longest first."""
    from pinseal.app.people import ALONE, ShopPeople

    folder = tmp_path_factory.mktemp("pseudo")
    make_pseudo(folder / "locale")
    app, path = DayApp(), folder / "tolberhaven.pinseal"
    app.demo(path, on=None)
    app.settings(path, {"language": PSEUDO}, person="Ida Quill")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(catalogue, "FOLDER", folder / "locale")
        site = app._site(path, ShopPeople(app, path, alone=ALONE), host="127.0.0.1", trusted=None)
        browser = TestClient(site, base_url="http://127.0.0.1", client=("127.0.0.1", 50_000), headers={"sec-fetch-site": "same-origin"})
        yield browser, _data(path)


def _data(path: Path) -> list[str]:
    found = {*OWN_NAMES, *SIGNS, *held_packs(), "Ida Quill", "America/New_York"}
    with Shop.open(path, readonly=True) as shop:
        for state in shop.units():
            found |= {text for text in (state.id, state.serial, state.site, state.place) if text}
            found |= {part.strip() for part in (state.place or "").split(",")}
            for record in shop.records(state.uid or ""):
                found |= {record.person, *record.fields.values()}
        instruments, people = shop.instruments_and_people()
        for each in instruments:
            found |= {text for text in (each.id, each.serial, each.range_text, each.resolution, each.uncertainty) if text}
            found |= {text for check in each.checks for text in (check.against, check.certificate, check.value) if text}
        for paper in (paper for person in people for paper in person.papers):
            found |= {text for text in (paper.paper, paper.class_, paper.number, paper.issued_by, paper.jurisdiction) if text}
            found |= {paper.ended.reason} if paper.ended else set()
        for each in shop.bottles():
            found |= {text for text in (each.id, each.serial, each.certificate, each.dew_point, each.purity, each.water_capacity) if text}
            found |= {text for read in each.reads for text in (read.shows, read.at_temperature)}
            found |= {each.returned.reason} if each.returned else set()
    # The shop's own names and words of its prices.
    found |= {BOOK["title"], BOOK["tax_name"], *(each[key] for each in BOOK["price"] for key in ("id", "words") if key in each)}
    found |= {text[:1].upper() + text[1:] for text in found}
    return sorted((text for text in found if len(text) > 1), key=len, reverse=True)


def _left(text: str, data: list[str]) -> str:
    """What is left of a piece without data: empty, or words of two letters or more."""
    text = re.sub(r"https?://\S+", " ", text)
    rest = re.sub(r"\b[0-9a-f]{8}-[0-9a-f-]{27}\b|\b[0-9a-f]{32,}\b", " ", without(text, data))
    return rest if re.search(r"[^\W\d_]{2,}", rest) else ""


def _pages(browser: TestClient) -> Iterator[tuple[str, str]]:
    """A walk along the links, then a sheet that is begun and worked on, and forms that are refused."""
    yield from walk(browser, each=2, kind=path_of)
    units = re.findall(r"/units/([0-9a-f-]{36})\"", browser.get("/dues?state=overdue").text)
    for unit, works in zip(dict.fromkeys(units), (("maintenance",), ("internal-examination", "recharge")), strict=False):
        begun = browser.post(f"/units/{unit}/sheet", data={"work": list(works)})
        yield f"a sheet for {works[0]}", begun.text
        yield from walk(browser, each=3, start=(str(begun.url.path), str(begun.url.path).removesuffix("/work")))
    for address, form in (("/people", {"name": ""}), ("/people", {"name": "Zed", "login": "zed", "role": "technician"}), ("/import", {})):
        yield f"{address} with {form}", browser.post(address, data=form).text
    for address in ("/nothing", "/dues?on=never&state=odd&page=x&sort=up", "/search?q=red", "/welcome/none", "/shared/none", "/sign-in"):
        yield address, browser.get(address).text


def test_whatever_people_read_on_a_page_is_in_the_catalogue_or_marked_as_english(spoken_shop: tuple[TestClient, list[str]]) -> None:
    browser, data = spoken_shop
    texts: dict[str, str] = {}
    seen = 0
    for address, html in _pages(browser):
        if "<html" in html:
            seen += 1
            assert f'<html lang="{PSEUDO}">' in html
            assert html.count(OPEN) == html.count(CLOSE) > 3, address
            texts |= dict.fromkeys(bare_texts(html), address)
    assert seen > 40
    left = {text: rest for text in texts if (rest := _left(text, data))}
    assert not left, "\n".join(f"{texts[text]}: {text} -> {rest}" for text, rest in left.items())
