"""The pages of the owner's file over a real shop: who sees which site, what can be taken away, and the addresses of calendars."""

from __future__ import annotations

import re
from datetime import timedelta

import pypdfium2
import pytest
from ical.calendar_stream import IcsCalendarStream
from starlette.testclient import TestClient
from tests.cli.conftest import NOW, FixedApp

from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ShopPeople
from pinseal.app.rooms import rooms
from pinseal.app.shares import ShopShares
from pinseal.web.account import AUTHORITY, OWNER, SUPERVISOR, TECHNICIAN
from pinseal.web.people_doors import Wanted
from pinseal.web.site import build_site

WORDS = "five words make a passphrase"
PIER, MILL = "Pier Café", "Mill"
PLACES = ("/owner-file", "/owner-file.pdf", "/owner-file.json", "/owner-months.csv", "/owner-months.xlsx", "/owner-calendar.ics")


class MovedApp(FixedApp):
    moment = NOW

    def now(self):
        return self.moment


@pytest.fixture
def app():
    return MovedApp()


@pytest.fixture
def people(app, shop, pinseal):
    for name, site in (("PC-1", PIER), ("ML-1", MILL)):
        words = ("--site", site, "--place", "Door", "--agent", "abc", "--manufactured", "2019-06")
        assert pinseal("record", "registered", name, "--on", "2026-01-05", *words).code == 0
        assert pinseal("record", "maintained", name, "--on", "2026-03-03").code == 0
    return ShopPeople(app, shop)


@pytest.fixture
def as_role(app, shop, people):
    """A browser in which a new person of a role has signed in."""

    def sign_in(role, *sites):
        login = f"{role}-{len(people.known())}"
        _, key = people.add(Wanted(name=f"Somebody {login}", login=login, role=role, sites=sites))
        session = people.set_passphrase(key, WORDS)
        return browser(app, shop, people, session)

    return sign_in


def browser(app, shop, people, session=None):
    site = build_site(ShopRooms(app, shop), people=people, more=rooms(app, ShopRooms(app, shop)), shares=ShopShares(app, shop))
    client = TestClient(site, base_url="http://192.0.2.9:8000", headers={"sec-fetch-site": "same-origin"}, client=("192.0.2.7", 5))
    if session:
        client.cookies.set("pinseal", session)
    return client


@pytest.mark.parametrize("place", PLACES)
def test_an_owner_reads_their_own_site_and_no_other(as_role, place):
    own = as_role(OWNER, PIER)
    assert own.get(place, params={"site": PIER}).status_code == 200
    for site in (MILL, "No such place", ""):
        page = own.get(place, params={"site": site})
        assert page.status_code == 404
        assert "ML-1" not in page.text


@pytest.mark.parametrize("place", PLACES)
def test_nobody_reads_it_without_signing_in(app, shop, people, place):
    page = browser(app, shop, people).get(place, params={"site": PIER}, follow_redirects=False)
    assert page.status_code == 303
    assert page.headers["location"].startswith("/sign-in")


@pytest.mark.parametrize("asked", [{"year": "1850"}, {"year": "2999"}, {"year": "x"}, {"year": "２０２６"}, {"part": "9"}, {"part": "-1"}])
def test_what_is_not_there_is_not_found(as_role, asked):
    assert as_role(SUPERVISOR).get("/owner-file.pdf", params={"site": PIER, **asked}).status_code == 404


def test_the_page_of_the_site_leads_to_the_file_and_the_file_to_its_papers(as_role):
    own = as_role(OWNER, PIER)
    assert "/owner-file?site=Pier+Caf%C3%A9" in own.get(f"/sites/{PIER}").text
    page = own.get("/owner-file", params={"site": PIER})
    links = {link.replace("&amp;", "&") for link in re.findall(r'href="(/(?:owner|inventory|deficiencies)[^"]*site=[^"]*)"', page.text)}
    assert len(links) == 9
    for link in links:
        assert own.get(link).status_code == 200, link


def test_the_paper_is_the_one_that_the_command_prints(as_role, pinseal, tmp_path):
    found = as_role(TECHNICIAN).get("/owner-file.pdf", params={"site": PIER, "year": "2026"})
    assert found.headers["content-type"] == "application/pdf"
    assert pinseal("print", "file", PIER, "--out", tmp_path / "x.pdf").code == 0
    assert found.content == (tmp_path / "x.pdf").read_bytes()
    document = pypdfium2.PdfDocument(found.content)
    assert "PC-1" in "".join(page.get_textpage().get_text_range() for page in document)
    document.close()


def test_the_months_as_a_table_have_a_row_for_each_unit_and_month(as_role, pinseal, tmp_path):
    rows = as_role(OWNER, PIER).get("/owner-months.csv", params={"site": PIER}).text.splitlines()
    assert len(rows) == 13
    assert "2026-03,PC-1,,Door,service,2026-03-03,maintained,not said" in next(row for row in rows if row.startswith("2026-03"))
    ran = pinseal("table", "months", "--site", PIER, "--out", tmp_path / "m.csv")
    assert ran.code == 0, ran.err
    assert (tmp_path / "m.csv").read_text(encoding="utf-8").splitlines() == rows


def test_a_table_of_months_needs_a_site(pinseal, shop, tmp_path):
    ran = pinseal("table", "months", "--out", tmp_path / "m.csv")
    assert (ran.code, "no site is named" in ran.err) == (2, True)


def feed_of(client, site=PIER, **form):
    page = client.post(f"/owner-file/feed?site={site}", data={"name": "wall calendar", "days": "365"} | form)
    found = re.search(r"http://192\.0\.2\.9:8000(/calendar/[\w-]+\.ics)", page.text)
    return page, found[1] if found else None


def test_an_address_shows_the_days_of_its_site_without_signing_in(as_role, app, shop, people):
    page, address = feed_of(as_role(OWNER, PIER))
    assert page.status_code == 200
    found = browser(app, shop, people).get(address)
    assert found.headers["content-type"] == "text/calendar; charset=utf-8"
    assert found.headers["cache-control"] == "no-store"
    assert "noindex" in found.headers["x-robots-tag"]
    titles = [event.summary for event in IcsCalendarStream.calendar_from_ics(found.text).events]
    assert titles
    assert all("PC-1" in title for title in titles)


def test_the_key_of_an_address_opens_nothing_else(as_role, app, shop, people):
    _, address = feed_of(as_role(OWNER, PIER))
    key = address.removeprefix("/calendar/").removesuffix(".ics")
    out = browser(app, shop, people)
    assert out.get("/api/units", headers={"authorization": f"Bearer {key}"}).status_code == 401
    assert out.get(f"/shared/{key}").status_code == 400
    assert out.get(f"/welcome/{key}").status_code == 400
    assert out.get("/calendar/another.ics").status_code == 404
    assert all(not known.keys for known in people.known())


def test_an_owner_makes_no_address_for_a_site_of_others(as_role):
    page, address = feed_of(as_role(OWNER, PIER), site=MILL)
    assert (page.status_code, address) == (404, None)


def test_an_authority_makes_no_address(as_role):
    client = as_role(AUTHORITY)
    assert "wall" not in client.get("/owner-file", params={"site": PIER}).text
    assert feed_of(client)[0].status_code == 403


@pytest.mark.parametrize(
    ("form", "said"), [({"name": ""}, "Say for which calendar"), ({"days": "0"}, "from 1 to"), ({"days": "x"}, "from 1 to")]
)
def test_a_form_that_is_not_right_says_so(as_role, form, said):
    page, address = feed_of(as_role(OWNER, PIER), **form)
    assert (page.status_code, address) == (400, None)
    assert said in page.text


def test_an_address_ends_by_its_maker_its_day_and_its_makers_leaving(as_role, app, shop, people):
    own, out = as_role(OWNER, PIER), browser(app, shop, people)
    page, one = feed_of(own)
    _, other = feed_of(own)
    assert out.get(one).status_code == 200
    uid = re.findall(r'name="feed" value="([^"]+)"', page.text)[0]
    assert own.post(f"/owner-file/feed/end?site={PIER}", data={"feed": uid}, follow_redirects=False).status_code == 303
    assert out.get(one).status_code == 404
    assert out.get(other).status_code == 200
    people.end(next(known.account.uid for known in people.known() if known.account.role == OWNER))
    assert out.get(other).status_code == 404
    _, late = feed_of(as_role(TECHNICIAN), days="10")
    assert out.get(late).status_code == 200
    app.moment = NOW + timedelta(days=10)
    assert out.get(late).status_code == 404


def test_an_owner_who_lost_a_site_is_fed_no_more(as_role, app, shop, people):
    _, address = feed_of(as_role(OWNER, PIER))
    known = next(known for known in people.known() if known.account.role == OWNER)
    people.change(known.account.uid, Wanted(name=known.account.name, login=known.login, role=OWNER, sites=(MILL,)))
    assert browser(app, shop, people).get(address).status_code == 404


def test_an_owner_does_not_see_or_end_the_addresses_of_others(as_role, app, shop, people):
    _, address = feed_of(as_role(SUPERVISOR), name="office wall")
    own = as_role(OWNER, PIER)
    assert "office wall" not in own.get("/owner-file", params={"site": PIER}).text
    uid = next(token.uid for token in opened(app, shop) if "calendar" in token.scopes)
    own.post(f"/owner-file/feed/end?site={PIER}", data={"feed": uid})
    assert browser(app, shop, people).get(address).status_code == 200


def opened(app, shop):
    with app._open(shop, readonly=True) as kept:
        return kept.accounts().tokens()
