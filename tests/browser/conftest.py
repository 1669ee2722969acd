"""Chromium from the system, a shop that is served, a phone that keeps its store when it is closed, and a desk in the office."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
]
FAKE_CAMERA = ["--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream"]
HERE = Path(__file__).parent
_START_S = 60

sys.path[:0] = [str(HERE)]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = [item for item in items if item.path.is_relative_to(HERE)]
    for item in here:
        item.add_marker(pytest.mark.browser)
        if CHROMIUM is None and os.environ.get("PINSEAL_BROWSER") != "required":
            item.add_marker(
                pytest.mark.skip(reason="NO BROWSER: Chromium is not installed, so the pages are NOT tested (apt-get install chromium)")
            )


@dataclass
class Served:
    """A shop under an address; its server can be killed and started again on the same port."""

    shop: Path
    port: int
    mark: str = ""
    script: str = "field_server.py"
    said: str = ""
    role: str = ""
    process: subprocess.Popen[str] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        more = [self.mark, self.role] if self.role else [self.mark] if self.mark else []
        command = [sys.executable, str(HERE / self.script), str(self.shop), str(self.port), *more]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        until = time.monotonic() + _START_S
        while not (said := self.process.stdout.readline()).startswith("ready"):
            assert self.process.poll() is None and time.monotonic() < until, "the server did not start"
        self.said = said

    def kill(self) -> None:
        """At once, as when the power goes."""
        if self.process:
            self.process.kill()
            self.process.wait()
            assert self.process.stdout is not None
            self.process.stdout.close()
            self.process = None


@pytest.fixture(scope="session")
def demo_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented shop, made once; tests take copies."""
    from field_server import DayApp

    path = tmp_path_factory.mktemp("demo") / "tolberhaven.pinseal"
    DayApp().demo(path, on=None)
    return path


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def copied(shop: Path, folder: Path) -> Path:
    copy = folder / shop.name
    shutil.copy(shop, copy)
    if Path(f"{shop}.files").exists():
        shutil.copytree(f"{shop}.files", f"{copy}.files")
    return copy


@pytest.fixture
def served(demo_shop: Path, tmp_path: Path) -> Iterator[Served]:
    found = Served(shop=copied(demo_shop, tmp_path), port=free_port())
    found.start()
    yield found
    found.kill()


@pytest.fixture(scope="session")
def play() -> Iterator[object]:
    """Playwright, once for all: a second one in the same process is refused."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        yield play


@pytest.fixture
def phone(play, tmp_path: Path) -> Callable[..., object]:
    """Opens a phone whose store lives on in a folder: `with phone() as context`. Its camera shows `film`, where there is one."""

    @contextmanager
    def opened(name: str = "phone", *, film: Path | None = None, **more: object) -> Iterator[object]:
        settings = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True, "args": ARGUMENTS} | more
        if film:
            settings |= {"args": [*ARGUMENTS, *FAKE_CAMERA, f"--use-file-for-fake-video-capture={film}"], "permissions": ["camera"]}
        context = play.chromium.launch_persistent_context(str(tmp_path / name), executable_path=CHROMIUM, headless=True, **settings)
        context.set_default_timeout(15_000)
        killed: list[str] = []
        context.on("close", lambda _: killed.append(name))  # a test may have ended the browser itself
        yield context
        if not killed:
            context.close()

    return opened


@pytest.fixture(scope="session")
def browser(play) -> Iterator[object]:
    """One Chromium for every page of the office."""
    browser = play.chromium.launch(executable_path=CHROMIUM, headless=True, args=ARGUMENTS)
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def office_of(browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[Path], object]]:
    """Opens the office of a copy of a shop, with a supervisor who has come in by the one-time link."""
    from office_desk import Desk

    opened: list[tuple[object, Served]] = []

    def desk(shop: Path) -> Desk:
        served = Served(shop=copied(shop, tmp_path_factory.mktemp("office")), port=free_port(), script="office_server.py")
        served.start()
        context = browser.new_context(viewport={"width": 1280, "height": 900}, base_url=served.address)
        context.set_default_timeout(15_000)
        opened.append((context, served))
        return Desk(context, served)

    yield desk
    for context, served in opened:
        context.close()
        served.kill()


@pytest.fixture(scope="session")
def office(office_of, demo_shop: Path) -> object:
    """The desk in the office of the invented shop."""
    return office_of(demo_shop)
