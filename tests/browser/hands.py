"""What a technician's hands do on the field page, and what the shop's file says afterwards."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

SITE, DAY = "Tolberhaven Airfield", "2026-11-24"
_UNITS = """() => new Promise((resolve) => {
  indexedDB.open("pinseal-field").onsuccess = (event) => {
    event.target.result.transaction("units").objectStore("units").getAll().onsuccess = (found) => {
      const rows = found.target.result.sort((one, other) => one.order - other.order);
      event.target.result.close();
      resolve(rows.filter((each) => !each.sheets.inspection.refused && each.plate).map((each) => each.uid));
    };
  };
})"""


def kill_browser(folder: Path) -> None:
    """End the browser that has this folder as its store, at once, as when a phone falls into the water."""
    wanted, found = f"--user-data-dir={folder}".encode(), []
    for process in Path("/proc").iterdir():
        with suppress(OSError):
            if process.name.isdecimal() and wanted in (process / "cmdline").read_bytes().split(b"\0"):
                found.append(int(process.name))
    assert found, "the browser runs"
    for each in found:
        with suppress(ProcessLookupError):
            os.kill(each, signal.SIGKILL)


def field_of(served):
    return f"{served.address}/field"


def go(page, path):
    """To a screen, by its address; it is there when this returns."""
    page.goto(f"{page.url.split('#')[0]}#/{path}")
    page.locator(f'main[data-shown="#/{path}"]').wait_for()


def take_along(page, served, site=SITE):
    page.goto(field_of(served))
    page.get_by_label("Site").fill(site)
    page.get_by_label("Day").fill(DAY)
    page.get_by_role("button", name="Take it along").click()
    page.wait_for_selector("#reconciled", timeout=60_000)
    # The worker must hold the page before the signal goes.
    assert page.evaluate("async () => Boolean((await navigator.serviceWorker.ready).active)")


def units_on_phone(page):
    """The uids of the units, in walking order, that have an inspection sheet."""
    return page.evaluate(_UNITS)


def inspect(page, uid):
    """Three touches: choose the unit, confirm what was looked at, finish."""
    go(page, f"job/{uid}/inspection")
    page.get_by_role("button", name="All as it should be").click()
    page.get_by_role("button", name="finish this unit", exact=False).click()
    page.wait_for_function(f"() => !location.hash.includes('{uid}')")


def waiting(page):
    return page.locator("#state").text_content()


def wait_until_sent(page):
    page.wait_for_function("() => document.querySelector('#waits')?.textContent === '0 waiting'", timeout=90_000)


def send(page):
    go(page, "send")
    page.get_by_role("button", name="Send now").click()


def rows(served, sql, *said):
    with closing(sqlite3.connect(served.shop)) as db:
        return db.execute(sql, said).fetchall()


def records(served, kind):
    return rows(served, "select unit, uid from records where kind = ?", kind)


def closed_sheets(served):
    return [sheet for sheet, entry in rows(served, "select sheet, entry from sheet_entries") if "closed" in json.loads(entry)]
