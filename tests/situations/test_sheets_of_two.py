"""Several sheets of one shop at once: both are kept, neither locks the other out, no loaner hangs twice. All names are invented."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from tests.cli.conftest import Command, FixedApp
from tests.situations.sheet_shops import make_shop, ok
from tests.situations.sheet_stories import Story, play, registered

from pinseal.reasons import Refusal
from pinseal.service.sheet_shapes import OpenedSheet, SheetAsked
from pinseal.sheets.entries import read_entry

ANN, BOB = "Ann Reed (invented)", "Bob Lake (invented)"
GOOD: Story = {"unit": "powder", "on": "2026-05-04", "works": ["maintenance"], "entries": ["good"], "outcome": "tag"}


@pytest.fixture
def shop(pinseal: Command, tmp_path: Path) -> Path:
    path = tmp_path / "shop.pinseal"
    make_shop({**GOOD, "loaners": [{"id": "L-1", "like": "powder"}]}, pinseal, path)
    return path


def begin(app: FixedApp, shop: Path, person: str) -> OpenedSheet:
    asked = SheetAsked(unit="U-1", works=["maintenance"], on=date(2026, 5, 4))
    return app.begin_or_resume(shop, asked, person=person, writer=person.split()[0].lower())


def enter(app: FixedApp, shop: Path, sheet: OpenedSheet, person: str, entries: list[dict[str, object]]) -> OpenedSheet:
    for entry in entries:
        sheet, _ = app.enter(shop, sheet, read_entry({**entry, "person": person}), person=person)
    return sheet


def test_each_sheet_names_the_other_and_keeps_its_own_entries(shop: Path) -> None:
    app = FixedApp()
    ann, bob = begin(app, shop, ANN), begin(app, shop, BOB)
    assert ann.uid != bob.uid
    assert ann.others == ()
    assert len(bob.others) == 1 and bob.others[0].startswith(f"{ANN} has a sheet open for this unit since 2026-05-04")
    enter(app, shop, ann, ANN, [{"step": "hose-outside", "answer": "cut"}])
    again_ann, again_bob = app.resume(shop, ann.uid), app.resume(shop, bob.uid)
    assert [found.finding for found in again_ann.work.findings] == ["hose-cut"]
    assert again_bob.work.findings == [] and again_bob.work.entries == []
    assert begin_again(app, shop, ANN).uid == ann.uid


def begin_again(app: FixedApp, shop: Path, person: str) -> OpenedSheet:
    return app.begin_or_resume(shop, SheetAsked(unit="U-1"), person=person, writer="x")


def test_both_sheets_close_and_both_are_on_record(shop: Path, pinseal: Command) -> None:
    app, said = FixedApp(), play(GOOD).said
    for person in (ANN, BOB):
        sheet = begin(app, shop, person)
        sheet = enter(app, shop, sheet, person, said)
        closed = app.close_sheet(shop, sheet, person=person, writer=person.split()[0].lower())
        assert closed.closed.outcome == "tag"
    kept = app.kept_sheets(shop, unit="U-1", only_open=False)
    assert sorted(each.person for each in kept) == [ANN, BOB]
    assert app.kept_sheets(shop, unit="U-1", only_open=True) == []
    told = ok(pinseal("history", "U-1", "--shop", shop)).out
    assert told.count("outcome tag, duties inspection, maintenance") == 2
    assert ok(pinseal("verify", "--shop", shop)).code == 0


def test_a_closed_sheet_takes_nothing_more(shop: Path) -> None:
    app, said = FixedApp(), play(GOOD).said
    sheet = enter(app, shop, begin(app, shop, ANN), ANN, said)
    app.close_sheet(shop, sheet, person=ANN, writer="ann")
    with pytest.raises(Refusal):
        app.finish(shop, None, sheet_uid=sheet.uid, entries=[read_entry(said[0])], person=ANN, writer="ann")
    with pytest.raises(Refusal):
        app.enter(shop, sheet, read_entry({"step": "hose-outside", "answer": "cut"}), person=ANN)
    with pytest.raises(Refusal):
        app.close_sheet(shop, sheet, person=ANN, writer="ann")


def test_what_one_condemned_the_other_can_still_abandon(shop: Path) -> None:
    app = FixedApp()
    ann, bob = begin(app, shop, ANN), begin(app, shop, BOB)
    story: Story = {
        **GOOD,
        "loaners": [{"id": "L-1", "like": "powder"}],
        "entries": [{"say": "shell-past: burned", "now": True}, "stand-in-there: stands; loaner=L-1",
                    "owner-told: told; told=the owner; proof=photo 4", "taken-away: gone; where=scrap"],
        "outcome": "condemn",
    }  # fmt: skip
    bob = enter(app, shop, bob, BOB, play(story).said)
    assert app.close_sheet(shop, bob, person=BOB, writer="bob").closed.outcome == "condemn"
    again = enter(app, shop, app.resume(shop, ann.uid), ANN, [{"abandon": "Bob condemned it", "left": "gone to scrap"}])
    assert app.close_sheet(shop, again, person=ANN, writer="ann").closed.outcome == "abandoned"
    assert app.kept_sheets(shop, unit=None, only_open=True) == []


def stands(app: FixedApp, shop: Path, sheet: OpenedSheet, loaner: str) -> str:
    """The verdict on a unit that is said to stand in."""
    _, judged = app.enter(
        shop, sheet, read_entry({"step": "stand-in-there", "answer": "stands", "readings": {"loaner": loaner}}), person=BOB
    )
    assert judged is not None
    return judged.verdict


def test_a_unit_does_not_stand_in_for_itself(shop: Path) -> None:
    app = FixedApp()
    assert stands(app, shop, begin(app, shop, BOB), "L-1") == "pass"
    assert stands(app, shop, begin_again(app, shop, BOB), "U-1") == "fail"


def test_a_loaner_that_hangs_for_one_unit_does_not_hang_for_another(shop: Path, pinseal: Command) -> None:
    app = FixedApp()
    own = {name: text for name, text in registered(GOOD).items() if name not in ("id", "serial")}
    ok(
        pinseal(
            "record", "registered", "U-2", "--on", "2026-01-05", "--serial=S 2", *(f"--{n}={t}" for n, t in own.items()), "--shop", shop
        )
    )
    story: Story = {
        **GOOD,
        "loaners": [{"id": "L-1", "like": "powder"}],
        "entries": ["gross-weight: read; gross=16 lb", "leave; loaner=L-1"],
    }
    sheet = enter(app, shop, begin(app, shop, ANN), ANN, play({**story, "outcome": "recharge"}).said)
    assert app.close_sheet(shop, sheet, person=ANN, writer="ann").closed.outcome == "recharge"
    other = app.begin_or_resume(shop, SheetAsked(unit="U-2", works=["maintenance"], on=date(2026, 5, 4)), person=BOB, writer="bob")
    assert stands(app, shop, other, "L-1") == "fail"


def test_the_missing_fact_is_recorded_while_the_sheet_is_open_and_settles_it(tmp_path: Path, pinseal: Command) -> None:
    app, path = FixedApp(), tmp_path / "bare.pinseal"
    make_shop({**GOOD, "but": {"service-pressure": "not said"}}, pinseal, path)
    reading = {"step": "gauge-reading", "answer": "read", "readings": {"gauge": "195 psi", "temperature": "70 F"}}
    sheet = enter(app, path, begin(app, path, ANN), ANN, [reading])
    assert [found.finding for found in sheet.work.open_stops()] == ["not-judged"]
    ok(pinseal("record", "registered", "U-1", "--on", "2026-05-04", "--service-pressure=195 psi", "--shop", path))
    again = app.resume(path, sheet.uid)
    assert again.work.open_stops() == []
    assert again.work.judgements["gauge-reading"].verdict == "pass"


def test_a_sheet_is_not_extended_after_its_tag_and_says_so(shop: Path) -> None:
    app = FixedApp()
    sheet = enter(app, shop, begin(app, shop, ANN), ANN, play(GOOD).said)
    with pytest.raises(Refusal, match="cannot be extended") as refused:
        app.enter(shop, sheet, read_entry({"extend": "recharge"}), person=ANN)
    assert "begin" in refused.value.do
    assert app.close_sheet(shop, app.resume(shop, sheet.uid), person=ANN, writer="ann").closed.outcome == "tag"
