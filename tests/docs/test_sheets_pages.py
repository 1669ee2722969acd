"""The pages of the job sheets say what the engine does: every step and finding is there, and the shapes are the real ones."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from tests.cli.conftest import Command

from pinseal.sheets.entries import read_entry
from pinseal.sheets.gates import GATE_CODES, OVERRIDABLE
from pinseal.sheets.load import held_procedures

DOCS = Path(__file__).resolve().parent.parent.parent / "docs"
HELD = held_procedures()
_PLATE = {
    "agent": "abc",
    "expelled-by": "stored-pressure",
    "shell": "mild-steel",
    "wheeled": "no",
    "rechargeable": "yes",
    "hose": "none",
    "size": "10 lb",
    "service-pressure": "195 psi",
    "gross-weight": "17 lb 8 oz",
    "manufactured": "2022-05",
}


def _page(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


def _section(page: str, head: str) -> str:
    found = re.search(rf"^## {re.escape(head)}$(.*?)(?=^## |\Z)", page, re.MULTILINE | re.DOTALL)
    assert found, f"there is a section {head}"
    return found[1]


@pytest.mark.parametrize("kind", HELD.types, ids=lambda kind: kind.id)
def test_every_step_that_a_kind_can_be_asked_for_is_on_its_page_once(kind) -> None:
    page = _page(f"procedures/{kind.id}.md")
    told = re.findall(r"^`([a-z0-9-]+)`; ", page, re.MULTILINE)
    wanted = [step.id for step in HELD.steps if kind.id in step.types and set(step.works) - kind.does_not_apply.keys()]
    assert told == wanted


@pytest.mark.parametrize("kind", HELD.types, ids=lambda kind: kind.id)
def test_a_step_that_nobody_read_in_its_document_is_listed_as_such_and_one_that_was_read_is_not(kind) -> None:
    listed = _section(_page(f"procedures/{kind.id}.md"), "Only remembered or second-hand")
    for step in HELD.steps:
        if kind.id in step.types and set(step.works) - kind.does_not_apply.keys():
            assert (f"(`{step.id}`)" in listed) == (step.source.checked in ("second-hand", "memory", "unsure"))


def test_every_finding_stands_on_its_page_under_what_it_forces() -> None:
    page = _page("findings.md")
    for finding in HELD.findings.values():
        assert page.count(f"**{finding.title}** `{finding.id}`") == 1


def test_every_gate_says_whether_a_supervisor_may_override_it() -> None:
    rows = {row.split("`")[1]: row for row in _section(_page("gates.md"), "Each gate").splitlines() if row.startswith("| `")}
    assert set(rows) == {*GATE_CODES, "is-blocked"}
    for gate, row in rows.items():
        assert ("| a supervisor |" in row) == (gate in OVERRIDABLE)


def test_every_form_of_an_entry_in_the_contract_is_taken() -> None:
    lines = re.findall(r"^\{.*\}$", _section(_page("contract.md"), "Job sheets"), re.MULTILINE)
    assert [read_entry(json.loads(line)).kind for line in lines] == ["step", "confirm", "fix", "override", "extend", "abandon"]


def test_the_contract_names_every_key_of_a_sheet_and_of_its_steps(pinseal: Command, tmp_path: Path) -> None:
    shop = tmp_path / "shop.pinseal"
    assert pinseal("init", shop, "--packs", "us-osha", "--time-zone", "America/Chicago").code == 0
    fields = [f"--{name}={value}" for name, value in _PLATE.items()]
    assert pinseal("record", "registered", "T-1", "--on", "2026-01-05", "--shop", shop, *fields).code == 0
    sheet = pinseal("sheet", "T-1", "--duties", "recharge", "--shop", shop, "--json").json
    named = set(re.findall(r"`([^`]+)`", _section(_page("contract.md"), "Job sheets")))
    named |= {word.strip() for each in named for word in each.split(",")}
    limits = [limit for step in sheet["steps"] for found in step["limits"].values() for limit in found]
    wants = [want for step in sheet["steps"] for want in step["wants"].values()]
    for made in (
        [sheet],
        sheet["steps"],
        sheet["outcome_rules"],
        limits,
        wants,
        [gate for step in sheet["steps"] for gate in step["gate"]],
    ):
        assert made
        assert {key for each in made for key in each} <= named
