"""Stories from hook to tag: what is found at a unit, what it forces, which gates stay shut, what goes on record. See `sheet_stories`."""

from __future__ import annotations

from itertools import chain
from pathlib import Path

import pytest
from tests.cli.conftest import Command
from tests.situations.sheet_checks import check_no_sheet, check_played
from tests.situations.sheet_shops import check_in_shop
from tests.situations.sheet_stories import UNITS, Story, job_of, play, read_stories

from pinseal.sheets.gates import GATE_CODES
from pinseal.sheets.load import held_procedures

STORIES = dict(read_stories())
# What each row of findings and forced actions comes to here: the rows of 19 CCR Table 4, NFPA 10 7.2.3, 46 CFR 107.235, 29 CFR 1910.157(f).
FORCED = {
    "not-in-place", "blocked", "hidden", "seal-broken", "seen-damaged", "disposable-deficient", "disposable-halogenated-deficient",
    "shell-damaged", "shell-repaired", "lug-broken", "paint-damaged", "plate-illegible", "plate-loose", "pitting-under-plate",
    "nozzle-damaged", "nozzle-blocked", "horn-cracked", "hose-cut", "hose-blocked", "hose-does-not-conduct", "pin-damaged", "pin-missing",
    "gauge-damaged", "gauge-wrong", "seal-broken-weighed", "weight-low", "powder-caked", "leak", "leak-not-cured", "test-overdue",
    "shell-burned", "calcium-chloride-in-stainless", "test-failed", "expansion-over-limit", "twelve-years-old", "obsolete-type",
    "powder-in-nozzle", "lever-stiff", "charge-low", "charge-high", "gas-loss", "cartridge-pierced", "cartridge-low", "agent-wrong",
    "agent-unaccounted", "blocked-and-pressurised", "overcharged", "no-cover", "not-done", "hose-test-failed",
}  # fmt: skip


@pytest.mark.parametrize("name", STORIES)
def test_story(name: str) -> None:
    story: Story = STORIES[name]
    if "no_sheet" in story:
        check_no_sheet(story)
    else:
        check_played(play(story))


@pytest.mark.parametrize("name", [name for name, story in STORIES.items() if story.get("shop")])
def test_the_same_through_the_command_on_a_shop(name: str, pinseal: Command, tmp_path: Path) -> None:
    check_in_shop(play(STORIES[name]), pinseal, tmp_path / "shop.pinseal")


def test_every_gate_is_shut_in_some_story() -> None:
    told = "; ".join(
        words
        for story in STORIES.values()
        for words in chain(
            *(each["refused"] for each in story.get("entries", ()) if isinstance(each, dict) and "refused" in each),
            *story.get("shut", {}).values(),
        )
    )
    assert [code for code in GATE_CODES if code not in told] == []


def test_every_forced_action_and_every_kind_of_unit_has_a_story() -> None:
    found = set(chain(*(story.get("findings", {}) for story in STORIES.values())))
    assert FORCED - found == set()
    plain = [{"unit": unit, "on": "2026-05-04", "works": ["inspection"]} for unit in UNITS]
    used = {story["unit"] for story in STORIES.values()}
    assert set(UNITS) - used == set()
    assert {job_of(each).type.id for each in plain} == {each.id for each in held_procedures().types}
