"""What the rooms below the pages say as it stands: labels, refusals, procedures. The rim looks them up; these rooms know no language.

Only whole constant texts can be found here. A sentence that is put together with values in it stays English
(docs/adding-a-language.md says which).
"""

from __future__ import annotations

import ast
import importlib
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pinseal import kinds
from pinseal.intake.heading_words import PLAIN_FIELDS
from pinseal.records.record_kinds import KINDS

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "pinseal"
Below = tuple[str, str, str]  # message, file, note

# Tables of labels, and sentences without values, by module.
_TABLES = {
    "pinseal.sheets.model": ("WORKS", "STAGES", "ACTIONS"),
    "pinseal.sheets.decision": ("DECISIONS",),
    "pinseal.service.books": ("STAGES",),
    "pinseal.standards.marks": ("PRINTED",),
    "pinseal.rules.leak_words": ("KIND_LABELS",),
    "pinseal.rules.cautions": ("STAND_CLEAR",),
    "pinseal.rules.charging": ("SAFETY_WORDS", "LIMIT_WORDS"),
    "pinseal.rules.supplying": ("SUPPLY_SAFETY_WORDS",),
    "pinseal.rules.sentences": ("FACT_HEADINGS",),
    "pinseal.service.quotes": ("STATES",),
    "pinseal.rules.price_book": ("SERVICES",),
    "pinseal.rules.repair_or_replace": ("ANSWERS",),
    "pinseal.rules.visits": ("WHEREABOUTS", "RESULTS", "WHAT_TO_DO"),
}
_SAID_IN_PROCEDURES = ("title", "do", "why", "proves", "caution", "cautions", "says", "label", "words", "parts", "does_not_apply")
_REFUSING = (
    "records", "intake", "service", "store", "sheets", "rules", "standards", "app", "units.py", "dates.py", "kinds.py", "measures.py",
    "money.py",
)  # fmt: skip


def messages_below() -> Iterator[Below]:
    """Every message, where it stands, and a note for who translates it."""
    yield from _labels()
    yield from _records()
    yield from _refusals()
    yield from _procedures()


def _labels() -> Iterator[Below]:
    for name, table in sorted(vars(kinds).items()):
        if name.isupper() and isinstance(table, dict):
            yield from _of_table(table, "src/pinseal/kinds.py", name)
    yield "Done", "src/pinseal/sheets/load.py", "the answer of a step that says no other"
    yield kinds.agent_label(None), "src/pinseal/kinds.py", "agent"
    for module, names in _TABLES.items():
        for name in names:
            where = f"src/{module.replace('.', '/')}.py"
            yield from _of_table(getattr(importlib.import_module(module), name), where, name)


def _of_table(table: Any, where: str, name: str) -> Iterator[Below]:
    entries = table.items() if isinstance(table, Mapping) else ((name, each) for each in table)
    for code, entry in entries:
        label = entry.label if isinstance(entry, kinds.Agent) else entry
        if isinstance(label, str):
            yield label, where, f"{name.lower().replace('_', ' ')}: {code}"


def _records() -> Iterator[Below]:
    """What kinds of record are called, and their fields; the columns of a list."""
    for kind in KINDS.values():
        yield kind.label, "src/pinseal/records/record_kinds.py", f"kind of record: {kind.code}"
        for field in kind.fields:
            name = field.name.removeprefix("to-").replace("-", " ")
            yield name, "src/pinseal/records/record_kinds.py", "field of a record"
    for name in PLAIN_FIELDS:
        yield name.replace("_", " "), "src/pinseal/intake/heading_words.py", "column of a list"


def _refusals() -> Iterator[Below]:
    """The parts of refusals that hold no value."""
    for room in _REFUSING:
        paths = sorted((SOURCE / room).rglob("*.py")) if (SOURCE / room).is_dir() else [SOURCE / room]
        for path in paths:
            for call in (node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Call)):
                said = {each.arg: each.value for each in call.keywords}
                if {"what", "rule", "do"} <= said.keys():
                    yield from ((text, path.relative_to(ROOT).as_posix(), "part of a refusal") for text in _constants(said))


def _constants(said: Mapping[str | None, ast.expr]) -> Iterator[str]:
    for part in ("what", "rule", "do"):
        value = said[part]
        if isinstance(value, ast.Constant) and isinstance(value.value, str):
            yield value.value


def _procedures() -> Iterator[Below]:
    for path in sorted((SOURCE / "sheets" / "procedures").rglob("*.toml")):
        where = path.relative_to(ROOT).as_posix()
        for said in _said(tomllib.loads(path.read_text(encoding="utf-8"))):
            yield said, where, ""


def _said(part: Any) -> Iterator[str]:
    """The texts under the keys that people read, however deep."""
    if isinstance(part, list):
        for each in part:
            yield from _said(each)
    elif isinstance(part, Mapping):
        for key, value in part.items():
            yield from _texts(value) if key in _SAID_IN_PROCEDURES else _said(value)


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    else:
        for each in value.values() if isinstance(value, Mapping) else value:
            yield from _texts(each)
