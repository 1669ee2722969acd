"""The pages by which a phone comes to trust the shop, and the plain port that holds nothing else."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from fake_office import client_of
from fake_rooms import FakeRooms
from page_checks import faults, text_of
from starlette.testclient import TestClient

from pinseal.web.guards import HEADERS, TRYING_HEADERS
from pinseal.web.site import static_files
from pinseal.web.trust import Trusted, TrustPages, build_trust_site

TRUSTED = Trusted(
    root_der=b"der bytes",
    fingerprint="AB:CD",
    until=datetime(2027, 11, 24, tzinfo=UTC),
    names=("127.0.0.1", "192.0.2.7"),
    address="https://192.0.2.7:8000",
)


def plain_port():
    site = build_trust_site(FakeRooms(1), TRUSTED, hosts=(), static=static_files())
    return TestClient(site, base_url="http://192.0.2.7:8001")


def main_site(trusted=TRUSTED):
    office = FakeRooms(1)
    return client_of(office, account=None, more=TrustPages(office, trusted).routes())


@pytest.mark.parametrize("client", [plain_port, main_site], ids=["plain port", "pages"])
def test_a_stranger_reads_how_to_trust_the_shop_and_how_to_undo_it(client):
    page = client().get("/trust")
    assert page.status_code == 200
    said = text_of(page.text)
    for words in ("AB:CD", "24 Nov 2027", "127.0.0.1, 192.0.2.7", "Android", "iPhone", "How to take it away again"):
        assert words in said
    assert faults(page.text) == ["link away: https://192.0.2.7:8000/trust/check"]
    assert page.headers["content-security-policy"] == HEADERS["content-security-policy"]


def test_the_root_is_handed_out_as_a_certificate():
    answer = plain_port().get("/trust/root.crt")
    assert answer.content == b"der bytes"
    assert answer.headers["content-type"] == "application/x-x509-ca-cert"


def test_without_tls_the_page_says_what_to_do_and_there_is_no_root():
    client = main_site(None)
    page = client.get("/trust")
    assert faults(page.text) == []
    assert "--tls" in text_of(page.text)
    assert client.get("/trust/root.crt").status_code == 400


def test_the_check_page_may_run_its_own_script_and_no_other():
    client = main_site()
    page = client.get("/trust/check")
    assert page.headers["content-security-policy"] == TRYING_HEADERS["content-security-policy"]
    assert page.text.count("<script") == 1
    assert '<script type="module" src="/trust/check.js"></script>' in page.text
    assert [
        fault for fault in faults(page.text) if fault != "<script>" and "link away: https://192.0.2.7:8000/trust/check" not in fault
    ] == []
    for name in ("check.js", "worker.js"):
        answer = client.get(f"/trust/{name}")
        assert answer.status_code == 200
        assert answer.headers["content-type"].startswith("text/javascript")


@pytest.mark.parametrize("path", ["/", "/dues", "/people", "/sign-in", "/units/x", "/api/units", "/trust/root.key"])
def test_the_plain_port_holds_nothing_of_the_shop(path):
    answer = plain_port().get(path, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/trust")


def test_the_plain_port_answers_no_strange_name_and_takes_no_form():
    client = plain_port()
    assert client.get("/trust", headers={"host": "evil.example"}).status_code == 403
    assert client.post("/trust", data={"a": "b"}, headers={"sec-fetch-site": "same-origin"}, follow_redirects=False).status_code == 303
