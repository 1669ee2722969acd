"""Small invented lists for the tests, written to a folder of the test's own."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from pinseal.intake.reader import read_register
from pinseal.intake.register import Register, RegisterUnit

TODAY = date(2026, 6, 30)


def write(folder: Path, text: str, name: str = "list.csv", encoding: str = "utf-8") -> Path:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return path


def read(folder: Path, text: str, *, encoding: str = "utf-8", **options: Any) -> Register:
    return read_register(write(folder, text, encoding=encoding), today=TODAY, **options)


def facts(unit: RegisterUnit) -> dict[str, Any]:
    """What a unit says, as plain values, without sheet, row and raw cells."""
    shape = unit.as_json()
    return {key: value for key, value in shape.items() if value is not None and key not in ("sheet", "row", "raw")}
