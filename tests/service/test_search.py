"""Finding a unit by what is half-known: words anywhere, numbers written any way, a slip in spelling, and never a wrong silence."""

from __future__ import annotations

import pytest

from pinseal.dates import PartialDate
from pinseal.records.unit import Nameplate, UnitState
from pinseal.service.search import UnitIndex, words_asked
from pinseal.units import Quantity


def unit(
    uid: str,
    number: str,
    place: str,
    *,
    agent: str = "abc",
    size: float = 10,
    made: int = 2014,
    site: str = "Mill",
    removed: str | None = None,
):
    plate = Nameplate(agent=agent, size=Quantity(value=size, unit="lb"), model="Ostrel 10", expelled_by="stored-pressure")
    return UnitState(
        uid=uid,
        id=number,
        serial=f"XQ-{uid}77",
        site=site,
        place=place,
        nameplate=plate,
        dates={"manufactured": PartialDate(made)},
        removed=removed,
    )


UNITS = (
    unit("a", "W-1", "Boiler, left"),
    unit("b", "W-2", "Boiler, right", made=2015),
    unit("c", "W-21", "Reading room", agent="co2", size=5),
    unit("d", "K-4", "Kitchen", agent="wet-chemical", site="School"),
    unit("e", "W-3", "Boiler, left", removed="scrapped"),
)
INDEX = UnitIndex(UNITS, {"b": ("tag-900",)})


def uids(text: str, **asked) -> list[str]:
    return [UNITS[hit.index].uid for hit in INDEX.find(text, **asked).hits]


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("W-2", "b"), ("w2", "b"), ("xqb77", "b"), ("b77", "b"), ("tag-900", "b"), ("boiler 2015", "b"), ("5 lb", "c"), ("carbon", "c"),
        ("kitchen", "d"), ("school", "d"), ("near the boiler, left", "a"),
    ],
)  # fmt: skip
def test_the_unit_that_is_meant_stands_first(text: str, first: str) -> None:
    assert uids(text)[0] == first


def test_a_whole_number_goes_before_one_that_begins_so() -> None:
    assert uids("W-2") == ["b", "c"]


def test_a_word_that_nobody_says_is_named_and_the_others_still_find() -> None:
    found = INDEX.find("purple boiler")
    assert found.unknown == ("purple",)
    assert {UNITS[hit.index].uid for hit in found.hits} == {"a", "b", "e"}


def test_a_slip_in_spelling_is_read_as_the_word_it_is_like_and_said() -> None:
    found = INDEX.find("kitchn")
    assert found.near == (("kitchn", "kitchen"),)
    assert uids("kitchn") == ["d"]


@pytest.mark.parametrize(("text", "how_many"), [("ed", 0), ("tore", 5), ("red", 0), ("01", 0), ("014", 4)])
def test_short_words_only_begin_a_word_and_parts_of_numbers_fit_anywhere(text: str, how_many: int) -> None:
    assert len(uids(text)) == how_many


def test_removed_units_stand_last() -> None:
    assert uids("boiler left") == ["a", "e"]


def test_only_the_sites_that_may_be_seen_are_looked_at() -> None:
    assert uids("kitchen", only=frozenset({"Mill"})) == []
    assert uids("lb", only=frozenset({"School"})) == uids("school")[:1] or uids("10lb", only=frozenset({"School"})) == ["d"]


def test_more_hits_than_are_shown_are_counted() -> None:
    found = INDEX.find("boiler", most=2)
    assert len(found.hits) == 2 and found.more == 1


@pytest.mark.parametrize("text", ["", "   ", ",;()", "\n", "zzzzzz", "a" * 200, "(.*)", "'; drop"])
def test_nonsense_finds_nothing_and_breaks_nothing(text: str) -> None:
    assert INDEX.find(text).hits == ()


def test_small_words_are_left_out_unless_they_are_all() -> None:
    assert words_asked("in the boiler") == ("boiler",)
    assert words_asked("in the") == ("in", "the")


def test_an_empty_shop_is_searched_without_harm() -> None:
    assert UnitIndex(()).find("boiler").hits == ()
