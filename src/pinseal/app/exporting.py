"""Everything that a shop holds, as plain CSV and JSON, in a folder of its own."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.store import Shop


def export_shop(shop: Shop, folder: Path) -> dict[str, int]:
    """Write the units as they stand and every table; returns the rows of each. The folder appears whole or not at all.

    Raises `Refusal` for a folder that holds something or cannot be written to.
    """
    with _whole(folder) as part:
        written = {"units": _write(part, "units", [_unit_row(state) for state in shop.units()])}
        for name, rows in shop.export():
            written[f"table-{name}"] = _write(part, f"table-{name}", rows)
        files = shop.path.with_name(f"{shop.path.name}.files")
        if files.is_dir():
            shutil.copytree(files, part / "files")
    return written


@contextmanager
def _whole(folder: Path) -> Iterator[Path]:
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refusal(
            what="the folder is taken", rule="an export goes into a folder that is new or empty", got=str(folder), do="name another folder"
        )
    part = folder.with_name(f"{folder.name}.part")
    shutil.rmtree(part, ignore_errors=True)
    try:
        part.mkdir(parents=True)
        yield part
        if folder.exists():
            folder.rmdir()
        part.rename(folder)
    except OSError as error:
        shutil.rmtree(part, ignore_errors=True)
        raise Refusal(
            what="the export cannot be written",
            rule=f"the system says: {error.strerror}",
            got=str(folder),
            do="choose a folder on a disk that has room and can be written to; nothing was left behind",
        ) from error
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise


def _unit_row(state: Any) -> dict[str, Any]:
    """A unit under the plain headings, so that the export can be read in again as a list."""
    from pinseal.records.registering import registered_fields

    said = registered_fields(state)
    return {"uid": state.uid, **{name.replace("-", " "): value for name, value in said.items() if name not in ("sheet", "row")}}


def _write(folder: Path, name: str, rows: Iterable[Mapping[str, Any]]) -> int:
    kept = [dict(row) for row in rows]
    headings = list(dict.fromkeys(key for row in kept for key in row))
    with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, headings)
        table.writeheader()
        table.writerows({key: _cell(value) for key, value in row.items()} for row in kept)
    (folder / f"{name}.json").write_text(json.dumps(kept, ensure_ascii=False, indent=1, default=str), encoding="utf-8")
    return len(kept)


def _cell(value: Any) -> Any:
    return json.dumps(value, ensure_ascii=False, default=str) if isinstance(value, (dict, list)) else value
