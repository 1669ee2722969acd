"""The rules of marks against what the regulations say, field by field; and what a shop may not print at all."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from pinseal.reasons import Refusal
from pinseal.rules.marks import rule_of, why_wrong_stock, years_on
from pinseal.standards.marks import form_named, mark_forms
from pinseal.standards.stocks import Stock

VALUES = tomllib.loads((Path(__file__).parent / "marks.toml").read_text(encoding="utf-8"))
MARKS = VALUES["mark"]
NAMES = [f"{each['form']} {each['mark']}" for each in MARKS]


def _stock(width: float, height: float, colour: str = "white") -> Stock:
    return Stock(
        id="own", title="own", feed="card", cell_width=width, cell_height=height, page_width=width, page_height=height, colour=colour
    )


def _rule(said: dict[str, Any]) -> Any:
    return rule_of(form_named(said["form"]), said["mark"])


@pytest.mark.parametrize("said", MARKS, ids=NAMES)
def test_a_mark_asks_for_just_the_fields_of_its_regulation(said: dict[str, Any]) -> None:
    rule = _rule(said)
    assert {each.what for each in rule.fields} == set(said["fields"])
    assert [each.what for each in rule.texts] == said["words"]


@pytest.mark.parametrize("said", MARKS, ids=NAMES)
def test_what_is_punched_is_what_the_regulation_says(said: dict[str, Any]) -> None:
    assert set(_rule(said).punched) == set(said["punched"])


@pytest.mark.parametrize(
    "said", [each for each in MARKS if each["width_in"]], ids=[n for n, e in zip(NAMES, MARKS, strict=True) if e["width_in"]]
)
def test_a_size_is_right_up_to_its_edge_and_wrong_beyond(said: dict[str, Any]) -> None:
    rule = _rule(said)
    wide, high = ([each * 25.4 for each in said[f"{side}_in"]] for side in ("width", "height"))
    for width in wide:
        assert not why_wrong_stock(rule, _stock(width, high[0]))
    for height in high:
        assert not why_wrong_stock(rule, _stock(wide[0], height))
    assert why_wrong_stock(rule, _stock(wide[0] - 0.2, high[0]))
    assert why_wrong_stock(rule, _stock(wide[0], high[0] - 0.2))
    if len(wide) == 2:
        assert why_wrong_stock(rule, _stock(wide[1] + 0.2, high[1]))
        assert why_wrong_stock(rule, _stock(wide[1], high[1] + 0.2))
    else:
        assert not why_wrong_stock(rule, _stock(wide[0] * 2, high[0] * 2))


@pytest.mark.parametrize("said", MARKS, ids=NAMES)
def test_the_forbidden_colours_are_those_of_the_regulation_and_no_other(said: dict[str, Any]) -> None:
    rule = _rule(said)
    size = [((said[f"{side}_in"] or [4.0])[0]) * 25.4 for side in ("width", "height")]
    wrong = [
        colour for colour in ("red", "yellow", "blue", "green", "white") if "must not be" in why_wrong_stock(rule, _stock(*size, colour))
    ]
    assert sorted(wrong) == sorted(said["not_colours"])


@pytest.mark.parametrize(
    "said", [each for each in MARKS if each["years"]], ids=[n for n, e in zip(NAMES, MARKS, strict=True) if e["years"]]
)
def test_a_mark_is_made_out_for_the_years_allowed_and_for_no_more(said: dict[str, Any]) -> None:
    rule, (low, high) = _rule(said), said["years"]
    assert [years_on(rule, low), years_on(rule, high)] == [low, high]
    for wrong in (low - 1, high + 1):
        with pytest.raises(Refusal, match="not made out for so many years"):
            years_on(rule, wrong)


@pytest.mark.parametrize("said", VALUES["absent"], ids=[each["form"] for each in VALUES["absent"]])
def test_a_form_that_a_shop_may_not_print_is_refused(said: dict[str, str]) -> None:
    assert mark_forms()[said["form"]].marks[said["mark"]].made_by == said["made_by"]
    with pytest.raises(Refusal, match="is not printed here"):
        _rule(said)


@pytest.mark.parametrize("said", VALUES["no_mark"], ids=[each["mark"] for each in VALUES["no_mark"]])
def test_a_mark_that_a_jurisdiction_does_not_know_is_refused(said: dict[str, str]) -> None:
    with pytest.raises(Refusal, match="the form au has no"):
        _rule(said)


def test_a_tag_of_illinois_for_several_years_is_refused() -> None:
    """41 Ill. Adm. Code 251.300, as summarised: a tag for several years is cited."""
    with pytest.raises(Refusal, match="1 year"):
        years_on(rule_of(form_named("us-il"), "tag"), 2)


def test_every_rule_names_a_source_and_what_was_only_remembered_is_marked() -> None:
    for form in mark_forms().values():
        for rule in form.marks.values():
            assert rule.source.document and rule.source.clause
            assert all(each.source.checked for each in (*rule.fields, *rule.texts))
    assert mark_forms()["us"].marks["test-label"].source.checked == "memory"
