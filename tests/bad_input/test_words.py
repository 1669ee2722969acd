"""Wrong words on the command line: every option, bytes that are no text, ports, dates, codes."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest
from tests.bad_input.bad_input_tools import check_refusal, check_refusal_as_json, check_whole, command, long_list, ran
from tests.cli.conftest import Command

NO_TEXT = os.fsdecode(b"\xff\xfe")

WRONG: list[tuple[tuple[str, ...], str]] = [
    (("polish",), "No such command"),
    (("due", "--pack", "gb"), "No such option"),
    (("due", "--packs"), "requires an argument"),
    (("due", "--packs", "us-oshaa"), "no such rule pack"),
    (("due", "--packs", "us-nfpa10@1900"), "holds no such edition"),
    (("due", "--packs", "gb,gb"), "a pack is named twice"),
    (("due", "--packs", ""), "no rule pack is chosen"),
    (("due", "--on", "2026"), "write YYYY-MM-DD"),
    (("due", "--on", "2026-02-30"), "the day must be in the calendar"),
    (("due", "--on", "tomorrow"), "this is not a date"),
    (("due", "--on", "0001-01-01"), "years run from 1900 to 2099"),
    (("due", "--horizon", "-1"), "not in the range"),
    (("due", "--top", "0"), "not in the range"),
    (("due", "--assume", "shell=wood"), "unknown shell"),
    (("due", "--assume", "colour=red"), "this cannot be assumed"),
    (("due", "--maintenance-basis", "monthly"), "is not one of"),
    (("explain", "T-1", "--duty", "polishing"), "there is no such duty"),
    (("explain", "T-9"), "no such unit"),
    (("explain", ""), "no such unit"),
    (("forecast", "--years", "0"), "1 to 40 years"),
    (("forecast", "--years", "41"), "1 to 40 years"),
    (("forecast", "--unit", "T-9"), "no such unit"),
    (("audit", "T-9"), "no such unit"),
    (("history", "T-9"), "no such unit"),
    (("history",), "Missing argument 'UNIT'"),
    (("settings", "--units", "stones"), "is not one of"),
    (("settings", "--time-zone", "Mars/Base"), "the setting time zone cannot be used"),
    (("settings", "--time-zone", "../../etc/hosts"), "the setting time zone cannot be used"),
    (("settings", "--packs", "us-oshaa"), "no such rule pack"),
    (("record",), "Missing argument 'KIND'"),
    (("record", "tested"), "Missing argument 'UNIT'"),
    (("record", "polished", "T-1"), "there is no such kind of record"),
    (("record", "tested", "T-9"), "no such unit"),
    (("record", "tested", "T-1", "--on", "yesterday"), "this is not a date"),
    (("record", "tested", "T-1", "--method"), "a field without its value"),
    (("record", "tested", "T-1", "method"), "a field without its value"),
    (("record", "tested", "T-1", "--method", "guess"), "method is one of"),
    (("record", "tested", "T-1", "--pressure", "lots"), "a number and a unit of pressure"),
    (("record", "tested", "T-1", "--pressure", "-5 psi"), "a number and a unit of pressure"),
    (("record", "tested", "T-1", "--colour", "red"), "has no such field"),
    (("record", "tested", "T-1", "--uid", "7"), "this is not the uid of a record"),
    (("record", "noted", "T-1"), "is not complete"),
    (("record", "noted", "T-1", "--note", ""), "it is empty"),
    (("record", "noted", "T-1", "--note", "x" * 10_001), "longer than 10000 characters"),
    (("record", "noted", "T-1", "--note", "\x1b[2J"), "characters that cannot be printed"),
    (("record", "corrected", "T-1", "--corrects", "7"), "is the uid of a record"),
    (("record", "registered", "N-1", "--agent", "custard"), "agent is one of"),
    (("record", "registered", "N-1", "--size", "10 stones"), "a number and a unit of mass or volume"),
    (("import", "--answer", "x"), "Missing argument 'FILE'"),
    (("restore", "nothing.pinseal", "new.pinseal"), "there is no backup at this path"),
    (("serve", "--port", "0"), "not in the range"),
    (("serve", "--port", "eighty"), "not a valid integer"),
    (("serve", "--host", "300.1.1.1"), "this name is not known here"),
    (("demo", "--on", "x"), "this is not a date"),
    (("standards", "--packs", "x"), "no such rule pack"),
]


@pytest.mark.parametrize(("words", "says"), WRONG, ids=[" ".join(w)[:50] for w, _ in WRONG])
def test_a_wrong_word_is_refused_and_changes_nothing(pinseal: Command, shop: Path, words: tuple[str, ...], says: str) -> None:
    before = shop.read_bytes()
    check_refusal(pinseal(*words), 2, says)
    assert shop.read_bytes() == before


def test_a_wrong_word_is_refused_for_programs_too(pinseal: Command, shop: Path) -> None:
    check_refusal_as_json(pinseal("due", "--packs", "us-oshaa", "--json"), 2, "no such rule pack")
    check_refusal_as_json(pinseal("due", "--horizon", "-1", "--json"), 2, "the command is not right")
    check_refusal_as_json(pinseal("polish", "--json"), 2, "the command is not right")


@pytest.mark.parametrize(
    "words",
    [
        ("due", "--packs", "BYTES"),
        ("due", "--on", "BYTES"),
        ("due", "--assume", "shell=BYTES"),
        ("explain", "BYTES"),
        ("explain", "T-1", "--duty", "BYTES"),
        ("forecast", "--unit", "BYTES"),
        ("history", "BYTES"),
        ("audit", "BYTES"),
        ("record", "BYTES", "T-1"),
        ("record", "noted", "BYTES", "--note", "x"),
        ("record", "noted", "T-1", "--note", "BYTES"),
        ("record", "noted", "T-1", "--BYTES", "x"),
        ("record", "noted", "T-1", "--note", "x", "--uid", "BYTES"),
        ("record", "noted", "T-1", "--note", "x", "--writer", "BYTES"),
        ("record", "noted", "T-1", "--note", "x", "--person", "BYTES"),
        ("record", "registered", "BYTES", "--agent", "abc"),
        ("settings", "--time-zone", "BYTES"),
        ("settings", "--packs", "BYTES"),
        ("withdrawals", "BYTES"),
        ("serve", "--host", "BYTES"),
        ("BYTES",),
    ],
    ids=" ".join,
)
def test_bytes_that_are_no_text_are_refused(pinseal: Command, shop: Path, words: tuple[str, ...]) -> None:
    """What stands as BYTES here are two bytes that are not UTF-8, as a terminal of another encoding sends them."""
    said = [word.replace("BYTES", NO_TEXT) for word in words]
    done = pinseal(*said)
    assert done.code == 2, ascii(done)
    assert done.err.count("\n") == 3
    assert "a fault in pinseal" not in done.err
    again = pinseal(*said, "--json")
    assert (again.code, sorted(again.json["error"])) == (2, ["do", "got", "rule", "what"])
    check_whole(pinseal, shop, records=1)


def test_a_list_and_a_shop_may_have_any_name_of_a_file(pinseal: Command, tmp_path: Path) -> None:
    path, shop, copy = (tmp_path / f"{name}{NO_TEXT}" for name in ("list", "shop", "copy"))
    path.write_text(long_list(2), encoding="utf-8")
    assert pinseal("init", shop, "--packs", "us-osha").code == 0
    assert pinseal("import", path, "--shop", shop).code == 0
    assert pinseal("backup", copy, "--shop", shop).code == 0
    assert pinseal("due", copy, "--json").json["summary"]["units"] == 2
    check_whole(pinseal, copy, records=2)


def test_an_answer_to_nothing_is_named_beside_the_dues(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("id,agent,last service\nA1,abc,3/4/2025\n", encoding="utf-8")
    said = pinseal("due", path, "--packs", "us-osha", "--answer", "date-ordr=MDY").out
    assert "1 question of the list not answered" in said
    assert "Answers to nothing that this list asks: date-ordr" in said
    settled = pinseal("due", path, "--packs", "us-osha", "--answer", "date-order=MDY").out
    assert "question" not in settled
    assert "to nothing" not in settled
    check_refusal(pinseal("due", path, "--packs", "us-osha", "--answer", "date-order=XYZ"), 2, "none of its readings")


def test_a_taken_port_is_said(pinseal: Command, shop: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        check_refusal(pinseal("serve", "--port", port), 2, f"port {port} is taken", "choose another port")


def test_the_bare_command_shows_what_there_is(pinseal: Command) -> None:
    done = pinseal()
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("Usage: pinseal")


def test_the_kinds_of_record_are_shown_without_a_unit(pinseal: Command) -> None:
    assert "tested: " in pinseal("record", "help").out


def test_a_date_to_come_is_kept_and_called_odd(pinseal: Command, shop: Path) -> None:
    done = pinseal("record", "tested", "T-1", "--on", "2050-01-01")
    assert (done.code, "odd: it is dated after the day on which it was received" in done.out) == (0, True)


def test_a_shop_without_units_says_what_to_do(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "new.pinseal"
    pinseal("init", path, "--packs", "gb")
    assert "`pinseal import` takes a list in" in pinseal("due", path).out


def test_without_a_terminal_nothing_is_asked(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(long_list(2), encoding="utf-8")
    done = ran(command("import", path, "--shop", shop))
    assert (done.code, done.err) == (0, "")
    assert "Taken in: 2 new units" in done.out
    assert "\x1b" not in done.out
    check_whole(pinseal, shop, records=3)
