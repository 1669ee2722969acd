"""What an impairment notice says, as plain values for the typesetter."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from pinseal import kinds
from pinseal.records.unit import UnitState
from pinseal.rules.notices import NoticeDue, moment_words, rule_words
from pinseal.service.impairments import Impairment

_SHAPES = {
    "overdue": "full", "done late": "full", "may be overdue": "half", "perhaps done late": "half", "due": "diamond", "done": "ring",
    "not begun": "broken",
}  # fmt: skip


def notice_data(found: Impairment, unit: UnitState, stands_in: str, owner: str = "") -> dict[str, Any]:
    """The data of `notice.typ`, with `title` and `right` for the head of the paper. `owner` is the owner and address of its site."""
    name = unit.id or unit.serial or "unit without a number"
    cleared = found.case.cleared
    return {
        "title": f"Unit {name} was out of order" if cleared else f"Unit {name} is out of order",
        "right": [moment_words(found.case.at), *([f"red tag {found.number}"] if found.number else [])],
        "warning": _warning(cleared, found.cleared_how),
        "words": {"unit": "The unit", "impairments": "What is impaired", "clocks": "Who must be told, and by when"},
        "facts": _facts(found, unit, name, stands_in, owner),
        "impairments": [line.strip() for line in found.impairments.replace(";", "\n").splitlines() if line.strip()],
        "clock_heads": ["State", "What", "By", "Told", "By which rule"],
        "clocks": [_clock(due, found) for due in found.dues],
        "because": list(dict.fromkeys(line for due in found.dues if due.earliest for line in due.because)),
        "signatures": ["Signature of the licensee, by hand", "Received for the owner: name, date, signature"],
    }


def _warning(cleared: datetime | None, how: str) -> list[str]:
    if cleared is None:
        return ["Do not rely on this extinguisher.", "It must be put right or replaced, and looked at again, before it gets a service tag."]
    return ["It was cleared.", f"{moment_words(cleared)}{': ' + how if how else ''}."]


def _facts(found: Impairment, unit: UnitState, name: str, stands_in: str, owner: str) -> list[list[str]]:
    plate = unit.nameplate
    kind = " ".join(part for part in (str(plate.size or ""), kinds.AGENTS[plate.agent].label if plate.agent else "") if part)
    return [
        ["unit", name],
        ["serial", unit.serial or "not on record"],
        ["kind", kind or "not on record"],
        ["owner", owner or "not in the shop's address book"],
        ["place", ", ".join(part for part in (unit.site, unit.place) if part) or "not on record"],
        ["in its place meanwhile", stands_in or "nothing is on record"],
        ["found by", found.person],
    ]


def _clock(due: NoticeDue, found: Impairment) -> dict[str, str]:
    by = moment_words(due.earliest) if due.earliest else "not begun"
    or_by = f"or {moment_words(due.latest)}, if holidays do not count" if due.latest and due.latest != due.earliest else ""
    name = found.names.get(due.done.record, "") if due.done else ""
    told = ", ".join(part for part in (moment_words(due.done.at), name, due.done.how) if part) if due.done else ""
    where = " (where there is one)" if due.telling.where_there_is_one else ""
    return {
        "shape": _SHAPES[due.state],
        "state": due.state,
        "what": f"{due.telling.words}{where}",
        "by": by,
        "or_by": or_by,
        "told": told,
        "source": rule_words(due.telling),
    }
