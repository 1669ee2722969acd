"""What the pages remember is kept up with what is written, and is always the same as if it were made from nothing."""

from __future__ import annotations

import threading
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from pinseal.app import App
from pinseal.app.office_pages import ShopRooms
from pinseal.dates import PartialDate, parse_date
from pinseal.demo.models import MODELS
from pinseal.records.record import Draft, Record, uuid7
from pinseal.service.duelist import DueList
from pinseal.store import Settings, Shop
from pinseal.web import listing
from pinseal.web.asked import Asked
from pinseal.web.office_standing import standing

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
TODAY, PAST = NOW.date(), date(2025, 11, 30)
SITES = ("Mill", "Pier", "Quay")
PEOPLE = ("A. Penhallow", "B. Tide", "C. Marl")
FINDINGS = ("seal-missing", "bracket-loose")
WORDS = ("mill", "w-1", "boiler", "2014", "tag", "co2", "kitchne", "7000", "floor 3", "pier 12", "zzzz")
MODELS_HELD = sorted({model.name for model in MODELS.values()})
LIST = f"""
[[withdrawal]]
title = "Invented valve, lot 7"
source = "invented, for a test"
published = "2026-02-28"
reason = "recall"
action = "take it out of use"
checked = "practice"
model = ["{MODELS_HELD[0]}", "{MODELS_HELD[3]}"]
made_from = 2014-01-01
"""


class FixedApp(App):
    moment = NOW

    def now(self) -> datetime:
        return self.moment


def uid(number: int) -> str:
    return uuid7(at=NOW - timedelta(days=400), randomness=number.to_bytes(8, "big"), sequence=number % 4096)


def first_sight(rng: Random, number: int) -> dict[str, str]:
    model = rng.choice(tuple(MODELS.values()))
    plate = {name: text for name, text in model.nameplate.items() if rng.random() < 0.9}
    made = rng.choice(("2014", "2009-05", "2019", "2021-03-04"))
    where = {"site": rng.choice(SITES), "place": f"Floor {number % 5}, {rng.choice(('boiler room', 'kitchen'))}"}
    return {"id": f"W-{number}", "serial": f"7{number:05d}", "manufactured": made, **where, **plate}


class Writer:
    """Random records, written as any other process would write them: the shop is opened anew each time."""

    def __init__(self, shop: Path, seed: int, units: int) -> None:
        self.shop, self.rng, self.units = shop, Random(seed), units
        self.made: list[Record] = []
        self.write([self.draft("registered", number, **first_sight(self.rng, number)) for number in range(units)])

    def draft(self, kind: str, number: int, *, day: date | None = None, **said: str) -> Draft:
        done = PartialDate.of(day or TODAY - timedelta(days=self.rng.randrange(1, 900)))
        if day is None and self.rng.random() < 0.1:
            done = parse_date(f"{done.earliest.year}-{done.earliest.month:02d}")
        texts = {name.replace("_", "-"): text for name, text in said.items()}
        return Draft(kind=kind, unit=uid(number), person=self.rng.choice(PEOPLE), done=done, fields=texts)

    def write(self, drafts: list[Draft]) -> None:
        with Shop.open(self.shop) as shop:
            self.made += shop.write(drafts, writer="device-01", received=NOW)

    def some(self) -> list[Draft]:
        """One to four records of any kind; now and then a unit that is new, or a correction."""
        return [self.one() for _ in range(self.rng.randrange(1, 5))]

    def one(self) -> Draft:
        rng, number = self.rng, self.rng.randrange(self.units)
        chance = rng.randrange(13)
        if chance == 0:
            self.units += 1
            return self.draft("registered", rng.choice((self.units - 1, 5_000 + self.units)), **first_sight(rng, self.units))
        if chance == 1:
            right = rng.choice(self.made)
            more = {"void": "yes"} if rng.random() < 0.5 else {"to-done": "2025-06-01"}
            return Draft(
                kind="corrected", unit=right.unit, person="B. Tide", done=PartialDate.of(TODAY), fields={"corrects": right.uid, **more}
            )
        made = {
            2: ("moved", {"site": rng.choice(SITES), "place": f"Floor {rng.randrange(9)}"}),
            3: ("removed", {"reason": "sold"}),
            4: ("returned", {}),
            5: ("found-deficient", {"finding": rng.choice(FINDINGS), "action": "repair"}),
            6: ("remedied", {"finding": rng.choice(FINDINGS), "how": "put right"}),
            7: ("taken-away", {"taken_to": "bench", "loaner": uid(rng.randrange(self.units)), "back_by": "2026-06-01"}),
            8: ("brought-back", {}),
            9: ("recalled", {"list": "Invented valve, lot 7"}),
            10: ("retagged", {"id": f"W-{rng.randrange(900)}", "tag": f"tag{rng.randrange(50)}"}),
            11: ("tested", {"result": rng.choice(("pass", "fail")), "method": "water-jacket"}),
            12: ("maintained", {"tag": f"26-{rng.randrange(90)}"}),
        }[chance]
        return self.draft(made[0], number, **made[1])


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    path = tmp_path / "shop.pinseal"
    settings = Settings(packs=("us-osha", "us-nfpa10", "us-dot"), time_zone="UTC", assume={"shell": "mild-steel"})
    with Shop.create(path, settings, person="B. Tide", now=NOW) as made:
        made.add_withdrawals(LIST, name="valve.toml", person="B. Tide", received=NOW)
    return path


def told(dues: DueList) -> dict[str, object]:
    """All that pages show of a list."""
    every = {sort: list(listing.narrowed(dues, Asked(sort=sort))[0]) for sort in ("urgency", "by", "duty", "unit", "place")}
    how = standing(dues)
    return {
        "states": list(dues.states), "rows": list(dues.all()), "summary": dues.summary(), "urgent": dues.urgent(9), "lines": every,
        "standing": (how.worst.tolist(), how.first.tolist()), "sites": dues.kept.over(listing.site_in_fleet, listing.sites_by_name),
        "found": [list(listing.narrowed(dues, Asked(text=text, site=site))[0]) for text in ("kitchen", "w-1 co2") for site in ("", "Pier")],
    }  # fmt: skip


def searched(rooms: ShopRooms) -> list[object]:
    """The units that each question finds, by uid: where they stand in an index is its own affair."""
    index = rooms.index()
    found = [index.find(text, most=500) for text in WORDS]
    return [([(index.states[hit.index], hit.words) for hit in each.hits], each.unknown, each.near, each.more) for each in found]


def check_the_same(kept: ShopRooms, shop: Path) -> None:
    fresh = ShopRooms(kept.app, shop)
    for on in (TODAY, PAST, TODAY + timedelta(days=200)):
        assert told(kept.due_list(on)) == told(fresh.due_list(on)), on
    some = frozenset(SITES[:2])
    assert told(kept.within(some).due_list(TODAY)) == told(fresh.within(some).due_list(TODAY))
    assert kept.books() == fresh.books()
    assert list(kept.disagreements()) == list(fresh.disagreements())
    assert searched(kept) == searched(fresh)


@pytest.mark.parametrize("seed", range(3))
def test_lists_books_and_search_after_random_writes_are_those_made_from_nothing(shop: Path, seed: int) -> None:
    writer, kept = Writer(shop, seed, 40), ShopRooms(FixedApp(), shop)
    check_the_same(kept, shop)
    for _ in range(8):
        writer.write(writer.some())
        check_the_same(kept, shop)


def test_a_list_is_kept_up_and_not_made_anew(shop: Path) -> None:
    writer, kept = Writer(shop, 7, 40), ShopRooms(FixedApp(), shop)
    before, names = kept.due_list(TODAY), kept.due_list(TODAY).kept.each(listing._haystack)
    writer.write([writer.draft("inspected", 3, day=TODAY)])
    after = kept.due_list(TODAY)
    assert [one is other for one, other in zip(before.states, after.states, strict=True)].count(False) == 1
    assert after.kept.each(listing._haystack) is names, "an inspection changes no name"
    assert kept.due_list(TODAY) is after, "nothing was written since"


@pytest.mark.parametrize("change", ["packs", "list", "veil", "day", "many"])
def test_what_touches_every_unit_makes_the_list_from_nothing(shop: Path, change: str) -> None:
    app = FixedApp()
    writer, kept = Writer(shop, 8, 40), ShopRooms(app, shop)
    check_the_same(kept, shop)
    with Shop.open(shop) as opened:
        if change == "packs":
            opened.change_settings(Settings(packs=("us-osha",), time_zone="UTC"), person="B. Tide", received=NOW)
        elif change == "list":
            more = LIST.replace("valve, lot 7", "hose").replace(MODELS_HELD[0], MODELS_HELD[7])
            opened.add_withdrawals(more, name="hose.toml", person="B. Tide", received=NOW)
        elif change == "veil":
            opened.veil(PEOPLE[0], received=NOW)
    if change == "day":
        app.moment = NOW + timedelta(days=1)
    elif change == "many":
        writer.write([writer.draft("inspected", number, day=TODAY) for number in range(30)])
    check_the_same(kept, shop)


def test_the_instruments_are_kept_until_one_of_them_is_written_about(shop: Path) -> None:
    writer, kept = Writer(shop, 9, 20), ShopRooms(FixedApp(), shop)
    assert list(kept.instruments()) == []
    writer.write([writer.draft("instrument-registered", 900, id="TG-1", what="test-gauge")])
    found = kept.instruments()
    assert [each.instrument.id for each in found] == ["TG-1"]
    writer.write([writer.draft("inspected", 3)])
    assert kept.instruments() is found, "an inspection says nothing about an instrument"
    writer.write([writer.draft("instrument-checked", 900, check="bad")])
    assert kept.instruments()[0].standing.code == "bad"
    check_the_same(kept, shop)


def test_readers_see_every_record_at_once_while_others_write(shop: Path) -> None:
    """Six threads read while a writer adds inspections; who asks after a record came in sees it."""
    writer, kept = Writer(shop, 10, 40), ShopRooms(FixedApp(), shop)
    kept.due_list(TODAY)
    wrong: list[str] = []
    done = threading.Event()
    written = 0

    def read() -> None:
        while not done.is_set():
            floor = written
            dues = kept.due_list(TODAY)
            seen = sum(state.dates.get("inspection") == PartialDate.of(TODAY) for state in dues.states)
            if seen < floor or len(dues.evaluation.duties["inspection"].state) != len(dues.states):
                wrong.append(f"{seen} of {floor}")
            [list(dues.of_unit(place)) for place in range(0, 40, 7)]

    readers = [threading.Thread(target=read) for _ in range(6)]
    for each in readers:
        each.start()
    for number in range(30):
        writer.write([writer.draft("inspected", number, day=TODAY)])
        written = number + 1
    done.set()
    for each in readers:
        each.join()
    assert wrong == []
    check_the_same(kept, shop)
