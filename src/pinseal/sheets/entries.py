"""What is entered on a sheet, one touch at a time: the shapes, and how they are read from JSON.

Entries are only ever added. Answering a step again adds an entry; what was entered before stays on the sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pinseal.reasons import Refusal

# Key of an entry: the keys that it must have, and those that it may have besides.
_SHAPES: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "step": (("step", "answer"), ("readings", "instruments", "note")),
    "confirm": (("confirm",), ("note",)),
    "fix": (("fix", "how"), ("step", "part", "number", "count", "note")),
    "override": (("override", "step", "reason", "supervisor"), ()),
    "extend": (("extend",), ("note",)),
    "laid-out": (("laid-out", "have"), ("note",)),
    "abandon": (("abandon", "left"), ("where", "note")),
}
_ALWAYS_TEXT = ("uid", "person", "helper", "at")
_ALWAYS = (*_ALWAYS_TEXT, "seconds")
ENTRY_KEYS = (
    "step and answer, confirm, fix and how, override with step, reason and supervisor, extend, laid-out and have, or abandon and left"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry. `kind` is step, confirm, fix, override, extend, laid-out or abandon.

    `subject` is what it is about: step, group, finding, gate, work, part.

    `seconds` is how long it took, where that was timed; `at` the moment as the device wrote it. `uid` is made where the entry
    was made, on a device that sends its sheets later: so the shop knows an entry that comes twice.
    """

    kind: str
    subject: str
    said: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[str, str] = field(default_factory=dict)
    instruments: Mapping[str, str] = field(default_factory=dict)
    person: str = ""
    helper: str = ""
    at: str = ""
    seconds: int | None = None
    uid: str = ""

    def as_json(self) -> dict[str, Any]:
        """The entry as it is kept; the inverse of `read_entry`."""
        made: dict[str, Any] = {self.kind: self.subject, **self.said}
        for name in ("readings", "instruments"):
            if value := getattr(self, name):
                made[name] = dict(value)
        made |= {name: value for name in ("uid", "person", "helper", "at") if (value := getattr(self, name))}
        return made if self.seconds is None else {**made, "seconds": self.seconds}


def _refused(what: str, rule: str, got: object) -> Refusal:
    return Refusal(what=what, rule=rule, got=str(got)[:120], do="see docs/sheets.md for the shape of an entry")


def _texts(said: Mapping[str, Any], name: str) -> dict[str, str]:
    value = said.get(name, {})
    if not isinstance(value, Mapping) or not all(isinstance(k, str) and isinstance(v, str | int | float) for k, v in value.items()):
        raise _refused(f"{name} of an entry cannot be read", f"{name} maps names to texts", value)
    return {key: str(text) for key, text in value.items()}


def _seconds(value: object) -> int | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 86_400:
        raise _refused("seconds of an entry cannot be read", "a number of seconds within a day", value)
    return int(value)


def read_entry(said: object) -> Entry:
    """An entry from its JSON. Raises `Refusal` that names the shape."""
    if not isinstance(said, Mapping):
        raise _refused("an entry cannot be read", f"an entry is a JSON object with {ENTRY_KEYS}", said)
    kind = next((each for each in _SHAPES if each in said and (each != "step" or not {"fix", "override"} & said.keys())), None)
    if kind is None:
        raise _refused("an entry cannot be read", f"an entry has {ENTRY_KEYS}", ", ".join(map(str, said)))
    must, may = _SHAPES[kind]
    if absent := [key for key in must if key not in said]:
        raise _refused(f"an entry {kind} is not complete", f"it has {', '.join(must)}", f"no {', '.join(absent)}")
    if odd := [key for key in said if key not in (*must, *may, *_ALWAYS)]:
        raise _refused(f"an entry {kind} has a wrong key", f"its keys are {', '.join((*must, *may, *_ALWAYS))}", ", ".join(map(str, odd)))
    texts = {key: said[key] for key in (*must, *may, *_ALWAYS_TEXT) if key in said and key not in ("readings", "instruments")}
    if wrong := [key for key, value in texts.items() if not isinstance(value, str)]:
        raise _refused(f"an entry {kind} holds what is no text", "everything but seconds is text", ", ".join(wrong))
    return Entry(
        kind=kind,
        subject=texts.pop(kind),
        uid=texts.pop("uid", ""),
        person=texts.pop("person", ""),
        helper=texts.pop("helper", ""),
        at=texts.pop("at", ""),
        said=texts,
        readings=_texts(said, "readings"),
        instruments=_texts(said, "instruments"),
        seconds=_seconds(said.get("seconds")),
    )


def extended(entries: Iterable[Entry]) -> tuple[str, ...]:
    """The works that entries add to a sheet: its job is composed with them before the entries are taken."""
    return tuple(entry.subject for entry in entries if entry.kind == "extend")
