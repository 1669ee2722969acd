"""A whole day without a signal, in a real browser: nothing that was touched is lost, and all of it arrives once."""

from __future__ import annotations

import random
import threading

import pytest
from hands import closed_sheets, field_of, inspect, records, send, take_along, units_on_phone, wait_until_sent, waiting

UNITS = 12


def check_once_each(served, before, uids):
    fresh = [unit for unit, uid in records(served, "inspected") if (unit, uid) not in before]
    assert sorted(fresh) == sorted(uids), "every unit has its one inspection on the server"
    sheets = closed_sheets(served)
    assert len(sheets) == len(set(sheets)), "no sheet is closed twice"


def offline_day(served, phone, count):
    with phone() as context:
        page = context.new_page()
        take_along(page, served)
        before = set(records(served, "inspected"))
        context.set_offline(True)
        page.goto("about:blank")
        page.goto(field_of(served))
        page.wait_for_selector("h1")
        uids = units_on_phone(page)[:count]
        assert len(uids) == count
        for uid in uids:
            inspect(page, uid)
        assert f"{count} waiting" in waiting(page)
    served.kill()
    with phone() as context:
        context.set_offline(True)
        page = context.new_page()
        page.goto(field_of(served))
        page.wait_for_selector("h1")
        assert f"{count} waiting" in waiting(page), "what was touched is there after the browser was closed"
        served.start()
        context.set_offline(False)
        send(page)
        wait_until_sent(page)
        assert page.locator("#refused").text_content() == "0 not taken"
    check_once_each(served, before, uids)


def test_twelve_units_worked_without_a_signal_arrive_once_each(served, phone):
    offline_day(served, phone, UNITS)


@pytest.mark.soak
def test_forty_units_worked_without_a_signal_arrive_once_each(served, phone):
    offline_day(served, phone, 40)


def killed_while_receiving(served, phone, seed):
    """The server goes down at moments that the seed gives, some of them between the keeping and the answer."""
    chance = random.Random(seed)
    with phone() as context:
        page = context.new_page()
        take_along(page, served)
        before = set(records(served, "inspected"))
        context.set_offline(True)
        uids = units_on_phone(page)[:8]
        for uid in uids:
            inspect(page, uid)
        context.set_offline(False)
        for _ in range(3):
            killer = threading.Timer(chance.uniform(0.05, 2.0), served.process.kill)
            killer.start()
            send(page)
            killer.join()
            served.kill()
            served.start()
        send(page)
        wait_until_sent(page)
        assert page.locator("#refused").text_content() == "0 not taken"
    check_once_each(served, before, uids)


def test_a_server_that_dies_while_receiving_loses_nothing_and_doubles_nothing(served, phone):
    killed_while_receiving(served, phone, seed=1)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(2, 52))
def test_a_server_that_dies_at_any_moment_loses_nothing(served, phone, seed):
    killed_while_receiving(served, phone, seed=seed)
