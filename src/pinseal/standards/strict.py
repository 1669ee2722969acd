"""Reading data files strictly: every refusal names the file, the entry, the rule, and what to do."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from pinseal.reasons import Refusal


class Place:
    """Where in the data we are, so that each refusal names file and entry. `kind` is what an entry is called."""

    def __init__(self, file: str, entry: str = "", *, kind: str = "provision") -> None:
        self.file, self.entry, self.kind = file, entry, kind

    def refuse(self, what: str, *, rule: str, got: object, do: str) -> Refusal:
        where = f"{self.file}, {self.kind} {self.entry}" if self.entry else self.file
        return Refusal(what=f"{where}: {what}", rule=rule, got=str(got), do=do)

    def keys(self, table: Mapping[str, Any], allowed: set[str]) -> None:
        for key in table:
            if key not in allowed:
                raise self.refuse(
                    "wrong key", rule=f"the keys here are {', '.join(sorted(allowed))}", got=key, do="correct or remove the key"
                )

    def code(self, value: object, allowed: Iterable[str], *, what: str) -> str:
        known = tuple(allowed)
        if not isinstance(value, str) or value not in known:
            raise self.refuse(f"unknown {what}", rule=f"{what} is one of {', '.join(known)}", got=value, do=f"use a listed {what}")
        return value

    def text(self, table: Mapping[str, Any], key: str, default: str | None = None) -> str:
        value = table.get(key, default)
        if not isinstance(value, str) or (default is None and not value.strip()):
            raise self.refuse(f"{key} is missing or is no text", rule=f"every entry says its {key}", got=value, do=f'add {key} = "…"')
        return value

    def tables(self, table: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
        found = table.get(key, [])
        if not isinstance(found, list) or not all(isinstance(each, dict) for each in found):
            raise self.refuse(
                f"{key} is no list of tables",
                rule=f"{key} is written as a list of tables",
                got=found,
                do=f"write [[{key}]], or {key} = [{{ … }}]",
            )
        return found

    def day(self, value: object, *, what: str) -> date:
        if isinstance(value, datetime) or not isinstance(value, date):
            raise self.refuse(
                f"{what} is not a date", rule="a date is written YYYY-MM-DD, without quotes", got=value, do="write the full day"
            )
        return value

    def flag(self, table: Mapping[str, Any], key: str) -> bool:
        value = table.get(key, False)
        if not isinstance(value, bool):
            raise self.refuse(f"{key} is neither true nor false", rule="a flag has no quotes", got=value, do=f"write {key} = true")
        return value

    def codes(self, table: Mapping[str, Any], key: str, allowed: Iterable[str], *, what: str) -> tuple[str, ...]:
        """A list of codes; a missing key is an empty list."""
        value = table.get(key, [])
        if not isinstance(value, list):
            raise self.refuse(f"{key} is no list", rule=f"{key} is a list of codes", got=value, do=f'write {key} = ["…"]')
        known = tuple(allowed)
        return tuple(self.code(each, known, what=what) for each in value)

    def texts(self, table: Mapping[str, Any], key: str) -> tuple[str, ...]:
        """A list of texts; a missing key is an empty list."""
        value = table.get(key, [])
        if not isinstance(value, list) or not all(isinstance(each, str) and each.strip() for each in value):
            raise self.refuse(f"{key} is no list of texts", rule=f"{key} is a list of texts", got=value, do=f'write {key} = ["…"]')
        return tuple(value)

    def number(self, table: Mapping[str, Any], key: str, default: float) -> float:
        value = table.get(key, default)
        if isinstance(value, bool) or not isinstance(value, int | float) or value < 0:
            raise self.refuse(f"{key} is not a number from zero up", rule="numbers have no quotes", got=value, do=f"write {key} = 1.5")
        return float(value)


def read_toml(file: Traversable | Path) -> dict[str, Any]:
    """Parse one TOML file; its own mistakes, such as a day that is not in the calendar, are refused with the file's name."""
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise Refusal(
            what=f"{file.name}: the file is not there", rule="a pack is a folder with pack.toml", got=str(file), do="check the folder"
        ) from None
    except tomllib.TOMLDecodeError as mistake:
        raise Refusal(
            what=f"{file.name}: not readable as TOML",
            rule="dates must be in the calendar and the file must be valid TOML",
            got=str(mistake),
            do="correct the line",
        ) from None
