"""The console examples of README and docs run, and print what the pages say (`...` stands for anything).

A last line `[2]` says that the command ends with that exit code; then the page shows what it says of the error.
"""

from __future__ import annotations

import doctest
import re
import shlex
import shutil
from pathlib import Path

import pytest
from tests.cli.conftest import Command

ROOT = Path(__file__).resolve().parent.parent.parent
_BLOCK = re.compile(r"^```console\n(.*?)^```", re.MULTILINE | re.DOTALL)
_EXIT = re.compile(r"^\[(\d)\]\n", re.MULTILINE)
_PAGES = [
    page
    for page in (ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md")))
    if "```console\n$ pinseal" in page.read_text(encoding="utf-8")
]


def _examples(page: Path) -> list[tuple[str, str]]:
    """Each command of a page with the output that the page shows, in order."""
    found = []
    for block in _BLOCK.findall(page.read_text(encoding="utf-8")):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, shown = part.partition("\n")
            found.append((command, shown))
    return found


@pytest.mark.parametrize("page", _PAGES, ids=lambda page: page.name)
def test_the_examples_of_a_page_run(page: Path, pinseal: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for example in (ROOT / "docs" / "examples").iterdir():
        shutil.copy(example, tmp_path)
    monkeypatch.chdir(tmp_path)
    same = doctest.OutputChecker()
    for command, shown in _examples(page):
        program, *words = shlex.split(command)
        assert program == "pinseal", f"{page.name}: only pinseal is run here: {command}"
        ran = pinseal(*words)
        ends = _EXIT.search(shown)
        assert ran.code == (int(ends[1]) if ends else 0), f"{command}: {ran.err}"
        printed, wanted = (ran.err, shown[: ends.start()]) if ends else (ran.out, shown)
        assert same.check_output(wanted, printed, doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE), f"{command} printed\n{printed}"


def test_the_links_of_the_pages_lead_somewhere() -> None:
    for page in (ROOT / "README.md", *(ROOT / "docs").rglob("*.md")):
        for target in re.findall(r"\]\(([^)#:]+)\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name} points to {target}"
