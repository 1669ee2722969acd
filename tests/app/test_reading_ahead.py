"""What the first pages need is read ahead: in order, only while nobody waits, and a failure hurts nobody."""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from starlette.responses import PlainTextResponse
from tests.cli.conftest import FixedApp

from pinseal.app.day import ShopDay
from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ALONE, ShopPeople
from pinseal.app.reading_ahead import PATHS, Step, ask, read_ahead, steps_of
from pinseal.sheets.plate import read_plate
from pinseal.web.site import build_site
from pinseal.web.traffic import Traffic


@dataclass
class FakeTraffic:
    """For how many seconds nobody has waited, each time that somebody looks; an hour once the list is at its end."""

    seen: list[float] = field(default_factory=list)

    @property
    def quiet_s(self) -> float:
        return self.seen.pop(0) if self.seen else 3_600


@pytest.fixture
def app() -> FixedApp:
    return FixedApp()


def steps(done: list[str], *names: str, wrong: str = "") -> list[Step]:
    def make(name: str) -> None:
        if name == wrong:
            raise OSError("the disk is gone")
        done.append(name)

    return [Step(name=name, make=lambda name=name: make(name)) for name in names]


def test_each_step_waits_until_nobody_waits_for_an_answer() -> None:
    done: list[str] = []
    traffic = FakeTraffic([9, 0, 0.1, 9])
    read_ahead(steps(done, "a", "b"), traffic, threading.Event())
    assert (done, traffic.seen) == (["a", "b"], [])


def test_a_request_that_hangs_does_not_put_it_off_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pinseal.app.reading_ahead._ASIDE_MAX_S", 0.06)
    done: list[str] = []
    read_ahead(steps(done, "a"), FakeTraffic([0] * 50), threading.Event())
    assert done == ["a"]


def test_it_ends_when_the_server_does() -> None:
    done, stopped = list[str](), threading.Event()
    some = [*steps(done, "a"), Step(name="stop", make=stopped.set), *steps(done, "b")]
    read_ahead(some, FakeTraffic(), stopped)
    assert done == ["a"]


def test_what_fails_is_said_in_the_log_and_raises_nothing(caplog: pytest.LogCaptureFixture) -> None:
    done: list[str] = []
    read_ahead(steps(done, "a", "b", "c", wrong="b"), FakeTraffic(), threading.Event())
    assert done == ["a"]
    (said,) = caplog.records
    assert said.levelname == "WARNING"
    assert "ended at b" in said.getMessage() and "the disk is gone" in said.getMessage()


def test_the_traffic_knows_for_how_long_nobody_has_waited() -> None:
    seen: list[float] = []

    async def site(scope, receive, send) -> None:
        seen.append(traffic.quiet_s)
        await PlainTextResponse("")(scope, receive, send)

    traffic = Traffic(site)
    assert traffic.quiet_s == math.inf
    ask(traffic, "/")
    assert seen == [0.0]
    assert 0 <= traffic.quiet_s < math.inf


def test_a_site_is_asked_within_the_process() -> None:
    async def site(scope, receive, send) -> None:
        await PlainTextResponse(scope["path"] + "?" + scope["query_string"].decode(), 207)(scope, receive, send)

    assert ask(site, "/search?q=a") == 207


def test_afterwards_the_pages_are_remembered_and_the_nameplates_are_worked_out(app, shop: Path) -> None:
    office = ShopRooms(app, shop)
    inner = build_site(office, people=ShopPeople(app, shop, alone=ALONE))
    read_plate.cache_clear()
    some = list(steps_of(office, inner, ShopDay(app, shop)))
    assert [step.name for step in some if step.name.startswith("/")] == list(PATHS)
    assert {step.make() for step in some if step.name.startswith("/")} == {200}
    assert {"books", "index", office.about().today} <= set(office._memory._followed)
    for step in some:
        step.make()
    assert read_plate.cache_info().currsize > 0
    assert office.index() is office.index()


def test_a_shop_that_is_gone_is_said_in_the_log(app, shop: Path, caplog: pytest.LogCaptureFixture) -> None:
    office = ShopRooms(app, shop.with_name("gone.pinseal"))
    inner = build_site(office, people=ShopPeople(app, office.path, alone=ALONE))
    read_ahead(steps_of(office, inner, ShopDay(app, office.path)), FakeTraffic(), threading.Event())
    assert "Reading ahead ended" in caplog.text
