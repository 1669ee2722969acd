"""Channels that are closed, full or narrow: an exit code all the same, and never a traceback."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from tests.bad_input.bad_input_tools import clean, command
from tests.cli.conftest import Command

WORDS = [("--help",), ("due",), ("due", "--json"), ("standards",)]


def _shell(line: str, *words: str, shop: Path) -> subprocess.CompletedProcess[str]:
    """The command in a shell; `"$@"` in the line is the command with its words."""
    return subprocess.run(
        ["sh", "-c", line, "sh", sys.executable, "-m", "pinseal", *words],
        capture_output=True,
        text=True,
        check=False,
        env=clean(PINSEAL_SHOP=str(shop)),
    )


@pytest.mark.parametrize("words", WORDS, ids=" ".join)
def test_a_closed_output_is_no_fault(shop: Path, words: tuple[str, ...]) -> None:
    done = _shell('"$@" >&-', *words, shop=shop)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("words", WORDS, ids=" ".join)
def test_a_full_output_is_said(shop: Path, words: tuple[str, ...]) -> None:
    done = _shell('"$@" >/dev/full', *words, shop=shop)
    assert done.returncode == 2
    assert done.stderr.startswith("pinseal: the answer could not be written (got standard output)\n  rule: ")


@pytest.mark.parametrize("end", ["2>&-", "2>/dev/full", ">&- 2>&-", "<&- >&- 2>&-"])
def test_a_refusal_that_nobody_can_hear_keeps_its_exit_code(shop: Path, end: str) -> None:
    assert _shell(f'"$@" {end}', "standards", "--packs", "x", shop=shop).returncode == 2


def test_a_reader_that_goes_after_one_line_ends_the_output(shop: Path) -> None:
    done = _shell('{ "$@"; echo "code $?" >&2; } | head -1', "due", "--all", shop=shop)
    assert done.stderr == "code 0\n"
    assert done.stdout.startswith("1 unit, ")


def test_a_record_is_kept_though_its_answer_could_not_be_written(pinseal: Command, shop: Path) -> None:
    done = _shell('"$@" >/dev/full', "record", "noted", "T-1", "--note", "seen", shop=shop)
    assert done.returncode == 2
    assert pinseal("verify", "--json").json["records"] == 2


def test_a_narrow_channel_shows_what_it_cannot_carry_as_codes(pinseal: Command, shop: Path) -> None:
    pinseal("record", "moved", "T-1", "--place", "מחסן 7")
    env = clean(PINSEAL_SHOP=str(shop), PYTHONIOENCODING="latin-1")
    done = command("history", "T-1", env=env, encoding="latin-1")
    assert (done.returncode, done.stderr) == (0, "")
    assert "\\u05de\\u05d7\\u05e1\\u05df 7" in done.stdout
    answer = command("history", "T-1", "--json", env=env, encoding="latin-1")
    assert json.loads(answer.stdout)["records"][-1]["fields"]["place"] == "מחסן 7"
