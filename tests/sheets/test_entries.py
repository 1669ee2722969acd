"""Entries as they are kept and read; and the entries that are refused, with their words, and change nothing."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheet_walks import SCALE, TECHNICIAN, UNITS, good_entry, make, walk, walked, with_plate

from pinseal.reasons import Refusal
from pinseal.sheets.closing import close
from pinseal.sheets.entries import Entry, read_entry
from pinseal.sheets.taking import begin, take
from pinseal.sheets.working import Working

WORDS = st.text(min_size=1, max_size=12)
TEXTS = st.dictionaries(st.sampled_from(["gross", "gauge", "temperature"]), WORDS, max_size=2)
SUBJECTS = {
    "step": {"answer": WORDS},
    "confirm": {},
    "fix": {"how": WORDS},
    "override": {"step": WORDS, "reason": WORDS, "supervisor": WORDS},
    "extend": {},
    "laid-out": {"have": WORDS},
    "abandon": {"left": WORDS},
}


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    kind = draw(st.sampled_from(sorted(SUBJECTS)))
    said = {key: draw(words) for key, words in SUBJECTS[kind].items()}
    if kind != "override" and draw(st.booleans()):
        said["note"] = draw(WORDS)
    is_step = kind == "step"
    return Entry(
        kind=kind,
        subject=draw(WORDS),
        said=said,
        readings=draw(TEXTS) if is_step else {},
        instruments=draw(TEXTS) if is_step else {},
        person=draw(st.one_of(st.just(""), WORDS)),
        helper=draw(st.one_of(st.just(""), WORDS)),
        at=draw(st.sampled_from(["", "2026-05-04T08:00"])),
        seconds=draw(st.one_of(st.none(), st.integers(0, 86_400))),
    )


@given(entries())
def test_an_entry_that_is_kept_and_read_again_is_the_same(entry: Entry) -> None:
    assert read_entry(json.loads(json.dumps(entry.as_json()))) == entry


def test_numbers_of_readings_are_kept_as_the_texts_that_were_typed() -> None:
    found = read_entry({"step": "gross-weight", "answer": "read", "readings": {"gross": 35, "gauge": 19.5}, "seconds": 12.9})
    assert found.readings == {"gross": "35", "gauge": "19.5"}
    assert found.seconds == 12


@pytest.mark.parametrize(
    ("said", "what"),
    [
        ("step", "an entry cannot be read"),
        ([], "an entry cannot be read"),
        ({}, "an entry cannot be read"),
        ({"stop": "x"}, "an entry cannot be read"),
        ({"step": "x"}, "an entry step is not complete"),
        ({"fix": "x"}, "an entry fix is not complete"),
        ({"override": "stand-in", "step": "x"}, "an entry override is not complete"),
        ({"abandon": "rain"}, "an entry abandon is not complete"),
        ({"step": "x", "answer": "y", "colour": "red"}, "an entry step has a wrong key"),
        ({"confirm": "outside", "readings": {"gross": "1"}}, "an entry confirm has a wrong key"),
        ({"step": 7, "answer": "y"}, "an entry step holds what is no text"),
        ({"step": "x", "answer": "y", "person": 7}, "an entry step holds what is no text"),
        ({"step": "x", "answer": "y", "note": ["a"]}, "an entry step holds what is no text"),
        ({"step": "x", "answer": "y", "readings": "35 lb"}, "readings of an entry cannot be read"),
        ({"step": "x", "answer": "y", "readings": {"gross": None}}, "readings of an entry cannot be read"),
        ({"step": "x", "answer": "y", "instruments": {"gross": ["S"]}}, "instruments of an entry cannot be read"),
        ({"step": "x", "answer": "y", "seconds": "10"}, "seconds of an entry cannot be read"),
        ({"step": "x", "answer": "y", "seconds": True}, "seconds of an entry cannot be read"),
        ({"step": "x", "answer": "y", "seconds": -1}, "seconds of an entry cannot be read"),
        ({"step": "x", "answer": "y", "seconds": 86_401}, "seconds of an entry cannot be read"),
    ],
)
def test_what_is_no_entry_is_refused_by_its_words(said: Any, what: str) -> None:
    with pytest.raises(Refusal) as found:
        read_entry(said)
    assert what in found.value.what
    assert found.value.rule and found.value.do


def test_the_last_second_of_a_day_is_a_time_and_an_override_is_no_step() -> None:
    assert read_entry({"step": "x", "answer": "y", "seconds": 86_400}).seconds == 86_400
    assert read_entry({"override": "stand-in", "step": "x", "reason": "because so", "supervisor": "S"}).kind == "override"
    assert read_entry({"fix": "torn", "how": "sewn", "step": "x"}).kind == "fix"


# -- what a sheet refuses, and that it stays as it was


def state(work: Working) -> tuple[Any, ...]:
    return (
        list(work.entries),
        dict(work.answers),
        list(work.findings),
        list(work.picture.told),
        list(work.picture.reads),
        dict(work.judgements),
        list(work.confirmations),
        dict(work.overrides),
        list(work.flags),
    )


REFUSED = {
    "no such step": ({"step": "no-such", "answer": "done"}, "there is no such step on this sheet"),
    "no such answer": ({"step": "shell-past", "answer": "melted"}, "there is no such answer"),
    "left out without a reason": ({"step": "shell-past", "answer": "not-done"}, "no reason is said"),
    "left out with an empty reason": ({"step": "shell-past", "answer": "not-done", "note": "  "}, "no reason is said"),
    "not fitted where it is known": ({"step": "shell-past", "answer": "not-fitted"}, "there is no such answer"),
    "a reading that is missing": ({"step": "gross-weight", "answer": "read"}, "is missing"),
    "an empty reading": ({"step": "gross-weight", "answer": "read", "readings": {"gross": " "}}, "is missing"),
    "a reading of another step": ({"step": "shell-past", "answer": "none", "readings": {"gross": "1 lb"}}, "there is no such reading"),
    "a wrong name": ({"step": "gross-weight", "answer": "read", "readings": {"gros": "1 lb"}}, "there is no such reading"),
    "an instrument of another reading": (
        {"step": "gross-weight", "answer": "read", "readings": {"gross": "1 lb"}, "instruments": {"gauge": SCALE}},
        "there is no such reading",
    ),
    "an instrument that nobody registered": (
        {"step": "gross-weight", "answer": "read", "readings": {"gross": "1 lb"}, "instruments": {"gross": "X"}},
        "there is no such instrument",
    ),
    "a weight in words": ({"step": "gross-weight", "answer": "read", "readings": {"gross": "heavy"}}, "cannot be read"),
    "a weight of nothing": ({"step": "gross-weight", "answer": "read", "readings": {"gross": "0 lb"}}, "is zero"),
    "a pressure without unit": (
        {"step": "gauge-reading", "answer": "read", "readings": {"gauge": "195", "temperature": "70 F"}},
        "cannot be read",
    ),
    "no such confirmation": ({"confirm": "inside"}, "there is no such confirmation"),
    "no such finding": ({"fix": "torn", "how": "sewn"}, "there is no such open finding"),
    "an end without a reason": ({"abandon": " ", "left": "open"}, "an abandoned sheet says more"),
    "an end without a state": ({"abandon": "rain", "left": ""}, "an abandoned sheet says more"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_an_entry_that_does_not_fit_is_refused_and_changes_nothing(case: str) -> None:
    said, what = REFUSED[case]
    work = walked(UNITS["portable-powder"], "maintenance", to="gross-weight")
    before = state(work)
    with pytest.raises(Refusal) as found:
        take(work, read_entry(said))
    assert what in found.value.what
    assert state(work) == before


def test_after_the_end_nothing_is_entered() -> None:
    work = begin(make(UNITS["portable-powder"], "maintenance"))
    take(work, read_entry({"abandon": "it rains", "left": "closed and charged, at its place"}))
    with pytest.raises(Refusal, match="this sheet was abandoned"):
        take(work, read_entry({"confirm": "approach"}))
    closed = close(work, sheet="sheet-1")
    assert (closed.outcome, closed.state_words) == ("abandoned", "closed and charged, at its place")
    left = next(each for each in closed.made if each.kind == "left")
    assert left.fields["state"] == "closed and charged, at its place"
    assert left.fields["reason"] == "it rains"


def test_a_step_that_hangs_on_an_unsaid_fact_may_be_answered_not_fitted() -> None:
    plain, unsaid = make(UNITS["portable-powder"], "recharge"), make(with_plate("portable-powder", hose=None), "recharge")
    for job, codes in ((plain, ["off", "damaged", "gasket"]), (unsaid, ["off", "damaged", "gasket", "not-fitted"])):
        step = job.step("hose-taken-off")
        assert step is not None
        assert [answer.code for answer in step.answers] == codes
    work = walk(
        begin(unsaid), answers={"hose-taken-off": "not-fitted", "hose-blown-through": "not-fitted", "powder-hose-back-on": "not-fitted"}
    )
    assert close(work, sheet="sheet-1").outcome == "tag"
    assert not work.picture.has("hose-off")


# -- confirmations, fixes, and answering anew


def test_a_confirmation_covers_what_stands_open_of_its_group_and_no_more() -> None:
    work = begin(make(UNITS["portable-powder"], "maintenance"))
    take(work, good_entry(work.job, next(s for s in work.job.steps if s.id == "way-is-clear"), answer="in-the-way"))
    take(work, Entry(kind="confirm", subject="approach", person=TECHNICIAN, seconds=20))
    covered = set(work.confirmations[0].steps)
    assert covered == {step.id for step in work.job.steps if step.group == "approach"} - {"way-is-clear"}
    assert work.answers["way-is-clear"].answer == "in-the-way"
    assert all(work.answers[code].covered_by == "approach" for code in covered)
    with pytest.raises(Refusal, match="nothing is left for this confirmation"):
        take(work, Entry(kind="confirm", subject="approach"))


def test_a_last_confirmation_does_not_hang_the_tag_before_the_rest_is_done() -> None:
    work = begin(make(UNITS["portable-powder"], "maintenance"))
    take(work, Entry(kind="confirm", subject="finish"))
    assert not work.picture.has("tag-on", "returned")


@pytest.mark.parametrize(("seconds", "is_quick"), [(None, False), (1, True), (600, False)])
def test_a_confirmation_that_is_quicker_than_a_look_is_told_as_such(seconds: int | None, is_quick: bool) -> None:
    work = begin(make(UNITS["portable-powder"], "maintenance"))
    take(work, Entry(kind="confirm", subject="outside", seconds=seconds))
    assert work.confirmations[0].quick == is_quick


def test_quick_means_less_than_a_quarter_of_what_it_takes() -> None:
    work = begin(make(UNITS["portable-powder"], "maintenance"))
    take(work, Entry(kind="confirm", subject="outside"))
    expected = work.confirmations[0].expected_seconds
    quarter = -(-expected // 4)
    for seconds, is_quick in ((quarter - 1, True), (quarter, False)):
        again = begin(work.job)
        take(again, Entry(kind="confirm", subject="outside", seconds=seconds))
        assert again.confirmations[0].quick == is_quick


def test_an_answer_is_given_anew_and_both_stay_on_the_sheet() -> None:
    work = walked(UNITS["portable-powder"], "maintenance", to="gross-weight", answers={"hose-outside": "cut"})
    assert [found.finding for found in work.open_stops()] == ["hose-cut"]
    step = work.job.step("hose-outside")
    assert step is not None
    take(work, good_entry(work.job, step))
    assert work.open_stops() == []
    assert [entry.said["answer"] for entry in work.entries if entry.subject == "hose-outside"] == ["cut", "sound"]


@pytest.mark.parametrize(
    ("finding", "step", "answer", "is_fixable"),
    [
        ("hose-cut", "hose-outside", "cut", True),
        ("nozzle-blocked", "powder-nozzle-clear", "blocked", True),
        ("blocked", "way-is-clear", "in-the-way", True),
        ("paint-damaged", "shell-corrosion", "paint", True),
        ("powder-in-nozzle", "powder-nozzle-clear", "powder", False),
        ("shell-burned", "shell-past", "burned", False),
        ("shell-damaged", "shell-corrosion", "corroded", False),
        ("lever-stiff", "lever-looks-right", "stiff", False),
    ],
)
def test_only_what_can_be_mended_at_the_hook_is_settled_by_a_fix(finding: str, step: str, answer: str, is_fixable: bool) -> None:
    work = walked(UNITS["portable-powder"], "maintenance", to="gross-weight", answers={step: answer})
    fix = read_entry({"fix": finding, "how": "put right", "part": "a part"})
    if is_fixable:
        take(work, fix)
        assert work.open_stops() == []
        with pytest.raises(Refusal, match="there is no such open finding"):
            take(work, fix)
    else:
        with pytest.raises(Refusal):
            take(work, fix)
        assert [found.finding for found in work.open_stops()] == [finding]


def test_a_lever_that_sticks_is_mended_only_with_the_pressure_out() -> None:
    work = walked(UNITS["portable-powder"], "maintenance", "recharge", to="emptied-portable", answers={"lever-looks-right": "stiff"})
    fix = read_entry({"fix": "lever-stiff", "how": "a new one"})
    with pytest.raises(Refusal, match="the unit is not proved empty"):
        take(work, fix)
    walk(work, to="filled-portable")
    take(work, fix)
    assert [found.finding for found in work.open_stops()] == ["lever-stiff"]  # until it is closed and tight again
    walk(work)
    assert close(work, sheet="sheet-1").outcome in ("tag", "minor-part")


def test_what_later_work_rests_on_is_not_answered_anew() -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="filled-portable")
    step = work.job.step("emptied-portable")
    assert step is not None
    with pytest.raises(Refusal, match="this answer stays: a later step rests on this answer"):
        take(work, good_entry(work.job, step, answer="still-leaving"))


def test_a_slip_is_mended_at_once_and_an_unfit_shell_is_not_unsaid_later() -> None:
    work = walked(UNITS["portable-powder"], "recharge", to="shell-past", answers={})
    step = work.job.step("shell-past")
    assert step is not None
    take(work, good_entry(work.job, step, answer="burned"))
    take(work, good_entry(work.job, step, answer="none"))
    assert not work.picture.has("shell-unfit")
    take(work, good_entry(work.job, step, answer="burned"))
    walk(work, to="gross-weight")
    with pytest.raises(Refusal, match="this answer stays: the shell was found unfit"):
        take(work, good_entry(work.job, step, answer="none"))
    assert work.picture.has("shell-unfit")
