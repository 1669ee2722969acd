"""The field page in a real browser on the large shop: the day of 600 units taken along, and the first paint from the cache."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from benchmarks.big_shop import BIG_SITE, BIG_SITE_UNITS, big_shop
from benchmarks.pages import load
from benchmarks.serving import Server, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

SLOWER, TIMES = 4, 5
_ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
_PAINT = "() => performance.getEntriesByType('paint').find((each) => each.name === 'first-contentful-paint')?.startTime ?? null"


def run() -> Iterator[str]:
    scripts = sum(len(each.read_bytes()) for each in (files("pinseal.web") / "static" / "field").iterdir() if each.name.endswith(".js"))
    yield f"script of the field page, worker included: {scripts / 1000:.0f} kB"
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        yield "Chromium is not installed: the field page is not measured"
        return
    today = datetime.now(UTC).date()
    with big_shop(today) as path, served(path) as server:
        yield f"load of the machine: {load()}"
        yield from _in_browser(server, chromium, today.isoformat())


def _in_browser(server: Server, chromium: str, today: str) -> Iterator[str]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, headless=True, args=_ARGUMENTS)
        phones = [_phone(browser, server) for _ in range(2)]
        first, again = (_take_along(phone.new_page(), server, today) for phone in phones)
        yield f"a day of {BIG_SITE_UNITS} units taken along: {first:.2f} s the first time of the process, then {again:.2f} s"
        paints = [_first_paint(phones[0], server) for _ in range(TIMES)]
        yield f"first paint from the cache, without a signal, {SLOWER} times slower: {min(paints):.0f} to {max(paints):.0f} ms"
        browser.close()


def _phone(browser: Browser, server: Server) -> BrowserContext:
    """A browser that holds nothing yet but the session."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    name, _, value = server.cookie.partition("=")
    context.add_cookies([{"name": name, "value": value, "url": server.address}])
    context.set_default_timeout(60_000)
    return context


def _take_along(page: Page, server: Server, today: str) -> float:
    """Seconds from the press of the button until the phone has checked what it holds."""
    page.goto(f"{server.address}/field")
    page.evaluate("async () => Boolean((await navigator.serviceWorker.ready).active)")
    page.get_by_label("Site").fill(BIG_SITE)
    page.get_by_label("Day").fill(today)
    start = time.perf_counter()
    page.get_by_role("button", name="Take it along").click()
    page.wait_for_selector("#reconciled")
    return time.perf_counter() - start


def _first_paint(context: BrowserContext, server: Server) -> float:
    """Milliseconds until something is seen in a page that is opened anew, without a network."""
    page: Any = context.new_page()
    context.set_offline(True)
    link = context.new_cdp_session(page)
    link.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(f"{server.address}/field")
    page.wait_for_selector("h1")
    page.wait_for_function(f"({_PAINT})() !== null")
    found = float(page.evaluate(_PAINT))
    context.set_offline(False)
    page.close()
    return found


if __name__ == "__main__":
    for line in run():
        print(line, flush=True)
