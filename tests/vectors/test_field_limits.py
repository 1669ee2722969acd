"""The cases that the phone is held to are those of the real judges today, and they hold every verdict."""

from __future__ import annotations

import json

from field_cases import FILE, made


def test_the_kept_cases_are_what_the_judges_say_today():
    kept = json.loads(FILE.read_text(encoding="utf-8"))
    assert json.loads(json.dumps(made())) == kept, "write them anew: python tests/vectors/field_cases.py"


def test_every_judge_of_the_phone_has_a_pass_and_something_else():
    kept = json.loads(FILE.read_text(encoding="utf-8"))
    verdicts: dict[str, set[str]] = {}
    for case in kept["cases"].values():
        verdicts.setdefault(kept["limits"][case["limit"]]["by"], set()).add(case["verdict"])
    assert set(verdicts) == {"gauge", "gross-weight", "weight-loss", "cartridge-weight", "regulator"}
    assert verdicts["gauge"] == verdicts["gross-weight"] == verdicts["weight-loss"] == {"pass", "too-close", "fail", "unknown"}
    assert all("pass" in each and len(each) > 1 for each in verdicts.values())
