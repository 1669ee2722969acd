"""Every page of the office in a browser: axe, narrow screens, large text, keys alone, nothing inline, no other host."""

from __future__ import annotations

from pathlib import Path

import pytest
from office_desk import PASSPHRASE
from office_looking import page_faults
from office_tour import FIELD, FILES, STOPS, a_new_link
from starlette.routing import Route

from pinseal.app import App
from pinseal.app.people import ShopPeople
from pinseal.web import rights


def _real_routes(shop: Path) -> list:
    app = App()
    return app._site(shop, ShopPeople(app, shop), host="127.0.0.1", trusted=None).routes


def test_every_page_of_the_site_is_looked_at(demo_shop):
    shown = {each.name for each in _real_routes(demo_shop) if not isinstance(each, Route) or "GET" in (each.methods or ())}
    assert shown == {stop.route for stop in STOPS} | FIELD | FILES, "a new page belongs in office_tour.STOPS"


def test_the_table_of_rights_names_no_page_that_is_not_there(demo_shop):
    named = set(rights.RIGHTS) | rights.PUBLIC | rights.ASKS_ITSELF
    assert named == {each.name for each in _real_routes(demo_shop)}


@pytest.mark.parametrize("stop", STOPS, ids=lambda stop: stop.name)
def test_a_page_holds_to_what_is_asked_of_every_page(office, stop):
    path = stop.path(office)
    office.wrong.clear()
    answer = office.page.goto(path)
    assert answer.status == stop.status
    assert not office.page.url.endswith("/sign-in") or stop.route == "sign-in"
    faults = page_faults(office.page) + office.wrong
    assert not faults, "\n".join(faults)


def test_a_page_that_a_role_may_not_open_says_so(office, browser):
    link = a_new_link(office, "Perrin Slate (invented)", "slate")
    context = browser.new_context(base_url=office.served.address, viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(link)
    page.get_by_label("Passphrase").fill(PASSPHRASE)
    page.get_by_label("The same again").fill(PASSPHRASE)
    page.get_by_role("button", name="Keep it and come in").click()
    page.get_by_role("button", name="Sign out").wait_for()
    assert page.goto("/people").status == 403
    faults = page_faults(page)
    context.close()
    assert not faults, "\n".join(faults)
