"""The people of the register with their papers: how each paper stands, what that means for work and marks, by which rule, for whom."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from fake_office import TODAY, uid_of
from fake_people import EVERYBODY, INSPECTOR, LEAD, SITES_OWNER, TECH
from fake_rooms import FakeRooms, rooms_client
from page_checks import faults, text_of

from pinseal.dates import PartialDate
from pinseal.records.registers import Paper, Person, Withdrawn
from pinseal.rules.papers import SOON_DAYS, latest_of_kinds, paper_state


def paper(until: date | None, *, name: str = "licence", number: str = "L-1", **more) -> Paper:
    return Paper(record=number, paper=name, number=number, until=until, **more)


def days(count: int) -> date:
    return TODAY + timedelta(days=count)


@pytest.mark.parametrize(
    ("held", "state"),
    [
        (paper(None), "in date"),
        (paper(days(SOON_DAYS + 1)), "in date"),
        (paper(days(SOON_DAYS)), "ends soon"),
        (paper(days(0)), "ends soon"),
        (paper(days(-1)), "out of date"),
        (paper(days(400), from_day=days(1)), "not yet"),
        (paper(days(400), from_day=days(0)), "in date"),
        (paper(days(400), ended=Withdrawn(since=PartialDate.of(days(0)), reason="left")), "ended"),
        (paper(days(400), ended=Withdrawn(since=PartialDate.of(days(1)), reason="left")), "in date"),
    ],
)
def test_a_paper_stands_by_its_own_dates(held: Paper, state: str) -> None:
    assert paper_state(held, TODAY) == state


def test_of_each_kind_the_paper_that_counts_longest_is_shown() -> None:
    gone, now, next_one = paper(days(-9), number="1"), paper(days(90), number="2"), paper(days(900), number="3", from_day=days(50))
    school = paper(days(-400), name="training", number="4")
    assert [each.number for each in latest_of_kinds((gone, now, next_one, school), TODAY)] == ["2", "4"]


@pytest.fixture
def office() -> FakeRooms:
    office = FakeRooms(2)
    office.holders = [
        Person(uid=uid_of(1), name="Ada Quill", role="technician", papers=(paper(days(300)), paper(days(-70), number="L-0"))),
        Person(uid=uid_of(2), name="Bo Tarn", role="bench", papers=(paper(days(12), number="L-2", issued_by="the office"),)),
        Person(uid=uid_of(3), name="Cy Marl", role="helper"),
        Person(uid=uid_of(4), name="Dee <b>Vane</b>", role="technician", papers=(paper(days(-3), number="L-4"),)),
    ]
    return office


def test_the_page_says_how_each_stands_and_by_which_rule(office: FakeRooms) -> None:
    page = rooms_client(office).get("/papers").text
    assert faults(page) == []
    rows = [text_of(part) for part in page.split("<tr>")[2:]]
    assert [row.split(" ")[0] for row in rows] == ["Cy", "Dee", "Bo", "Ada"]
    none, lapsed, soon, good = rows
    assert "No licence of Cy Marl is on record" in none and "none on record" in none
    assert "not in date" in lapsed and "out of date" in lapsed and "L-4" in lapsed and "common practice, no source" in lapsed
    assert "in order, but ends soon" in soon and "ends soon" in soon and "6 Dec 2026" in soon and "the office" in soon
    assert "in order" in good and "1 earlier paper" in good and "L-0" in good
    assert "<b>Vane</b>" not in page


def test_staff_see_it_and_owners_and_authorities_do_not(office: FakeRooms) -> None:
    for account in EVERYBODY:
        client = rooms_client(office, account)
        allowed = account.role in ("technician", "bench", "supervisor")
        answer = client.get("/papers")
        assert (answer.status_code == 200) is allowed, account.role
        assert ("L-2" in answer.text) is allowed, account.role
    for account, shown in ((TECH, True), (LEAD, True), (SITES_OWNER, False), (INSPECTOR, False)):
        assert ('href="/papers"' in rooms_client(office, account).get("/").text) is shown, account.role


def test_only_a_supervisor_is_led_to_who_may_come_in(office: FakeRooms) -> None:
    assert "another list" in rooms_client(office, LEAD).get("/papers").text
    assert "another list" not in rooms_client(office, TECH).get("/papers").text


def test_an_empty_register_says_how_it_is_filled() -> None:
    assert "pinseal people add" in rooms_client(FakeRooms(1)).get("/papers").text
