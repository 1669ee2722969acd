"""Signing in, the rights of every route, an owner's view, and the pages of people."""

from __future__ import annotations

import pytest
from fake_office import SITES, client_of, uid_of
from fake_people import ALONE, EVERYBODY, INSPECTOR, LEAD, PASSPHRASE, SITES_OWNER, TECH, FakePeople
from fake_rooms import FakeRooms
from page_checks import faults, text_of
from starlette.responses import PlainTextResponse
from starlette.routing import Mount, Route
from starlette.testclient import TestClient

from pinseal.web.account import ROLES
from pinseal.web.doorkeeper import inside
from pinseal.web.limits import Limits
from pinseal.web.people_doors import Wanted
from pinseal.web.rights import ASKS_ITSELF, PUBLIC, RIGHTS, may_open
from pinseal.web.site import build_site

HERE = "http://127.0.0.1:8000"


def routes_of(people=None):
    return build_site(FakeRooms(1), people=people or FakePeople()).routes


def asks(route):
    """An address that the route answers, and a way to ask for it."""
    path = route.path.replace("{uid}", uid_of(0)).replace("{key}", "none")
    method = "GET" if isinstance(route, Mount) or "GET" in route.methods else "POST"
    return method, "/static/pinseal.css" if path == "/static" else path


CLOSED = [(route.name, *asks(route)) for route in routes_of() if route.name not in PUBLIC | ASKS_ITSELF]


def test_every_route_has_a_name_and_a_row_of_rights():
    for route in routes_of():
        assert route.name, route
        assert route.name in RIGHTS or route.name in PUBLIC | ASKS_ITSELF, route.name


def test_the_roles_of_the_table_are_roles():
    for name, roles in RIGHTS.items():
        assert roles, name
        assert roles <= set(ROLES), name
    assert not set(RIGHTS) & PUBLIC


@pytest.mark.parametrize("account", EVERYBODY, ids=lambda account: account.role)
@pytest.mark.parametrize(("name", "method", "path"), CLOSED, ids=[name for name, _, _ in CLOSED])
def test_each_route_opens_for_the_roles_of_its_row_alone(name, method, path, account):
    answer = client_of(FakeRooms(2), account=account).request(method, path, follow_redirects=False)
    reads_only = account.role == "authority" and method == "POST"
    assert (answer.status_code == 403) is (account.role not in RIGHTS[name] or reads_only), answer.text


@pytest.mark.parametrize(("name", "method", "path"), CLOSED, ids=[name for name, _, _ in CLOSED])
def test_no_route_opens_for_nobody(name, method, path):
    answer = client_of(FakeRooms(2), account=None).request(method, path, follow_redirects=False)
    assert answer.status_code == (303 if method == "GET" else 401)
    assert method == "POST" or answer.headers["location"].startswith("/sign-in?next=")


def test_a_route_without_a_row_is_refused_to_everybody():
    for more in (Route("/new", lambda _: PlainTextResponse("open"), name="nobody-thought-of-it"), Mount("/new", PlainTextResponse("open"))):
        for account in EVERYBODY:
            answer = client_of(FakeRooms(1), account=account, more=[more]).get("/new")
            assert answer.status_code == 403
            assert "open" not in text_of(answer.text).split()


def test_without_people_nobody_is_signed_in():
    client = TestClient(build_site(FakeRooms(1)), base_url=HERE, client=("127.0.0.1", 50_000))
    assert client.get("/dues", follow_redirects=False).status_code == 303
    assert client.get("/mark.svg").status_code == 200


def test_the_api_is_told_who_asks_and_refuses_by_itself():
    seen = []

    async def api(scope, receive, send):
        seen.append(scope["state"]["account"])
        await PlainTextResponse("mine")(scope, receive, send)

    more = [Mount("/api", api, name="api")]
    client_of(FakeRooms(1), account=TECH, more=more).get("/api/units")
    client_of(FakeRooms(1), account=None, more=more).get("/api/units")
    client_of(FakeRooms(1), account=TECH, more=more).get("/api/units", headers={"authorization": "Bearer token-of-lead"})
    assert seen == [TECH, None, None]


def test_a_program_with_a_token_needs_no_page_of_ours_and_opens_no_page():
    client = client_of(FakeRooms(1), account=LEAD)
    client.headers["sec-fetch-site"] = "cross-site"
    bearer = {"authorization": "Bearer token-of-lead"}
    assert client.post("/people", data={"name": "x"}).status_code == 403
    assert client.post("/people", data={"name": "x"}, headers=bearer).status_code == 401


def test_the_menu_shows_what_a_role_may_open():
    shown = {account.role: client_of(FakeRooms(1), account=account).get("/").text for account in EVERYBODY}
    for role, page in shown.items():
        assert ('href="/people"' in page) is may_open(role, "people")
        assert ('href="/import"' in page) is may_open(role, "import")
        assert 'href="/dues"' in page


# Signing in


def test_the_right_passphrase_leads_to_the_page_that_was_asked_for():
    client = client_of(FakeRooms(2), account=None)
    asked = client.get("/dues?state=overdue", follow_redirects=True)
    assert asked.url.path == "/sign-in"
    assert faults(asked.text) == []
    assert 'value="/dues?state=overdue"' in asked.text
    answer = client.post(
        "/sign-in", data={"login": " Lead ", "passphrase": PASSPHRASE, "next": "/dues?state=overdue"}, follow_redirects=False
    )
    assert (answer.status_code, answer.headers["location"]) == (303, "/dues?state=overdue")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Secure" not in cookie
    page = client.get("/dues?state=overdue")
    assert "Ida Quill, supervisor" in text_of(page.text)


def test_under_tls_the_cookie_is_bound_to_it():
    client = client_of(FakeRooms(2), account=None)
    client.base_url = "https://127.0.0.1:8000"
    cookie = client.post("/sign-in", data={"login": "lead", "passphrase": PASSPHRASE}, follow_redirects=False).headers["set-cookie"]
    assert cookie.startswith("__Host-pinseal=")
    assert "Secure" in cookie


def test_a_wrong_passphrase_and_an_unknown_name_are_told_alike():
    client = client_of(FakeRooms(1), account=None)
    told = []
    for login in ("lead", "nobody"):
        answer = client.post("/sign-in", data={"login": login, "passphrase": "wrong <one>", "next": "/"})
        assert answer.status_code == 403
        assert "set-cookie" not in answer.headers
        assert "wrong" not in answer.text
        assert faults(answer.text) == []
        told.append(text_of(answer.text))
    assert told[0] == told[1]


@pytest.mark.parametrize(
    "path",
    ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)", "", "dues", "/sign-out", "/\t/evil.example"],
)
def test_signing_in_leads_nowhere_else(path):
    assert inside(path) == "/"


def test_signing_out_ends_the_session():
    people = FakePeople()
    client = client_of(FakeRooms(1), account=TECH, people=people)
    answer = client.post("/sign-out", follow_redirects=False)
    assert answer.headers["location"] == "/sign-in"
    assert people.ended == {"tech"}
    client.cookies.set("pinseal", "key-of-tech")
    assert client.get("/dues", follow_redirects=False).status_code == 303


def test_a_link_of_another_site_signs_nobody_out():
    people = FakePeople()
    client = client_of(FakeRooms(1), account=TECH, people=people)
    assert client.post("/sign-out", headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert client.get("/sign-out").status_code == 405
    assert people.ended == set()


def test_the_invented_shop_signs_in_by_itself_at_its_machine_and_nowhere_else():
    people = FakePeople()
    people.alone = ALONE
    for client_host, status in (("127.0.0.1", 200), ("::1", 200), ("192.0.2.7", 303), ("testclient", 303)):
        client = TestClient(build_site(FakeRooms(1), people=people), base_url=HERE, client=(client_host, 50_000))
        answer = client.get("/", follow_redirects=False)
        assert answer.status_code == status, client_host
        assert status == 303 or "Nobody asked who you are" in text_of(answer.text)


# How often


def test_wrong_passphrases_of_a_name_are_counted_and_then_even_the_right_one_is_refused():
    client = client_of(FakeRooms(1), account=None, limits=Limits(wrong_of_name=3))
    for _ in range(3):
        assert client.post("/sign-in", data={"login": "lead", "passphrase": "wrong"}).status_code == 403
    answer = client.post("/sign-in", data={"login": "LEAD", "passphrase": PASSPHRASE})
    assert answer.status_code == 429
    assert "wait 15 minutes" in text_of(answer.text).lower()
    assert client.post("/sign-in", data={"login": "tech", "passphrase": PASSPHRASE}, follow_redirects=False).status_code == 303


def test_wrong_passphrases_of_a_place_are_counted_over_all_names_and_links():
    client = client_of(FakeRooms(1), account=None, limits=Limits(wrong_of_place=3))
    for login in ("a", "b"):
        client.post("/sign-in", data={"login": login, "passphrase": "wrong"})
    assert client.get("/welcome/guessed").status_code == 400
    assert client.post("/sign-in", data={"login": "lead", "passphrase": PASSPHRASE}).status_code == 429
    assert client.get("/welcome/link-of-lead").status_code == 429


def test_a_place_that_asks_without_end_is_told_to_wait():
    client = client_of(FakeRooms(1), limits=Limits(requests_a_minute=3))
    assert [client.get("/mark.svg").status_code for _ in range(4)] == [200, 200, 200, 429]


# One-time links


def test_a_one_time_link_sets_a_passphrase_and_signs_in():
    people = FakePeople()
    client = client_of(FakeRooms(1), account=None, people=people)
    page = client.get("/welcome/link-of-tech")
    assert faults(page.text) == []
    assert "Welcome, Tobiah Marsh" in text_of(page.text)
    answer = client.post("/welcome/link-of-tech", data={"passphrase": "x" * 12, "again": "x" * 12}, follow_redirects=False)
    assert answer.headers["location"] == "/"
    assert people.said == [("passphrase", "tech", "x" * 12)]
    assert "Tobiah Marsh, technician" in text_of(client.get("/").text)


@pytest.mark.parametrize(
    ("first", "again", "words"),
    [("x" * 11, "x" * 11, "this one has 11"), ("x" * 12, "y" * 12, "not the same"), ("x" * 1001, "x" * 1001, "this one has 1,001")],
)
def test_a_passphrase_that_is_short_or_typed_differently_is_told(first, again, words):
    people = FakePeople()
    answer = client_of(FakeRooms(1), account=None, people=people).post("/welcome/link-of-tech", data={"passphrase": first, "again": again})
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert first not in answer.text
    assert faults(answer.text) == []
    assert people.said == []


def test_a_link_that_opens_nothing_says_what_to_do():
    answer = client_of(FakeRooms(1), account=None).get("/welcome/long-gone")
    assert answer.status_code == 400
    assert "ask a supervisor" in text_of(answer.text).lower()


# An owner


def test_an_owner_sees_their_own_sites_and_nothing_else():
    office = FakeRooms(30)
    own = [n for n in range(30) if SITES[n % len(SITES)] == "Ferry hall"]
    client = client_of(office, account=SITES_OWNER)
    for path in ("/", "/dues", "/dues?all=1", "/dues?site=Fuel+depot"):
        shown = client.get(path).text
        assert not [site for site in SITES if site != "Ferry hall" and f"{site}, " in shown], path
    assert f"/units/{uid_of(own[0])}" in client.get("/dues?all=1").text
    for number in range(10):
        assert client.get(f"/units/{uid_of(number)}").status_code == (200 if number in own else 404)


def test_an_authority_reads_every_site():
    client = client_of(FakeRooms(5), account=INSPECTOR)
    for number in range(5):
        assert client.get(f"/units/{uid_of(number)}").status_code == 200


# The pages of people


@pytest.fixture
def people():
    return FakePeople()


@pytest.fixture
def lead(people):
    return client_of(FakeRooms(1), account=LEAD, people=people)


def test_the_pages_of_people_are_whole(lead):
    for path in ("/people", "/people/lead", "/people/owner"):
        page = lead.get(path)
        assert page.status_code == 200
        assert faults(page.text) == []
    assert lead.get("/people/nobody").status_code == 404
    assert "has not set a passphrase yet" in text_of(lead.get("/people").text)


def test_letting_somebody_in_shows_the_link_once(lead, people):
    said = {"name": "  Wilf   Carrow ", "login": "wilf", "role": "technician", "site": "Ferry hall"}
    answer = lead.post("/people", data=said)
    assert faults(answer.text) == []
    assert f"{HERE}/welcome/link-of-new" in text_of(answer.text)
    assert people.said == [("add", Wanted(name="Wilf Carrow", login="wilf", role="technician"))]
    assert "link-of-new" not in lead.get("/people").text


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"name": ""}, "A name is missing"),
        ({"name": "x" * 201}, "very long"),
        ({"login": " "}, "name to sign in with is missing"),
        ({"role": "king"}, "Choose a role"),
        ({"role": "owner"}, "at least one site"),
        ({"login": "tech"}, "taken"),
    ],
)
def test_what_is_wrong_with_a_person_is_told_beside_what_was_typed(lead, people, changed, words):
    answer = lead.post("/people", data={"name": "Wilf <b>", "login": "wilf", "role": "bench"} | changed)
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert "<b>" not in answer.text.replace("<b>Please", "").replace("<b>Pressurised", "")
    assert people.said == []


def test_an_owner_is_let_in_for_sites(lead, people):
    lead.post("/people", data={"name": "Osa", "login": "osa", "role": "owner", "site": ["Ferry hall", "Airfield ramp"]})
    assert people.said == [("add", Wanted(name="Osa", login="osa", role="owner", sites=("Ferry hall", "Airfield ramp")))]


def test_a_person_is_changed_linked_and_ended(lead, people):
    lead.post("/people/tech/change", data={"name": "Tobiah Marsh", "login": "tobiah", "role": "bench"})
    assert "link-of-tech" in lead.post("/people/tech/link").text
    lead.post("/people/tech/end")
    assert people.said == [("change", "tech", Wanted(name="Tobiah Marsh", login="tobiah", role="bench")), ("end", "tech")]
    last = lead.post("/people/lead/end")
    assert last.status_code == 400
    assert "last supervisor" in text_of(last.text)


def test_erasing_asks_whether_one_is_sure(lead, people):
    assert lead.post("/people/tech/erase").status_code == 400
    assert people.said == []
    lead.post("/people/tech/erase", data={"sure": "yes"})
    assert people.said == [("erase", "tech")]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"name": ""}, "has a name"),
        ({"scope": "everything"}, "at least one thing"),
        ({"days": "0"}, "1 to 366"),
        ({"days": "367"}, "1 to 366"),
    ],
)
def test_a_key_that_is_not_right_is_told(lead, people, changed, words):
    answer = lead.post("/people/tech/key", data={"name": "tablet", "scope": "door", "days": "30"} | changed)
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert people.said == []


def test_a_key_is_shown_once_and_can_be_ended(lead, people):
    answer = lead.post("/people/tech/key", data={"name": "tablet", "scope": ["door", "read"], "days": "366"})
    assert "a-key-shown-once" in text_of(answer.text)
    assert "a-key-shown-once" not in lead.get("/people/tech").text
    lead.post("/people/tech/key-end", data={"key": "k1"})
    assert people.said == [("key", "tech", "tablet", ("door", "read"), 366), ("key-end", "tech", "k1")]
