"""An owner on a phone: from a unit's code to the monthly inspection, and nothing that is a technician's."""

from __future__ import annotations

import json

import pytest
from hands import SITE, go, records, rows, send, units_on_phone, wait_until_sent, waiting


@pytest.fixture
def owner(served):
    served.kill()
    served.role = "owner"
    served.start()
    return served


def units_of(served, wanted):
    """Units that were registered at the owner's site, or at other sites alone."""
    said = rows(served, "select unit, fields from records where kind = 'registered' order by unit")
    theirs = {uid for uid, fields in said if json.loads(fields).get("site") == SITE}
    return [uid for uid in dict.fromkeys(uid for uid, _ in said) if (uid in theirs) is wanted]


def test_a_units_code_leads_an_owner_to_the_inspection_and_it_reaches_the_shop(owner, phone):
    uid = units_of(owner, True)[0]
    with phone() as context:
        page = context.new_page()
        page.goto(f"{owner.address}/u/{uid}")
        page.wait_for_function("(uid) => location.hash === `#/job/${uid}/inspection`", arg=uid, timeout=60_000)
        page.get_by_role("button", name="All as it should be").wait_for()
        assert page.evaluate("async () => Boolean((await navigator.serviceWorker.ready).active)")
        context.set_offline(True)
        page.get_by_role("button", name="All as it should be").click()
        page.get_by_role("button", name="finish this unit", exact=False).click()
        page.wait_for_function(f"() => !location.hash.includes('{uid}')")
        assert "1 waiting" in waiting(page)
        context.set_offline(False)
        send(page)
        wait_until_sent(page)
        assert page.locator("#refused").text_content() == "0 not taken"
    assert uid in [unit for unit, _ in records(owner, "inspected")]


def test_an_owner_sees_their_site_alone_and_no_work_of_a_technician(owner, phone):
    with phone() as context:
        page = context.new_page()
        page.goto(f"{owner.address}/u/{units_of(owner, True)[0]}")
        page.get_by_role("button", name="All as it should be").wait_for(timeout=60_000)
        held = units_on_phone(page)
        assert held and set(held) <= set(units_of(owner, True))
        assert page.get_by_role("link", name="Yearly maintenance").count() == 0
        assert page.get_by_role("button", name="Moved").count() == 0
        assert page.locator("#tabs a").all_inner_texts() == ["Day", "Walk", "Send"]
        go(page, f"job/{held[0]}/inspection/no-damage-seen")
        page.get_by_role("button", name="Damage, rust or a leak is seen").click()
        page.get_by_role("button", name="All as it should be").click()
        page.get_by_role("button", name="Done", exact=True).click()
        page.get_by_role("button", name="Finish this unit").wait_for()
        assert page.get_by_text("Put right now").count() == 0, "a repair is the shop's"
        assert page.get_by_text("Take it away").count() == 0
        go(page, "walk")
        assert page.get_by_role("button", name="Not listed").count() == 0
        answer = page.goto(f"{owner.address}/u/{units_of(owner, False)[0]}")
        assert answer.status == 404
