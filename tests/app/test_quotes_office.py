"""Prices on the pages of a real shop: who may see them, how a quote is kept and answered, what is refused. Prices are invented."""

from __future__ import annotations

import csv
import re
import sys
from datetime import timedelta
from itertools import count
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.cli.conftest import FixedApp

from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ShopPeople
from pinseal.web.account import AUTHORITY, OWNER, SUPERVISOR, TECHNICIAN
from pinseal.web.people_doors import Wanted
from pinseal.web.site import build_site

sys.path[:0] = [str(Path(__file__).parent.parent / "web")]

from page_checks import faults, text_of  # noqa: E402

WORDS = "seven copper pins in a drawer"
BOOK = Path(__file__).parents[2] / "docs" / "examples" / "prices.toml"
SITE, DRAFT = "Sawmill", "/quotes/draft?site=Sawmill"
TICKS = count()


class TickingApp(FixedApp):
    """Its clock goes on by a millisecond with each question: what is answered after another answer is later."""

    def now(self):
        return super().now() + timedelta(milliseconds=next(TICKS) % 50_000)


@pytest.fixture
def priced(shop, pinseal):
    def did(kind, unit, on, **fields):
        words = [f"--{name.replace('_', '-')}={value}" for name, value in fields.items()]
        ran = pinseal("record", kind, unit, "--on", on, *words, "--json")
        assert ran.code == 0, ran.err
        return ran.json["record"]["uid"]

    assert pinseal("prices", "import", BOOK).code == 0
    did("registered", "Q-1", "2026-01-02", site="Quarry", place="gate", agent="abc", size="10 lb")
    did("registered", "T-1", "2026-01-06", size="10 lb")
    did("found-deficient", "T-1", "2026-11-20", finding="bracket-loose", words="bracket <loose>", action="repair")
    did("maintained", "T-1", "2026-11-21")
    return shop


def browser(shop, role="", sites=()):
    app = TickingApp()
    people = ShopPeople(app, shop)
    client = TestClient(
        build_site(ShopRooms(app, shop), people=people), base_url="http://127.0.0.1:8000", headers={"sec-fetch-site": "same-origin"}
    )
    _, link = people.add(Wanted(name=f"A {role}", login=role + str(len(sites)), role=role, sites=sites))
    client.cookies.set("pinseal", people.set_passphrase(link, WORDS))
    return client


@pytest.fixture
def lead(priced):
    return browser(priced, SUPERVISOR)


@pytest.fixture
def quote(lead):
    """The address of a quote that was kept."""
    kept = lead.post("/quotes/keep", data={"site": SITE, "until": "", "valid_until": "31 Dec 2026", "number": ""}, follow_redirects=False)
    assert kept.status_code == 303, text_of(kept.text)
    return kept.headers["location"]


def answered(client, quote, **form):
    return client.post(f"{quote}/answer", data={"said": "agreed", "answered_by": "Ola Brandt", "reason": ""} | form, follow_redirects=False)


def numbers(client, quote):
    return re.findall(r'name="line" value="(\d+)"', client.get(quote).text)


def test_every_page_of_prices_is_sound_and_found_from_another(lead, quote, priced) -> None:
    assert DRAFT in lead.get(f"/sites/{SITE}").text
    unit = re.search(r"/units/[0-9a-f-]{36}", lead.get(f"/sites/{SITE}").text)[0]
    assert f"{unit}/worth" in lead.get(unit).text
    assert "/invoice-figures?" in lead.get(f"/visit?site={SITE}&from=2026-11-21").text
    for address in ("/prices", "/quotes", DRAFT, quote, f"{unit}/worth", f"/invoice-figures?site={SITE}&from=2026-11-21"):
        page = lead.get(address)
        assert page.status_code == 200, address
        assert not faults(page.text), address


def test_a_draft_shows_each_line_with_its_reason_and_its_price(lead) -> None:
    words = text_of(lead.get(DRAFT).text)
    for each in (
        "a new bracket, fixed",
        "bracket <loose>, found 20 Nov 2026; price BRACKET",
        "27.50",
        "travel",
        "sales tax, 6.25 %",
    ):
        assert each in words
    assert "The price of maintenance includes" in words


def test_a_quote_that_is_kept_can_be_answered_as_a_whole(lead, quote) -> None:
    assert "no answer yet" in text_of(lead.get(quote).text)
    assert answered(lead, quote).status_code == 303
    words = text_of(lead.get(quote).text)
    assert "all lines agreed: Ola Brandt, 24 Nov 2026, 06:00" in words
    assert "26-0001" in text_of(lead.get("/quotes").text)


def test_lines_that_are_not_ticked_are_declined(lead, quote) -> None:
    first, *rest = numbers(lead, quote)
    assert answered(lead, quote, said="lines", line=[first], reason="later").status_code == 303
    words = text_of(lead.get(quote).text)
    assert f"lines {first} agreed: Ola Brandt" in words
    assert "declined: Ola Brandt" in words
    assert "partly agreed" in words
    assert len(rest) >= 1


def test_an_answer_reaches_the_deficiency_that_the_line_mends(lead, quote) -> None:
    answered(lead, quote)
    [address] = set(re.findall(r"/deficiencies/[0-9a-f-]{36}", lead.get("/deficiencies").text))
    words = text_of(lead.get(address).text)
    assert "Quoted 27.50 USD" in words
    assert "Agreed by Ola Brandt" in words


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"said": ""}, "choose one of the answers"),
        ({"answered_by": ""}, "nobody is named who answered"),
        ({"said": "nonsense"}, "choose one of the answers"),
    ],
)
def test_an_answer_that_says_too_little_is_refused_with_what_was_typed(lead, quote, form, said) -> None:
    page = answered(lead, quote, reason="what was typed", **form)
    assert page.status_code == 400
    assert said in text_of(page.text).lower()
    assert "what was typed" in page.text
    assert "no answer yet" in text_of(lead.get(quote).text)


def test_a_quote_that_cannot_be_kept_is_refused_with_what_was_typed(lead) -> None:
    page = lead.post("/quotes/keep", data={"site": SITE, "until": "", "valid_until": "1 Jan 2020", "number": "Q 9"})
    assert page.status_code == 400
    assert "holds at least on the day" in page.text
    assert 'value="Q 9"' in page.text
    assert "No quote was made yet" in lead.get("/quotes").text
    assert lead.post("/quotes/keep", data={"site": "Nowhere"}).status_code == 400


def test_an_owner_sees_and_answers_the_quotes_of_their_own_sites_by_their_own_name(priced, quote) -> None:
    own, other = browser(priced, OWNER, (SITE,)), browser(priced, OWNER, ("Quarry", "Kiln"))
    assert "26-0001" in own.get("/quotes").text
    assert own.get(quote).status_code == 200
    assert own.get(f"{quote}.pdf").content.startswith(b"%PDF")
    assert "26-0001" not in other.get("/quotes").text
    for address in (quote, f"{quote}.pdf", f"{quote}.csv"):
        assert other.get(address).status_code == 404
    assert answered(other, quote).status_code == 404
    assert answered(own, quote, answered_by="Somebody Else").status_code == 303
    assert "all lines agreed: A owner" in text_of(own.get(quote).text)
    for address in ("/prices", DRAFT, f"/invoice-figures?site={SITE}"):
        assert own.get(address).status_code == 403


def test_an_authority_sees_no_price(priced, quote) -> None:
    client = browser(priced, AUTHORITY)
    unit = re.search(r"/units/[0-9a-f-]{36}", client.get(f"/sites/{SITE}").text)[0]
    for address in ("/prices", "/quotes", quote, DRAFT, f"{unit}/worth", f"/invoice-figures?site={SITE}"):
        assert client.get(address).status_code == 403, address
    assert "/worth" not in client.get(unit).text
    assert "quotes" not in client.get("/").text


def test_a_technician_drafts_and_keeps(priced) -> None:
    client = browser(priced, TECHNICIAN)
    assert client.get(DRAFT).status_code == 200
    assert client.get("/prices").status_code == 200


def test_the_files_hold_what_the_page_shows(lead, quote) -> None:
    rows = list(csv.DictReader(lead.get(f"{quote}.csv").text.splitlines()))
    assert [row["line"] for row in rows] == [*numbers(lead, quote), "tax"]
    assert {row["paper"] for row in rows} == {"quote 26-0001"}
    figures = f"/invoice-figures.csv?site={SITE}&from=2026-11-21&to=2026-11-21"
    assert "M-1" in lead.get(figures).text
    assert lead.get(figures.replace(".csv", ".pdf")).content.startswith(b"%PDF")


def test_a_worth_that_cannot_be_counted_is_refused(lead) -> None:
    unit = re.search(r"/units/[0-9a-f-]{36}", lead.get(f"/sites/{SITE}").text)[0]
    assert "for 12" not in lead.get(f"{unit}/worth?years=3").text
    assert lead.get(f"{unit}/worth?years=41").status_code == 400
    assert lead.get(f"{unit}/worth?years=many").status_code == 200
    assert lead.get("/units/none/worth").status_code == 404


def test_without_a_price_book_the_pages_say_so(shop) -> None:
    client = browser(shop, SUPERVISOR)
    assert "No price book holds today" in client.get("/prices").text
    assert "no price book is kept" in client.get(DRAFT).text
