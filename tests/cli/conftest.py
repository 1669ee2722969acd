"""Running the command in this process, and a small shop to run it on."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from pinseal.app import App
from pinseal.cli.command import run

sys.path.insert(0, str(Path(__file__).parent))  # the makers beside this file can be imported by the tests
NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)


class FixedApp(App):
    """The app with a clock that stands still."""

    def now(self) -> datetime:
        return NOW


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


Command = Callable[..., Ran]


@pytest.fixture
def pinseal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    """Call it like the command: `pinseal("due", "--json")`."""
    for name in ("PINSEAL_SHOP", "PINSEAL_PERSON", "PINSEAL_WRITER", "PINSEAL_TRACE"):
        monkeypatch.delenv(name, raising=False)

    def call(*words: object) -> Ran:
        capsys.readouterr()
        code = run(FixedApp(), [str(word) for word in words])
        said = capsys.readouterr()
        return Ran(code, said.out, said.err)

    return call


@pytest.fixture
def shop(pinseal: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with one unit, T-1, named by PINSEAL_SHOP."""
    path = tmp_path / "shop.pinseal"
    assert pinseal("init", path, "--packs", "us-osha,us-nfpa10", "--time-zone", "America/Chicago").code == 0
    monkeypatch.setenv("PINSEAL_SHOP", str(path))
    plate = {
        "agent": "abc",
        "expelled-by": "stored-pressure",
        "shell": "mild-steel",
        "rechargeable": "yes",
        "hose": "none",
        "wheeled": "no",
    }
    dates = {"manufactured": "2014-06", "last-internal-examination": "2020-07", "last-maintenance": "2025-11-03"}
    fields = [f"--{name}={value}" for name, value in {**plate, **dates}.items()]
    made = pinseal("record", "registered", "T-1", "--on", "2026-01-05", "--serial", "0099", "--site", "Sawmill", *fields)
    assert made.code == 0, made.err
    return path
