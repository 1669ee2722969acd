"""The pictures of the docs: `make pictures`. Serves the invented shop with its clock at the demo's day and takes twelve pictures.

They land in `docs/pictures/`, with a palette, so that they stay small. It needs Chromium (`apt-get install chromium`).
"""

from __future__ import annotations

import io
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

ROOT = Path(__file__).resolve().parent.parent
OUT = ROOT / "docs" / "pictures"
SERVER = ROOT / "tests" / "browser" / "office_server.py"
LIST = ROOT / "docs" / "examples" / "pier-cafe.csv"
PERSON, PASSPHRASE = "Juno Felsporr", "paint brass tag card"  # invented, and for the time of the pictures only
SITE, DAY = "Tolberhaven Airfield", "2026-11-24"
COLOURS = 128
DESKTOP, PHONE = (1280, 860), (390, 844)
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--font-render-hinting=none"]

Scheme = Literal["light", "dark"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One picture: its name, the way there, and on what it is shown."""

    name: str
    way: Callable[[Page], None]
    phone: bool = False
    scheme: Scheme = "light"
    offline: bool = False


def main() -> int:
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("Chromium is not installed (apt-get install chromium); no picture was taken.")
        return 2
    OUT.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as (address, welcome), sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, headless=True, args=ARGUMENTS)
        state = come_in(browser, address, welcome, Path(folder))
        for phone, scheme in ((False, "light"), (False, "dark"), (True, "light"), (True, "dark")):
            wanted = [each for each in PICTURES if (each.phone, each.scheme) == (phone, scheme)]
            take(browser, address, state, wanted)
        browser.close()
    held = sorted(OUT.glob("*.png"))
    print(f"{len(held)} pictures, {sum(each.stat().st_size for each in held) / 1000:,.0f} kB in {OUT.relative_to(ROOT)}")
    return 0


@contextmanager
def served(folder: Path) -> Iterator[tuple[str, str]]:
    """The invented shop under an address, and the one-time link of its supervisor."""
    shop = folder / "tolberhaven.pinseal"
    subprocess.run([sys.executable, "-m", "pinseal", "demo", "--shop", str(shop)], check=True, capture_output=True)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    server = subprocess.Popen([sys.executable, str(SERVER), str(shop), port], stdout=subprocess.PIPE, text=True)
    try:
        assert server.stdout is not None
        said = server.stdout.readline().split()
        assert said[:1] == ["ready"], "the server did not start"
        yield said[1].rstrip("/"), said[2]
    finally:
        server.terminate()
        server.wait()


def come_in(browser: Browser, address: str, welcome: str, folder: Path) -> Path:
    """Come in by the one-time link, under a name of the invented shop; where the session is kept."""
    context = browser.new_context(base_url=address)
    page = context.new_page()
    page.goto(welcome)
    page.get_by_label("Passphrase").fill(PASSPHRASE)
    page.get_by_label("The same again").fill(PASSPHRASE)
    page.get_by_role("button", name="Keep it and come in").click()
    page.goto("/people")
    page.locator("main td a").first.click()
    page.get_by_label("Name as records say it").fill(PERSON)
    page.get_by_role("button", name="Keep the change").click()
    state = folder / "session.json"
    context.storage_state(path=state)
    context.close()
    return state


def take(browser: Browser, address: str, state: Path, wanted: list[Picture]) -> None:
    """Take the pictures that are shown on one kind of screen."""
    if not wanted:
        return
    phone = wanted[0].phone
    width, height = PHONE if phone else DESKTOP
    context: BrowserContext = browser.new_context(
        base_url=address,
        storage_state=state,
        viewport={"width": width, "height": height},
        device_scale_factor=2 if phone else 1,
        is_mobile=phone,
        has_touch=phone,
        color_scheme=wanted[0].scheme,
        locale="en-US",
        timezone_id="America/New_York",
    )
    context.clock.set_fixed_time(f"{DAY}T14:00:00Z")
    context.set_default_timeout(15_000)
    page = context.new_page()
    for picture in wanted:
        picture.way(page)
        context.set_offline(picture.offline)
        page.evaluate("() => document.fonts.ready.then(() => true)")
        keep(picture.name, page.screenshot(animations="disabled", caret="hide"))
        context.set_offline(False)
        print(f"  {picture.name}", flush=True)
    context.close()


def keep(name: str, png: bytes) -> None:
    """Keep a picture with a palette: a tenth of the bytes, and nothing that an eye would miss in flat colours."""
    picture = Image.open(io.BytesIO(png)).convert("RGB").quantize(COLOURS, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
    picture.save(OUT / f"{name}.png", optimize=True)


# -- the ways


def to(path: str) -> Callable[[Page], None]:
    def way(page: Page) -> None:
        page.goto(path)

    return way


def dues_with_a_reason(page: Page) -> None:
    page.goto("/dues?state=may+be+overdue")
    page.locator(".c-why summary").nth(1).click()
    page.mouse.move(0, 0)


def find(page: Page, words: str) -> None:
    page.goto(f"/search?q={words}")
    page.locator("main td a").first.click()


def unit(words: str) -> Callable[[Page], None]:
    return lambda page: find(page, words)


def begin(page: Page, words: str) -> None:
    """Begin the sheet of a unit for its yearly work."""
    find(page, words)
    page.locator(".next-job a.button").click()
    for name in ("inspection", "maintenance"):
        page.get_by_label(name, exact=True).set_checked(name == "maintenance")
    page.get_by_role("button", name="Begin").click()


def work(page: Page) -> None:
    begin(page, "CH-001")


def read_the_gauge(page: Page) -> None:
    """The same sheet, with a gauge that shows too little in the cold."""
    begin(page, "SH-012")
    page.get_by_text("All steps of this sheet").click()
    page.get_by_role("link", name="Read gauge and temperature").click()
    page.get_by_label("The unit's gauge", exact=True).fill("150")
    page.get_by_label("Temperature of the shell", exact=True).fill("20")
    page.get_by_role("button", name="Read", exact=True).click()


def read_a_list(page: Page) -> None:
    page.goto("/import")
    page.locator("input[type=file]").set_input_files(LIST)
    page.get_by_role("button", name="Read it").click()


def field(page: Page, path: str) -> None:
    page.evaluate("(path) => { location.hash = path; }", f"#/{path}")
    page.locator(f'main[data-shown="#/{path}"]').wait_for()


def take_along(page: Page) -> None:
    """The day of a site on the phone; the worker holds the page before the signal goes."""
    page.goto("/field")
    page.get_by_label("Site").fill(SITE)
    page.get_by_label("Day").fill(DAY)
    page.get_by_role("button", name="Take it along").click()
    page.wait_for_selector("#reconciled", timeout=60_000)
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    page.context.set_offline(True)
    page.wait_for_timeout(500)  # the page draws itself anew when the signal goes


def walk(page: Page) -> None:
    """Three units inspected, one missing, without a signal."""
    take_along(page)
    uids = page.evaluate(_UNITS)
    for uid in uids[:3]:
        field(page, f"job/{uid}/inspection")
        page.get_by_role("button", name="All as it should be").click()
        page.get_by_role("button", name="finish this unit").click()
        page.wait_for_function(f"() => !location.hash.includes('{uid}')")
    field(page, f"job/{uids[3]}/inspection")
    page.get_by_role("button", name="Missing").click()
    page.get_by_role("button", name="Missing", pressed=True).wait_for()
    field(page, "walk")


def gauge_on_the_phone(page: Page) -> None:
    """A gauge that shows too little for the cold; the phone says so by itself."""
    take_along(page)
    field(page, f"job/{page.evaluate(_WITH_A_GAUGE)}/maintenance/gauge-reading")
    page.get_by_label("Temperature of the shell").fill("20")
    page.get_by_label("The unit's gauge").fill("150")


# What the phone holds, in walking order; with a sheet of inspection, or with a gauge that the phone can judge.
_HELD = """() => new Promise((resolve) => {
  indexedDB.open("pinseal-field").onsuccess = (event) => {
    const work = event.target.result.transaction(["units", "meta"]);
    work.objectStore("meta").get("day").onsuccess = (day) => {
      work.objectStore("units").getAll().onsuccess = (found) => {
        event.target.result.close();
        const { compares } = day.target.result.value;
        const units = found.target.result.sort((one, other) => one.order - other.order);
        resolve(%s);
      };
    };
  };
})"""
_UNITS = _HELD % "units.filter((each) => !each.sheets.inspection.refused && each.plate).map((each) => each.uid)"
_WITH_A_GAUGE = (
    _HELD % "units.find((each) => compares[each.sheets.maintenance.compare]?.['gauge-reading']?.table?.length && each.agent === 'abc').uid"
)

PICTURES = (
    Picture(name="today", way=to("/")),
    Picture(name="dues", way=dues_with_a_reason),
    Picture(name="unit", way=unit("117")),
    Picture(name="list", way=read_a_list),
    Picture(name="sites-dark", way=to("/sites"), scheme="dark"),
    Picture(name="months-dark", way=to("/dues/months"), scheme="dark"),
    Picture(name="gauge-dark", way=read_the_gauge, scheme="dark"),
    Picture(name="work-phone", way=work, phone=True),
    Picture(name="unit-phone", way=unit("117"), phone=True),
    Picture(name="field-walk-phone", way=walk, phone=True, offline=True),
    Picture(name="today-phone-dark", way=to("/"), phone=True, scheme="dark"),
    Picture(name="field-gauge-phone-dark", way=gauge_on_the_phone, phone=True, scheme="dark", offline=True),
)

if __name__ == "__main__":
    sys.exit(main())
