"""Makers of shops for the tests, and ways to make a folder read-only or full on this machine."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from record_makers import draft

from pinseal.records.record import Draft, uuid7
from pinseal.store import Settings, Shop

NOW = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)


def new_shop(folder: Path, name: str = "quay.shop", **settings: object) -> Shop:
    return Shop.create(folder / name, Settings(**settings), person="Ida Quill", now=NOW)


def chance(size: int) -> bytes:
    """No chance at all: ids differ by their number in the batch, so a test gives each batch its own time."""
    return bytes(size)


def unit_uid(number: int) -> str:
    return uuid7(at=NOW, randomness=number.to_bytes(8, "big"), sequence=number)


def registering(count: int, first: int = 0) -> list[Draft]:
    """Drafts that register `count` units."""
    return [
        draft(
            "registered",
            "2026-01-02",
            unit=unit_uid(number),
            id=str(number),
            serial=f"KX-{number}",
            site="Pier",
            agent="abc",
            manufactured="2014-06",
        )
        for number in range(first, first + count)
    ]


def run_python(code: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    """Run a program of its own that can import what the tests import."""
    folders = [str(Path(__file__).parent), str(Path(__file__).parent.parent / "records")]
    program = f"import sys\nsys.path[:0] = {folders!r}\n{code}"
    return subprocess.run([sys.executable, "-c", program, *map(str, arguments)], capture_output=True, text=True, check=False, timeout=120)


def _quiet(*command: object) -> bool:
    try:
        return subprocess.run([str(each) for each in command], capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        return False


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Make a folder one that cannot be written to: by its rights, or for a root user by a read-only mount or immutable files."""
    everything = [folder, *folder.rglob("*")]
    if os.geteuid() != 0:
        modes = [(path, path.stat().st_mode) for path in everything]
        for path, mode in reversed(modes):
            path.chmod(mode & 0o555)
        try:
            yield
        finally:
            for path, mode in modes:
                path.chmod(mode)
    elif _quiet("mount", "--bind", folder, folder) and _quiet("mount", "-o", "remount,bind,ro", folder):
        try:
            yield
        finally:
            assert _quiet("umount", folder)
    else:
        assert _quiet("chattr", "+i", *everything), "a root user without mounts or immutable files cannot run this test"
        try:
            yield
        finally:
            assert _quiet("chattr", "-i", *everything)
