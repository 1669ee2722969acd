"""Supply bottles fold like every other subject: by day and uid, corrections first, whatever order they arrive in."""

from __future__ import annotations

from itertools import permutations

import pytest
from record_makers import Writer, uid

from pinseal.reasons import Refusal
from pinseal.records.bottles import fold_bottle, fold_bottles
from pinseal.records.fold import fold_all
from pinseal.records.record_kinds import check_record
from pinseal.records.registers import other_subjects

BOTTLE = uid(77)
SAID = {"id": "N-1", "gas": "nitrogen", "water-capacity": "49 L", "dew-point": "-80 F"}


def test_the_order_of_arrival_does_not_matter() -> None:
    writer = Writer()
    life = [
        writer.write("bottle-received", "2026-01-02", unit=BOTTLE, **SAID),
        writer.write("bottle-read", "2026-01-05", unit=BOTTLE, shows="2640 psi", at_temperature="70 F"),
        writer.write("bottle-read", "2026-01-09", unit=BOTTLE, shows="900 psi", at_temperature="60 F"),
        writer.write("bottle-returned", "2026-02-01", unit=BOTTLE, reason="empty"),
    ]
    found = fold_bottle(life)
    assert found.last is not None
    assert (found.id, found.last.shows, len(found.reads)) == ("N-1", "900 psi", 2)
    assert found.returned is not None
    assert all(fold_bottle(some) == found for some in permutations(life))


def test_a_bottle_that_comes_again_is_another_filling() -> None:
    writer = Writer()
    again = {"id": "N-1", "gas": "argon", "water-capacity": "49 L"}
    found = fold_bottle(
        [
            writer.write("bottle-received", "2026-01-02", unit=BOTTLE, serial="B-9", **SAID),
            writer.write("bottle-read", "2026-01-05", unit=BOTTLE, shows="2640 psi", at_temperature="70 F"),
            writer.write("bottle-returned", "2026-02-01", unit=BOTTLE),
            writer.write("bottle-received", "2026-03-02", unit=BOTTLE, **again),
        ]
    )
    assert (found.gas, found.dew_point, found.reads, found.returned, found.serial) == ("argon", None, (), None, "B-9")


def test_a_reading_can_be_corrected() -> None:
    writer = Writer()
    wrong = writer.write("bottle-read", "2026-01-05", unit=BOTTLE, shows="264 psi", at_temperature="70 F")
    mend = writer.write("corrected", "2026-01-06", unit=BOTTLE, corrects=wrong.uid, **{"to-shows": "2640 psi"})
    found = fold_bottle([writer.write("bottle-received", "2026-01-02", unit=BOTTLE, **SAID), wrong, mend])
    assert found.last is not None
    assert found.last.shows == "2640 psi"


def test_a_bottle_is_never_counted_as_an_extinguisher() -> None:
    writer = Writer()
    records = [writer.write("bottle-received", "2026-01-02", unit=BOTTLE, **SAID), writer.write("registered", "2026-01-02", agent="abc")]
    assert other_subjects(records) == {BOTTLE: "bottle"}
    assert BOTTLE not in fold_all(records)
    assert [each.id for each in fold_bottles(records)] == ["N-1"]


@pytest.mark.parametrize(
    ("kind", "fields", "words"),
    [
        ("bottle-received", {"id": "N-1", "gas": "oxygen", "water-capacity": "49 L"}, "gas is one of nitrogen"),
        ("bottle-received", {"id": "N-1", "gas": "nitrogen"}, "water-capacity must be given"),
        ("bottle-read", {"shows": "2640", "at-temperature": "70 F"}, "shows is a pressure"),
        ("bottle-read", {"shows": "2640 psi"}, "at-temperature must be given"),
    ],
)
def test_a_wrong_record_of_a_bottle_is_refused_in_words(kind: str, fields: dict[str, str], words: str) -> None:
    with pytest.raises(Refusal) as refused:
        check_record(kind, fields)
    assert words in str(refused.value)
