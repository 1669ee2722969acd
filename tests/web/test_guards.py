"""Who may ask, and how much may be sent."""

from __future__ import annotations

import asyncio

import pytest
from fake_office import LIST, client_of
from fake_people import FakePeople
from fake_rooms import FakeRooms
from page_checks import faults, text_of
from starlette.datastructures import Headers

from pinseal.web.guards import refusal_of
from pinseal.web.site import build_site

HERE = "127.0.0.1:8000"


def refused(method="GET", hosts=(), **headers):
    return refusal_of(method, Headers({name.replace("_", "-"): value for name, value in headers.items()}), hosts)


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:8000", "localhost", "[::1]:8000", "192.0.2.7"])
def test_addresses_and_localhost_are_answered(host):
    assert refused(host=host) is None


@pytest.mark.parametrize("host", ["shop.example:8000", "127.0.0.1.example", "localhost.example", "[", "", "[::1", "a b"])
def test_a_strange_name_is_not_answered(host):
    assert "does not belong to the shop" in refused(host=host).what


def test_a_name_that_was_given_is_answered():
    assert refused(host="office.example:8000", hosts=["office.example"]) is None


@pytest.mark.parametrize(
    "headers",
    [
        {"sec_fetch_site": "same-origin"},
        {"sec_fetch_site": "none"},
        {"origin": "http://127.0.0.1:8000"},
        {"sec_fetch_site": "same-origin", "origin": "null"},
    ],
)
def test_a_form_of_our_own_page_is_taken(headers):
    assert refused("POST", host=HERE, **headers) is None


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"sec_fetch_site": "cross-site"},
        {"sec_fetch_site": "same-site", "origin": "http://127.0.0.1:8000"},
        {"origin": "http://evil.example"},
        {"origin": "http://127.0.0.1:8001"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:8000.evil.example"},
    ],
)
@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE"])
def test_a_form_from_elsewhere_is_refused(method, headers):
    assert "not sent from a page of this program" in refused(method, host=HERE, **headers).what


def test_a_form_from_elsewhere_gets_a_page_and_reads_nothing(office):
    client = client_of(office)
    answer = client.post("/import", files={"list": ("list.csv", LIST)}, headers={"sec-fetch-site": "cross-site"})
    assert answer.status_code == 403
    assert faults(answer.text) == []
    assert answer.headers["content-security-policy"]
    assert office.read_count == 0


def test_a_strange_host_gets_a_page(client):
    answer = client.get("/", headers={"host": "evil.example"})
    assert answer.status_code == 403
    assert "Open the address that the program printed when it started." in answer.text
    assert "Gullhaven Extinguisher Works" in answer.text


@pytest.mark.parametrize("size", [20_000, 100_000])
def test_a_list_that_is_too_large_is_refused_in_words(size):
    office = FakeRooms(1)
    answer = client_of(office, upload_bytes_max=10_000).post("/import", files={"list": ("list.csv", b"x" * size)})
    assert answer.status_code == 413
    assert "The file is too large for this page" in text_of(answer.text)
    assert "A page takes 0.01 MB at most." in text_of(answer.text)
    assert faults(answer.text) == []
    assert office.read_count == 0


def test_a_list_just_under_the_limit_is_taken():
    answer = client_of(FakeRooms(1), upload_bytes_max=10_000).post("/import", files={"list": ("list.csv", b"x" * 9_000)})
    assert "Row by row" in answer.text


def test_a_body_without_end_is_cut_off():
    received, answered = 0, []

    async def receive():
        nonlocal received
        received += 1_000
        assert received < 200_000, "the body is read on without end"
        head = b'--b\r\nContent-Disposition: form-data; name="list"; filename="a.csv"\r\n\r\n' if received == 1_000 else b""
        return {"type": "http.request", "body": head + b"x" * 1_000, "more_body": True}

    async def send(message):
        answered.append(message)

    headers = [
        (b"host", HERE.encode()),
        (b"cookie", b"pinseal=key-of-lead"),
        (b"sec-fetch-site", b"same-origin"),
        (b"content-type", b"multipart/form-data; boundary=b"),
    ]
    scope = {"type": "http", "method": "POST", "path": "/import", "query_string": b"", "headers": headers, "http_version": "1.1"}
    asyncio.run(build_site(FakeRooms(1), upload_bytes_max=10_000, people=FakePeople())(scope, receive, send))
    assert answered[0]["status"] == 413


def test_a_form_with_too_many_fields_is_a_plain_page(client):
    answer = client.post("/import", data={f"field-{n}": "x" for n in range(50)}, files={"list": ("a.csv", LIST)})
    assert answer.status_code == 400
    assert faults(answer.text) == []


def test_a_broken_form_is_a_plain_page(client):
    answer = client.post("/import", content=b"--b\r\nnonsense", headers={"content-type": "multipart/form-data; boundary=b"})
    assert answer.status_code == 400
    assert faults(answer.text) == []


def test_a_page_that_takes_no_form_says_so(client):
    answer = client.post("/dues")
    assert answer.status_code == 405
    assert "This page takes no form" in answer.text
