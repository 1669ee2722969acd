"""Writes small packs to a folder, for the tests of the loader."""

from __future__ import annotations

from pathlib import Path

HEAD = """id = "trial"
title = "A trial pack"
document = "Trial rules"
jurisdiction = "nowhere"
[[edition]]
id = "2001"
title = "first"
[[edition]]
id = "2011"
title = "second"
"""

PROVISION: dict[str, str] = {
    "id": '"yearly"',
    "title": '"Looked at every year"',
    "duty": '"maintenance"',
    "clause": '"1.2"',
    "in_force_from": "2001-01-01",
    "in_force_to": '"open"',
    "checked": '"practice"',
    "checked_on": "2026-01-01",
    "by": '"somebody"',
    "after": '["maintenance"]',
    "interval": '"1 year"',
    "first": '[{ from = "manufactured", interval = "1 year" }]',
}


def provision(applies: str = "", **changes: str | None) -> str:
    """One provision as TOML; a change of None leaves a key out."""
    table = {**PROVISION, **changes}
    lines = [f"{key} = {value}" for key, value in table.items() if value is not None]
    return "\n".join(["[[provision]]", *lines, *(["[provision.applies]", applies] if applies else []), ""])


def write_pack(folder: Path, *provisions: str, head: str = HEAD, name: str = "trial") -> Path:
    """A pack of one file of provisions."""
    pack = folder / name
    pack.mkdir()
    (pack / "pack.toml").write_text(head, encoding="utf-8")
    (pack / "clocks.toml").write_text("\n".join(provisions), encoding="utf-8")
    return pack
