"""`leak` and `lots` as people and programs call them: files good and bad, and words that no file or option can break."""

from __future__ import annotations

import shutil
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cli.conftest import Command, FixedApp

from pinseal.cli.command import run

EXAMPLES = Path(__file__).resolve().parent.parent.parent / "docs" / "examples"
HEAD = "unit,date,reading,temperature\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("readings.csv", "fleet.csv"):
        shutil.copy(EXAMPLES / name, tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def rows(*readings: str, unit: str = "A", head: str = HEAD) -> str:
    return head + "".join(f"{unit},2025-{n + 1:02d}-10,{reading}\n" for n, reading in enumerate(readings))


# -- leak


def test_three_invented_units(here: Path, pinseal: Command) -> None:
    answer = pinseal("leak", "readings.csv", "--on", "2025-12-20", "--json", "--units", "us").json
    found = {one["unit"]: one for one in answer["units"]}
    assert [found[name]["kind"] for name in ("B-101", "B-102", "B-103")] == ["slow-leak", "one-off-loss", "none"]
    assert [found[name]["verdict"] for name in ("B-101", "B-102", "B-103")] == ["fail", "fail", "pass"]
    leak = found["B-101"]
    assert leak["slope"]["unit"] == "psi/yr"
    assert leak["slope_low"]["value"] < -7 < leak["slope_high"]["value"]  # made with 7 psi a year
    assert leak["crossing"]["bounded"] and leak["crossing"]["earliest"] < leak["crossing"]["date"] < leak["crossing"]["latest"]
    assert leak["level"]["kind"] == "gauge"
    assert "kind" not in leak["slope"]
    assert leak["bubble_test"] == "may-find"
    event = found["B-102"]
    assert (event["loss_after"], event["loss_before"]) == ("2024-12-14", "2025-01-14")
    assert event["loss"]["value"] == pytest.approx(16, abs=1.5)
    assert answer["summary"] == {"units": 3, "kinds": {"slow-leak": 1, "one-off-loss": 1, "none": 1}, "expected_by_chance": 0.15}


def test_the_units_of_the_answer(here: Path, pinseal: Command) -> None:
    def level(*more: str) -> dict[str, object]:
        return dict(pinseal("leak", "readings.csv", "--unit", "B-103", "--on", "2025-12-20", "--json", *more).json["units"][0]["level"])

    assert level() == {"value": pytest.approx(194e0 * 6894.757, rel=0.01), "unit": "Pa", "kind": "gauge"}
    assert level("--units", "metric") == {"value": pytest.approx(13.4, abs=0.1), "unit": "bar", "kind": "gauge"}


def test_headings_may_carry_the_unit(here: Path, pinseal: Command) -> None:
    plain = "unit;date;reading (psi);temperature (C)\n" + "".join(f"A;2025-{n + 1:02d}-10;{195 + n % 2};21\n" for n in range(8))
    Path("plain.csv").write_text(plain, encoding="utf-8")
    answer = pinseal("leak", "plain.csv", "--on", "2025-12-20", "--json", "--units", "us", "--low", "175 psi").json["units"][0]
    assert answer["verdict"] == "pass"
    assert answer["limit"] == {"value": pytest.approx(175), "unit": "psi", "kind": "gauge"}


def test_psia_counts_from_vacuum(here: Path, pinseal: Command) -> None:
    Path("a.csv").write_text(rows(*["209.7 psia,70 F"] * 6), encoding="utf-8")
    level = pinseal("leak", "a.csv", "--on", "2025-12-20", "--json", "--units", "us").json["units"][0]["level"]
    assert level["value"] == pytest.approx(195, abs=0.05)


def test_a_reading_of_zero_is_empty(here: Path, pinseal: Command) -> None:
    Path("a.csv").write_text(rows(*["195 psi,70 F"] * 5, "0 psi,70 F"), encoding="utf-8")
    answer = pinseal("leak", "a.csv", "--on", "2025-12-20", "--json").json["units"][0]
    assert answer["verdict"] == "fail"
    assert "no proof" in answer["because"][0]


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("195 furlongs,70 F", "not a pressure"),
        ("195,70 F", "not a pressure"),
        ("NaN psi,70 F", "not a pressure"),
        ("-40 psi,70 F", "nothing is emptier than vacuum"),
        ("195 bar,70 F", "no stored-pressure unit shows this"),
        ("9000 psi,70 F", "no unit shows this"),
        ("195 psi,700 F", "-80 and 150 C"),
        ("195 psi,warm", "not a temperature"),
        ("195 psi,70 F,more", "more cells than headings"),
    ],
)
def test_bad_cells_are_refused_with_their_line(here: Path, pinseal: Command, cell: str, said: str) -> None:
    Path("a.csv").write_text(rows("195 psi,70 F", cell), encoding="utf-8")
    ran = pinseal("leak", "a.csv", "--json")
    assert ran.code == 2
    error = ran.json["error"]
    assert said in " ".join(error.values())
    assert "line 3" in error["what"] or "2025-02-10" in error["what"]
    assert error["do"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "a column is missing"),
        ("unit,reading\nA,195 psi\n", "add date"),
        ("unit,date,reading,colour\n", "unknown heading"),
        ("unit,date,date\n", "stands twice"),
        (HEAD, "nothing to judge"),
        (HEAD + ",2025-01-01,195 psi,70 F\n", "has no unit"),
        (HEAD + "A,,195 psi,70 F\n", "has no date"),
        (HEAD + "A,2025-01,195 psi,70 F\n", "a full day is needed"),
        (HEAD + "A,10/01/2025,195 psi,70 F\n", "machine dates are ISO"),
        (HEAD + 'A,2025-01-01,"195 psi,70 F\n', "not a CSV file"),
        ("unit,date,weight\nA,2025-01-01,-3 lb\n", "a mass is not below zero"),
        ("unit,date,weight\nA,2025-01-01,0 lb\n", "weighs something"),
        ("unit,date,medium\nA,2025-01-01,jelly\n", "unknown code"),
        ("unit,date,ullage share\nA,2025-01-01,3\n", "ullage share"),
        ("unit,date,low\nA,2025-01-01,175 psi\nA,2025-02-01,170 psi\n", "says another low gauge"),
    ],
)
def test_bad_files_are_refused(here: Path, pinseal: Command, text: str, said: str) -> None:
    Path("a.csv").write_text(text, encoding="utf-8")
    ran = pinseal("leak", "a.csv", "--json")
    assert ran.code == 2
    assert said in " ".join(ran.json["error"].values())


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--gauge-u", "0 psi"), "--gauge-u"),
        (("--gauge-u", "-1 psi"), "not below zero"),
        (("--thermometer-u", "1.5"), "thermometer"),
        (("--thermometer-u", "40 K"), "at most 20 K"),
        (("--scale-u", "0 lb"), "--scale-u"),
        (("--free-volume", "-2 L"), "not below zero"),
        (("--low", "heavy"), "not a pressure"),
        (("--unit", "Z-9"), "no row of Z-9"),
        (("--plot", "a.svg"), "which unit"),
        (("--on", "2025-13-01"), "months run"),
    ],
)
def test_bad_options_are_refused(here: Path, pinseal: Command, options: tuple[str, ...], said: str) -> None:
    ran = pinseal("leak", "readings.csv", *options, "--json")
    assert ran.code == 2
    assert said in " ".join(ran.json["error"].values())


def test_files_that_are_none(here: Path, pinseal: Command) -> None:
    assert pinseal("leak", "absent.csv").code == 2
    assert pinseal("leak", ".").code == 2
    Path("binary.csv").write_bytes(b"\xff\xfe\x00unit")
    assert "UTF-8" in pinseal("leak", "binary.csv").err


def test_a_free_volume_that_cannot_be(here: Path, pinseal: Command) -> None:
    ran = pinseal("leak", "readings.csv", "--json", "--free-volume", "0 L")
    assert ran.code == 0  # the file says the volume of each unit
    Path("a.csv").write_text(rows(*[f"{195 - 5 * n} psi,70 F" for n in range(9)]), encoding="utf-8")
    assert "free volume" in pinseal("leak", "a.csv", "--free-volume", "0 L").err


def test_the_words_begin_with_the_verdict_and_end_with_the_caution(here: Path, pinseal: Command) -> None:
    said = pinseal("leak", "readings.csv", "--on", "2025-12-20").out.splitlines()
    assert said[0].startswith("B-101: FAIL: it loses")
    assert "stand aside" in said[-1]
    assert any("chance alone" in line for line in said)


@pytest.mark.parametrize("unit", ["B-101", "B-102", "B-103"])
def test_the_picture_is_sound(here: Path, pinseal: Command, unit: str) -> None:
    ran = pinseal("leak", "readings.csv", "--unit", unit, "--on", "2025-12-20", "--plot", "a.svg")
    assert ran.code == 0
    drawn = Path("a.svg").read_text(encoding="utf-8")
    ET.fromstring(drawn)
    assert drawn.count("<circle") >= 24
    assert "limit 175.0 psi" in drawn
    assert unit in drawn
    assert "nan" not in drawn


def test_a_unit_without_a_usable_reading_is_not_drawn(here: Path, pinseal: Command) -> None:
    Path("a.csv").write_text("unit,date,reading\nA,2025-01-01,195 psi\n", encoding="utf-8")
    ran = pinseal("leak", "a.csv", "--plot", "a.svg")
    assert ran.code == 2
    assert "nothing to draw" in ran.err


def test_one_reading_is_drawn(here: Path, pinseal: Command) -> None:
    Path("a.csv").write_text(rows("195 psi,70 F"), encoding="utf-8")
    assert pinseal("leak", "a.csv", "--plot", "a.svg").code == 0
    assert "nan" not in Path("a.svg").read_text(encoding="utf-8")


# -- lots


def test_an_invented_fleet(here: Path, pinseal: Command) -> None:
    answer = pinseal("lots", "fleet.csv", "--json", "--age", "6").json
    worst = answer["lots"][0]
    assert (worst["lot"], worst["failed"], worst["units"]) == ("H16", 25, 40)
    assert worst["rate_ratio"]["low"] > 1
    assert worst["odds_ratio"]["low"] > 1
    assert "verdict" not in worst
    fleet = answer["groups"][0]
    assert (fleet["by"], fleet["units"]) == ("fleet", 217)
    assert fleet["weibull"]["shape_low"] < fleet["weibull"]["shape"] < fleet["weibull"]["shape_high"]
    survival = fleet["survival"][0]
    assert 0 <= survival["least"] <= survival["greatest"] <= 1
    assert sum(step["share"] for step in fleet["steps"]) == pytest.approx(1)
    said = pinseal("lots", "fleet.csv").out
    assert said.startswith("lot H16 of ABC 10: between")
    assert "no verdict" in said


def test_the_picture_of_lots(here: Path, pinseal: Command) -> None:
    assert pinseal("lots", "fleet.csv", "--plot", "a.svg").code == 0
    drawn = Path("a.svg").read_text(encoding="utf-8")
    ET.fromstring(drawn)
    assert "H16" in drawn and "nan" not in drawn
    Path("few.csv").write_text("unit,in service,last good\nA,2015-01,2020-01-01\n", encoding="utf-8")
    assert pinseal("lots", "few.csv", "--plot", "a.svg").code == 0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("unit,in service\n", "the list is empty"),
        ("unit,last good\nA,2020-01-01\n", "add in service"),
        ("unit,in service\nA,2015-01-01\n", "nothing can be learned"),
        ("unit,in service,last good\nA,2015,2020\nA,2015,2021\n", "stands twice"),
        ("unit,in service,last good\nA,2015,2010\n", "no possible order"),
        ("unit,in service,last good\nA,,2010\n", "has no in service"),
        ("unit,in service,last good\nA,2015,soon\n", "machine dates are ISO"),
        ("unit,in service,last good,first bad\nA,2015,2020-05-01,2019-05-01\n", "no possible order"),
    ],
)
def test_bad_lists_are_refused(here: Path, pinseal: Command, text: str, said: str) -> None:
    Path("a.csv").write_text(text, encoding="utf-8")
    ran = pinseal("lots", "a.csv", "--json")
    assert ran.code == 2
    assert said in " ".join(ran.json["error"].values())


@pytest.mark.parametrize("age", ["0", "nan", "inf", "-3", "x", "101"])
def test_bad_ages_are_refused(here: Path, pinseal: Command, age: str) -> None:
    assert pinseal("lots", "fleet.csv", "--age", age).code == 2


# -- fuzz


_CELLS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["195 psi", "13.4 bar", "0 psi", "1e9 psi", "70 F", "-5 C", "2025-01-10", "2024", "5 lb", "co2", "water", "0.25", ""]),
)
_HEADINGS = st.lists(
    st.sampled_from(
        [
            "unit",
            "date",
            "reading",
            "temperature",
            "gauge",
            "weight",
            "scale",
            "medium",
            "gas",
            "charged",
            "low",
            "free volume",
            "reading (psi)",
        ]
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(_HEADINGS, st.lists(st.lists(_CELLS, max_size=8), max_size=6))
def test_no_file_breaks_leak(tmp_path_factory: pytest.TempPathFactory, heads: list[str], table: list[list[str]]) -> None:
    path = tmp_path_factory.getbasetemp() / "fuzz.csv"
    text = "\n".join(",".join(cells) for cells in [heads, *table])
    path.write_text(text, encoding="utf-8", errors="replace")
    assert run(FixedApp(), ["leak", str(path), "--json"]) in (0, 2)
    assert run(FixedApp(), ["lots", str(path), "--json"]) in (0, 2)


_VISIT = st.tuples(
    st.integers(0, 5000), st.floats(-5, 60), st.floats(-80, 150), st.sampled_from(["", "a"]), st.sampled_from(["powder", "water", "co2"])
)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.lists(_VISIT, max_size=9))
def test_no_readings_break_leak(tmp_path_factory: pytest.TempPathFactory, table: list[tuple[int, float, float, str, str]]) -> None:
    from datetime import date, timedelta

    path = tmp_path_factory.getbasetemp() / "numbers.csv"
    lines = [
        f"{medium},{date(2012, 1, 1) + timedelta(days=day)},{bar:.2f} bar,{celsius:.1f} C,{gauge},{medium},{8 + bar / 50:.2f} kg,2012-01-01"
        for day, bar, celsius, gauge, medium in table
    ]
    path.write_text("\n".join(["unit,date,reading,temperature,gauge,medium,weight,charged", *lines]), encoding="utf-8")
    assert run(FixedApp(), ["leak", str(path), "--json"]) in (0, 2)
    assert run(FixedApp(), ["leak", str(path)]) in (0, 2)
    assert run(FixedApp(), ["leak", str(path), "--unit", "water", "--plot", str(path.with_suffix(".svg"))]) in (0, 2)


_OPTIONS = [
    "--low",
    "--low-weight",
    "--medium",
    "--gas",
    "--free-volume",
    "--gauge-u",
    "--thermometer-u",
    "--scale-u",
    "--on",
    "--unit",
    "--units",
]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.sampled_from(_OPTIONS),
    st.one_of(st.text(max_size=20), st.sampled_from(["1 psi", "1/0 K", "1_0 K", "٣ K", "nan", "1e400 psi"])),
)  # fmt: skip
def test_no_option_breaks_leak(option: str, text: str) -> None:
    assert run(FixedApp(), ["leak", str(EXAMPLES / "readings.csv"), option, text, "--json"]) in (0, 2)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.text(max_size=20))
def test_no_age_breaks_lots(text: str) -> None:
    assert run(FixedApp(), ["lots", str(EXAMPLES / "fleet.csv"), "--age", text, "--json"]) in (0, 2)
