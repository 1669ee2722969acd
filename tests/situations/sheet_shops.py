"""The same story through the command on a shop file: registered, its sheet printed, the answers run in one go, the dues asked again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.cli.conftest import Command, Ran
from tests.situations.sheet_checks import check_fields
from tests.situations.sheet_stories import PERSON, Played, Story, history, loaner_fields, people_said


def ok(ran: Ran) -> Ran:
    assert ran.code == 0, ran.err or ran.out
    return ran


def _options(fields: Mapping[str, str]) -> list[str]:
    return [f"--{name}={text}" for name, text in fields.items()]


def make_shop(story: Story, pinseal: Command, path: Path) -> None:
    """A shop with the unit, its history, and the registers of the story."""
    ok(pinseal("init", path, "--packs", story.get("packs", "us-osha,us-nfpa10"), "--time-zone", "America/Chicago"))
    shop = ("--shop", path)
    for kind, done, fields in history(story):
        own = {name: text for name, text in fields.items() if name != "id"}
        ok(pinseal("record", kind, "U-1", "--on", done, *_options(own), *shop))
    for said in story.get("loaners", ()):
        own = {name: text for name, text in loaner_fields(said).items() if name != "id"}
        ok(pinseal("record", "registered", said["id"], "--on", "2026-01-05", *_options(own), *shop))
    for said in story.get("instruments", ()):
        known = {
            name.replace("_", "-"): said[name]
            for name in ("what", "range", "resolution", "uncertainty", "accuracy_percent")
            if name in said
        }
        ok(pinseal("instruments", "add", said["id"], "--on", "2020-01-02", *_options(known), *shop))
        for day in said.get("checked", ()):
            ok(pinseal("instruments", "check", said["id"], "--result", "good", "--on", day, *shop))
    for said in people_said(story):
        ok(pinseal("people", "add", said["name"], "--role", said["role"], "--on", "2020-01-02", *shop))
        for each in said.get("papers", ()):
            ok(pinseal("people", "paper", said["name"], "--paper", "licence", "--on", "2020-01-03", *_options(each), *shop))


def sheet_file(story: Story, pinseal: Command, path: Path) -> Path:
    """The sheet as it is printed in JSON, in a file beside the shop."""
    duties = ("--duties", ",".join(story["works"])) if "works" in story else ()
    printed = ok(pinseal("sheet", "U-1", *duties, "--on", story["on"], "--json", "--shop", path))
    target = path.with_suffix(".sheet.json")
    target.write_text(printed.out, encoding="utf-8")
    return target


def finish(played: Played, pinseal: Command, path: Path, *more: str) -> Ran:
    answers = path.with_suffix(".answers.json")
    answers.write_text(json.dumps({"entries": played.said}), encoding="utf-8")
    sheet = sheet_file(played.story, pinseal, path)
    return pinseal("finish", sheet, "--from", answers, "--person", PERSON, "--shop", path, "--json", *more)


def dues_of(story: Story, pinseal: Command, path: Path) -> dict[str, str]:
    """The first day of each due of the unit, as the shop counts it after the work."""
    rows: list[dict[str, Any]] = ok(pinseal("due", path, "--on", story["on"], "--all", "--json")).json["rows"]
    return {row["duty"]: row["earliest"] for row in rows if row["unit"]["id"] == "U-1"}


def check_in_shop(played: Played, pinseal: Command, path: Path) -> None:
    """The command comes to the same end as the engine did, and the records and dues are as the story says."""
    story, closed = played.story, played.closed
    assert closed is not None, "a story in a shop has an end"
    make_shop(story, pinseal, path)
    dry = ok(finish(played, pinseal, path, "--dry-run")).json
    assert (dry["written"], dry["outcome"]["code"]) == (False, closed.outcome)
    done = ok(finish(played, pinseal, path)).json
    assert (done["written"], done["outcome"]["code"], done["state"]) == (True, closed.outcome, closed.state_words)
    assert {each["step"]: each["verdict"] for each in done["verdicts"]} == {k: v.verdict for k, v in played.work.judgements.items()}
    assert [each["finding"] for each in done["deficiencies"]] == [found.finding for found in played.work.findings]
    assert [each["kind"] for each in done["records"]] == [made.kind for made in closed.made]
    flat = [{"kind": each["kind"], **each["fields"]} for each in done["records"]]
    for said in story.get("fields", ()):
        check_fields(said, flat)
    found = dues_of(story, pinseal, path) if "dues" in story else {}
    for duty, day in story.get("dues", {}).items():
        assert found.get(duty, "no row") == day, f"{duty}: said {day}, got {found.get(duty, 'no row')}"
    assert ok(pinseal("verify", "--shop", path)).code == 0
