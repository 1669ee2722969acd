"""`instruments`, `people` and `doubt` on a shop. All names and numbers are invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.cli.conftest import Command

# The clock of these tests stands still, so that the order of two records of one day is chance: each has its own day.
GAUGE = ("instruments", "add", "G-1", "--what", "test-gauge", "--on", "2026-01-02")


def doubtful(pinseal: Command, *words: str) -> list[tuple[str, str]]:
    return [(row["date"], row["reason"]) for row in pinseal("doubt", *words, "--json").json["rows"]]


def test_an_instrument_is_listed_with_its_last_good_check_and_the_rule(pinseal: Command, shop: Path) -> None:
    added = pinseal(*GAUGE, "--resolution", "5 psi", "--range", "0 to 1000 psi", "--serial", "K7", "--json").json
    assert (added["id"], added["resolution"], added["range"], added["serial"]) == ("G-1", "5 psi", "0 to 1000 psi", "K7")
    assert (added["standing"]["code"], added["last_good_check"]) == ("never-checked", None)
    checked = ("instruments", "check", "g-1", "--result", "good", "--on", "2026-06-01")
    assert pinseal(*checked, "--against", "M-1", "--certificate", "C-9").code == 0
    (listed,) = pinseal("instruments", "--json").json["instruments"]
    assert (listed["last_good_check"], listed["checks"][0]["against"], listed["checks"][0]["certificate"]) == ("2026-06-01", "M-1", "C-9")
    standing = listed["standing"]
    assert (standing["code"], standing["good_until"], standing["source"]["clause"]) == ("good", "2026-12-01", "8.2.1.4")
    told = pinseal("instruments").out
    assert "G-1: test gauge" in told
    assert "good until 2026-12-01" in told
    assert "NFPA 10 8.2.1.4" in told


@pytest.mark.parametrize(("on", "code"), [("2026-11-30", "good"), ("2026-12-01", "good"), ("2026-12-02", "lapsed")])
def test_the_list_of_a_day_says_how_they_stand_on_that_day(pinseal: Command, shop: Path, on: str, code: str) -> None:
    pinseal(*GAUGE)
    pinseal("instruments", "check", "G-1", "--result", "good", "--on", "2026-06-01")
    answer = pinseal("instruments", "--on", on, "--json").json
    assert (answer["on"], answer["instruments"][0]["standing"]["code"]) == (on, code)


def test_a_check_may_be_older_than_the_registering(pinseal: Command, shop: Path) -> None:
    pinseal(*GAUGE)
    checked = pinseal("instruments", "check", "G-1", "--result", "good", "--on", "2020-01-15", "--json").json
    assert checked["last_good_check"] == "2020-01-15"


def test_a_withdrawn_instrument_says_so(pinseal: Command, shop: Path) -> None:
    pinseal(*GAUGE)
    gone = pinseal("instruments", "withdraw", "G-1", "--reason", "fell from the bench", "--json").json
    assert gone["withdrawn"] == {"since": "2026-11-24", "reason": "fell from the bench"}
    assert (gone["standing"]["code"], gone["standing"]["effect"]) == ("withdrawn", "blocks")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("instruments", "check", "G-9", "--result", "good"), "there is no such instrument in the register"),
        (("instruments", "withdraw", "G-9", "--reason", "x"), "there is no such instrument in the register"),
        (("instruments", "add", "g-1", "--what", "scale"), "this name is taken"),
        (("instruments", "add", "G-2", "--what", "ruler"), "what is one of scale, regulator"),
        (("instruments", "add", "S-1", "--what", "scale", "--resolution", "5 psi"), "this is not a mass"),
        (("instruments", "add", "R-1", "--what", "regulator", "--uncertainty", "5 lb"), "this is not a pressure"),
        (("instruments", "add", "S-1", "--what", "scale", "--accuracy-percent", "half"), "accuracy-percent is a number of percent"),
        (("instruments", "check", "G-1", "--result", "good", "--on", "2026-02-30"), "the day must be in the calendar"),
        (("instruments", "check", "G-1", "--result", "good", "--on", "2026-11-25"), "this day is still to come"),
        (("instruments", "check", "G-1", "--result", "good", "--on", "2026-06-01", "--until", "2026-05-31"), "lies before the check"),
        (("instruments", "check", "G-1", "--result", "soso"), "'soso' is not one of"),
        (("people", "paper", "Bo Tarn", "--paper", "licence", "--number", "1", "--until", "2027-01-01"), "there is no such person"),
        (("people", "add", "ida quill"), "this name is taken"),
        (("people", "add", "Bo Tarn", "--id", "iq"), "this name is taken"),
        (("people", "add", "Bo Tarn", "--role", "boss"), "role is one of technician"),
        (("people", "end", "IQ", "--number", "L-2", "--reason", "x"), "has no paper of this number"),
        (
            ("people", "paper", "IQ", "--paper", "licence", "--number", "1", "--from", "2027-01-02", "--until", "2027-01-01"),
            "lies before its first day",
        ),
        (("doubt", "G-9"), "there is no such instrument in the register"),
        (("record", "instrument-checked", "T-1", "--check", "good"), "is not about an extinguisher"),
    ],
)
def test_bad_input_is_refused_in_words_and_changes_nothing(pinseal: Command, shop: Path, words: tuple[str, ...], said: str) -> None:
    pinseal(*GAUGE)
    pinseal("people", "add", "Ida Quill", "--id", "IQ")
    before = pinseal("verify", "--json").json["records"]
    refused = pinseal(*words)
    assert (refused.code, said in refused.err) == (2, True), refused.err
    assert pinseal(*words, "--json").json["error"]["do"]
    assert pinseal("verify", "--json").json["records"] == before


def test_the_shop_and_the_form_may_be_said_before_the_name_of_the_command(
    pinseal: Command, shop: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    other = tmp_path / "other.pinseal"
    assert pinseal("init", other).code == 0
    assert pinseal("instruments", "--shop", other, "--json", "add", "S-1", "--what", "scale").json["id"] == "S-1"
    assert pinseal("instruments", "--json").json["instruments"] == []
    monkeypatch.delenv("PINSEAL_SHOP")
    assert [each["id"] for each in pinseal("instruments", "--shop", other, "--json").json["instruments"]] == ["S-1"]
    refused = pinseal("people", "add", "Ida Quill")
    assert (refused.code, "no shop is named" in refused.err) == (2, True)


def test_people_have_papers_that_lapse_and_end(pinseal: Command, shop: Path) -> None:
    pinseal("settings", "--packs", "us-nfpa10,us-ca")
    pinseal("people", "add", "Ida Quill", "--role", "technician", "--id", "IQ")
    paper = ("people", "paper", "IQ", "--paper", "licence", "--jurisdiction", "California", "--on", "2026-01-03", "--number")
    pinseal(*paper, "L-1", "--until", "2026-03-31", "--class", "A", "--issued-by", "the state", "--from", "2024-04-01")
    marks = {}
    for on in ("2024-03-31", "2024-04-01", "2026-03-31", "2026-04-01"):
        (ida,) = pinseal("people", "--on", on, "--json").json["people"]
        marks[on] = (ida["mark"]["code"], ida["mark"]["effect"])
    assert list(marks.values()) == [("lapsed", "blocks"), ("good", "none"), ("good", "none"), ("lapsed", "blocks")]
    renewed = pinseal(*paper, "L-2", "--until", "2027-03-31", "--json").json
    assert (renewed["mark"]["code"], {each["number"]: each["class"] for each in renewed["papers"]}) == ("good", {"L-1": "A", "L-2": None})
    ended = pinseal("people", "end", "Ida Quill", "--number", "l-2", "--reason", "given back", "--json").json
    assert (ended["mark"]["effect"], [each["number"] for each in ended["papers"] if each["ended"]]) == ("blocks", ["L-2"])
    told = pinseal("people").out
    assert "licence L-2, of California, until 2027-03-31, ended 24 Nov 2026: given back" in told
    assert "X for a mark" in told


def test_readings_come_into_doubt_by_the_interval_that_applies(pinseal: Command, shop: Path) -> None:
    pinseal(*GAUGE)
    pinseal("instruments", "check", "G-1", "--result", "good", "--on", "2026-01-15")
    for on in ("2026-07-15", "2026-07-16"):
        pinseal("record", "tested", "T-1", "--on", on, "--instrument", "g-1", "--pressure", "585 psi")
    pinseal("record", "measured", "T-1", "--on", "2026-07-20", "--instrument", "G-2", "--quantity", "weight", "--value", "9 kg")
    answer = pinseal("doubt", "G-1", "--json").json
    (row,) = answer["rows"]
    assert (row["date"], row["reason"], row["value"], row["unit"]["id"]) == ("2026-07-16", "lapsed", "585 psi", "T-1")
    assert answer["summary"] == {"readings": 2, "in_doubt": 1, "units": 1}
    assert "1 of 2 readings on G-1 in doubt, of 1 unit" in pinseal("doubt", "G-1").out
    assert doubtful(pinseal, "G-1", "--since", "2026-07-01") == [("2026-07-15", "bad-since"), ("2026-07-16", "bad-since")]
    assert doubtful(pinseal, "G-1", "--since", "2026-07-01", "--until", "2026-07-15") == [("2026-07-15", "bad-since")]
    assert doubtful(pinseal, "G-2") == [("2026-07-20", "never-checked")]
    assert "G-2 is not in the register" in pinseal("doubt", "G-2").out


def test_corrections_decide_which_readings_there_are(pinseal: Command, shop: Path) -> None:
    pinseal(*GAUGE)
    words = ("record", "tested", "T-1", "--instrument", "G-1", "--pressure", "585 psi", "--json", "--on")
    void, moved = (pinseal(*words, on).json["record"]["uid"] for on in ("2026-03-01", "2026-04-01"))
    assert [day for day, _ in doubtful(pinseal, "G-1")] == ["2026-03-01", "2026-04-01"]
    pinseal("record", "corrected", "T-1", "--corrects", void, "--void", "yes")
    pinseal("record", "corrected", "T-1", "--corrects", moved, "--to-instrument", "G-2")
    assert pinseal("doubt", "G-1").out.startswith("None of 0 readings on G-1 is in doubt")
    assert [day for day, _ in doubtful(pinseal, "G-2")] == ["2026-04-01"]


def test_registers_do_not_show_among_the_units(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    pinseal(*GAUGE)
    pinseal("people", "add", "Ida Quill")
    assert pinseal("due", "--json").json["summary"]["units"] == 1
    assert pinseal("audit", "--json").json["counts"] == pinseal("audit", "T-1", "--json").json["counts"]
    assert pinseal("history", "G-1").code == 2
    assert pinseal("export", tmp_path / "out", "--json").code == 0
    assert (tmp_path / "out" / "units.csv").read_text(encoding="utf-8").count("\n") == 2
    assert "instrument-registered" not in pinseal("record", "help").out
    assert "measured" in pinseal("record", "help").out


def test_empty_registers_say_how_to_begin(pinseal: Command, shop: Path) -> None:
    assert "pinseal instruments add" in pinseal("instruments").out
    assert "pinseal people add" in pinseal("people").out
