"""The shapes in which a job sheet is asked for, shown and closed, and the JSON files in which one is filled."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from pinseal.reasons import Refusal
from pinseal.records.record import Record
from pinseal.sheets.closing import Closed
from pinseal.sheets.view import finished_json, sheet_json
from pinseal.sheets.working import Working


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAsked:
    """What a person asks a sheet for. None means: as the shop has it, or what is due."""

    unit: str
    works: Sequence[str] | None = None
    on: date | None = None
    packs: Sequence[str] | None = None
    system: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedSheet:
    """A sheet as it stands: its uid, the working state, how the unit is named, and other sheets that are open for the unit."""

    uid: str
    work: Working
    unit: Mapping[str, Any]
    others: tuple[str, ...]
    next_number: int = 1
    resumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedSheet:
    """A sheet that was closed, the records that it made, and how the dues moved."""

    sheet: OpenedSheet
    closed: Closed
    records: tuple[Record, ...]
    moved: tuple[Any, ...] = ()
    dry_run: bool = False

    def as_json(self, system: str) -> dict[str, Any]:
        made = [record.as_json() for record in self.records] or [
            {"kind": each.kind, "fields": dict(each.fields)} for each in self.closed.made
        ]
        return {
            "sheet": self.sheet.uid,
            **sheet_json(self.sheet.work, dict(self.sheet.unit), system=system),
            **finished_json(self.sheet.work, self.closed.decision, self.closed.outcome),
            "state": self.closed.state_words,
            "others_open": list(self.sheet.others),
            "records": made,
            "moved": [each.as_json() for each in self.moved],
            "written": not self.dry_run,
        }


def read_filled(path: str) -> dict[str, Any]:
    """A JSON file of a sheet or of answers. Raises `Refusal`."""
    try:
        found = json.loads(Path(path).read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, ValueError, RecursionError) as error:
        reason = error.strerror if isinstance(error, OSError) else "not JSON in UTF-8"
        raise Refusal(what="this file cannot be read", rule="a sheet and its answers are JSON files", got=f"{path}: {reason}",
                      do="check the name; see docs/sheets.md for the shape") from error  # fmt: skip
    if not isinstance(found, dict):
        raise Refusal(
            what="this file holds no sheet",
            rule="a sheet or its answers are a JSON object",
            got=path,
            do="see docs/sheets.md for the shape",
        )
    return found
