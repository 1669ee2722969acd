"""`shell` as people and programs call it."""

from __future__ import annotations

import pytest
from tests.cli.conftest import Command


def test_the_guide_says_which_packs_it_took_and_where_each_line_comes_from(pinseal: Command) -> None:
    lines = pinseal("shell").out.splitlines()
    assert lines[0] == "Packs: us-ca, us-dot, us-nfpa10, us-osha, all of the United States, as none was named."
    at = lines.index("  - It has been in a fire.")
    assert lines[at + 1].strip() == "29 CFR 1910.157 (f)(2), read in a public copy of the text."
    assert any("CONDEMNED stamped on shoulder" in line for line in lines)


def test_the_british_list_is_asked_for_by_its_pack(pinseal: Command) -> None:
    assert "A weld is corroded." not in pinseal("shell").out
    shown = pinseal("shell", "--packs", "gb").out
    assert "A weld is corroded." in shown
    assert "No list is held under these packs." in shown


def test_a_dent_is_judged_with_its_reason_first(pinseal: Command) -> None:
    words = ("shell", "--dent-width", "40 mm", "--dent-depth")
    assert pinseal(*words, "3 mm").out.startswith("The dent, NOT CONDEMNED: it is 3.00 mm (0.118 in) deep; the limit is 4.00 mm")
    assert pinseal(*words, "5 mm").out.startswith("The dent, CONDEMN IT: ")
    assert pinseal(*words, "4 mm", "--resolution", "0.1 mm").out.startswith("The dent, TOO CLOSE: ")
    assert pinseal(*words, "6.4 mm", "--at-weld", "--json").json["dent"]["verdict"] == "fail"


def test_a_pit_is_judged_beside_a_dent_and_its_bar_on_a_test_is_said(pinseal: Command) -> None:
    shown = pinseal("shell", "--dent-depth", "1 mm", "--dent-width", "40 mm", "--pit-depth", "0.1 mm").out
    assert "The dent, NOT CONDEMNED" in shown
    assert "The pit, UNKNOWN: the wall is not said" in shown
    assert "Pitting corrosion bars a pressure test anyway" in shown
    assert shown.count("! The maker's manual") == 1


def test_json_holds_the_verdicts_and_the_guide(pinseal: Command) -> None:
    answer = pinseal("shell", "--pit-depth", "0.3 mm", "--wall", "3 mm", "--json").json
    assert answer["dent"] is None
    assert answer["pit"]["verdict"] == "pass"
    assert answer["pit"]["limit"] == {"value": 0.0003, "unit": "m"}
    assert answer["pit"]["source"]["checked"] == "second-hand"
    assert set(answer["lists"]) == {"never-tested", "fails", "condemned"}
    assert answer["lists"]["never-tested"][0]["source"]["clause"] == "(f)(2)"
    assert [need["id"] for need in answer["needs"]] == ["proof", "marked-condemned", "made-unusable", "owner-told"]


@pytest.mark.parametrize(
    ("words", "rule"),
    [
        (("--dent-depth", "3 mm"), "--dent-width"),
        (("--dent-width", "3 mm"), "--dent-depth"),
        (("--at-weld",), "--dent-depth"),
        (("--wall", "3 mm"), "--pit-depth"),
        (("--resolution", "0.1 mm"), "--dent-depth"),
        (("--dent-depth", "-3 mm", "--dent-width", "40 mm"), "above zero"),
        (("--dent-depth", "3 psi", "--dent-width", "40 mm"), "a number and one of the units"),
        (("--dent-depth", "nan", "--dent-width", "40 mm"), "a number and one of the units"),
        (("--pit-depth", "4 mm", "--wall", "3 mm"), "a pit ends in the wall"),
        (("--packs", "atlantis"), "a pack is one of"),
        (("--packs", ""), "chooses the documents"),
    ],
)
def test_bad_input_is_refused(pinseal: Command, words: tuple[str, ...], rule: str) -> None:
    ran = pinseal("shell", *words, "--json")
    assert ran.code == 2
    assert rule in ran.json["error"]["rule"]
