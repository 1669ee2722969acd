"""`pinseal supply`: the contract's keys, E12, several bottles, what is typed wrongly, and the picture."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.cli.conftest import Command

KEYS = {"contents_scf", "usable_scf", "charges_left", "order", "because"}
BANK = {"--water-capacity": "49 L", "--pressure": "2640 psi", "--at": "70 F", "--unit-pressure": "195 psi", "--unit-ullage": "3.88 L"}


def _words(*more: str, **but: str) -> list[str]:
    said = {**BANK, **{"--" + name.replace("_", "-"): value for name, value in but.items()}}
    return ["supply", *(word for pair in said.items() for word in pair), *more]


def test_the_answer_has_the_contract_s_keys(pinseal: Command) -> None:
    answer = pinseal(*_words("--json")).json
    assert set(answer) >= KEYS
    assert answer["contents_scf"] == pytest.approx(300.2, abs=0.1)
    assert answer["charges_left"] == 147
    assert answer["order"] == [{"bottle": 1, "charges": 147}]
    assert answer["usable_scf"] == pytest.approx(147 * 1.8233, rel=0.007)


def test_e12_a_bottle_in_a_20_f_van(pinseal: Command) -> None:
    words = _words("--json", "--units", "us", pressure="1900 psi", at="20 F", unit_ullage="4.1 L", margin="55 psi")
    answer = pinseal(*words).json
    assert answer["charges_left"] == pytest.approx(114, rel=0.02)
    assert answer["bottles"][0]["reads_at_70f"] == {"value": pytest.approx(2176, abs=1), "unit": "psi", "kind": "gauge"}
    text = pinseal(*[word for word in words if word != "--json"]).out
    assert text.startswith("114 charges left in 1 bottle.\n")
    assert "Bottle 1 reads low: 1900.0 psi at 20.0 F is 2175.6 psi at 70.0 F." in text
    assert "never draw from it without a regulator" in text


def test_several_bottles_are_drawn_the_emptiest_usable_first(pinseal: Command) -> None:
    more = ["--pressure", "900 psi", "--pressure", "100 psi", "--at", "70 F", "--at", "20 F", "--json"]
    answer = pinseal(*_words(*more)).json
    assert [step["bottle"] for step in answer["order"]] == [2, 1]
    assert answer["charges_left"] == sum(step["charges"] for step in answer["order"])
    assert answer["together_charges"] >= answer["charges_left"]
    assert [bottle["swap_now"] for bottle in answer["bottles"]] == [False, False, True]


def test_one_temperature_and_one_size_stand_for_all_bottles(pinseal: Command) -> None:
    alone, both = (pinseal(*_words(*more, "--json")).json for more in ([], ["--pressure", "2640 psi"]))
    assert both["charges_left"] == 2 * alone["charges_left"]
    mixed = pinseal(*_words("--pressure", "2640 psi", "--water-capacity", "7 L", "--json")).json
    assert mixed["bottles"][1]["charges"] == pytest.approx(alone["charges_left"] / 7, abs=1)


@pytest.mark.parametrize(
    ("but", "words"),
    [
        ({"pressure": "2640"}, "a number and one of the units"),
        ({"pressure": "0 psi"}, "bottle 1 must read above zero"),
        ({"pressure": "26400 psi"}, "350 bar"),
        ({"at": "700 F"}, "a unit stands between -80 and 150 C"),
        ({"water_capacity": "-49 L"}, "that can be used"),
        ({"water_capacity": "0 L"}, "water capacity must be above zero"),
        ({"unit_ullage": "0 L"}, "ullage must be above zero"),
        ({"unit_pressure": "0 psi"}, "pressure and ullage must be above zero"),
        ({"unit_pressure": "1950 psi"}, "51 bar"),
        ({"margin": "-50 psi"}, "not below zero"),
        ({"margin": "nan"}, "a number and one of the units"),
        ({"gas": "co2"}, "carbon dioxide condenses"),
    ],
)
def test_bad_input_is_a_sentence_and_exit_2(pinseal: Command, but: dict[str, str], words: str) -> None:
    ran = pinseal(*_words(**but))
    assert ran.code == 2
    assert words in ran.err


@pytest.mark.parametrize(
    "more", [["--at", "20 F"], ["--pressure", "900 psi", "--pressure", "800 psi", "--at", "20 F"], ["--pressure", "9 bar"] * 60]
)
def test_bottles_and_temperatures_must_fit(pinseal: Command, more: list[str]) -> None:
    ran = pinseal(*_words(*more))
    assert ran.code == 2
    assert "bottles" in ran.err


def test_the_picture_shows_each_bottle_with_its_floor(pinseal: Command, tmp_path: Path) -> None:
    file = tmp_path / "out.svg"
    assert pinseal(*_words("--pressure", "600 psi", "--pressure", "200 psi", "--plot", str(file))).code == 0
    drawn = [node.text or "" for node in ET.parse(file).iter()]
    for words in ("bottle 1", "bottle 2", "bottle 3", "147 charges", "draw first", "draw second", "draw no more: swap it", "600"):
        assert words in drawn


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    option=st.sampled_from([*BANK, "--margin", "--gas", "--units"]),
    text=st.one_of(
        st.text(max_size=25), st.from_regex(r"[-+]?[0-9]{1,7}([.,][0-9]{1,4})? ?(psi|psia|bar|kPa|F|C|K|lb|kg|L|gal|mL)", fullmatch=True)
    ),
    as_json=st.booleans(),
)
def test_any_text_in_any_option_is_answered_or_refused(pinseal: Command, option: str, text: str, as_json: bool) -> None:
    said = {**BANK, option: text}
    ran = pinseal("supply", *(f"{name}={value}" for name, value in said.items()), *(["--json"] if as_json else []))
    assert ran.code in (0, 2), f"{said} gave {ran.code}: {ran.err}"
    if as_json:
        assert set(ran.json) >= KEYS if ran.code == 0 else set(ran.json) == {"error"}
