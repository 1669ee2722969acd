"""People over a real shop: the first start, passphrases, keys, an owner's view, erasing; and the rights of every room."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.cli.conftest import NOW, Command, FixedApp

from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ALONE, ShopPeople, digest_of
from pinseal.app.rooms import rooms
from pinseal.app.serving import qr_of, say_ready
from pinseal.app.shares import ShopShares
from pinseal.reasons import Refusal
from pinseal.web.account import AUTHORITY, ROLES, Account
from pinseal.web.people_doors import Wanted
from pinseal.web.rights import ASKS_ITSELF, PUBLIC, RIGHTS
from pinseal.web.site import build_site
from pinseal.web.trust import TrustPages

WORDS = "five words <make> a passphrase"
LATER = NOW + timedelta(days=14)


class MovedApp(FixedApp):
    """The app with a clock that a test sets."""

    moment = NOW

    def now(self):
        return self.moment


@pytest.fixture
def app() -> MovedApp:
    return MovedApp()


@pytest.fixture
def people(app: MovedApp, shop: Path) -> ShopPeople:
    return ShopPeople(app, shop)


@pytest.fixture
def lead(people: ShopPeople) -> str:
    """The session of the first supervisor."""
    first = people.first_key()
    assert first
    return people.set_passphrase(first[1], WORDS)


def browser(app: MovedApp, shop: Path, people: ShopPeople) -> TestClient:
    site = build_site(ShopRooms(app, shop), people=people, more=rooms(app, ShopRooms(app, shop)))
    return TestClient(site, base_url="http://127.0.0.1:8000", headers={"sec-fetch-site": "same-origin"})


def test_every_route_of_every_room_has_a_row_of_rights(app, shop, people):
    for route in build_site(ShopRooms(app, shop), people=people, more=rooms(app, ShopRooms(app, shop))).routes:
        assert route.name in RIGHTS or route.name in PUBLIC | ASKS_ITSELF, (route.name, getattr(route, "path", ""))


class RolePeople(ShopPeople):
    """Everybody's session is the name of their role."""

    def of_session(self, key):
        return Account(uid=f"a-{key}", name="Somebody", role=key, sites=("Sawmill",)) if key in ROLES else None


def test_every_route_of_every_room_opens_for_the_roles_of_its_row_alone(app, shop):
    site = build_site(
        ShopRooms(app, shop),
        people=RolePeople(app, shop),
        more=[*rooms(app, ShopRooms(app, shop)), *TrustPages(ShopRooms(app, shop), None).routes()],
        shares=ShopShares(app, shop),
    )
    wrong, asked = [], 0
    for role in (None, *ROLES):
        client = TestClient(site, base_url="http://127.0.0.1:8000", headers={"sec-fetch-site": "same-origin"}, follow_redirects=False)
        if role:
            client.cookies.set("pinseal", role)
        for route in (each for each in site.routes if each.name in RIGHTS):
            for method in route.methods - {"HEAD"}:
                status = client.request(method, re.sub(r"{[^}]*}", "none", route.path)).status_code
                asked += 1
                if role is None:
                    right = status == (303 if method == "GET" else 401)
                else:
                    refused = role not in RIGHTS[route.name] or (role == AUTHORITY and method != "GET")
                    right = status == 403 if refused else status in (200, 303, 400, 404)
                wrong += [] if right else [(role, method, route.path, status)]
    assert wrong == []
    assert asked > 6 * 30


def test_the_first_start_makes_one_supervisor_and_each_start_a_new_link_until_a_passphrase_is_set(people):
    login, first = people.first_key()
    assert login == "supervisor"
    _, second = people.first_key()
    assert people.welcomed(first) is None
    assert people.welcomed(second).role == "supervisor"
    people.set_passphrase(second, WORDS)
    assert people.first_key() is None
    assert len(people.known()) == 1


def test_a_passphrase_signs_in_and_nothing_else_does(people, lead):
    assert people.of_session(people.sign_in("Supervisor", WORDS)).name == "Supervisor"
    for login, passphrase in (("supervisor", WORDS.upper()), ("supervisor", ""), ("nobody", WORDS), ("", "")):
        assert people.sign_in(login, passphrase) is None
    uid, _ = people.add(Wanted(name="Tobiah", login="tobiah", role="technician"))
    assert people.sign_in("tobiah", "") is None, uid


def test_the_shop_keeps_no_passphrase_and_no_key(people, lead, shop):
    uid = people.known()[0].account.uid
    key, link = people.give_key(uid, "tablet", ["door"], 30), people.link(uid)
    content = b"".join(path.read_bytes() for path in shop.parent.glob(f"{shop.name}*") if path.is_file())
    for secret in (WORDS, lead, key, link):
        assert secret.encode() not in content
    assert digest_of(key).encode() in content


@pytest.mark.parametrize(("seconds", "holds"), [(-1, True), (0, False), (1, False)])
def test_a_session_ends_after_fourteen_days(app, people, lead, seconds, holds):
    assert people.of_session(lead)
    app.moment = LATER + timedelta(seconds=seconds)
    assert (people.of_session(lead) is not None) is holds
    assert (ShopPeople(app, people.path).of_session(lead) is not None) is holds


@pytest.mark.parametrize(("seconds", "holds"), [(-1, True), (0, False)])
def test_a_link_ends_after_seven_days(app, people, seconds, holds):
    _, key = people.first_key()
    app.moment = NOW + timedelta(days=7, seconds=seconds)
    assert (people.welcomed(key) is not None) is holds


def test_signing_out_and_ending_count_at_once_in_every_process(app, people, lead, shop):
    elsewhere = ShopPeople(app, shop)
    uid, link = people.add(Wanted(name="Tobiah", login="tobiah", role="technician"))
    tech = people.set_passphrase(link, WORDS)
    assert people.of_session(tech)
    assert elsewhere.of_session(tech)
    elsewhere.end(uid)
    assert people.of_session(tech) is None
    people.sign_out(lead)
    assert people.of_session(lead) is None
    assert elsewhere.of_session(lead) is None


def test_a_key_opens_what_it_says_until_it_ends(app, people, lead):
    uid = people.known()[0].account.uid
    key = people.give_key(uid, "tablet", ["door", "everything"], 30)
    account, scopes = people.account_of(key)
    assert (account.uid, scopes) == (uid, {"door"})
    people.end_key(uid, people.known()[0].keys[0].uid)
    assert people.account_of(key) is None
    assert people.account_of(people.link(uid)) is None, "a one-time link is no key"
    assert people.account_of(lead) is None, "a session is no key"
    late = people.give_key(uid, "tablet", ["read"], 1)
    app.moment = NOW + timedelta(days=1)
    assert people.account_of(late) is None


def test_a_key_is_no_session_and_no_link(people, lead):
    key = people.give_key(people.known()[0].account.uid, "tablet", ["read"], 30)
    assert people.of_session(key) is None
    assert people.welcomed(key) is None


def test_an_owner_sees_their_site_alone_in_every_page(app, shop, people, lead, pinseal: Command):
    made = pinseal("record", "registered", "Q-1", "--on", "2026-01-02", "--site", "Quarry", "--agent", "abc")
    assert made.code == 0, made.err
    office = ShopRooms(app, shop)
    every = {state.site: state.uid for state in office.due_list(office.about().today).states}
    assert len(every) > 1
    _, link = people.add(Wanted(name="Osa", login="osa", role="owner", sites=("Quarry",)))
    client = browser(app, shop, people)
    client.cookies.set("pinseal", people.set_passphrase(link, WORDS))
    for site, uid in every.items():
        assert client.get(f"/units/{uid}").status_code == (200 if site == "Quarry" else 404), site
    others = [site for site in every if site and site != "Quarry"]
    for path in ("/", "/dues", "/dues?all=1", "/sites", "/search?q=T-1", "/deficiencies", "/loaners"):
        page = client.get(path)
        assert not [site for site in others if site in page.text], path


def test_erasing_empties_the_account_and_veils_the_name(app, shop, people, lead, pinseal: Command):
    uid, _ = people.add(Wanted(name="Wilf Carrow", login="wilf", role="technician"))
    pinseal("record", "maintained", "T-1", "--on", "2026-11-20", "--person", "wilf  carrow")
    unit = pinseal("history", "T-1", "--json").json["unit"]["uid"]
    assert people.erase(uid) == "erased person 1"
    office = ShopRooms(app, shop)
    assert office.history(unit)[-1].person == "erased person 1"
    assert pinseal("history", "T-1", "--json").json["records"][-1]["person"] == "erased person 1"
    assert [known.login for known in people.known()] == ["supervisor"]
    assert pinseal("verify").code == 0
    with pytest.raises(Refusal, match="no such account"):
        people.erase(uid)


def test_the_commands_give_a_link_and_erase(people, lead, pinseal: Command):
    people.add(Wanted(name="Wilf Carrow", login="wilf", role="technician"))
    said = pinseal("people", "link", "WILF")
    assert said.code == 0, said.err
    key = re.search(r"/welcome/([\w-]+)", said.out)[1]
    assert people.welcomed(key).name == "Wilf Carrow"
    assert pinseal("people", "link", "nobody").code == 2
    assert pinseal("people", "erase", "Supervisor", "--yes").code == 2
    assert "Accounts emptied: 1" in pinseal("people", "erase", "wilf carrow", "--yes").out
    assert people.welcomed(key) is None
    pinseal("people", "add", "Old Hand", "--role", "technician")
    assert "Accounts emptied: 0" in pinseal("people", "erase", "Old Hand", "--yes").out
    shown = pinseal("people", "--json").out
    assert "Old Hand" not in shown
    assert "erased person 2" in shown


@pytest.mark.parametrize(
    "wanted",
    [
        Wanted(name="A", login="a", role="king"),
        Wanted(name=" ", login="a", role="bench"),
        Wanted(name="A", login="", role="bench"),
        Wanted(name="A", login="a", role="owner"),
    ],
)
def test_what_is_no_account_is_refused(people, lead, wanted):
    with pytest.raises(Refusal):
        people.add(wanted)
    assert len(people.known()) == 1


def test_the_terminal_says_where_how_and_who(capsys):
    say_ready("http://127.0.0.1:8000", host="127.0.0.1", first=("supervisor", "k" * 32))
    said = capsys.readouterr().out
    assert f"http://127.0.0.1:8000/welcome/{'k' * 32}" in said
    assert "█" not in said
    say_ready("http://192.0.2.7:8000", host="192.0.2.7", first=None)
    said = capsys.readouterr().out
    assert qr_of("http://192.0.2.7:8000") in said
    assert "welcome" not in said


def test_the_invented_shop_is_signed_in_by_itself_and_a_real_one_is_not(app, shop):
    assert ShopPeople(app, shop).by_itself() is None
    assert ShopPeople(app, shop, alone=ALONE).by_itself() == ALONE


# Links for an authority


@pytest.fixture
def shares(app, shop):
    return ShopShares(app, shop)


def records_of_t1(pinseal):
    return pinseal("history", "T-1", "--json").json


def test_a_link_shows_its_record_until_it_ends(app, shares, pinseal: Command):
    found = records_of_t1(pinseal)
    unit, record = found["unit"]["uid"], found["records"][-1]["uid"]
    key = shares.share(unit, name="fire office", record=record, day=None, days=30, by=ALONE)
    shown = shares.shared(key)
    assert [proof.record.uid for proof in shown.proofs] == [record]
    assert [proof.problems for proof in shown.proofs] == [()]
    assert (shown.proofs[0].position, shown.proofs[0].length) == (len(found["records"]), len(found["records"]))
    app.moment = NOW + timedelta(days=30)
    assert shares.shared(key) is None
    app.moment = NOW
    shares.end_share("another unit", shares.shares(unit)[0].uid)
    assert shares.shared(key)
    shares.end_share(unit, shares.shares(unit)[0].uid)
    assert shares.shared(key) is None


def test_no_link_shows_what_an_owner_was_quoted(shares, pinseal: Command):
    def write(kind: str, **fields: str) -> str:
        said = [part for name, value in fields.items() for part in (f"--{name.replace('_', '-')}", value)]
        assert pinseal("record", kind, "T-1", "--on", "2026-11-03", *said).code == 0
        return records_of_t1(pinseal)["records"][-1]["uid"]

    found = write("found-deficient", finding="hose", words="cracked", action="mend")
    priced = write("deficiency-quoted", deficiency=found, price_minor="18450", currency="EUR")
    unit, on = records_of_t1(pinseal)["unit"]["uid"], date(2026, 11, 3)
    with pytest.raises(Refusal, match="nothing to show"):
        shares.share(unit, name="fire office", record=priced, day=None, days=30, by=ALONE)
    shown = shares.shared(shares.share(unit, name="fire office", record=None, day=on, days=30, by=ALONE))
    assert [proof.record.kind for proof in shown.proofs] == ["found-deficient"]


def test_a_link_for_a_day_shows_all_of_that_day(shares, pinseal: Command):
    found = records_of_t1(pinseal)
    done = found["records"][0]["done"]
    key = shares.share(found["unit"]["uid"], name="x", record=None, day=date.fromisoformat(done), days=1, by=ALONE)
    assert {proof.record.uid for proof in shares.shared(key).proofs} == {r["uid"] for r in found["records"] if r["done"] == done}


def test_a_link_to_nothing_is_not_made_and_no_other_key_is_one(shares, people, lead, pinseal: Command):
    unit = records_of_t1(pinseal)["unit"]["uid"]
    for record, day in (("another", None), (None, date(1999, 1, 1))):
        with pytest.raises(Refusal, match="nothing to show"):
            shares.share(unit, name="x", record=record, day=day, days=1, by=ALONE)
    uid = people.known()[0].account.uid
    for key in (people.link(uid), people.give_key(uid, "tablet", ["read"], 1), lead, ""):
        assert shares.shared(key) is None


def test_a_share_is_no_key_and_no_link(shares, people, lead, pinseal: Command):
    found = records_of_t1(pinseal)
    account = people.known()[0].account
    key = shares.share(found["unit"]["uid"], name="x", record=found["records"][0]["uid"], day=None, days=1, by=account)
    assert people.account_of(key) is None
    assert people.welcomed(key) is None
    assert people.known()[0].keys == ()
