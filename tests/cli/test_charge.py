"""`pinseal charge`: the contract's keys, its refusals, what is typed wrongly, and the picture."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.cli.conftest import Command

KEYS = {
    "target", "ceiling", "stop_at", "settles_at", "top_up", "nitrogen_mass", "nitrogen_scf", "ullage", "may_charge", "missing",
    "refusals", "because",
}  # fmt: skip
UNIT = {
    "--agent": "abc",
    "--mass": "10 lb",
    "--water-capacity": "6.4 L",
    "--pressure": "195 psi",
    "--at": "70 F",
    "--last-agent": "abc",
    "--regulator": "220 psi",
    "--dew-point": "-65 F",
    "--test-due": "2030-06-30",
    "--on": "2026-11-24",
}


def _words(*more: str, **but: str | None) -> list[str]:
    said: dict[str, str | None] = {**UNIT, **{"--" + name.replace("_", "-"): value for name, value in but.items()}}
    return ["charge", *(word for name, value in said.items() if value is not None for word in (name, value)), *more]


def _psi(quantity: dict[str, Any]) -> float:
    assert quantity["kind"] == "gauge"
    factor = {"Pa": 6894.757293168361, "psi": 1.0, "bar": 0.06894757293168361}[quantity["unit"]]
    return float(quantity["value"]) / factor


def test_the_answer_has_the_contract_s_keys_in_si(pinseal: Command) -> None:
    answer = pinseal(*_words("--json")).json
    assert set(answer) >= KEYS
    assert answer["may_charge"] is True and answer["missing"] == [] and answer["refusals"] == [] and answer["top_up"] is False
    assert answer["target"]["unit"] == "Pa"
    assert _psi(answer["target"]) == pytest.approx(195)
    assert _psi(answer["ceiling"]) == pytest.approx(220)
    assert _psi(answer["stop_at"]) == pytest.approx(199.8, abs=0.1)
    assert answer["nitrogen_mass"] == {"value": pytest.approx(0.0599, abs=1e-4), "unit": "kg"}
    assert answer["nitrogen_scf"] == pytest.approx(1.82, abs=0.01)
    assert answer["ullage"] == {"value": pytest.approx(0.00388, abs=1e-5), "unit": "m3"}
    assert answer["target_uncertainty"].keys() == {"value", "unit"}
    assert len(answer["safety"]) == 4


@pytest.mark.parametrize(("units", "unit", "mass"), [("us", "psi", "lb"), ("metric", "bar", "kg")])
def test_the_answer_in_people_s_units(pinseal: Command, units: str, unit: str, mass: str) -> None:
    answer = pinseal(*_words("--json", "--units", units)).json
    assert answer["target"]["unit"] == unit and answer["nitrogen_mass"]["unit"] == mass
    assert _psi(answer["target"]) == pytest.approx(195)


def test_e10_the_target_in_a_32_f_bay_is_180_and_195_would_be_211(pinseal: Command) -> None:
    ran = pinseal(*_words(at="32 F"))
    assert ran.code == 0
    assert ran.out.startswith("Target 179.4 psi at 32.0 F; stop the gas at 183.3 psi")
    assert "would stand at 211.9 psi at 70.0 F" in ran.out
    assert _psi(pinseal(*_words("--json", at="32 F")).json["target"]) == pytest.approx(180, abs=1)


def test_refusals_take_the_figures_away(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", "--condemned", regulator="none", gas="oxygen", test_due="2026")).json
    assert [refusal["code"] for refusal in answer["refusals"]] == ["condemned", "past-test-date", "no-regulator", "wrong-gas"]
    assert all(refusal["because"] for refusal in answer["refusals"])
    assert [answer[key] for key in ("target", "stop_at", "settles_at", "nitrogen_mass", "nitrogen_scf")] == [None] * 5
    assert answer["may_charge"] is False
    assert _psi(answer["ceiling"]) == pytest.approx(220)


def test_what_is_not_said_is_missing_and_the_target_shown(pinseal: Command) -> None:
    words = _words("--json", last_agent=None, regulator=None, dew_point=None, test_due=None)
    answer = pinseal(*words).json
    assert answer["missing"] == ["last agent", "regulator", "dew point", "test due"]
    assert answer["may_charge"] is False
    assert _psi(answer["target"]) == pytest.approx(195)
    said = pinseal(*(word for word in words if word != "--json")).out
    assert said.startswith("Do not charge yet, not known: last agent, regulator, dew point, test due.")


@pytest.mark.parametrize("at", ["70 F", "-40 F", "110 F"])
def test_every_answer_says_how_to_stand(pinseal: Command, at: str) -> None:
    for ran in (pinseal(*_words(at=at)), pinseal(*_words("--condemned", at=at))):
        for words in (
            "upright",
            "shield",
            "stand aside",
            "nobody leans over",
            "regulator's own calibrated gauge",
            "Never leave the unit connected",
        ):
            assert words in ran.out


def test_a_refused_unit_is_said_first(pinseal: Command) -> None:
    ran = pinseal(*_words(agent="co2", last_agent="co2"))
    assert ran.code == 0
    assert ran.out.startswith("Do not charge this unit.\n  Carbon dioxide is never charged by pressure: it is filled by weight.")
    assert "Target" not in ran.out


def test_the_day_is_the_app_s_where_none_is_said(pinseal: Command) -> None:
    assert pinseal(*_words("--json", on=None, test_due="2026-11-23")).json["refusals"][0]["code"] == "past-test-date"
    assert pinseal(*_words("--json", on=None, test_due="2026-11-30")).json["refusals"] == []


def test_absolute_pressures_are_taken_as_such(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", pressure="209.7 psia")).json
    assert _psi(answer["target"]) == pytest.approx(195, abs=0.01)


def test_very_dry_gas_is_not_refused(pinseal: Command) -> None:
    assert pinseal(*_words("--json", dew_point="-95 C")).json["may_charge"] is True
    assert pinseal(*_words(dew_point="-200 C")).code == 2


def test_pairs_of_earlier_charges_are_learned_from(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", "--pair", "204 psi to 195 psi", "--pair", "205 psi -> 196 psi")).json
    assert answer["stirred_fraction"]["pairs"] == 2
    assert answer["stirred_fraction"]["value"] == pytest.approx(0.05, abs=0.005)
    assert _psi(answer["stop_at"]) == pytest.approx(204, abs=0.5)


@pytest.mark.parametrize(
    ("but", "words"),
    [
        ({"pressure": "195"}, "a number and one of the units"),
        ({"pressure": "195 furlongs"}, "a number and one of the units"),
        ({"pressure": "0 psi"}, "nameplate pressure must be above zero"),
        ({"pressure": "-20 psi"}, "vacuum"),
        ({"pressure": "1950 psi"}, "51 bar"),
        ({"pressure": "nan psi"}, "a number and one of the units"),
        ({"at": "700 F"}, "a unit stands between -80 and 150 C"),
        ({"at": "70"}, "a number and F, C or K"),
        ({"at": "240 F"}, "213 to 345 K"),
        ({"mass": "-10 lb"}, "a mass is not below zero"),
        ({"mass": "0 lb"}, "agent and water capacity must be above zero"),
        ({"water_capacity": "0 L"}, "agent and water capacity must be above zero"),
        ({"agent": "foamy"}, "agent is one of"),
        ({"last_agent": "powder"}, "agent is one of"),
        ({"regulator": "off"}, "a number and one of the units"),
        ({"dew_point": "dry"}, "a number and F, C or K"),
        ({"test_due": "next year"}, "machine dates are ISO"),
        ({"gas": "?"}, "a gas is named by a word"),
        ({"pair": "204 psi"}, "where a charge was stopped"),
        ({"pair": "204 psi to 210 psi"}, "does not rise while it cools"),
        ({"pair": "204 psi to 100 psi"}, "further than its heat can explain"),
        ({"density": "70 kg/m3"}, "between 0.5 and 12 g/cm3"),
        ({"supply": "9000 psi"}, "350 bar"),
    ],
)
def test_bad_input_is_a_sentence_and_exit_2(pinseal: Command, but: dict[str, str], words: str) -> None:
    ran = pinseal(*_words(**but))
    assert ran.code == 2
    assert words in ran.err
    assert "do:" in ran.err
    error = pinseal(*_words("--json", **but)).json["error"]
    assert set(error) == {"what", "rule", "got", "do"} and all(error[key] for key in ("what", "rule", "do"))


@pytest.mark.parametrize(
    "but",
    [{}, {"at": "-20 F", "dew_point": None}, {"agent": "co2", "last_agent": "co2"}, {"pressure": "13.4 bar", "regulator": "15 bar"}],
    ids=str,
)
def test_the_picture_is_drawn_and_says_it_in_words(pinseal: Command, tmp_path: Path, but: dict[str, str | None]) -> None:
    file = tmp_path / "out.svg"
    assert pinseal(*_words("--plot", str(file), **but)).code == 0
    drawn = " ".join(node.text or "" for node in ET.parse(file).iter())
    assert "ceiling, a hard stop" in drawn
    refused = "co2" in but.values()
    assert ("do not charge" in drawn) == refused
    assert ("stop the gas here" in drawn) == (not refused)
    assert ("Do not charge yet, not known: dew point." in drawn) == ("dew_point" in but)


OPTIONS = (
    "--agent", "--mass", "--water-capacity", "--pressure", "--at", "--gas", "--last-agent", "--maker-permits", "--regulator",
    "--nameplate-ceiling", "--dew-point", "--nameplate-dew-point", "--nameplate-gas", "--test-due", "--on", "--density", "--supply",
    "--pair", "--units",
)  # fmt: skip


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    option=st.sampled_from(OPTIONS),
    text=st.one_of(
        st.text(max_size=25),
        st.from_regex(r"[-+]?[0-9]{1,7}([.,][0-9]{1,4})? ?(psi|psia|bar|kPa|F|C|K|lb|kg|L|gal|kg/m3)( to [0-9]{1,4} psi)?", fullmatch=True),
        st.from_regex(r"[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?", fullmatch=True),
    ),
    as_json=st.booleans(),
)
def test_any_text_in_any_option_is_answered_or_refused(pinseal: Command, option: str, text: str, as_json: bool) -> None:
    said = {**UNIT, option: text}
    words = ["charge", *(f"{name}={value}" for name, value in said.items()), *(["--json"] if as_json else [])]
    ran = pinseal(*words)
    assert ran.code in (0, 2), f"{words} gave {ran.code}: {ran.err}"
    if as_json:
        assert set(ran.json) >= KEYS if ran.code == 0 else set(ran.json) == {"error"}
