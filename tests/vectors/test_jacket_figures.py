"""The cases that the live figures are held to are those of the real judge today, and they hold every word."""

from __future__ import annotations

import json

from jacket_cases import FILE, made


def test_the_kept_cases_are_what_the_judge_says_today():
    kept = json.loads(FILE.read_text(encoding="utf-8"))
    assert json.loads(json.dumps(made())) == kept, "write them anew: python tests/vectors/jacket_cases.py"


def test_every_word_of_the_page_has_a_case_on_both_sides_of_its_border():
    kept = json.loads(FILE.read_text(encoding="utf-8"))
    assert {case["word"] for case in kept["jacket"]} == {"within", "over", "elastic-over", "below-zero", "no-total", "exchanged"}
    at_ten = {case["permanent"]: case["word"] for case in kept["jacket"] if case["total"] == "180" and case["limit"] == "10"}
    assert at_ten == {"18": "within", "18.000001": "over"}
    assert {case["enough"] for case in kept["pressure"]} == {True, False}
    assert {case["word"] for case in kept["daily"]} == {"within", "over"}
