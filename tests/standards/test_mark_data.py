"""The files of mark forms and stocks: what is shipped can be read, and what is wrong is refused in words that help."""

from __future__ import annotations

import copy
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from pinseal.reasons import Refusal
from pinseal.standards.marks import MarkForm, form_named, mark_forms, parse_mark_form, whole_form
from pinseal.standards.stocks import parse_stocks, shipped_stocks, stock_named

FORM: dict[str, Any] = {
    "id": "xx",
    "title": "Invented",
    "source": [
        {
            "id": "law", "document": "Law", "edition": "2020", "clause": "4", "checked": "public copy", "checked_on": date(2026, 11, 28),
            "in_force_from": date(2020, 1, 1), "in_force_to": "open",
        }
    ],
    "signer": {"papers": ["licence"], "places": [], "source": "law"},
    "mark": [{"mark": "tag", "source": "law", "fields": {"serial": "4.2", "month-year": ""}, "width_in": ["2 1/2", "3"], "years": [1, 5]}],
}  # fmt: skip
STOCK: dict[str, Any] = {
    "id": "s", "title": "S", "feed": "sheet", "cell_width": 60, "cell_height": 30, "page_width": 210, "page_height": 297, "columns": 3,
    "rows": 2, "left": 5, "top": 5, "pitch_x": 65, "pitch_y": 32,
}  # fmt: skip


def _form(change: Callable[[dict[str, Any]], object] = lambda _: None) -> MarkForm:
    tables = copy.deepcopy(FORM)
    change(tables)
    return parse_mark_form(tables, file="xx.toml")


def test_a_field_has_its_own_clause_and_else_that_of_its_mark() -> None:
    rule = _form().marks["tag"]
    assert [(each.what, each.source.clause) for each in rule.fields] == [("serial", "4.2"), ("month-year", "4")]
    assert rule.width_mm == (Fraction("63.5"), Fraction("76.2"))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda t: t.pop("title"), "title is missing"),
        (lambda t: t.pop("signer"), "every form says who may sign"),
        (lambda t: t["signer"].update(papers=[]), "papers is empty"),
        (lambda t: t["signer"].update(source="rumour"), "unknown source of this file .got rumour"),
        (lambda t: t.update(colour="red"), "wrong key .got colour"),
        (lambda t: t["mark"].append(t["mark"][0]), "a mark stands twice .got tag"),
        (lambda t: t["mark"][0].update(mark="medal"), "unknown mark .got medal"),
        (lambda t: t["mark"][0].update(source="rumour"), "unknown source of this file"),
        (lambda t: t["mark"][0]["fields"].update(shoe="4"), "unknown field .got shoe"),
        (lambda t: t["mark"][0].update(fields=["serial"]), "fields is no table of clauses"),
        (lambda t: t["mark"][0].update(punched=["work"]), "unknown field of this mark .got work"),
        (lambda t: t["mark"][0].update(not_colours=["beige"]), "unknown colour .got beige"),
        (lambda t: t["mark"][0].update(made_by="elves"), "unknown maker .got elves"),
        (lambda t: t["mark"][0].update(grid="spiral"), "unknown grid .got spiral"),
        (lambda t: t["mark"][0].update(width_in=["3", "2"]), "width_in is no size"),
        (lambda t: t["mark"][0].update(width_in=["wide", "3"]), "width_in is no size"),
        (lambda t: t["mark"][0].update(width_in=["0", "3"]), "width_in is no size"),
        (lambda t: t["mark"][0].update(width_in=[2.5, 3.0]), "a size is two texts"),
        (lambda t: t["mark"][0].update(years=[5, 1]), "years is no span"),
        (lambda t: t["mark"][0].update(years=[True, 5]), "years is no span"),
        (lambda t: t["mark"][0].update(years=[1, 11]), "years is no span"),
        (lambda t: t["source"][0].update(checked="hearsay"), "unknown way of checking .got hearsay"),
        (lambda t: t["source"][0].pop("in_force_from"), "in_force_from is not a date"),
        (lambda t: t["source"][0].update(page=3), "wrong key .got page"),
    ],
)
def test_a_wrong_form_is_refused(change: Callable[[dict[str, Any]], object], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        _form(change)


def test_a_form_is_based_on_one_that_is_there_and_stands_alone() -> None:
    with pytest.raises(Refusal, match=r"unknown form .got nowhere"):
        whole_form(_form(lambda t: t.update(based_on="nowhere")), {})
    held = {"us-fl": mark_forms()["us-fl"]}
    with pytest.raises(Refusal, match=r"unknown form .got us-fl"):
        whole_form(_form(lambda t: t.update(based_on="us-fl")), held)


def test_a_state_form_takes_the_marks_that_it_does_not_rule_from_the_general_one() -> None:
    texas = mark_forms()["us-tx"]
    assert texas.marks["tag"].form == "us-tx"
    assert texas.marks["collar"].form == "us"


def test_an_unknown_form_is_refused_with_those_held() -> None:
    with pytest.raises(Refusal, match="the forms held are au, int, us-ca") as refused:
        form_named("us-zz")
    assert "`int` prints a plain mark" in refused.value.do


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"feed": "pigeon"}, "unknown feed .got pigeon"),
        ({"cell_width": 0}, "cell_width is missing"),
        ({"cell_width": "60"}, "cell_width is not a number"),
        ({"left": float("inf")}, "left is no length"),
        ({"columns": 0}, "columns is no count"),
        ({"rows": 2.5}, "rows is no count"),
        ({"rows": 61}, "rows is no count"),
        ({"marks": ["medal"]}, "unknown mark .got medal"),
        ({"forms": ["us-zz"]}, "unknown form of marks .got us-zz"),
        ({"colour": "puce"}, "unknown colour .got puce"),
        ({"left": 30}, "the cells reach beyond the page to the right .got 220 mm"),
        ({"top": 240}, "the cells reach beyond the page down"),
        ({"pitch_x": 50}, "cells lie on each other"),
        ({"pitch_y": 29}, "cells lie on each other"),
        ({"ring_inner": 30}, "the ring has no rim"),
        ({"gloss": True}, "wrong key .got gloss"),
        ({"title": ""}, "title is missing"),
    ],
)
def test_a_wrong_stock_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        parse_stocks({"stock": [{**STOCK, **change}]}, file="own.toml")


def test_a_stock_that_just_fits_its_page_is_taken() -> None:
    made = parse_stocks({"stock": [{**STOCK, "left": 20, "columns": 3, "pitch_x": 65}]}, file="own.toml")["s"]
    assert made.left + 2 * made.pitch_x + made.cell_width == made.page_width


def test_two_stocks_of_one_name_are_refused() -> None:
    with pytest.raises(Refusal, match="stands twice"):
        parse_stocks({"stock": [STOCK, STOCK]}, file="own.toml")


def test_a_shops_own_stock_is_read_from_its_file(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text('[[stock]]\nid = "own"\ntitle = "Ours"\nfeed = "card"\ncell_width = 70\ncell_height = 140\ncolour = "buff"\n')
    assert stock_named(str(own)).page_height == 140
    own.write_text("")
    with pytest.raises(Refusal, match=r"does not hold one stock .got 0 in"):
        stock_named(str(own))
    with pytest.raises(Refusal, match="the file is not there"):
        stock_named(str(tmp_path / "gone.toml"))


def test_an_unknown_stock_is_refused_with_those_held() -> None:
    with pytest.raises(Refusal, match="a stock is one of tag-card"):
        stock_named("vellum")


def test_every_shipped_stock_holds_the_size_that_its_title_says() -> None:
    for stock in shipped_stocks().values():
        assert stock.cells >= 1
        assert stock.marks, "a shipped stock is made for something"
