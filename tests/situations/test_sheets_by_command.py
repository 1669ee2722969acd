"""Job sheets at the command line: an empty form, a wrong entry that writes nothing, a sheet in words. All names are invented."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.cli.conftest import Command
from tests.situations.sheet_shops import finish, make_shop, ok
from tests.situations.sheet_stories import Story, play

GOOD: Story = {"unit": "powder", "on": "2026-05-04", "works": ["maintenance"], "entries": ["good"], "outcome": "tag"}


@pytest.fixture
def shop(pinseal: Command, tmp_path: Path) -> Path:
    path = tmp_path / "shop.pinseal"
    make_shop(GOOD, pinseal, path)
    return path


def records(pinseal: Command, shop: Path) -> int:
    return int(ok(pinseal("verify", "--json", "--shop", shop)).json["records"])


def run(pinseal: Command, shop: Path, entries: list[dict[str, Any]], *more: str) -> Any:
    answers = shop.with_suffix(".answers.json")
    answers.write_text(json.dumps({"entries": entries}), encoding="utf-8")
    return pinseal("finish", "U-1", "--duties", "maintenance", "--on", "2026-05-04", "--from", answers, "--shop", shop, *more)


def test_the_printed_sheet_says_what_to_do_in_order_with_limits_and_sources(shop: Path, pinseal: Command) -> None:
    told = ok(pinseal("sheet", "U-1", "--duties", "maintenance", "--on", "2026-05-04", "--shop", shop)).out
    order = [told.index(title) for title in ("AT THE PLACE", "OUTSIDE", "WEIGHT AND PRESSURE", "MARKS", "RETURN", "TAKING IT AWAY")]
    assert order == sorted(order)
    assert "16.75 lb" in told and "17.25 lb" in told
    assert "Pressurised vessels can kill." in told


def test_an_empty_form_is_not_taken_for_an_answer(shop: Path, pinseal: Command, tmp_path: Path) -> None:
    form = tmp_path / "form.json"
    ok(pinseal("sheet", "U-1", "--duties", "maintenance", "--on", "2026-05-04", "--form", form, "--shop", shop))
    before = records(pinseal, shop)
    refused = pinseal("finish", "U-1", "--duties", "maintenance", "--on", "2026-05-04", "--from", form, "--shop", shop)
    assert (refused.code, "is not filled in" in refused.err) == (2, True)
    again = pinseal("sheet", "U-1", "--duties", "maintenance", "--form", form, "--shop", shop)
    assert (again.code, "there is a file of that name" in again.err) == (2, True)
    assert records(pinseal, shop) == before


def test_a_filled_form_is_run_in_one_go(shop: Path, pinseal: Command, tmp_path: Path) -> None:
    form = tmp_path / "form.json"
    ok(pinseal("sheet", "U-1", "--duties", "maintenance", "--on", "2026-05-04", "--form", form, "--shop", shop))
    filled = json.loads(form.read_text(encoding="utf-8"))
    said = {each["step"]: each for each in play(GOOD).said}
    for entry in filled["entries"]:
        entry["answer"] = said[entry["step"]]["answer"]
        for name in entry.get("readings", {}):
            entry["readings"][name] = said[entry["step"]].get("readings", {}).get(name)
    form.write_text(json.dumps(filled), encoding="utf-8")
    done = pinseal("finish", "U-1", "--duties", "maintenance", "--on", "2026-05-04", "--from", form, "--shop", shop, "--json")
    assert ok(done).json["outcome"]["code"] == "tag"


@pytest.mark.parametrize(
    ("place", "entry", "said"),
    [
        (0, {"step": "valve-off-portable", "answer": "off"}, "entry 1: there is no such step on this sheet"),
        (0, {"step": "at-its-place", "answer": "perhaps"}, "there is no such answer"),
        (0, {"step": "service-tag", "answer": "on"}, "entry 1: Record, then tag: the step is shut"),
        (0, {"confirm": "everything"}, "there is no such confirmation"),
        (0, {"fix": "hose-cut", "how": "new"}, "there is no such open finding"),
        (0, {"step": "at-its-place"}, "is not complete"),
        (0, {"step": "at-its-place", "answer": "there", "colour": "red"}, "has a wrong key"),
        (0, {"step": "gross-weight", "answer": "read"}, "is missing"),
        (0, {"step": "gross-weight", "answer": "read", "readings": {"gross": "17"}}, "cannot be read"),
        (0, {"step": "gross-weight", "answer": "read", "readings": {"gross": "0 lb"}}, "is zero"),
        (0, {"step": "gross-weight", "answer": "read", "readings": {"net": "17 lb"}}, "there is no such reading"),
    ],
)
def test_a_wrong_entry_is_refused_by_its_place_and_nothing_is_written(
    shop: Path,
    pinseal: Command,
    place: int,
    entry: dict[str, Any],
    said: str,
) -> None:
    entries = list(play(GOOD).said)
    before = records(pinseal, shop)
    refused = run(pinseal, shop, [*entries[:place], entry, *entries[place:]])
    assert (refused.code, said in refused.err) == (2, True), refused.err
    assert records(pinseal, shop) == before
    assert ok(pinseal("sheets", "--json", "--shop", shop)).json["sheets"] == []


def test_a_sheet_that_is_not_finished_is_not_closed_and_says_what_is_missing(shop: Path, pinseal: Command) -> None:
    before = records(pinseal, shop)
    refused = run(pinseal, shop, list(play(GOOD).said)[:-3])
    assert (refused.code, "the sheet is not finished" in refused.err, "not answered" in refused.err) == (2, True, True)
    assert records(pinseal, shop) == before


def test_the_same_sheet_is_not_run_twice(shop: Path, pinseal: Command) -> None:
    played = play(GOOD)
    first = ok(finish(played, pinseal, shop)).json
    again = pinseal("finish", first["sheet"], "--from", shop.with_suffix(".answers.json"), "--shop", shop)
    assert (again.code, "this job sheet is closed" in again.err) == (2, True), again.err
    kept = ok(pinseal("sheets", "U-1", "--json", "--shop", shop)).json["sheets"]
    assert len(kept) == 1
    told = ok(pinseal("sheets", "--open", "--shop", shop)).out
    assert first["sheet"] not in told


def test_what_became_of_it_is_told_in_words(shop: Path, pinseal: Command) -> None:
    told = ok(run(pinseal, shop, list(play(GOOD).said))).out
    assert "Decision: tag it" in told
    assert "not more: no recharge: gauge and gross weight passed" in " ".join(told.split())
    assert "maintenance: " in told
