"""The main job with keys alone, in a browser: find a unit, begin its sheet at the office page, work it to the end, finish it."""

from __future__ import annotations

import sqlite3
from contextlib import closing

from office_looking import axe_faults

UNIT, _SKIP = "SH-012", "To the content"
TYPED = {"Gross weight": "8.75", "The unit's gauge": "195", "Temperature of the shell": "70"}
_FOCUSED = """() => {
  const it = document.activeElement;
  const words = it.labels?.length ? it.labels[0].innerText : it.getAttribute("aria-label") || it.innerText || "";
  const box = it.getClientRects()[0];
  const seen = box && [.2, .5, .8].some((part) => {
    const top = document.elementFromPoint(box.left + box.width * part, box.top + box.height / 2);
    return top && (it.contains(top) || top.contains(it));
  });
  return [words.trim().split("\\n")[0].trim(), Boolean(seen)];
}"""


def tab_to(page, wanted: str) -> None:
    """Press Tab until a control begins with these words; every control on the way is seen, not hidden by what stays on top."""
    met = []
    for _ in range(200):
        page.keyboard.press("Tab")
        words, seen = page.evaluate(_FOCUSED)
        met.append(words)
        assert wanted == _SKIP or words != _SKIP, f"{wanted} is not reached on {page.url}; {met}"
        assert seen, f"{words} has the focus and cannot be seen at {page.url}"
        if words.startswith(wanted):
            return
    raise AssertionError(f"{wanted} is not reached; {met}")


def enter(page, wanted: str) -> None:
    tab_to(page, wanted)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def to_content(page) -> None:
    tab_to(page, _SKIP)
    page.keyboard.press("Enter")


def answer(page) -> str:
    """Answer what the page asks, and say what that was. The list that is looked at, a step with its readings, or the end."""
    heading = page.locator("h1").inner_text()
    to_content(page)
    for label in page.locator(".want > label").all_inner_texts():
        name = label.strip()
        tab_to(page, name)
        page.keyboard.type(TYPED[name])
    enter(page, page.locator(".hands button").first.inner_text().split("\n")[0])
    return heading


def test_a_sheet_is_begun_worked_and_finished_with_keys_alone(office):
    page = office.page
    page.set_viewport_size({"width": 1280, "height": 640})  # low, so that what is reached must be scrolled to
    page.goto("/")
    tab_to(page, _SKIP)
    tab_to(page, "Find a unit")
    page.keyboard.type(UNIT)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    to_content(page)
    enter(page, UNIT)
    to_content(page)
    enter(page, "Open the job sheet")
    to_content(page)
    tab_to(page, "inspection")
    page.keyboard.press("Space")  # off: this sheet is for the yearly work
    tab_to(page, "maintenance")
    page.keyboard.press("Space")
    enter(page, "Begin")
    asked = []
    while "/work" in page.url and len(asked) < 30:
        asked.append(answer(page))
        assert not page.locator(".troubles").count(), page.locator(".troubles").all_inner_texts()
        assert not axe_faults(page), asked[-1]
    assert asked[0] == "Look at each of these"
    assert "Weigh it" in asked
    assert asked[-1] == "Nothing stands open"
    sheet = page.url.split("/sheets/")[1][:36]
    with closing(sqlite3.connect(office.served.shop)) as db:
        made = [kind for (kind,) in db.execute("select kind from records where fields like ?", [f"%{sheet}%"])]
    assert {"maintained", "measured", "marked"} <= set(made)


def test_what_is_typed_wrong_is_told_and_reached_by_the_first_link(office):
    page = office.page
    page.set_viewport_size({"width": 1280, "height": 640})
    page.goto("/dues?on=someday")
    to_content(page)
    page.keyboard.press("Tab")
    while page.evaluate("() => !document.activeElement.closest('.troubles')"):
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.closest('form')?.action.includes('/dues')"), "the link leads into the form"
