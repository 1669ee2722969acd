"""The command, and for each test a fresh copy of one small shop with one unit, T-1."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.cli.conftest import Command, FixedApp, pinseal

from pinseal.cli.command import run

__all__ = ["pinseal"]


@pytest.fixture(scope="session")
def first_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Made once: making a shop is slow beside what is tested here."""
    path = tmp_path_factory.mktemp("first") / "shop.pinseal"
    words = ["--shop", str(path), "--person", "A. Tide"]
    assert run(FixedApp(), ["init", "--packs", "us-osha,us-nfpa10", "--time-zone", "America/Chicago", *words]) == 0
    unit = ["--agent", "abc", "--expelled-by", "stored-pressure", "--shell", "mild-steel", "--rechargeable", "yes", "--hose", "none"]
    assert run(FixedApp(), ["record", "registered", "T-1", "--on", "2026-01-05", "--manufactured", "2014-06", *unit, *words]) == 0
    return path


@pytest.fixture
def shop(pinseal: Command, first_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the small shop, named by PINSEAL_SHOP."""
    path = Path(shutil.copy(first_shop, tmp_path))
    shutil.copytree(first_shop.with_name("shop.pinseal.files"), tmp_path / "shop.pinseal.files")
    monkeypatch.setenv("PINSEAL_SHOP", str(path))
    return path
