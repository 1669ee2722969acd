"""A whole day without a signal, in a real browser: nothing that was touched is lost, and all of it arrives once."""

from __future__ import annotations

import random
import threading

import pytest
from hands import closed_sheets, field_of, inspect, kill_browser, records, send, take_along, units_on_phone, wait_until_sent, waiting

UNITS = 40  # a day's work
SEEDS = 3  # so many ways for the server to die in `make test`; the others in `make soak`


def check_once_each(served, before, uids):
    fresh = [unit for unit, uid in records(served, "inspected") if (unit, uid) not in before]
    assert sorted(fresh) == sorted(uids), "every unit has its one inspection on the server"
    sheets = closed_sheets(served)
    assert len(sheets) == len(set(sheets)), "no sheet is closed twice"


def without_a_signal(context, served):
    """The page of a phone that was just started, from its own store."""
    context.set_offline(True)
    page = context.new_page()
    page.goto(field_of(served))
    page.wait_for_selector("h1")
    return page


def offline_day(served, phone, folder, count):
    """A day in three parts; at the end of each the browser is killed, and the server with it."""
    parts = (count // 3, 2 * count // 3, count)
    with phone() as context:
        page = context.new_page()
        take_along(page, served)
        before = set(records(served, "inspected"))
    served.kill()
    done = 0
    for part in parts:
        with phone() as context:
            page = without_a_signal(context, served)
            assert (f"{done} waiting" if done else "nothing waits") in waiting(page), "what was touched outlives the browser"
            uids = units_on_phone(page)[:count]
            assert len(uids) == count
            for uid in uids[done:part]:
                inspect(page, uid)
            assert f"{part} waiting" in waiting(page)
            done = part
            closed = context.expect_event("close")
            with closed:
                kill_browser(folder)
    with phone() as context:
        page = without_a_signal(context, served)
        assert f"{count} waiting" in waiting(page)
        served.start()
        context.set_offline(False)
        send(page)
        wait_until_sent(page)
        assert page.locator("#refused").text_content() == "0 not taken"
    check_once_each(served, before, uids)


def test_forty_units_worked_without_a_signal_arrive_once_each(served, phone, tmp_path):
    offline_day(served, phone, tmp_path / "phone", UNITS)


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


@pytest.mark.parametrize("seed", [pytest.param(seed, marks=[pytest.mark.soak] if seed > SEEDS else []) for seed in range(1, 51)])
def test_a_server_that_dies_while_receiving_loses_nothing_and_doubles_nothing(served, phone, seed):
    killed_while_receiving(served, phone, seed=seed)
