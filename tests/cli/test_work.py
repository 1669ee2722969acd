"""A job sheet worked in the terminal: what is asked, what is told, and that everything is kept at each answer."""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.cli.conftest import Command, Ran

PLATE = {
    "agent": "abc", "expelled-by": "stored-pressure", "shell": "mild-steel", "wheeled": "no", "rechargeable": "yes", "hose": "plain",
    "size": "10 lb", "service-pressure": "195 psi", "test-pressure": "585 psi", "gross-weight": "18 lb", "gross-weight-low": "17 lb 12 oz",
    "gross-weight-high": "18 lb 4 oz", "gauge-low": "175 psi", "gauge-high": "215 psi", "manufactured": "2023-05",
    "last-maintenance": "2025-11-20", "last-inspection": "2026-10-30", "cylinder-specification": "none",
}  # fmt: skip
GOOD = ["", "", "18 lb", "195 psi", "70 F", ""]
Hands = Callable[..., Ran]


@pytest.fixture
def hands(pinseal: Command, shop: Path, monkeypatch: pytest.MonkeyPatch) -> Hands:
    """`pinseal work` with lines typed by a person; the input ends after the last of them."""
    fields = [f"--{name}={value}" for name, value in PLATE.items()]
    made = pinseal("record", "registered", "P-1", "--on", "2026-01-05", "--site", "Sawmill", "--place", "Gate", *fields)
    assert made.code == 0, made.err

    def type_lines(lines: list[str], *words: str) -> Ran:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return pinseal("work", "P-1", "--person", "B. Tide", *words)

    return type_lines


def _answers_until_the_end(hands: Hands, given: dict[str, str], *words: str) -> Ran:
    """Go on, prompt by prompt, as a person would: Enter, or what is given for the words that a prompt holds."""
    lines: list[str] = []
    for _ in range(60):
        ran = hands(lines, *words)
        if "is closed:" in ran.out:
            return ran
        words = ()
        last = ran.out.rstrip().splitlines()
        assert last, ran.err
        asked = next((line for line in reversed(last) if not line.startswith("Stopped")), "")
        lines = [next((text for key, text in given.items() if key in asked), "")]
    raise AssertionError("the sheet never came to its end")


def test_a_good_unit_takes_three_confirmations_and_its_readings(hands: Hands, pinseal: Command) -> None:
    ran = hands(["", "", "", "18 lb", "", "195 psi", "70 F", "", "", "", ""], "--duties", "maintenance")
    assert ran.code == 0, ran.err
    assert "is closed: tag" in ran.out, ran.out[-1800:]
    assert "pass: it weighs 18.00 lb" in ran.out
    sheets = pinseal("sheets", "P-1", "--json").json["sheets"]
    assert [each["closed"] for each in sheets] == ["tag"]
    kinds = [record["kind"] for record in pinseal("history", "P-1", "--json").json["records"]]
    assert {"measured", "inspected", "maintained", "marked", "worked"} <= set(kinds)


def test_a_confirmation_that_took_no_time_is_flagged(hands: Hands, pinseal: Command) -> None:
    hands(["", "", "", "18 lb", "", "195 psi", "70 F", "", "", "", ""], "--duties", "maintenance")
    worked = next(r for r in pinseal("history", "P-1", "--json").json["records"] if r["kind"] == "worked")
    assert worked["fields"]["quick"] == "yes"
    assert '"covers"' in worked["fields"]["confirmations"]


def test_what_is_entered_is_kept_when_the_input_ends(hands: Hands, pinseal: Command) -> None:
    ran = hands([""], "--duties", "maintenance")
    assert "Stopped. What was entered is kept (1)" in ran.out
    assert [each["entries"] for each in pinseal("sheets", "P-1", "--json").json["sheets"]] == [1]


def test_the_work_goes_on_where_it_stopped(hands: Hands) -> None:
    first = hands(["", "q"], "--duties", "maintenance")
    again = hands(["q"])
    uid = re.search(r"job sheet (\S+):", first.out)
    assert uid
    assert f"Going on with job sheet {uid[1]}" in again.out
    assert "AT THE PLACE" not in again.out


def test_a_reading_that_cannot_be_read_is_told_and_asked_again(hands: Hands) -> None:
    ran = hands(["", "", "", "heavy", "", "18 lb", "q"], "--duties", "maintenance")
    assert "Gross weight cannot be read" in ran.out
    assert "pass: it weighs 18.00 lb" in ran.out


def test_a_unit_that_is_heavy_by_eight_ounces_needs_a_recharge_and_says_so_at_once(hands: Hands) -> None:
    ran = hands(["", "", "", "18 lb 8 oz", "d", "q"], "--duties", "maintenance")
    assert "fail: it weighs 18.50 lb" in ran.out
    assert "> now: recharge" in ran.out
    assert "Decision: recharge" in ran.out
    assert "not less: Overfilled" in ran.out


def test_a_recharge_is_added_to_the_sheet_and_its_steps_follow(hands: Hands) -> None:
    ran = hands(["", "", "", "18 lb 8 oz", "w", "recharge", "", "195 psi", "70 F", "q"], "--duties", "maintenance")
    assert "EMPTYING" in ran.out


def test_the_list_does_not_open_a_step_that_is_shut(hands: Hands) -> None:
    ran = hands(["", "l", "valve-off-portable", "q"], "--duties", "recharge")
    assert "Valve off" in ran.out
    number = re.search(r"(\d+)\s+Valve off", ran.out)
    assert number
    shut = hands(["l", number[1], "q"])
    assert "shut: not proved empty of pressure" in shut.out


def test_an_abandoned_sheet_records_the_state_that_the_unit_is_left_in(hands: Hands, pinseal: Command) -> None:
    ran = hands(["", "a", "called away", "hanging, not looked at", "Gate"], "--duties", "maintenance")
    assert "is closed: abandoned" in ran.out
    left = next(r for r in pinseal("history", "P-1", "--json").json["records"] if r["kind"] == "left")
    assert left["fields"]["state"] == "hanging, not looked at"
    assert "maintained" not in {r["kind"] for r in pinseal("history", "P-1", "--json").json["records"]}


def test_a_second_person_hears_of_the_open_sheet_and_both_stay(hands: Hands, pinseal: Command) -> None:
    hands(["", "q"], "--duties", "maintenance")
    other = pinseal("sheet", "P-1", "--duties", "maintenance")
    assert "B. Tide has a sheet open for this unit" in other.out


def test_nothing_due_is_said_with_what_to_do(hands: Hands, pinseal: Command) -> None:
    hands(["", "", "", "18 lb", "", "195 psi", "70 F", "", "", "", ""], "--duties", "maintenance,inspection")
    refused = hands([""])
    assert refused.code == 2
    assert "nothing is due on this unit today" in refused.err
    assert "--duties" in refused.err


def test_a_few_facts_give_a_decision_and_nothing_is_written(hands: Hands, pinseal: Command, tmp_path: Path) -> None:
    facts = tmp_path / "facts.json"
    facts.write_text(
        '{"entries": [{"step": "gross-weight", "answer": "read", "readings": {"gross": "18 lb"}},'
        ' {"step": "lever-looks-right", "answer": "stiff"}]}'
    )
    told = pinseal("decide", "P-1", "--duties", "maintenance", "--from", facts)
    assert told.code == 0, told.err
    assert "Decision: empty it and do the inside work" in told.out
    assert "not less: A lever that does not move freely" in told.out
    assert "not more: no pressure test" in told.out
    assert pinseal("sheets", "P-1", "--json").json["sheets"] == []


def test_a_quick_confirmation_waits_for_a_sample_check(hands: Hands, pinseal: Command) -> None:
    hands(["", "", "", "18 lb", "", "195 psi", "70 F", "", "", ""], "--duties", "maintenance")
    waiting = pinseal("sheets", "--to-check", "--json").json["sheets"]
    assert len(waiting) == 1
    checked = pinseal("record", "sample-checked", "P-1", "--sheet", waiting[0]["sheet"], "--confirmation", "outside", "--agrees", "yes")
    assert checked.code == 0, checked.err
    assert pinseal("sheets", "--to-check", "--json").json["sheets"] == []
