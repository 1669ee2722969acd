"""The report of a visit on the pages of a real shop: where it is found, who may read it, what each file holds."""

import hashlib
import json
import re
import sys
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.cli.conftest import FixedApp

from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ShopPeople
from pinseal.web.account import AUTHORITY, OWNER, SUPERVISOR
from pinseal.web.people_doors import Wanted
from pinseal.web.site import build_site

sys.path[:0] = [str(Path(__file__).parent.parent / "web")]

from page_checks import faults  # noqa: E402

WORDS = "seven copper pins in a drawer"
DAY = "2026-11-24"


@pytest.fixture
def visited(shop, pinseal):
    def did(kind, unit, on=DAY, **fields):
        ran = pinseal(
            "record", kind, unit, "--on", on, *(f"--{name.replace('_', '-')}={value}" for name, value in fields.items()), "--json"
        )
        assert ran.code == 0, ran.err
        return ran.json["record"]["uid"]

    did("registered", "Q-1", on="2026-01-02", site="Quarry", place="gate", agent="abc")
    did("inspected", "Q-1", on="2026-11-20")
    did("inspected", "T-1")
    found = did("found-deficient", "T-1", finding="hose-cracked", words="the hose is cracked", action="replace-part")
    assert pinseal("settings", "--currency", "USD").code == 0
    did("deficiency-quoted", "T-1", deficiency=found, price_minor="4200", currency="USD")
    return shop


def browser(shop, role="", sites=()):
    app = FixedApp()
    people = ShopPeople(app, shop)
    client = TestClient(
        build_site(ShopRooms(app, shop), people=people), base_url="http://127.0.0.1:8000", headers={"sec-fetch-site": "same-origin"}
    )
    if role:
        _, link = people.add(Wanted(name=f"A {role}", login=role, role=role, sites=sites))
        client.cookies.set("pinseal", people.set_passphrase(link, WORDS))
    return client


@pytest.fixture
def lead(visited):
    return browser(visited, SUPERVISOR)


ADDRESS = f"?site=Sawmill&from={DAY}&to={DAY}"


def test_today_and_the_page_of_the_site_lead_to_the_report(lead):
    for path in ("/", "/sites/Sawmill"):
        links = [unescape(each) for each in re.findall(r'href="(/visit\?[^"]*)"', lead.get(path).text)]
        assert f"/visit{ADDRESS}" in links
        assert lead.get(links[0]).status_code == 200


def test_the_page_tells_what_the_paper_tells(lead):
    page = lead.get(f"/visit{ADDRESS}").text
    assert not faults(page)
    said = lead.get(f"/visit.json{ADDRESS}").json()
    assert said["line"] in unescape(page)
    assert "The hose is cracked" in page
    assert said["rests_on"]["hash"] in re.sub(r"\s", "", page)


def test_the_files_are_a_pdf_and_a_page_that_holds_the_same_hash(lead):
    pdf, proof = lead.get(f"/visit.pdf{ADDRESS}"), lead.get(f"/visit-proof.html{ADDRESS}")
    assert pdf.content.startswith(b"%PDF-") and pdf.headers["content-type"] == "application/pdf"
    assert "attachment" in proof.headers["content-disposition"]
    assert lead.get(f"/visit.json{ADDRESS}").json()["rests_on"]["hash"] in proof.content.decode()


def test_an_owner_reads_the_reports_of_their_sites_alone(visited):
    client = browser(visited, OWNER, ("Sawmill",))
    for path in ("/visit", "/visit.pdf", "/visit.json", "/visit-proof.html"):
        assert client.get(f"{path}{ADDRESS}").status_code == 200, path
        assert client.get(f"{path}?site=Quarry&from=2026-11-20").status_code == 404, path
    assert "Quarry" not in client.get("/").text


def held(page):
    return json.loads(re.search(r'<script type="application/json" id="held">(.*?)</script>', page, re.DOTALL)[1])


def test_an_authority_reads_the_report_without_what_was_quoted(visited):
    priced, bare = (held(browser(visited, role).get(f"/visit-proof.html{ADDRESS}").content.decode()) for role in (SUPERVISOR, AUTHORITY))
    assert priced["hash"] == bare["hash"]
    assert [each["uid"] for each in priced["records"]] == [each["uid"] for each in bare["records"]]
    assert "4200" in json.dumps(priced)
    assert "4200" not in json.dumps(bare)
    assert [each["text"] for each in bare["records"]].count(None) == 1


def test_every_text_of_the_proof_has_the_digest_beside_it(lead):
    for each in held(lead.get(f"/visit-proof.html{ADDRESS}").content.decode())["records"]:
        assert hashlib.sha256(each["text"].encode()).hexdigest() == each["digest"]


def test_nobody_reads_a_report_without_signing_in(visited):
    assert browser(visited).get(f"/visit{ADDRESS}", follow_redirects=False).status_code == 303


@pytest.mark.parametrize(
    ("asked", "code"),
    [("", 404), ("?site=Nowhere", 400), ("?site=Sawmill&from=yesterday", 400), ("?site=Sawmill&from=2026-11-24&to=2026-11-01", 400)],
)
def test_what_cannot_be_reported_is_said(lead, asked, code):
    answer = lead.get(f"/visit{asked}")
    assert answer.status_code == code
    assert not faults(answer.text)


def test_days_may_be_typed_as_people_write_them(lead):
    assert "24 Nov 2026" in lead.get("/visit?site=Sawmill&from=24+Nov+2026&to=24+Nov+2026").text
