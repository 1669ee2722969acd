"""The log of pressure tests and the certificates of a unit on the pages of a real shop: what they tell, and who may read them."""

import re
import sys
from html import unescape
from pathlib import Path

import pypdfium2
import pytest
from starlette.testclient import TestClient

from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ShopPeople
from pinseal.web.account import AUTHORITY, BENCH, OWNER, SUPERVISOR
from pinseal.web.people_doors import Wanted
from pinseal.web.site import build_site

sys.path[:0] = [str(Path(__file__).parent.parent / folder) for folder in ("web", "cli")]

from page_checks import faults  # noqa: E402
from pressure_shop import DAY, FixedApp, check, make_shop, pressure_test, register  # noqa: E402

WORDS = "seven copper pins in a drawer"
SPAN = "?from=2026-11-01&to=2026-11-28"


@pytest.fixture
def tested(tmp_path, capsys):
    path = tmp_path / "pier.pinseal"
    ask = make_shop(str(path), capsys)
    check(ask)
    for unit, fields in (("U-1", {}), ("U-2", {"permanent_expansion": "5 cm3"}), ("U-3", {"result": "fail", "found": "leak"})):
        register(ask, unit, site="Quarry" if unit == "U-3" else "Pier Café")
        pressure_test(ask, unit, **fields)
    ask("record", "maintenance", "U-1", "--on", DAY, "--person", "Ida Quill")
    return path


def browser(shop, role="", sites=()):
    app = FixedApp()
    people = ShopPeople(app, shop)
    site = build_site(ShopRooms(app, shop), people=people)
    client = TestClient(site, base_url="http://127.0.0.1:8000", headers={"sec-fetch-site": "same-origin"})
    if role:
        _, link = people.add(Wanted(name=f"A {role}", login=role, role=role, sites=sites))
        client.cookies.set("pinseal", people.set_passphrase(link, WORDS))
    return client


@pytest.fixture
def lead(tested):
    return browser(tested, SUPERVISOR)


def text_of(html):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def test_the_bench_leads_to_the_log_and_the_log_tells_each_test(lead):
    assert "/bench/tests/log" in lead.get("/bench/tests").text
    page = lead.get("/bench/tests/log" + SPAN).text
    assert faults(page) == []
    text = text_of(page)
    for words in ("1 passed , 1 failed , 1 to be looked at again", "2.211302… %", "exceeds the 10 % allowed", "Leak", "SN-U-3"):
        assert words.replace(" ,", ",") in text.replace(" ,", ",")
    assert "The stamp to strike on No. 1:" in text


def test_the_files_tell_the_same_days(lead):
    said = lead.get("/bench/tests/log.json" + SPAN).json()
    assert [len(each["tests"]) for each in said["days"]] == [3]
    assert lead.get("/bench/tests/log.csv" + SPAN).text.count("\n") == 4
    assert lead.get("/bench/tests/log.xlsx" + SPAN).content.startswith(b"PK")
    paper = lead.get("/bench/tests/log.pdf" + SPAN)
    assert paper.headers["content-type"] == "application/pdf"
    pages = [" ".join(page.get_textpage().get_text_range().split()) for page in pypdfium2.PdfDocument(paper.content)]
    assert "SN-U-1" in pages[0]


def test_without_days_the_last_month_is_shown(lead):
    assert "20 Nov 2026" in text_of(lead.get("/bench/tests/log").text)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("?from=soon&to=2026-11-28", "soon"),
        ("?from=2026-11-28&to=2026-11-01", "ends before it begins"),
        ("?from=2020-01-01&to=2026-11-28", "too long a time"),
        ("?from=<script>&to=2026-11-28", "<script>"),
    ],
)
def test_days_that_cannot_be_are_told_on_the_form(lead, asked, words):
    page = lead.get("/bench/tests/log" + asked)
    assert page.status_code == 400
    assert faults(page.text) == []
    assert words in unescape(page.text)
    assert "<script>" not in page.text.replace("<script type", "")


def uid_of(client, name):
    said = client.get("/bench/tests/log.json" + SPAN).json()
    return next(each["unit"]["uid"] for each in said["days"][0]["tests"] if each["unit"]["name"] == name)


def test_the_page_of_a_unit_leads_to_its_certificates(lead):
    page = lead.get(f"/units/{uid_of(lead, 'U-1')}").text
    links = [unescape(each) for each in re.findall(r'href="(/units/[^"]*certification[^"]*)"', page)]
    assert [link.partition("?")[2] for link in links] == ["of=hydrostatic-test", "of=maintenance"]
    for link in links:
        paper = lead.get(link)
        assert paper.headers["content-type"] == "application/pdf"
        assert "SN-U-1" in pypdfium2.PdfDocument(paper.content)[0].get_textpage().get_text_range()


def test_what_cannot_be_certified_is_told_and_not_printed(lead):
    page = lead.get(f"/units/{uid_of(lead, 'U-3')}/certification.pdf")
    assert page.status_code == 400
    assert "a failed test is not certified" in text_of(page.text).casefold()
    assert "certification" not in lead.get(f"/units/{uid_of(lead, 'U-3')}").text
    assert lead.get(f"/units/{uid_of(lead, 'U-1')}/certification.pdf?of=inspection").status_code == 404


@pytest.mark.parametrize(("role", "code"), [(BENCH, 200), (AUTHORITY, 200), (OWNER, 403)])
def test_the_log_is_for_the_shop_and_the_authority(tested, role, code):
    client = browser(tested, role, sites=("Pier Café",) if role == OWNER else ())
    for ending in ("", ".pdf", ".csv", ".xlsx", ".json"):
        assert client.get(f"/bench/tests/log{ending}{SPAN}").status_code == code


def test_an_owner_has_the_certificates_of_their_own_units_alone(tested, lead):
    mine, other = uid_of(lead, "U-1"), uid_of(lead, "U-3")
    owner = browser(tested, OWNER, sites=("Pier Café",))
    assert owner.get(f"/units/{mine}/certification.pdf").headers["content-type"] == "application/pdf"
    assert owner.get(f"/units/{other}/certification.pdf").status_code == 404
