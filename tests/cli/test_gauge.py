"""`pinseal gauge`: the contract's keys, the examples of the trade, what is typed wrongly, how fast it starts, and the picture."""

from __future__ import annotations

import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.cli.conftest import Command

KEYS = {"expected", "referred", "difference", "uncertainty", "verdict", "on_dial", "because"}
UNIT = {"--charge": "195 psi", "--reading": "167 psi", "--at": "0 F"}
FACTORS = {"Pa": 6894.757293168361, "psi": 1.0, "bar": 0.06894757293168361}
OPTIONS = [
    "--charge", "--charged-at", "--reading", "--at", "--gas", "--medium", "--agent", "--fill-density", "--ullage-share", "--charged-on",
    "--on", "--elevation", "--charged-elevation", "--band-low", "--band-high", "--gauge-class", "--gauge-range", "--last-reading",
    "--last-at", "--units",
]  # fmt: skip


def _words(*more: str, **but: str | None) -> list[str]:
    said: dict[str, str | None] = {**UNIT, **{"--" + name.replace("_", "-"): value for name, value in but.items()}}
    return ["gauge", *(word for name, value in said.items() if value is not None for word in (name, value)), *more]


def _psi(quantity: dict[str, Any]) -> float:
    return float(quantity["value"]) / FACTORS[quantity["unit"]]


def test_the_answer_has_the_contract_s_keys_in_si(pinseal: Command) -> None:
    answer = pinseal(*_words("--json")).json
    assert set(answer) >= KEYS
    assert answer["verdict"] == "pass" and answer["on_dial"] == "not-given"
    for level in ("expected", "referred"):
        assert (answer[level]["unit"], answer[level]["kind"]) == ("Pa", "gauge")
    for plain in ("difference", "uncertainty"):
        assert answer[plain].keys() == {"value", "unit"}
    assert answer["difference"]["value"] == pytest.approx(167 * FACTORS["Pa"] - answer["expected"]["value"])
    assert all(isinstance(line, str) and line.endswith(".") for line in answer["because"])


@pytest.mark.parametrize(("units", "unit"), [("us", "psi"), ("metric", "bar")])
def test_the_answer_in_people_s_units(pinseal: Command, units: str, unit: str) -> None:
    answer = pinseal(*_words("--json", "--units", units)).json
    assert answer["expected"]["unit"] == unit
    assert _psi(answer["expected"]) == pytest.approx(166.3, abs=0.05)


# The examples of the trade, each within 1 psi.


def test_167_psi_in_the_frost_is_full(pinseal: Command) -> None:
    answer = pinseal(*_words("--json")).json
    assert _psi(answer["referred"]) == pytest.approx(195, abs=1)
    assert answer["verdict"] == "pass"


def test_180_psi_in_the_frost_is_overfilled(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", reading="180 psi")).json
    assert _psi(answer["referred"]) == pytest.approx(210, abs=1)
    assert answer["verdict"] == "fail" and answer["because"][0].startswith("Overfilled")


def test_195_psi_set_in_a_cold_bay_is_too_much(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", reading="195 psi", at="32 F")).json
    assert _psi(answer["referred"]) == pytest.approx(211, abs=1)
    assert _psi(answer["expected"]) == pytest.approx(180, abs=1)


def test_metric_people_at_20_c(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", "--units", "metric", charge="15 bar", charged_at="20 C", reading="12.2 bar", at="-30 C")).json
    assert answer["expected"]["value"] == pytest.approx(12.159, abs=0.001)
    assert answer["verdict"] == "pass"


def test_absolute_pressures_are_understood(pinseal: Command) -> None:
    plain = pinseal(*_words("--json")).json
    absolute = pinseal(*_words("--json", charge="209.695949 psia", reading="181.695949 psia")).json
    assert absolute["difference"]["value"] == pytest.approx(plain["difference"]["value"], abs=1)


def test_psi_where_psia_was_meant_is_asked_for(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", reading="209.7 psi", at="70 F")).json
    assert answer["verdict"] == "fail"
    assert any("absolute" in line for line in answer["because"])


def test_the_dial_decides_on_the_tag(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", band_low="170 psi", band_high="215 psi")).json
    assert (answer["verdict"], answer["on_dial"]) == ("pass", "below")
    assert any("never tagged" in line for line in answer["because"])


def test_carbon_dioxide_needs_no_charge_pressure(pinseal: Command) -> None:
    answer = pinseal("gauge", "--medium", "co2", "--reading", "838 psi", "--at", "70 F", "--json").json
    assert answer["verdict"] == "unknown"
    assert answer["expected"] is answer["referred"] is answer["difference"] is answer["uncertainty"] is None
    assert pinseal(*_words("--json", agent="co2", charge="838 psi")).json["verdict"] == "unknown"
    assert pinseal(*_words("--json", gas="CO2")).json["verdict"] == "unknown"


def test_a_water_unit_by_its_age(pinseal: Command) -> None:
    unit = {"charge": "100 psi", "reading": "95 psi", "at": "70 F", "medium": "water", "gauge_class": "1", "gauge_range": "200 psi"}
    year = pinseal(*_words("--json", charged_on="2025-11-24", on="2026-11-24", **unit)).json
    assert year["verdict"] == "pass"
    assert _psi(year["full_once_stirred"]) == pytest.approx(95.2, abs=0.1)
    assert pinseal(*_words("--json", charged_on="2026-11-23", on="2026-11-24", **unit)).json["verdict"] == "too-close"
    assert pinseal(*_words("--json", charged_on="2026-11-23", **unit)).json["verdict"] == "too-close"  # today by the shop's clock
    assert pinseal(*_words("--json", charged_on="2026", on="2026-11-24", **unit)).json["verdict"] == "too-close"
    assert pinseal(*_words("--stirred", "--json", **unit)).json["verdict"] == "pass"


def test_a_clean_agent_with_its_fill(pinseal: Command) -> None:
    more = {"agent": "halocarbon-hfc-236fa", "reading": "195 psi", "at": "70 F"}
    assert pinseal(*_words("--json", **more)).json["verdict"] == "unknown"
    assert pinseal(*_words("--json", fill_density="60 lb/ft3", **more)).json["verdict"] == "pass"
    cold = pinseal(*_words("--json", fill_density="60 lb/ft3", **{**more, "at": "-5 F"})).json
    assert (cold["verdict"], cold["expected"]) == ("unknown", None)


def test_elevation(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", reading="198 psi", at="70 F", elevation="1609 m")).json
    assert _psi(answer["expected"]) == pytest.approx(197.6, abs=0.05)
    below = pinseal(*_words("--json", reading="195 psi", at="70 F", elevation="-400 m")).json
    assert _psi(below["expected"]) < 195


def test_the_last_readings(pinseal: Command) -> None:
    answer = pinseal(
        *_words("--last-reading", "205 psi", "--last-at", "70 F", "--last-reading", "167 psi", "--last-at", "0 F", "--json")
    ).json
    assert answer["against_last"]["readings"] == 2
    assert answer["against_last"]["verdict"] == "steady"
    assert pinseal(*_words("--json")).json["against_last"] is None


# Words for people.


def test_verdict_and_reason_come_first_and_cautions_last(pinseal: Command) -> None:
    lines = pinseal(*_words(band_low="170 psi", band_high="215 psi")).out.splitlines()
    assert lines[0].startswith("pass: The charge is there")
    assert "166.3 psi" in lines[2] and "195.8 psi" in lines[5] and "below the band" in lines[6]
    assert lines[-1].startswith("! A shell under pressure can kill")


def test_unknown_in_words(pinseal: Command) -> None:
    said = pinseal("gauge", "--agent", "co2", "--reading", "838 psi", "--at", "70 F").out
    assert said.startswith("unknown: Carbon dioxide")
    assert "expected" not in said.splitlines()[1]


def test_metric_words_have_no_psi(pinseal: Command) -> None:
    said = pinseal(*_words("--units", "metric")).out
    assert "bar" in said and "psi" not in said and " F" not in said


# Bad input.


@pytest.mark.parametrize(
    ("but", "words"),
    [
        ({"reading": "lots"}, "not a pressure"),
        ({"reading": "167"}, "a number and one of the units"),
        ({"reading": "167 lb"}, "a number and one of the units"),
        ({"reading": "nan psi"}, "not a pressure"),
        ({"reading": "-5 psi"}, "does not read below zero"),
        ({"reading": "1,670 psi"}, "comma"),
        ({"at": "700 F"}, "between -80 and 150 C"),
        ({"at": "0"}, "a number and F, C or K"),
        ({"at": "200 F"}, "213 to 345 K"),
        ({"charge": None}, "nameplate pressure is missing"),
        ({"charge": "0 psi"}, "must be above zero"),
        ({"charge": "19500 psi"}, "up to 740 psia"),
        ({"gas": "steam"}, "one of nitrogen"),
        ({"medium": "sand"}, "a medium is one of"),
        ({"agent": "dust"}, "unknown agent"),
        ({"agent": "abc", "medium": "water"}, "do not fit"),
        ({"band_low": "170 psi"}, "half of the operable band"),
        ({"band_high": "170 psi"}, "half of the operable band"),
        ({"band_low": "215 psi", "band_high": "170 psi"}, "not an operable band"),
        ({"gauge_class": "1.6"}, "half of the gauge"),
        ({"gauge_class": "nan", "gauge_range": "400 psi"}, "not a percent"),
        ({"gauge_class": "50", "gauge_range": "400 psi"}, "not a class of a gauge"),
        ({"gauge_class": "1", "gauge_range": "100 psi"}, "outside the range of the gauge"),
        ({"ullage_share": "nan"}, "not a percent"),
        ({"ullage_share": "2"}, "ullage share"),
        ({"charged_on": "2027-01-01", "on": "2026-11-24"}, "charged after the day asked"),
        ({"charged_on": "2026-02-30"}, "2026-02-30"),
        ({"fill_density": "-60 lb/ft3"}, "not below zero"),
        ({"elevation": "50 km"}, "no extinguisher is kept"),
        ({"last_reading": "195 psi"}, "do not pair"),
        ({"last_reading": "-3 psi", "last_at": "70 F"}, "does not read below zero"),
    ],
)
def test_what_is_typed_wrongly_is_refused_in_words(pinseal: Command, but: dict[str, str | None], words: str) -> None:
    ran = pinseal(*_words("--json", **but))
    assert ran.code == 2, ran.out
    error = ran.json["error"]
    assert error.keys() == {"what", "rule", "got", "do"} and error["do"]
    assert words in f"{error['what']} {error['rule']} {error['got']}"
    spoken = pinseal(*_words(**but))
    assert spoken.code == 2 and "rule:" in spoken.err


def test_a_missing_reading_is_refused(pinseal: Command) -> None:
    ran = pinseal("gauge", "--charge", "195 psi", "--at", "70 F", "--json")
    assert ran.code == 2 and "--reading" in ran.json["error"]["rule"]


def test_a_reading_of_zero_is_a_fail_with_its_reason(pinseal: Command) -> None:
    answer = pinseal(*_words("--json", reading="0 psi")).json
    assert answer["verdict"] == "fail"
    assert any("no proof that no pressure is left" in line for line in answer["because"])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    option=st.sampled_from(OPTIONS),
    text=st.one_of(
        st.text(max_size=25),
        st.from_regex(r"[-+]?[0-9]{1,7}([.,][0-9]{1,4})? ?(psi|psia|bar|bar abs|kPa|F|C|K|m|ft|lb/ft3|kg/L|%)?", fullmatch=True),
        st.from_regex(r"[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?", fullmatch=True),
        st.sampled_from(
            ["nitrogen", "helium", "co2", "water", "foam", "halocarbon", "abc", "afff", "halocarbon-fk-5-1-12", "us", "nan", "1e9 psi"]
        ),
    ),
    water=st.booleans(),
    as_json=st.booleans(),
)
def test_any_text_in_any_option_is_answered_or_refused(pinseal: Command, option: str, text: str, water: bool, as_json: bool) -> None:
    said = {**UNIT, **({"--medium": "water", "--at": "70 F"} if water else {}), option: text}
    ran = pinseal("gauge", *(f"{name}={value}" for name, value in said.items()), *(["--json"] if as_json else []))
    assert ran.code in (0, 2), ran.err


# How it starts.


def test_a_powder_unit_loads_no_heavy_library() -> None:
    code = (
        "import sys; from pinseal.app import App; from pinseal.cli.command import run; "
        f"run(App(), {_words('--json')!r}); heavy = {{'numpy', 'CoolProp', 'scipy', 'sqlalchemy'}}; "
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stderr.strip() == "[]"


# The picture.


def test_the_picture_is_written_and_says_what_it_shows(pinseal: Command, tmp_path: Path) -> None:
    file = tmp_path / "dial.svg"
    assert pinseal(*_words("--plot", str(file), band_low="170 psi", band_high="215 psi")).code == 0
    root = ET.fromstring(file.read_text("utf-8"))
    words = " ".join(root.itertext())
    assert root.tag.endswith("svg")
    for shown in ("full today", "167 psi at 0 F", "below the printed band: no tag", "Pass: the charge is there", "195.8 psi"):
        assert shown in words


@pytest.mark.parametrize("but", [{"agent": "co2"}, {"reading": "0 psi"}, {"reading": "400 psi"}, {"medium": "water", "at": "70 F"}])
def test_every_kind_of_answer_has_a_picture(pinseal: Command, tmp_path: Path, but: dict[str, str]) -> None:
    file = tmp_path / "dial.svg"
    assert pinseal(*_words("--plot", str(file), **but)).code == 0
    assert ET.fromstring(file.read_text("utf-8")).tag.endswith("svg")
    assert "nan" not in file.read_text("utf-8")


def test_a_picture_that_cannot_be_written_is_refused(pinseal: Command, tmp_path: Path) -> None:
    assert pinseal(*_words("--plot", str(tmp_path / "nowhere" / "dial.svg"))).code == 2
