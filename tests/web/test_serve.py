"""The port: taken before anything else, and what stands in the way said in words."""

from __future__ import annotations

import errno
import http.client
import threading

import pytest
from fake_people import FakePeople
from fake_rooms import FakeRooms

from pinseal.reasons import Refusal
from pinseal.web.serve import address_of, bind, told
from pinseal.web.site import build_site


def test_a_taken_port_is_said_with_what_to_do():
    with bind("127.0.0.1", 0) as first:
        port = first.getsockname()[1]
        with pytest.raises(Refusal) as caught:
            bind("127.0.0.1", port)
    assert caught.value.what == f"port {port} is taken"
    assert caught.value.got == f"127.0.0.1:{port}"
    assert "choose another port" in caught.value.do
    assert caught.value.exit_code == 2


def test_a_port_that_was_given_back_can_be_taken_again():
    with bind("127.0.0.1", 0) as first:
        port = first.getsockname()[1]
    with bind("127.0.0.1", port) as second:
        assert address_of(second) == f"http://127.0.0.1:{port}"


@pytest.mark.parametrize(
    ("host", "port", "words"),
    [
        ("127.0.0.1", 70_000, "this is not a port"),
        ("127.0.0.1", -1, "this is not a port"),
        ("no such host", 8000, "this name is not known here"),
        ("192.0.2.1", 8000, "this address is not of this machine"),
    ],
)
def test_a_place_that_cannot_be_served_is_said(host, port, words):
    with pytest.raises(Refusal, match=words):
        bind(host, port)


@pytest.mark.parametrize(
    ("number", "words"),
    [(errno.EACCES, "port 80 may not be used"), (errno.EADDRINUSE, "port 80 is taken"), (errno.ENOBUFS, "the port cannot be used")],
)
def test_what_the_system_says_is_put_in_words(number, words):
    refusal = told(OSError(number, "system words"), "127.0.0.1", 80)
    assert refusal.what == words
    assert refusal.got == "127.0.0.1:80"


def test_the_last_port_is_not_followed_by_one_that_is_none():
    assert "--port 8000" in told(OSError(errno.EADDRINUSE, ""), "127.0.0.1", 65_535).do


def test_the_pages_are_served_on_the_port_that_was_taken():
    import uvicorn

    with bind("127.0.0.1", 0) as taken:
        site = build_site(FakeRooms(1), people=FakePeople())
        server = uvicorn.Server(uvicorn.Config(site, log_level="error", lifespan="off", server_header=False))
        running = threading.Thread(target=server.run, kwargs={"sockets": [taken]})
        running.start()
        try:
            caller = http.client.HTTPConnection(*taken.getsockname()[:2], timeout=20)
            caller.request("GET", "/dues", headers={"cookie": "pinseal=key-of-lead"})
            answer = caller.getresponse()
            assert answer.status == 200
            assert b"Pressurised vessels can kill." in answer.read()
            assert answer.getheader("server") is None
            caller.close()
        finally:
            server.should_exit = True
            running.join(20)
    assert not running.is_alive()
