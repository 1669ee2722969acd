"""The root command: late loading, help for every command with an example, faults in words."""

from __future__ import annotations

import subprocess
import sys

import click
import pytest
from tests.cli.conftest import Command

from pinseal.cli.command import COMMANDS, root, run

HEAVY = ("numpy", "sqlalchemy", "alembic", "fastapi", "starlette", "jinja2", "openpyxl", "python_calamine", "chardet", "rapidfuzz", "rich")


def _loaded_by(*words: str) -> set[str]:
    code = (
        "import sys; from pinseal.app import App; from pinseal.cli.command import run; "
        f"run(App(), {list(words)!r}); print(*sys.modules, sep='\\n', file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return {name.partition(".")[0] for name in done.stderr.split()}


@pytest.mark.parametrize("words", [("--help",), ("--version",), ("record", "--help"), ("due", "--help"), ("serve", "--help")])
def test_help_loads_nothing_heavy(words: tuple[str, ...]) -> None:
    assert _loaded_by(*words).isdisjoint(HEAVY)


def test_standards_loads_no_store_and_no_pages() -> None:
    assert _loaded_by("standards", "--packs", "us-osha").isdisjoint({"sqlalchemy", "fastapi", "openpyxl", "rapidfuzz"})


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_has_help_and_an_example(name: str) -> None:
    command = root.get_command(click.Context(root), name)
    assert command is not None
    assert command.help
    assert f"Example: pinseal {name}" in command.help


def test_a_fault_of_ours_is_said_in_words(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    class Broken:
        def today(self) -> None:
            raise ZeroDivisionError

    monkeypatch.delenv("PINSEAL_TRACE", raising=False)
    assert run(Broken(), ["standards"]) == 1
    assert "a fault in pinseal itself (got ZeroDivisionError" in capsys.readouterr().err


def test_an_unknown_command_is_refused(pinseal: Command) -> None:
    assert pinseal("polish").code == 2


def test_standards_as_json(pinseal: Command) -> None:
    answer = pinseal("standards", "--packs", "us-dot,gb", "--json").json
    assert [p["pack"] for p in answer["packs"]] == ["us-dot", "gb"]
    co2 = next(d for d in answer["differences"] if d["duty"] == "hydrostatic-test")
    assert co2["units"] == ["carbon dioxide"]
    assert co2["intervals"] == {"us-dot": "5 years, end-of-month", "gb": "10 years"}


def test_standards_can_show_only_what_is_remembered(pinseal: Command) -> None:
    answer = pinseal("standards", "--remembered", "--json").json
    assert {p["checked"] for pack in answer["packs"] for p in pack["provisions"]} == {"memory", "unsure"}
