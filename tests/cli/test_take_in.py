"""`pinseal take-in`: a phone's file of unsent work, at the shop's machine."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.cli.conftest import NOW, Command

from pinseal.records.record import uuid7


@pytest.fixture
def file(pinseal: Command, shop: Path, tmp_path: Path) -> Path:
    unit = pinseal("history", "T-1", "--json").json["unit"]["uid"]
    drafts = [
        {
            "uid": uuid7(at=NOW, randomness=b"invented", sequence=number),
            "kind": kind,
            "unit": unit,
            "done": "2026-11-24",
            "fields": fields,
            "person": "B. Tide (invented)",
        }
        for number, (kind, fields) in enumerate((("noted", {"note": "seen"}), ("polished", {})))
    ]
    path = tmp_path / "pinseal-unsent.json"
    path.write_text(json.dumps({"device": "phone-0001", "drafts": drafts, "sheets": [], "photos": []}), encoding="utf-8")
    return path


def test_it_keeps_what_is_right_names_what_is_not_and_ends_with_2(pinseal: Command, file: Path) -> None:
    ran = pinseal("take-in", file, "--person", "A. Quay")
    assert ran.code == 2
    assert "fact           1 kept, 0 known already, 1 not taken" in ran.out
    assert "there is no such kind of record" in ran.out
    assert "1 of 2 items were not taken" in ran.err
    told = pinseal("history", "T-1")
    assert "seen" in told.out and "B. Tide (invented)" in told.out


def test_again_it_changes_nothing(pinseal: Command, file: Path) -> None:
    pinseal("take-in", file)
    again = pinseal("take-in", file, "--json").json
    assert again["counts"]["fact"] == {"kept": 0, "known": 1, "refused": 1}
    assert again["refused"][0]["subject"] == "polished"


def test_a_file_without_trouble_ends_with_0(pinseal: Command, file: Path) -> None:
    said = json.loads(file.read_text(encoding="utf-8"))
    file.write_text(json.dumps(said | {"drafts": said["drafts"][:1]}), encoding="utf-8")
    assert pinseal("take-in", file).code == 0


def test_no_file_and_another_file_are_said_in_words(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    assert "no such file" in pinseal("take-in", tmp_path / "none.json").err
    other = tmp_path / "list.csv"
    other.write_text("Number,Type\n", encoding="utf-8")
    ran = pinseal("take-in", other)
    assert ran.code == 2 and "cannot be read" in ran.err
