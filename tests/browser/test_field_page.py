"""The field page under the fingers: undo, what the shop does not take, an update of the page, keys alone, a narrow screen, axe."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hands import SITE, field_of, go, inspect, records, rows, send, take_along, units_on_phone, wait_until_sent, waiting

PICTURE = Path(__file__).parent.parent.parent / "src" / "pinseal" / "web" / "static" / "field" / "icon-192.png"
AXE = Path(__file__).parent / "vendor" / "axe.min.js"


OVER = """() => {
  const some = [...document.querySelectorAll("main > :not(.hands)")].filter((each) => each.offsetHeight);
  const seen = (each) => [each, ...each.querySelectorAll("*")].filter((one) => one.offsetHeight > 2 && one.checkVisibility());
  const foot = (each) => Math.max(...seen(each).map((one) => one.getBoundingClientRect().bottom));
  const over = (each, at) => at > 0 && each.getBoundingClientRect().top < foot(some[at - 1]) - 1;
  return some.filter(over).map((each) => each.outerHTML.slice(0, 90));
}"""
WIDE = """() => [...document.querySelectorAll("main *")].filter((each) => each.getBoundingClientRect().right > innerWidth + 1)
  .map((each) => each.outerHTML.slice(0, 90))"""


@pytest.fixture
def page(served, phone):
    with phone() as context:
        opened = context.new_page()
        opened.wrong = []
        opened.on("pageerror", lambda error: opened.wrong.append(str(error)))
        opened.on("console", lambda said: opened.wrong.append(said.text) if "Content Security Policy" in said.text else None)
        take_along(opened, served)
        yield opened
        assert not opened.wrong, "no script failed, and the policy stopped nothing"


def test_the_last_touch_is_taken_back(page):
    uid = units_on_phone(page)[0]
    go(page, f"job/{uid}/inspection")
    page.get_by_role("button", name="All as it should be").click()
    page.get_by_role("button", name="Undo the last touch").click()
    page.get_by_role("button", name="All as it should be").wait_for()
    assert page.locator("main").get_by_text("0 of").count() == 1


def test_what_is_found_wrong_becomes_a_deficiency_at_the_shop(page, served):
    uid = units_on_phone(page)[0]
    go(page, f"job/{uid}/inspection/way-is-clear")
    page.get_by_role("button", name="Something is in the way").click()
    page.get_by_role("button", name="All as it should be").click()
    page.get_by_role("button", name="Done", exact=True).click()
    page.get_by_text("Access blocked").first.wait_for()
    page.get_by_role("button", name="Finish this unit").click()
    page.wait_for_function(f"() => !location.hash.includes('{uid}')")
    send(page)
    wait_until_sent(page)
    assert uid in [unit for unit, _ in records(served, "found-deficient")]


def test_a_gauge_is_judged_on_the_phone_at_the_temperature_entered(page):
    uid = page.evaluate(
        """() => new Promise((resolve) => {
          indexedDB.open("pinseal-field").onsuccess = (event) => {
            const work = event.target.result.transaction(["units", "meta"]);
            work.objectStore("meta").get("day").onsuccess = (day) => {
              work.objectStore("units").getAll().onsuccess = (found) => {
                event.target.result.close();
                const { compares } = day.target.result.value;
                const has = (each) => compares[each.sheets.maintenance.compare]?.["gauge-reading"]?.table?.length && each.agent === "abc";
                resolve(found.target.result.find(has).uid);
              };
            };
          };
        })"""
    )
    go(page, f"job/{uid}/maintenance/gauge-reading")
    page.get_by_label("Temperature of the shell").fill("70")
    gauge = page.get_by_label("The unit's gauge")
    gauge.click()
    for key in "120":
        page.locator(".pad").get_by_role("button", name=key, exact=True).click()
    assert gauge.input_value() == "120"
    assert "A full unit shows 195 psi today" in page.locator("main").inner_text()
    assert page.locator(".verdict").inner_text().strip() == "fail"
    warm = page.get_by_label("Temperature of the shell")
    warm.click()
    page.locator(".pad").get_by_role("button", name="Minus").click()
    assert warm.input_value() == "-70", "a temperature may be below zero, and there the phone does not judge"
    assert "the shop judges it" in page.locator(".verdict").inner_text()
    page.locator(".pad").get_by_role("button", name="Minus").click()
    gauge.fill("195")
    assert page.locator(".verdict").inner_text().strip() == "pass"


def test_what_the_shop_does_not_take_stays_and_says_why(page, served):
    uid = units_on_phone(page)[0]
    page.evaluate(
        """(unit) => new Promise((resolve) => {
          indexedDB.open("pinseal-field").onsuccess = (event) => {
            const work = event.target.result.transaction("drafts", "readwrite");
            const draft = { uid: "01890000-0000-7000-8000-00000000abcd", kind: "noted", unit, done: "2026-11-24",
              fields: { wrong: "no such field" }, person: "", state: "waiting" };
            work.objectStore("drafts").put(draft);
            work.oncomplete = () => { event.target.result.close(); resolve(); };
          };
        })""",
        uid,
    )
    send(page)
    page.wait_for_function("() => document.querySelector('#refused')?.textContent === '1 not taken'")
    assert "no such field" in page.locator("main").inner_text()
    assert "1 not taken" in waiting(page)


def test_an_update_of_the_page_keeps_unsent_work(page, served):
    uid = units_on_phone(page)[0]
    page.context.set_offline(True)
    inspect(page, uid)
    served.kill()
    served.mark = "newer"
    served.start()
    old = page.locator("script[type=module]").get_attribute("src")
    page.context.set_offline(False)
    # Sending is held back, so that only the update is looked at.
    page.context.route("**/api/door", lambda route: route.abort())
    page.goto("about:blank")
    page.goto(field_of(served))
    page.wait_for_function("(old) => document.querySelector('script[type=module]').getAttribute('src') !== old", arg=old)
    page.get_by_role("button", name="Use it now").click()
    page.wait_for_function("() => !document.querySelector('#update')")
    page.wait_for_selector("h1")
    assert "1 waiting" in waiting(page)
    page.context.unroute("**/api/door")
    send(page)
    wait_until_sent(page)
    assert uid in [unit for unit, _ in records(served, "inspected")]


def test_a_unit_is_inspected_with_keys_alone(page):
    uid = units_on_phone(page)[0]
    go(page, f"job/{uid}/inspection")
    page.get_by_role("button", name="All as it should be").wait_for()
    for wanted in ("All as it should be", "Done: finish this unit"):
        page.wait_for_function("(name) => [...document.querySelectorAll('button')].some((each) => each.textContent === name)", arg=wanted)
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.evaluate("() => document.activeElement.textContent") == wanted:
                break
        assert page.evaluate("() => document.activeElement.textContent") == wanted, "it is reached by tabbing"
        page.keyboard.press("Enter")
    page.wait_for_function(f"() => !location.hash.includes('{uid}')")
    assert "1 waiting" in waiting(page) or "nothing waits" in waiting(page)


def test_a_walk_a_photo_and_a_hand_over_reach_the_shop(page, served):
    first, second, third, fourth = units_on_phone(page)[:4]
    page.context.set_offline(True)
    go(page, f"job/{first}/inspection")
    page.get_by_role("button", name="Moved").click()
    page.get_by_label("Where does it hang now?").fill("Room 210")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_role("button", name="Moved", pressed=True).wait_for()
    go(page, f"job/{second}/inspection")
    page.get_by_role("button", name="Missing").click()
    page.get_by_role("button", name="Missing", pressed=True).wait_for()
    go(page, f"job/{third}/inspection")
    page.get_by_role("button", name="Found").click()
    page.get_by_role("button", name="Found", pressed=True).wait_for()
    go(page, "walk")
    page.get_by_role("button", name="Not listed").click()
    page.get_by_label("Kind").select_option("abc")
    page.get_by_label("Size", exact=True).fill("5")
    page.get_by_label("Year made").fill("soon")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_text("The year made is a year").wait_for()
    page.get_by_label("Year made").fill("2014")
    page.get_by_label("What else can be seen").fill("red, no number")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_text("1 not listed before").wait_for()
    said = page.locator("#reconciled").inner_text()
    assert said == "53 listed, 2 found, 1 moved: it hangs in Room 210, 1 missing, 1 not listed before, 50 not looked for yet."
    go(page, f"job/{fourth}/inspection/way-is-clear")
    page.locator("#photo").set_input_files(PICTURE)
    page.get_by_text("kept on this phone").wait_for()
    inspect(page, fourth)
    go(page, "hand")
    page.get_by_label("Name of the customer").fill("A. Quay (invented)")
    box = page.locator("canvas.sign").bounding_box()
    page.mouse.move(box["x"] + 30, box["y"] + 40)
    page.mouse.down()
    page.mouse.move(box["x"] + 130, box["y"] + 60)
    page.mouse.up()
    page.get_by_role("button", name="Keep the hand-over").click()
    page.get_by_text("Handed over to A. Quay (invented).").first.wait_for()
    page.context.set_offline(False)
    send(page)
    wait_until_sent(page)
    assert page.locator("#refused").text_content() == "0 not taken"
    assert first in [unit for unit, _ in records(served, "moved")]
    assert second in [unit for unit, _ in records(served, "not-done")]
    noted = [json.loads(fields) for unit, fields in rows(served, "select unit, fields from records where kind = 'noted'") if unit == fourth]
    held = [each["file"] for each in noted if "file" in each]
    assert len(held) == 2, "the photo and the signature"
    assert any(each.get("note", "").startswith("Handed over to A. Quay (invented)") for each in noted)
    assert {each["handed-to"] for each in noted if "handed-to" in each} == {"A. Quay (invented)"}
    assert all((served.shop.parent / f"{served.shop.name}.files" / name).exists() for name in held)
    said_of = [json.loads(fields) for (fields,) in rows(served, "select fields from records where kind = 'registered'")]
    unlisted = next(each for each in said_of if each.get("note") == "red, no number")
    assert (unlisted["site"], unlisted["agent"], unlisted["size"], unlisted["manufactured"]) == (SITE, "abc", "5 lb", "2014")


def test_a_unit_is_found_by_half_known_words(page):
    go(page, "walk")
    everything = page.locator(".row-unit").count()
    page.get_by_label("Find a unit").fill("wheeled avionics")
    page.wait_for_function("(all) => document.querySelectorAll('.row-unit').length < all", arg=everything)
    rows_ = page.locator(".row-unit").all_inner_texts()
    assert rows_ and all("wheeled" in each and "Avionics" in each for each in rows_)
    page.get_by_label("Find a unit").fill("nothing like that")
    page.get_by_text("No unit fits these words.").wait_for()


def test_a_phone_that_is_nearly_full_is_said_early_and_on_every_screen(page):
    page.evaluate("() => { navigator.storage.estimate = async () => ({ quota: 100e6, usage: 88e6 }); }")
    for path in ("day", "walk", f"job/{units_on_phone(page)[0]}/inspection"):
        page.evaluate("(path) => { location.hash = `#/${path}`; }", path)
        page.locator(f'main[data-shown="#/{path}"]').wait_for()
        assert "only 12 MB left" in waiting(page)
    assert page.locator("#state.wrong").count() == 1


def test_a_mark_that_was_a_slip_is_taken_back(page, served):
    first, second = units_on_phone(page)[:2]
    page.context.set_offline(True)
    go(page, f"job/{first}/inspection")
    page.get_by_role("button", name="Missing").click()
    page.get_by_role("button", name="Missing", pressed=True).click()
    page.get_by_role("button", name="Missing", pressed=False).wait_for()
    assert "nothing waits" in waiting(page), "what has not left the phone is gone"
    page.context.set_offline(False)
    go(page, f"job/{second}/inspection")
    page.get_by_role("button", name="Missing").click()
    go(page, "send")
    wait_until_sent(page)
    go(page, f"job/{second}/inspection")
    page.get_by_role("button", name="Found", exact=True).click()
    page.get_by_role("button", name="Found", pressed=True).wait_for()
    send(page)
    wait_until_sent(page)
    missing = [uid for unit, uid in records(served, "not-done") if unit == second]
    voided = [json.loads(fields)["corrects"] for (fields,) in rows(served, "select fields from records where kind = 'corrected'")]
    assert len(missing) == 1 and missing[0] in voided, "what the shop has is voided by a correction"
    assert first not in [unit for unit, _ in records(served, "not-done")]


@pytest.mark.parametrize("width", [320, 390])
def test_nothing_is_wider_than_a_narrow_screen_and_what_is_pressed_is_big(page, width):
    page.set_viewport_size({"width": width, "height": 640})
    uid = units_on_phone(page)[0]
    for path in (
        "day",
        "walk",
        f"job/{uid}/inspection",
        f"job/{uid}/maintenance",
        f"job/{uid}/inspection/way-is-clear",
        "hand",
        "send",
        "scan",
        "unlisted",
    ):
        go(page, path)
        assert page.evaluate("() => document.documentElement.scrollWidth") <= width, path
        # What sticks to the foot lies over the rest by intent; nothing else lies over anything, and nothing runs out at the right.
        assert not page.evaluate(OVER), path
        assert not page.evaluate(WIDE), path
        heights = page.evaluate("() => [...document.querySelectorAll('main button')].map((b) => [b.textContent, b.offsetHeight])")
        low = [each for each in heights if 0 < each[1] < 52]
        assert not low, f"{path}: {low}"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_any_screen(page, scheme):
    assert AXE.is_file(), "axe-core belongs to these tests: put it back into tests/browser/vendor"
    page.emulate_media(color_scheme=scheme)
    uid = units_on_phone(page)[0]
    for path in (
        "day",
        "walk",
        f"job/{uid}/inspection",
        f"job/{uid}/maintenance/gauge-reading",
        f"job/{uid}/inspection/way-is-clear",
        "hand",
        "send",
        "scan",
        "unlisted",
    ):
        go(page, path)
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("async () => (await axe.run()).violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(' ')}`)")
        assert not found, f"{path}: {found}"
