"""Compare a reading of a list with the truth beside it, fact by fact."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
NAMES = tuple(sorted(path.name.removesuffix(".truth.json") for path in HERE.glob("*.truth.json")))
FACTS = (
    "id", "serial", "site", "place", "agent", "expelled_by", "shell", "wheeled", "size", "rating", "manufactured", "last_inspection",
    "last_maintenance", "last_internal_examination", "last_hydrostatic_test", "last_recharge",
)  # fmt: skip
LOOSE = frozenset(("site", "place", "rating"))
POWDERS = frozenset(("abc", "sodium-bicarbonate", "potassium-bicarbonate", "potassium-chloride", "urea-potassium-bicarbonate"))

Place = tuple[str | None, int]


@dataclass(slots=True)
class Score:
    """How many facts came out right, and what became of the rest."""

    right: int = 0
    wrong: int = 0
    missed: int = 0
    invented: int = 0
    lost: int = 0
    extra: int = 0
    notes: list[str] = field(default_factory=list)

    @property
    def facts(self) -> int:
        return max(1, self.right + self.wrong + self.missed + self.invented)

    @property
    def share_right(self) -> float:
        return self.right / self.facts

    @property
    def share_silent(self) -> float:
        """The share that is wrong or invented with no word about it."""
        return (self.wrong + self.invented) / self.facts


def list_path(name: str) -> Path:
    return next(path for path in (HERE / f"{name}.csv", HERE / f"{name}.xlsx") if path.exists())


def truth_of(name: str) -> dict[str, Any]:
    truth: dict[str, Any] = json.loads((HERE / f"{name}.truth.json").read_text())
    return truth


def _folded(value: object) -> str:
    return re.sub(r"[\W_]+", "", str(value)).casefold()


def same(fact: str, said: Any, read: Any) -> bool:
    """Whether two values of a fact agree; sites, places and ratings by their letters and digits alone."""
    if said == read:
        return True
    if said is None or read is None:
        return False
    if fact == "size":
        return bool(said["unit"] == read["unit"] and abs(float(said["value"]) - float(read["value"])) < 1e-6)
    return fact in LOOSE and _folded(said) == _folded(read)


def _place(entry: dict[str, Any]) -> Place:
    return (entry.get("sheet"), entry.get("unit_row", entry["row"]))


def score(truth: dict[str, Any], reading: dict[str, Any]) -> Score:
    """Score a reading. What the truth calls ambiguous may be null or the shared part; one reading picked silently is wrong."""
    many = len({entry["sheet"] for entry in [*truth["units"], *truth["not_units"]]}) > 1

    def place(entry: dict[str, Any]) -> Place:
        sheet, row = _place(entry)
        return (sheet if many else None, row)

    unsure = {(place(entry), entry["field"]) for entry in truth["ambiguous"]}
    fair: dict[tuple[Place, str], list[Any]] = defaultdict(list)
    for entry in truth["ambiguous"]:
        if set(entry["readings"]) <= POWDERS:
            fair[place(entry), entry["field"]].append("dry-chemical")
    names = {entry["field"]: entry["values"] for entry in truth["also_accept"] if entry["row"] is None}
    for entry in truth["also_accept"]:
        if entry["row"] is not None:
            fair[place(entry), entry["field"]] += entry["values"]
    read = {place(unit): unit for unit in reading["units"]}
    result = Score(extra=len(reading["units"]) - len({place(unit) for unit in truth["units"]} & set(read)))
    for unit in truth["units"]:
        where = place(unit)
        if where not in read:
            result.lost += 1
            result.notes.append(f"{where}: not read as a unit")
            continue
        for fact in FACTS:
            _compare(result, where, fact, unit.get(fact), read[where].get(fact), fair[where, fact], names, open_=(where, fact) in unsure)
    accounted = set(read) | {place(entry) for entry in [*reading["not_units"], *reading["problems"]] if entry.get("row")}
    for entry in [*truth["not_units"], *truth["problems"]]:
        if entry.get("row") and place(entry) not in accounted:
            result.lost += 1
            result.notes.append(f"{place(entry)}: lost without a word ({entry['kind']})")
    return result


def _compare(
    result: Score, where: Place, fact: str, said: Any, read: Any, fair: list[Any], names: dict[str, dict[str, Any]], *, open_: bool
) -> None:
    others = [*fair, *([names[fact][said]] if fact in names and said in names[fact] else [])]
    if same(fact, said, read) or any(same(fact, other, read) for other in others) or (open_ and read is None):
        result.right += said is not None
        return
    kind = "missed" if read is None else "invented" if said is None else "wrong"
    setattr(result, kind, getattr(result, kind) + 1)
    result.notes.append(f"{where} {fact}: {kind}: {read!r}, truth {said!r}")
