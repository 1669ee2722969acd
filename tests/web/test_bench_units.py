"""A unit on the bench at a glance, and the queue: what is proved and what waits is told by the sheet's own gates."""

from __future__ import annotations

import re

import pytest
from bench_rooms import PLAIN, STAMPED, BenchRooms
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER
from fake_rooms import rooms_client
from page_checks import faults, text_of
from record_makers import Writer
from starlette.testclient import TestClient


@pytest.fixture
def office() -> BenchRooms:
    return BenchRooms()


@pytest.fixture
def client(office: BenchRooms) -> TestClient:
    return rooms_client(office)


def begun(client: TestClient, unit: str, *works: str) -> str:
    return str(client.post(f"/units/{unit}/sheet", data={"work": list(works)}).url.path).removesuffix("/work")


def glance(client: TestClient, unit: str = PLAIN) -> str:
    page = client.get(f"/bench/unit/{unit}")
    assert page.status_code == 200
    assert faults(page.text) == []
    return text_of(page.text)


def tick(client: TestClient, part: str, have: str = "yes", **more: str):
    expect = re.search(r'name="expect" value="(\d+)"', client.get(f"/bench/unit/{PLAIN}").text)
    return client.post(f"/bench/unit/{PLAIN}/part", data={"part": part, "have": have, "expect": expect[1] if expect else "1"} | more)


# -- at a glance


def test_without_a_sheet_the_unit_counts_as_charged(client: TestClient) -> None:
    words = glance(client)
    assert "No sheet is open for this unit. So nothing says what was done to it today, and it counts as charged." in words
    assert "Begin a sheet" in words


def test_a_new_sheet_is_not_proved_empty_and_every_later_stage_says_what_it_waits_for(client: TestClient) -> None:
    begun(client, PLAIN, "internal-examination")
    words = glance(client)
    assert "Not proved empty of pressure" in words
    assert "boundary closed" in words
    assert re.search(r"open At the place 0 of \d+", words), "the first stage stands open"
    assert re.search(r"(shut|waits) Opening 0 of \d+", words)
    assert "done" not in words[words.index("Stages") : words.index("Parts")].split("Filling")[0]


def test_the_glance_follows_the_sheet_step_by_step(client: TestClient) -> None:
    from test_bench_tests import walked

    here = begun(client, STAMPED, "hydrostatic-test")
    assert "Not proved empty" in glance(client, STAMPED)
    walked(client, here, "test-jacket")
    words = glance(client, STAMPED)
    assert "Proved empty of pressure" in words
    assert "boundary open agent out" in words
    assert "done Emptying" in words
    assert "Next: Water jacket test" in words
    page = client.get(f"/bench/unit/{STAMPED}").text
    assert f'href="{here}/work?step=test-jacket"' in page
    assert f'href="/bench/test/{STAMPED}"' in page


def test_a_stage_that_is_shut_names_step_and_gate_once_and_later_ones_say_what_they_come_after(client: TestClient) -> None:
    begun(client, PLAIN, "internal-examination")
    words = glance(client)
    assert "is shut: not proved empty of pressure: nobody has seen anything leave" in words
    assert "Valve on is shut: the same as at Opening." in words
    assert "waits Charging" in words
    assert words.count("open At the place") == 1
    assert "open Charging" not in words, "nothing of the charge is called open while the unit is not even proved empty"


# -- parts


def test_a_part_is_ticked_and_taken_back_and_the_sheet_keeps_it(client: TestClient, office: BenchRooms) -> None:
    begun(client, PLAIN, "internal-examination")
    assert re.search(r"O-ring not laid out", glance(client))
    ticked = tick(client, "O-ring")
    assert ticked.status_code == 200
    assert "O-ring lies ready" in text_of(ticked.text)
    entry = next(iter(office.kept.values()))[1][-1]
    assert (entry.kind, entry.subject, entry.said, entry.person) == ("laid-out", "O-ring", {"have": "yes"}, "Ida Quill")
    assert "O-ring not laid out" in text_of(tick(client, "O-ring", "no").text)


@pytest.mark.parametrize(
    ("part", "have", "words"),
    [
        ("<b>gold</b>", "yes", "no step and no finding of this sheet speaks of such a part"),
        ("O-ring", "maybe", "have is yes or no"),
        ("", "yes", "no part was named"),
        ("O-ring", "", "it is not said whether it lies ready"),
    ],
)
def test_a_tick_that_says_nothing_is_refused_and_changes_nothing(
    client: TestClient, office: BenchRooms, part: str, have: str, words: str
) -> None:
    begun(client, PLAIN, "internal-examination")
    page = tick(client, part, have)
    assert page.status_code == 400
    assert faults(page.text) == []
    assert words.casefold() in text_of(page.text).casefold()
    assert next(iter(office.kept.values()))[1] == []


def test_a_tick_of_an_old_page_is_refused(client: TestClient) -> None:
    begun(client, PLAIN, "internal-examination")
    tick(client, "O-ring")
    assert "the sheet has moved on" in text_of(tick(client, "O-ring", "no", expect="1").text).casefold()


def test_a_tick_says_nothing_of_the_unit(client: TestClient) -> None:
    begun(client, PLAIN, "internal-examination")
    before = glance(client)
    tick(client, "O-ring")
    after = glance(client)
    assert before[: before.index("Stages")] == after[: after.index("Stages")]


# -- the queue


def away(office: BenchRooms, number: int, back_by: str | None, loaner: str) -> None:
    said = {"taken-to": "bench", "loaner": loaner} | ({"back-by": back_by} if back_by else {})
    writer = Writer("away", first=98_000 + 10 * number)
    office.lives[uid_of(number)].append(writer.write("taken-away", "2026-11-10", unit=uid_of(number), **said))


def test_the_queue_stands_by_lateness_then_bare_places_then_days(client: TestClient, office: BenchRooms) -> None:
    away(office, 5, "2026-11-20", uid_of(6))  # late, with a loaner
    away(office, 7, "2026-11-22", "none")  # late too, and bare
    away(office, 9, "2026-12-20", uid_of(6))
    away(office, 10, None, "none")
    begun(client, STAMPED, "hydrostatic-test")
    page = client.get("/bench").text
    assert faults(page) == []
    order = re.findall(r'<tr>\s*<td.*?/units/[0-9a-f-]+"><b>([^<]+)</b>', page, re.DOTALL)
    assert order == ["W-008", "006", "001", "010", "011", "002"]
    words = text_of(page)
    assert "2 places have no loaner on record" in words
    assert "nothing stands in: the place is bare" in words


def to_lay_out(words: str) -> list[str]:
    return [each.strip() for each in words[words.index("Parts to lay out:") + 17 : words.index("Back by")].split(",")]


def test_the_queue_tells_minutes_and_parts_that_do_not_lie_ready(client: TestClient) -> None:
    begun(client, PLAIN, "internal-examination")
    words = text_of(client.get("/bench").text)
    assert re.search(r"The open sheets have about \d+ min of work left\.", words)
    assert "O-ring" in to_lay_out(words)
    tick(client, "O-ring")
    words = text_of(client.get("/bench").text)
    assert "O-ring" not in to_lay_out(words)
    assert "stem O-ring" in to_lay_out(words)
    assert "not proved empty of pressure" in words


# -- who may


def test_an_inspector_looks_and_ticks_nothing_and_an_owner_is_kept_out(client: TestClient, office: BenchRooms) -> None:
    begun(client, PLAIN, "internal-examination")
    looking = rooms_client(office, INSPECTOR)
    page = looking.get(f"/bench/unit/{PLAIN}")
    assert page.status_code == 200
    assert "It lies ready" not in page.text
    assert "/work?step=" not in page.text
    assert looking.post(f"/bench/unit/{PLAIN}/part", data={"part": "O-ring", "have": "yes"}).status_code == 403
    assert rooms_client(office, SITES_OWNER).get(f"/bench/unit/{PLAIN}").status_code == 403
    assert client.get("/bench/unit/gone").status_code == 404
    assert client.post(f"/bench/unit/{STAMPED}/part", data={"part": "O-ring", "have": "yes"}).status_code == 404
