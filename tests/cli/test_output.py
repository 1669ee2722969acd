"""What happens when nobody can or will take the output."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

LIST = "id,agent,manufactured\n" + "".join(f"{n},abc,2014\n" for n in range(400))


@pytest.fixture
def words(tmp_path: Path) -> list[str]:
    path = tmp_path / "list.csv"
    path.write_text(LIST, encoding="utf-8")
    return [sys.executable, "-m", "pinseal", "due", str(path), "--packs", "us-osha", "--all"]


@pytest.mark.parametrize("more", [[], ["--json"]])
def test_a_full_device_is_said_on_the_error_channel(words: list[str], more: list[str]) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run([*words, *more], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith("pinseal: the answer could not be written")
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("more", [[], ["--json"]])
def test_a_reader_that_goes_away_is_nobodys_fault(words: list[str], more: list[str]) -> None:
    started = subprocess.Popen([*words, *more], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert started.stdout is not None
    assert started.stderr is not None
    started.stdout.read(1)
    started.stdout.close()
    assert started.stderr.read() == b""
    started.stderr.close()
    assert started.wait() == 0
