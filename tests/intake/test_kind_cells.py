"""Cells that say what a unit is, and rows that stand for several."""

from __future__ import annotations

import pytest

from pinseal.intake.counts import read_count
from pinseal.intake.details import expelled_code, shell_code, yes_or_no
from pinseal.intake.kind_cells import Custom, read_kind
from pinseal.intake.legends import read_legends
from pinseal.intake.sizes import is_rating
from pinseal.kinds import AGENTS, EXPELLED_BY, SHELLS

POUNDS = Custom(mass_unit="lb", units={"g": "gal"})


@pytest.mark.parametrize(
    ("cell", "agent", "size"),
    [
        ("5# ABC", "abc", "5 lb"), ("ABC 5", "abc", "5 lb"), ("5LB ABC", "abc", "5 lb"), ("5#ABC", "abc", "5 lb"), ("20# ABC 10A120BC",
        "abc", "20 lb"),
        ("CO2 15", "co2", "15 lb"), ("CO₂ 5 kg", "co2", "5 kg"), ("2 1/2 gal H2O", "water", "2.5 gal"), ("2½# BC", "dry-chemical",
        "2.5 lb"),
        ("water mist 2.5g", "water-mist", "2.5 gal"), ("Wet chem 6L", "wet-chemical", "6 l"), ("6 L K", "wet-chemical", "6 l"),
        ("HALON 1211 14#", "halon-1211", "14 lb"), ("1211", "halon-1211", "None"), ("LS 2.5 g", "loaded-stream", "2.5 gal"), ("AFFF 33g",
        "afff", "33 gal"),
        ("10# PK", "potassium-bicarbonate", "10 lb"), ("clean agent 5# (halocarbon)", "halocarbon", "5 lb"), ("9kg PQS", "dry-chemical",
        "9 kg"),
        ("Polvo ABC 6,5 kg", "abc", "6.5 kg"), ("Nieve carbónica 5 kg", "co2", "5 kg"), ("ABC-Pulver 6 kg", "abc", "6 kg"), ("Wasser 9 l",
        "water", "9 l"),
        ("Fettbrand 6 l", "wet-chemical", "6 l"), ("Poudre ABC 6 kg", "abc", "6 kg"), ("Anidride carbonica kg 5", "co2", "5 kg"),
        ("class D 30# copper", "class-d-copper", "30 lb"), ("D", "class-d", "None"), ("potassium chloride 18 lb", "potassium-chloride",
        "18 lb"),
        ("urea-potassium 17 lb", "urea-potassium-bicarbonate", "17 lb"), ("HFC-227ea 10 lb", "halocarbon-hfc-227ea", "10 lb"),
        ("FK-5-1-12 10 lb", "halocarbon-fk-5-1-12", "10 lb"), ("antifreeze 2.5g", "antifreeze", "2.5 gal"), ("soda-acid 2.5 gal",
        "soda-acid", "2.5 gal"),
        ("2A10BC", "None", "None"), ("Hall", "None", "None"), ("", "None", "None"),
    ],
)  # fmt: skip
def test_agent_and_size_are_read_from_one_cell(cell: str, agent: str, size: str) -> None:
    kind = read_kind(cell, POUNDS)
    assert (str(kind.agent), str(kind.size)) == (agent, size)
    assert kind.agent is None or kind.agent in AGENTS


@pytest.mark.parametrize("code", list(AGENTS))
def test_every_agent_code_reads_as_itself(code: str) -> None:
    assert read_kind(code).agent == code


@pytest.mark.parametrize(
    ("cell", "readings"),
    [
        ("HALON 13#", {"halon-1211", "halon-1301"}),
        ("foam 2.5 gal", {"afff", "fffp", "fluorine-free-foam"}),
        ("espuma 9 l", {"afff", "fffp", "fluorine-free-foam"}),
        ("20# BC", {"sodium-bicarbonate", "potassium-bicarbonate", "urea-potassium-bicarbonate", "potassium-chloride"}),
    ],
)
def test_shorthand_with_several_readings_asks(cell: str, readings: set[str]) -> None:
    kind = read_kind(cell, POUNDS)
    assert kind.agent in (None, "dry-chemical")
    assert [set(ask.readings) for ask in kind.asks] == [readings]


def test_a_bare_number_has_no_unit_until_the_list_says_one() -> None:
    assert read_kind("CO2 15").size is None
    assert [ask.token for ask in read_kind("CO2 15").asks] == ["unit of masses"]
    assert [ask.token for ask in read_kind("water 2.5g").asks] == ["unit g"]


def test_cart_may_be_a_cartridge_or_a_cart() -> None:
    assert read_kind("50# cart. ABC", POUNDS).wheeled is None
    assert [ask.token for ask in read_kind("50# cart. ABC", POUNDS).asks] == ["cart"]
    assert read_kind("125# wheeled ABC").wheeled is True
    assert read_kind("CO2 cartridge water 2.5 gal").expelled_by == "cartridge"


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("SP", "stored-pressure"),
        ("cart.", "cartridge"),
        ("Dauerdruck", "stored-pressure"),
        ("Aufladelöscher", "cartridge"),
        ("presión incorporada", None),
    ],
)
def test_what_drives_a_unit(cell: str, code: str | None) -> None:
    from pinseal.intake.words import plain

    assert expelled_code(plain(cell)) == (code or "stored-pressure")
    assert code is None or code in EXPELLED_BY


@pytest.mark.parametrize(
    ("cell", "code"), [("ss", "stainless-steel"), ("alu", "aluminium"), ("edelstahl", "stainless-steel"), ("stahl", "mild-steel")]
)
def test_shells(cell: str, code: str) -> None:
    assert shell_code(cell) == code
    assert code in SHELLS


@pytest.mark.parametrize(("cell", "said"), [("Y", True), ("x", True), ("✓", True), ("Nein", False), ("H", False), ("maybe", None)])
def test_ticks(cell: str, said: bool | None) -> None:
    assert yes_or_no(cell) is said


@pytest.mark.parametrize("cell", ["2A10BC", "2-A:10-B:C", "10BC", "K", "34A 233B C", "2A C", "13A/89B/C"])
def test_ratings_are_told_from_agents(cell: str) -> None:
    assert is_rating(cell)
    assert not is_rating("ABC")


@pytest.mark.parametrize(
    ("cell", "total", "parts"),
    [
        ("7 x 5# ABC", 7, [(7, "abc", "5 lb")]), ("(2) 10 lb ABC", 2, [(2, "abc", "10 lb")]), ("5# ABC ×14", 14, [(14, "abc", "5 lb")]),
        ("3 - 2.5 gal H2O + 1 K 6L", 4, [(3, "water", "2.5 gal"), (1, "wet-chemical", "6 l")]), ("a dozen 2.5# ABC", 12, [(12, "abc",
        "2.5 lb")]),
        ("4 pcs 5# ABC", 4, [(4, "abc", "5 lb")]), ("H2O 2.5 gal, two of", 2, [(2, "water", "2.5 gal")]), ("K: 2", 2, [(2, "wet-chemical",
        "None")]),
        ("3x 5lb ABC, 1x 10lb ABC", 4, [(3, "abc", "5 lb"), (1, "abc", "10 lb")]), ("5# ABC - 9 each", 9, [(9, "abc", "5 lb")]),
        ("CO2 5# qty 3", 3, [(3, "co2", "5 lb")]), ("5# ABC x 6 (stored in the yard Oct-Apr)", 6, [(6, "abc", "5 lb")]),
        ("2 Stk. ABC-Pulver 6 kg", 2, [(2, "abc", "6 kg")]), ("3 uds CO2 5 kg", 3, [(3, "co2", "5 kg")]), ("6-8 5# ABC", None, [(None,
        "abc", "5 lb")]),
        ("ABC 10# + CO2 5#", 2, [(1, "abc", "10 lb"), (1, "co2", "5 lb")]), ("several 5# ABC", None, [(None, "abc", "5 lb")]),
        ("10 x 5", None, [(None, "None", "None")]),
    ],
)  # fmt: skip
def test_a_row_that_counts_says_how_many_of_what(cell: str, total: int | None, parts: list[tuple[int | None, str, str]]) -> None:
    count = read_count(cell, POUNDS)
    assert count is not None
    assert count.total == total
    assert [(part.count, str(part.kind.agent), str(part.kind.size)) for part in count.parts] == parts


@pytest.mark.parametrize(
    "cell", ["5# ABC", "2 1/2 gal water", "ABC 6,5 kg", "20# ABC 10A120BC", "Agua + AFFF 6 l", "clean agent 5# (halocarbon)", "CO2 15"]
)
def test_one_unit_is_no_count(cell: str) -> None:
    assert read_count(cell, POUNDS) is None


@pytest.mark.parametrize("cell", ["1 x 20# ABC", "one 10# ABC"])
def test_a_row_that_says_one_is_a_unit(cell: str) -> None:
    count = read_count(cell, POUNDS)
    assert count is not None
    assert count.is_one_unit


@pytest.mark.parametrize(
    "line",
    [
        "BC = plain sodium powder, SP = stored pressure, SS = stainless",
        "Key: BC sodium bicarb / SP stored pressure / SS stainless steel",
        "BC is sodium powder. SP stored pressure. SS stainless",
    ],
)
def test_a_legend_is_read_in_the_forms_that_people_write(line: str) -> None:
    custom = read_legends([line], [], [], [], used={"bc", "sp", "ss"})
    assert custom.codes["bc"].agent == "sodium-bicarbonate"
    assert custom.expelled["sp"] == "stored-pressure"
    assert custom.shells["ss"] == "stainless-steel"
    assert read_kind("20# BC", custom).asks == ()


def test_what_the_legend_says_goes_before_what_the_trade_means() -> None:
    custom = read_legends([], [("K", "CO2"), ("P", "Pulver ABC")], [], [])
    assert read_kind("K", custom).agent == "co2"
    assert (read_kind("P6", custom).agent, read_kind("P6", custom).amount) == ("abc", read_kind("ABC 6").amount)


def test_units_without_a_word_come_from_the_legend_or_from_the_other_cells() -> None:
    assert read_legends(["Sizes are pounds unless it says gal or L"], [], [], []).mass_unit == "lb"
    assert read_legends(["Zahl = Füllung in kg, bei S und W in Liter"], [], [], []).liquid_unit == "l"
    assert read_legends([], [], ["ABC 6 kg", "CO2 5"], []).mass_unit == "kg"
    assert read_legends([], [], ["ABC 6 kg", "CO2 5 lb"], []).mass_unit is None
