"""Two records that cannot both be right: each case, what settles it, and what is no disagreement at all."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from pinseal.dates import parse_date
from pinseal.records.fold import fold
from pinseal.records.record import FIRST, Draft, Record, seal, uuid7
from pinseal.records.record_kinds import check_record
from pinseal.service.disagreements import disagreements

DAY, NEXT, LATER = "2026-05-04", "2026-05-05", "2026-05-06"
MORNING = datetime(2026, 5, 4, 8, tzinfo=UTC)
EVENING = MORNING + timedelta(hours=10)
UNIT = uuid7(at=MORNING, randomness=b"the unit")
WEN, ORLA, IDA = "Wen Talloway", "Orla Fenn", "Ida Quill"


class Lives:
    """Records of one unit: each made a minute after the one before, all received in the evening unless it is said otherwise."""

    def __init__(self) -> None:
        self.count = 0
        self.records = [self._made(IDA, "registered", "2025-01-02", MORNING, {"id": "M-1"})]

    def _made(self, person: str, kind: str, on: str, received: datetime, fields: dict[str, str], made: datetime | None = None) -> Record:
        self.count += 1
        at = made or MORNING + timedelta(minutes=self.count)
        uid = uuid7(at=at, randomness=self.count.to_bytes(8, "big"))
        draft = Draft(kind=kind, unit=UNIT, person=person, done=parse_date(on), fields=check_record(kind, fields))
        return replace(seal(draft, uid=uid, writer=f"of-{person}", previous=FIRST), received=received)

    def says(
        self, person: str, kind: str, on: str = DAY, *, received: datetime = EVENING, made: datetime | None = None, **said: str
    ) -> Record:
        fields = {name.replace("_", "-"): text for name, text in said.items()}
        self.records.append(self._made(person, kind, on, received, fields, made))
        return self.records[-1]

    def found(self) -> list[tuple[str, str]]:
        for order in (self.records, self.records[::-1]):
            got = disagreements(order)
            assert got == disagreements(self.records), "the order of arrival makes another answer"
        return [(each.matter, each.about) for each in got]


@pytest.fixture
def lives() -> Lives:
    return Lives()


LOST = {"reason": "looked for and not found at its place", "missing": "yes"}
SHEET_A, SHEET_B = (uuid7(at=MORNING, randomness=name) for name in (b"sheet  a", b"sheet  b"))
PASSED = {"quantity": "Gauge", "value": "195 psi", "verdict": "pass"}
CASES = {
    "one says missing, another inspected it": (("not-done", LOST), ("inspected", {}), ("missing", "")),
    "one read it, another says missing": (("measured", PASSED), ("not-done", LOST), ("missing", "")),
    "two places": (("moved", {"place": "hall 1"}), ("moved", {"place": "hall 2"}), ("place", "")),
    "two sites": (("moved", {"site": "Pier", "place": "hall 1"}), ("brought-back", {"site": "Mill"}), ("place", "")),
    "two sheets of one work with different ends": (
        ("worked", {"sheet": SHEET_A, "outcome": "tag", "duties": "inspection, maintenance"}),
        ("worked", {"sheet": SHEET_B, "outcome": "replace", "duties": "maintenance"}),
        ("outcome", "maintenance"),
    ),
    "a reading that differs": (("measured", PASSED), ("measured", PASSED | {"value": "170 psi"}), ("reading", "Gauge")),
    "a reading in other units that differs": (
        ("measured", {"quantity": "Weight", "value": "17 lb"}),
        ("measured", {"quantity": "Weight", "value": "9.2 kg"}),
        ("reading", "Weight"),
    ),
    "a reading that one passes and another fails": (("measured", PASSED), ("measured", PASSED | {"verdict": "fail"}), ("reading", "Gauge")),
    "a test that passed and failed": (("tested", {"result": "pass"}), ("tested", {"result": "fail"}), ("result", "tested")),
    "condemned by one and inspected by another later": (("condemned", {"reason": "pitted"}), ("inspected", {}), ("condemned", "")),
    "condemned by one and returned by another": (("condemned", {"reason": "pitted"}), ("returned", {"site": "Mill"}), ("condemned", "")),
    "stolen for one and inspected by another later": (("removed", {"reason": "stolen"}), ("inspected", {}), ("gone", "")),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_two_people_who_say_different_things_of_one_day_disagree_and_both_facts_stay(lives: Lives, case) -> None:
    (kind, said), (other, more), wanted = case
    one, two = lives.says(WEN, kind, **said), lives.says(ORLA, other, **more)
    assert lives.found() == [wanted]
    assert {one.uid, two.uid} <= {fact.uid for fact in fold(lives.records).facts}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_the_same_person_does_not_disagree_with_themself(lives: Lives, case) -> None:
    (kind, said), (other, more), _ = case
    lives.says(WEN, kind, **said)
    lives.says(WEN, other, **more)
    assert lives.found() == []


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
@pytest.mark.parametrize("which", [0, 1])
def test_to_void_either_record_settles_it(lives: Lives, case, which: int) -> None:
    (kind, said), (other, more), _ = case
    both = lives.says(WEN, kind, **said), lives.says(ORLA, other, **more)
    lives.says(IDA, "corrected", NEXT, corrects=both[which].uid, void="yes")
    assert lives.found() == []


def test_a_correction_that_mends_one_of_them_settles_it_and_one_that_is_void_does_not(lives: Lives) -> None:
    lives.says(WEN, "moved", place="hall 1")
    wrong = lives.says(ORLA, "moved", place="hall 2")
    mended = lives.says(IDA, "corrected", NEXT, corrects=wrong.uid, to_place="Hall-1")
    assert lives.found() == []
    lives.says(IDA, "corrected", LATER, corrects=mended.uid, void="yes")
    assert lives.found() == [("place", "")]


LATER_WORDS = {
    "missing": ("inspected", {}),
    "place": ("moved", {"place": "hall 3"}),
    "outcome": ("worked", {"sheet": SHEET_A, "outcome": "tag", "duties": "maintenance"}),
    "reading": ("measured", {"quantity": "Gauge", "value": "195 psi", "verdict": "pass"}),
    "result": ("tested", {"result": "pass"}),
    "condemned": ("condemned", {"reason": "pitted, looked at again"}),
    "gone": ("returned", {"site": "Mill"}),
}


@pytest.mark.parametrize("case", [case for case in CASES.values() if case[2][1] != "Weight"])
def test_a_later_record_on_the_same_matter_settles_it(lives: Lives, case) -> None:
    (kind, said), (other, more), (matter, _) = case
    lives.says(WEN, kind, **said)
    lives.says(ORLA, other, **more)
    lives.says(IDA, "noted", LATER, note="heard of it")
    assert lives.found() != []
    settling, fields = LATER_WORDS[matter]
    lives.says(IDA, settling, LATER, **fields)
    assert lives.found() == []


def test_a_word_of_the_same_day_settles_it_only_when_both_had_come_in_before_it_was_written(lives: Lives) -> None:
    lives.says(WEN, "moved", place="hall 1")
    lives.says(ORLA, "moved", place="hall 2")
    late = EVENING + timedelta(hours=1)
    unaware = lives.says(IDA, "moved", place="hall 1", made=EVENING - timedelta(hours=1), received=late)
    assert lives.found() != []
    lives.records.remove(unaware)
    lives.says(IDA, "moved", place="hall 1", made=late, received=late)
    assert lives.found() == []


def test_who_writes_when_the_other_word_had_come_in_says_what_is_new(lives: Lives) -> None:
    lives.says(WEN, "moved", place="hall 1", received=MORNING + timedelta(minutes=5))
    lives.says(ORLA, "moved", place="hall 2", made=EVENING)
    assert lives.found() == []


def test_a_clock_that_runs_ahead_proves_nothing(lives: Lives) -> None:
    lives.says(WEN, "moved", place="hall 1", received=MORNING + timedelta(minutes=5))
    lives.says(ORLA, "moved", place="hall 2", made=EVENING + timedelta(days=365))
    assert lives.found() == [("place", "")]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("inspected", DAY, {}), ("inspected", DAY, {})),
        (("not-done", DAY, {"reason": "access blocked: a pallet"}), ("inspected", DAY, {})),
        (("not-done", DAY, LOST), ("moved", DAY, {"place": "hall 2"})),
        (("not-done", DAY, LOST), ("inspected", LATER, {})),
        (("moved", DAY, {"place": "hall 1"}), ("moved", DAY, {"place": "Hall-1"})),
        (("moved", DAY, {"place": "hall 1"}), ("moved", LATER, {"place": "hall 2"})),
        (("moved", "2026", {"place": "hall 1"}), ("moved", "2026", {"place": "hall 2"})),
        (("measured", DAY, PASSED), ("measured", DAY, PASSED | {"value": "200 psi"})),
        (("measured", DAY, PASSED), ("measured", DAY, PASSED | {"quantity": "Weight", "value": "17 lb"})),
        (
            ("measured", DAY, PASSED | {"at-temperature": "30 F"}),
            ("measured", DAY, PASSED | {"at-temperature": "90 F", "value": "225 psi"}),
        ),
        (("inspected", DAY, {}), ("condemned", DAY, {"reason": "pitted"})),
        (("removed", DAY, {"reason": "lost"}), ("returned", DAY, {"site": "Mill"})),
        (
            ("worked", DAY, {"sheet": SHEET_A, "outcome": "abandoned", "duties": "maintenance"}),
            ("worked", DAY, {"sheet": SHEET_B, "outcome": "tag", "duties": "maintenance"}),
        ),
        (
            ("worked", DAY, {"sheet": SHEET_A, "outcome": "replace", "duties": "maintenance"}),
            ("worked", DAY, {"sheet": SHEET_B, "outcome": "tag", "duties": "inspection"}),
        ),
    ],
)
def test_what_is_no_disagreement(lives: Lives, one, other) -> None:
    for person, (kind, on, said) in ((WEN, one), (ORLA, other)):
        lives.says(person, kind, on, **said)
    assert lives.found() == []


def test_a_reading_is_far_off_from_a_twentieth_on(lives: Lives) -> None:
    lives.says(WEN, "measured", **PASSED | {"value": "190 psi"})
    lives.says(ORLA, "measured", **PASSED | {"value": "200 psi"})  # 10 of 200: exactly a twentieth
    assert lives.found() == []
    lives.says(IDA, "measured", **PASSED | {"value": "189 psi"})
    assert lives.found() == [("reading", "Gauge")]


def test_no_records_disagree_in_nothing() -> None:
    assert disagreements([]) == ()
