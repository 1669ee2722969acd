"""The page of a pressure test in a browser: figures appear while they are typed, and nothing of it is needed to be judged."""

from __future__ import annotations

import re

import pytest


@pytest.fixture
def stamped(served) -> str:
    """The address of the test of a stamped cylinder of the demo."""
    from field_server import DayApp

    with DayApp()._open(served.shop, readonly=True) as shop:
        unit = next(each for each in shop.units() if each.nameplate.cylinder_specification == "DOT-3AL1800" and not each.removed)
    return f"{served.address}/bench/test/{unit.uid}"


def test_the_percent_appears_while_it_is_typed_and_turns_at_the_limit(stamped, phone):
    with phone() as context:
        page = context.new_page()
        page.goto(stamped)
        box = page.locator("[data-live-box]")
        assert not box.is_visible(), "nothing is said before both are typed"
        page.fill("#r-total", "180")
        page.fill("#r-permanent", "18")
        assert page.locator("output[data-figure=percent]").inner_text() == "10.00 %"
        assert "Within 10 %" in box.inner_text()
        page.fill("#r-permanent", "18.000001")
        assert page.locator("output[data-figure=percent]").inner_text() == "10.000001 %"
        assert "Over 10 %" in box.inner_text()
        page.fill("#r-permanent", "181")
        assert "exchanged" in box.inner_text()
        page.fill("#r-permanent", "x")
        assert not box.is_visible()


def test_the_pressure_is_compared_in_the_unit_that_is_chosen(stamped, phone):
    with phone() as context:
        page = context.new_page()
        page.goto(stamped)
        said = page.locator("[data-least-of=pressure]")
        page.fill("#r-pressure", "2999")
        assert "too little" in said.inner_text()
        page.select_option("#u-pressure", "kPa")
        page.fill("#r-pressure", "20684.2")
        assert "too little" in said.inner_text()
        page.fill("#r-pressure", "20684.3")
        assert "enough" in said.inner_text()


def test_without_scripts_the_shop_judges_what_is_sent(stamped, phone):
    with phone(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(stamped)
        assert not page.locator("[data-live-box]").is_visible()
        for name, text in (("pressure", "3000"), ("held", "40"), ("total", "180"), ("permanent", "18.1")):
            page.fill(f"#r-{name}", text)
        page.click("button.good")
        assert "fail" in page.locator("#result").inner_text()
        assert page.locator("#result img").evaluate("image => image.naturalWidth") > 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_fits_a_narrow_phone_and_every_field_is_reached_by_keyboard(stamped, phone, scheme):
    with phone(viewport={"width": 320, "height": 640}, color_scheme=scheme) as context:
        page = context.new_page()
        page.goto(stamped)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
        page.focus("#r-pressure")
        seen = []
        for _ in range(14):
            seen.append(page.evaluate("document.activeElement.id"))
            page.keyboard.press("Tab")
        assert [each for each in seen if re.fullmatch("r-.*", each)] == ["r-pressure", "r-held", "r-total", "r-permanent", "r-rejection"]
