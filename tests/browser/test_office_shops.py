"""Shops at the edge: names that are too long, in other scripts, with signs that pages are made of; and a shop without a unit."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from office_looking import NARROW, WIDE, axe_faults, too_wide

LIST = Path(__file__).parent / "long_names.csv"
PLACES = (
    "/",
    "/dues",
    "/dues/months",
    "/sites",
    "/deficiencies",
    "/loaners",
    "/sheets",
    "/bench",
    "/bench/agent",
    "/instruments",
    "/people",
)


def _pinseal(*words: str) -> None:
    subprocess.run([sys.executable, "-m", "pinseal", *words], check=True, capture_output=True)


def _shop(folder: Path) -> Path:
    path = folder / "edge.pinseal"
    _pinseal("init", str(path), "--packs", "us-osha,us-nfpa10", "--time-zone", "America/New_York")
    return path


@pytest.fixture(scope="module")
def long_names(office_of, tmp_path_factory):
    path = _shop(tmp_path_factory.mktemp("long"))
    _pinseal("import", str(LIST), "--shop", str(path))
    return office_of(path)


@pytest.fixture(scope="module")
def empty(office_of, tmp_path_factory):
    return office_of(_shop(tmp_path_factory.mktemp("empty")))


def _faults(desk, path: str) -> list[str]:
    page = desk.page
    desk.wrong.clear()
    assert page.goto(path).status == 200
    page.evaluate("() => document.querySelectorAll('main details').forEach((each) => { each.open = true; })")
    found = axe_faults(page)
    for width in NARROW:
        page.set_viewport_size({"width": width, "height": 700})
        found += too_wide(page, width)
    page.set_viewport_size(WIDE)
    return [f"{path}: {each}" for each in found + desk.wrong]


def test_names_of_any_length_and_script_break_no_page(long_names):
    units = {each.get_attribute("href") for each in (long_names.page.goto("/dues") and long_names.page.locator(".c-unit a").all())}
    sites = {each.get_attribute("href") for each in (long_names.page.goto("/sites") and long_names.page.locator("main td a").all())}
    assert len(units) == len(sites) == 5
    faults = [each for path in ("/", "/dues", "/sites", *sorted(units), *sorted(sites)) for each in _faults(long_names, path)]
    assert not faults, "\n".join(faults)


def test_signs_that_pages_are_made_of_are_shown_as_they_are(long_names):
    long_names.page.goto("/dues?text=kitchen")
    assert long_names.page.locator(".c-unit a").first.inner_text() == "<b>&\"'-1"


def test_a_shop_without_a_unit_says_what_to_do_first(empty):
    faults = [each for path in PLACES for each in _faults(empty, path)]
    assert not faults, "\n".join(faults)
    empty.page.goto("/")
    empty.page.get_by_role("link", name="Import a list").click()
    assert empty.page.locator("h1").inner_text() == "Import a list"
