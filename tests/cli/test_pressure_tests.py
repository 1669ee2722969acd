"""`jacket`, `proof`, `direct` as people and programs call them: shapes, verdicts, refusals, pictures, doubt."""

from __future__ import annotations

import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from tests.cli.conftest import NOW, Command

JACKET = {"--total": "92.0 mL", "--permanent": "8.4 mL", "--test-pressure": "3000 psi", "--spec": "DOT-3AA1800"}
DIRECT = {
    "--forced-in": "790 mL", "--take-up": "60 mL", "--permanent": "6 mL", "--water-capacity": "49 L", "--water-at": "18 C",
    "--table": "k-form", "--test-pressure": "225 bar", "--spec": "3AA1957",
}  # fmt: skip
PROOF = {"--test-pressure": "585 psi", "--factory-test-pressure": "585 psi", "--service-pressure": "195 psi", "--held": "60 s"}


def words(command: str, options: dict[str, str], *more: str) -> list[str]:
    return [command, *(word for pair in options.items() for word in pair), *more]


def test_e11_a_jacket_test_passes_at_9_13_percent(pinseal: Command) -> None:
    """The percent is of the total; of the elastic it would be 10.05, a false fail."""
    answer = pinseal(*words("jacket", JACKET, "--json")).json
    assert answer["verdict"] == "pass"
    assert answer["limit"] == 10
    assert answer["percent_permanent"] == pytest.approx(9.1304, abs=1e-4)
    assert answer["elastic"] == {"value": pytest.approx(83.6e-6), "unit": "m3"}
    assert answer["near"] is True
    assert any("expansion alone" in line for line in answer["because"])


def test_e11_and_fails_at_10_43_percent(pinseal: Command) -> None:
    ran = pinseal(*words("jacket", JACKET | {"--permanent": "9.6 mL"}))
    assert ran.code == 0
    assert ran.out.startswith("FAIL: condemn: 10.43 % of the total expansion stayed")


@pytest.mark.parametrize(("permanent", "verdict"), [("18.0 cc", "pass"), ("18.1 cc", "fail"), ("18.000000000000001 cc", "fail")])
def test_typed_decimals_are_compared_exactly(pinseal: Command, permanent: str, verdict: str) -> None:
    assert pinseal(*words("jacket", JACKET | {"--total": "180.0 cc", "--permanent": permanent}, "--json")).json["verdict"] == verdict


def test_a_burettes_number_without_a_unit_is_in_cm3(pinseal: Command) -> None:
    bare = JACKET | {"--total": "92.0", "--permanent": "8.4"}
    assert pinseal(*words("jacket", bare, "--json")).out == pinseal(*words("jacket", JACKET, "--json")).out


def test_the_words_put_verdict_and_reason_first_and_cautions_last(pinseal: Command) -> None:
    lines = pinseal(*words("jacket", JACKET)).out.splitlines()
    assert lines[0].startswith("PASS on expansion alone: 9.13 %")
    assert lines[-1] == "! Nameplate and maker's manual first."
    assert any(line.startswith("! Water only") for line in lines)


def test_a_jacket_test_with_everything_said(pinseal: Command) -> None:
    more = {
        "--rejection-elastic": "100 cc", "--water-capacity": "13 L", "--diameter": "7.25 in", "--wall": "0.18 in",
        "--calibrated-expansion": "100 cc", "--calibrated-reading": "100.5 cc", "--gauge-range": "4500 psi", "--gauge-accuracy": "0.5",
        "--gauge-division": "20 psi", "--gauge-calibrated": "2026-10-01", "--pump": "5000 psi", "--on": "2026-11-24",
    }  # fmt: skip
    answer = pinseal(*words("jacket", JACKET | more, "--json", "--units", "us")).json
    assert answer["valid_test"] is True
    assert [finding["code"] for finding in answer["instruments"]] == [
        "gauge-range", "gauge-accuracy", "gauge-readable", "calibration-lapsed", "pump", "daily-check",
    ]  # fmt: skip
    assert all(finding["met"] for finding in answer["instruments"])
    assert answer["elastic"] == {"value": 83.6, "unit": "cm3"}
    assert answer["test_pressure_least"] == {"value": 3000.0, "unit": "psi", "kind": "gauge"}
    assert answer["plausibility"]["state"] == "high"


@pytest.mark.parametrize(
    ("more", "head"),
    [
        ({"--test-pressure": "2900 psi"}, "PASS on expansion, but NOT A VALID TEST: "),
        ({"--gauge-calibrated": "2026-01-01"}, "PASS on expansion, but NOT A VALID TEST, the instrument is not fit"),
        (
            {"--gauge-calibrated": "2026-01-01", "--permanent": "20 mL"},
            "FAIL on expansion, but NOT A VALID TEST, the instrument is not fit",
        ),
        (
            {"--calibrated-expansion": "100 cc", "--calibrated-reading": "101.1 cc"},
            "PASS on expansion, but NOT A VALID TEST, the instrument",
        ),
    ],
)
def test_a_test_that_does_not_count_says_so_at_once(pinseal: Command, more: dict[str, str], head: str) -> None:
    ran = pinseal(*words("jacket", JACKET | more))
    assert ran.out.startswith(head)
    assert pinseal(*words("jacket", JACKET | more, "--json")).json["valid_test"] is False


def test_an_absolute_test_pressure_is_brought_to_gauge(pinseal: Command) -> None:
    """3000 psia is 2985.3 psi above the air: too little for 3AA1800."""
    answer = pinseal(*words("jacket", JACKET | {"--test-pressure": "3000 psia"}, "--json")).json
    assert answer["test_pressure_enough"] is False
    assert pinseal(*words("jacket", JACKET | {"--test-pressure": "3014.7 psia"}, "--json")).json["test_pressure_enough"] is True


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"--spec": "3AB1800"}, "3, 3A, 3AA"),
        ({"--spec": "3E1800"}, "needs no pressure test"),
        ({"--permanent": "92.1 mL"}, "the part of the total that stays"),
        ({"--total": "0 mL", "--permanent": "0 mL"}, "more than nothing"),
        ({"--total": "-92 mL"}, "not below zero"),
        ({"--total": "nan mL"}, "a number and one of the units"),
        ({"--total": "92 lb"}, "a number and one of the units"),
        ({"--test-pressure": "3000 bar"}, "50 to 15000 psi"),
        ({"--test-pressure": "0 psi"}, "50 to 15000 psi"),
        ({"--test-pressure": "70 F"}, "a number and one of the units"),
        ({"--gauge-accuracy": "-1"}, "a plain number"),
        ({"--gauge-calibrated": "2026-13-01"}, "months run"),
        ({"--on": "2001-01-01"}, "begins on 2002-10-01"),
        ({"--diameter": "7.25 in"}, "--wall, --water-capacity"),
        ({"--diameter": "7 in", "--wall": "4 in", "--water-capacity": "13 L"}, "below half the outside diameter"),
        ({"--diameter": "7 in", "--wall": "0.1 in", "--water-capacity": "0 L"}, "a shell holds water"),
        ({"--calibrated-expansion": "100 cc"}, "--calibrated-reading"),
        ({"--rejection-elastic": "0 cc"}, "above zero"),
    ],
)
def test_jacket_refuses_in_words(pinseal: Command, change: dict[str, str], rule: str) -> None:
    ran = pinseal(*words("jacket", JACKET | change, "--json"))
    assert ran.code == 2
    assert rule in ran.json["error"]["rule"]
    assert set(ran.json["error"]) == {"what", "rule", "got", "do"}


def test_what_is_not_said_is_asked_for(pinseal: Command) -> None:
    ran = pinseal("jacket", "--json")
    assert ran.code == 2
    assert ran.json["error"]["rule"] == "it needs --total, --permanent, --test-pressure, --spec"
    assert pinseal("proof", "--json").json["error"]["rule"] == "it needs --test-pressure"
    assert "--table" in pinseal("direct", "--json").json["error"]["rule"]


@pytest.mark.parametrize("command", ["jacket", "direct"])
def test_the_picture_reads_without_colour(pinseal: Command, tmp_path: Path, command: str) -> None:
    file = tmp_path / "test.svg"
    assert pinseal(*words(command, JACKET if command == "jacket" else DIRECT, "--plot", str(file))).code == 0
    said = "".join(ET.parse(file).getroot().itertext())
    assert "pass on expansion" in said
    assert "limit 10 %" in said
    assert "permanent, stayed" in said


# -- direct


def test_a_direct_test_uses_the_table_of_the_standard(pinseal: Command) -> None:
    answer = pinseal(*words("direct", DIRECT, "--json", "--units", "metric")).json
    assert answer["verdict"] == "pass"
    assert answer["total"] == {"value": pytest.approx(223.9, abs=0.05), "unit": "cm3"}
    assert answer["total_iapws_95"]["value"] == pytest.approx(230.1, abs=0.05)
    assert answer["compression"]["table"] == "k-form"
    assert answer["compression"]["checked"] == "memory"
    assert any("flag only" in line for line in answer["because"])
    assert any("1 K" in line for line in answer["cautions"])


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"--water-at": "30 C"}, "6 to 25 C"),
        ({"--table": "gb-t-9251", "--test-pressure": "300 bar"}, "22 to 23 MPa"),
        ({"--water-capacity": "490 L"}, "must be above zero"),
        ({"--take-up": "800 mL"}, "more than what the pipes take up"),
        ({"--water-at": "700 F"}, "-80 and 150 C"),
        ({"--permanent": "300 mL"}, "the part of the total that stays"),
    ],
)
def test_direct_refuses_in_words(pinseal: Command, change: dict[str, str], rule: str) -> None:
    ran = pinseal(*words("direct", DIRECT | change, "--json"))
    assert ran.code == 2
    assert rule in ran.json["error"]["rule"]


# -- proof


def test_a_proof_test_answers_with_its_shape(pinseal: Command) -> None:
    answer = pinseal(*words("proof", PROOF | {"--water-capacity": "6.4 L"}, "--json", "--units", "us")).json
    assert set(answer) == {
        "verdict", "required", "required_because", "held_s", "holds", "refusals", "instruments", "because", "cautions",
        "if_tested_with_gas", "mark", "safety",
    }  # fmt: skip
    assert (answer["verdict"], answer["required"]) == ("pass", {"value": 585.0, "unit": "psi", "kind": "gauge"})
    assert answer["if_tested_with_gas"]["gas_energy_at_most_joule"] == pytest.approx(64_500, rel=0.005)
    assert any("1910.157(f)(11)" in line for line in answer["cautions"])


def test_a_proof_test_in_words(pinseal: Command) -> None:
    ran = pinseal(*words("proof", PROOF | {"--water-capacity": "6.4 L"}))
    assert ran.out.startswith("PASS of the proof test: no leak")
    assert "The mark says: month and year" in ran.out
    assert pinseal(*words("proof", PROOF, "--medium", "gas")).out.startswith("UNKNOWN: this is no valid test: gas is never")
    assert pinseal(*words("proof", PROOF | {"--held": "45"})).out.startswith("TOO CLOSE")
    assert pinseal(*words("proof", PROOF, "--leak", "--found", "burned")).out.startswith("FAIL: it must never be tested")


def test_a_stamped_cylinder_and_a_minute(pinseal: Command) -> None:
    said = {"--kind": "cylinder", "--spec": "4BW240", "--test-pressure": "480 psi", "--held": "1 min", "--drop": "0 psi"}
    answer = pinseal(*words("proof", said, "--json")).json
    assert (answer["verdict"], answer["held_s"]) == ("pass", 60.0)
    assert "S after it" in answer["mark"][1]["says"]


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"--held": "a while"}, "seconds or minutes"),
        ({"--drop": "-1 psi"}, "not below zero"),
        ({"--kind": "cylinder"}, "specification and service"),
    ],
)
def test_proof_refuses_in_words(pinseal: Command, change: dict[str, str], rule: str) -> None:
    ran = pinseal(*words("proof", PROOF | change, "--json"))
    assert ran.code == 2
    assert rule in ran.json["error"]["rule"]


# -- doubt


LOG = (
    "kind,date,instrument,result,id\ncheck,2026-01-15,G1,good,\ntest,2026-04-15,G1,,T-1\ntest,2026-04-20,G1,,T-2\n"
    "check,2026-04-30,G1,good,\ntest,2026-05-02,G1,,T-3\n"
)


@pytest.mark.parametrize("command", ["jacket", "proof"])
def test_e15_every_test_after_the_lapse_is_listed(pinseal: Command, tmp_path: Path, command: str) -> None:
    log = tmp_path / "log.csv"
    log.write_text("\ufeff" + LOG, encoding="utf-8")
    answer = pinseal(command, "--doubt", log, "--interval", "quarterly", "--json").json
    assert [(doubt["id"], doubt["reason"], doubt["good_until"]) for doubt in answer["doubtful"]] == [("T-2", "lapsed", "2026-04-15")]
    ran = pinseal(command, "--doubt", log, "--interval", "quarterly")
    assert ran.out.startswith("1 of 3 tests in doubt. Look at each again")
    assert "lapsed after 2026-04-15" in ran.out


def test_a_log_that_cannot_be_read_is_refused(pinseal: Command, tmp_path: Path) -> None:
    assert pinseal("proof", "--doubt", tmp_path / "none.csv", "--interval", "daily").code == 2
    (tmp_path / "bytes.csv").write_bytes(b"\xff\xfe\x00")
    assert (
        pinseal("proof", "--doubt", tmp_path / "bytes.csv", "--interval", "daily", "--json")
        .json["error"]["what"]
        .startswith("this file is not text")
    )
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    assert pinseal("proof", "--doubt", tmp_path / "log.csv", "--json").json["error"]["rule"] == "it needs --interval"
    assert pinseal("proof", "--doubt", tmp_path, "--interval", "daily").code == 2


# -- any text in any option


@pytest.mark.parametrize(("command", "options"), [("jacket", JACKET), ("direct", DIRECT), ("proof", PROOF)])
def test_any_text_in_any_option_is_answered_or_refused(command: str, options: dict[str, str]) -> None:
    from tests.cli.conftest import FixedApp

    from pinseal.cli.command import run

    more = {
        "--rejection-elastic": "70 cc", "--gauge-range": "1000 psi", "--gauge-accuracy": "0.5", "--gauge-division": "5 psi",
        "--gauge-calibrated": "2026-10-01", "--pump": "900 psi", "--on": "2026-11-24", "--units": "us",
    }  # fmt: skip
    if command == "proof":
        more = {k: v for k, v in more.items() if k != "--rejection-elastic"} | {
            "--reached-in": "40 s",
            "--drop": "0 psi",
            "--spec": "4BW240",
        }
    every = options | more

    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(
        st.sampled_from(sorted(every)),
        st.text(max_size=25) | st.from_regex(r"-?[0-9]{1,12}(\.[0-9]{1,6})? ?(psi|mL|cc|L|C|s|in)?", fullmatch=True),
    )
    @example("--spec", "3")
    @example("--on", "0001-01-01")
    @example("--water-at", "0 K")
    def fuzz(option: str, text: str) -> None:
        assert run(FixedApp(), words(command, every | {option: text}, "--json")) in (0, 2)

    fuzz()


def test_a_jacket_test_loads_nothing_heavy() -> None:
    code = (
        "import sys; from pinseal.app import App; from pinseal.cli.command import run; "
        f"run(App(), {words('jacket', JACKET)!r}); print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert {"numpy", "scipy", "CoolProp", "sqlalchemy", "iapws"}.isdisjoint(done.stderr.split())
    assert NOW.year == 2026


@pytest.mark.parametrize("figure", ["1" + "0" * 200, "0." + "0" * 200 + "1", "1" + "0" * 30, "0." + "0" * 30 + "1"])
@pytest.mark.parametrize(("command", "options"), [("jacket", JACKET), ("direct", DIRECT), ("proof", PROOF)])
def test_figures_out_of_this_world_are_refused_or_answered(
    pinseal: Command, tmp_path: Path, command: str, options: dict[str, str], figure: str
) -> None:
    units = {
        "--total": "mL", "--permanent": "mL", "--rejection-elastic": "mL", "--accuracy": "mL", "--forced-in": "mL", "--take-up": "mL",
        "--water-capacity": "L", "--diameter": "in", "--wall": "in", "--test-pressure": "psi", "--gauge-range": "psi", "--pump": "psi",
        "--gauge-division": "psi", "--factory-test-pressure": "psi", "--service-pressure": "psi", "--drop": "psi",
        "--calibrated-reading": "mL", "--calibrated-expansion": "mL",
    }  # fmt: skip
    known = pinseal(command, "--help").out
    shape = {
        "--water-capacity": "13 L",
        "--diameter": "7.25 in",
        "--wall": "0.18 in",
        "--calibrated-reading": "9 mL",
        "--calibrated-expansion": "9 mL",
    }
    said = {name: text for name, text in (shape | options).items() if name in known}
    plot = [] if command == "proof" else ["--plot", str(tmp_path / "test.svg")]
    for name, unit in units.items():
        if name in known:
            if unit == "psi" and len(figure) > 300:
                continue
            ran = pinseal(*words(command, said | {name: f"{figure} {unit}"}, "--json", *plot))
            assert ran.code in (0, 2), (name, ran.out)
