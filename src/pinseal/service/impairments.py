"""Impairments of units: what was found, who was told, whether it was cleared, and the clocks of all that."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.rules.notices import Impaired, NoticeDue, Told, notice_dues
from pinseal.standards.notices import ANYWHERE

IMPAIRMENT_KINDS = ("impaired", "notice-given", "impairment-cleared", "corrected")
_LATE = ("overdue", "may be overdue")


@dataclass(frozen=True, slots=True, kw_only=True)
class Impairment:
    """One impairment of a unit. `record` is the uid of the record that opened it; `dues` are its clocks."""

    unit: str
    record: str
    impairments: str
    number: str
    person: str
    case: Impaired
    names: Mapping[str, str]
    dues: tuple[NoticeDue, ...]
    cleared_how: str = ""

    @property
    def is_open(self) -> bool:
        """Not cleared yet, or cleared with something still to be told."""
        return self.case.cleared is None or any(due.done is None for due in self.dues)

    @property
    def is_late(self) -> bool:
        return any(due.state in _LATE for due in self.dues)

    def as_json(self) -> dict[str, Any]:
        return {
            "unit": self.unit,
            "record": self.record,
            "impairments": self.impairments,
            "number": self.number,
            "person": self.person,
            "place": self.case.place,
            "at": self.case.at.isoformat(),
            "cleared": self.case.cleared.isoformat() if self.case.cleared else None,
            "open": self.is_open,
            "clocks": [due.as_json() for due in self.dues],
        }


def impairments(records: Iterable[Record], *, now: datetime, zone: ZoneInfo) -> list[Impairment]:
    """The impairments of units, the newest first. `records` are those of `IMPAIRMENT_KINDS`; corrections are applied."""
    by_unit: dict[str, list[Record]] = {}
    for record in records:
        by_unit.setdefault(record.unit, []).append(record)
    found: list[Impairment] = []
    for unit, some in by_unit.items():
        facts = apply_corrections(distinct(some)[0])[0]
        people = {record.uid: record.person for record in some}
        opened = (fact for fact in facts if fact.kind == "impaired")
        found += [_impairment(unit, people[fact.uid], fact, facts, now=now, zone=zone) for fact in opened]
    return sorted(found, key=lambda each: (each.case.at, each.record), reverse=True)


def _impairment(unit: str, person: str, opened: Fact, facts: Iterable[Fact], *, now: datetime, zone: ZoneInfo) -> Impairment:
    own = [fact for fact in facts if fact.fields.get("impairment") == opened.uid]
    given = [fact for fact in own if fact.kind == "notice-given"]
    cleared = min((fact for fact in own if fact.kind == "impairment-cleared"), key=_at, default=None)
    case = Impaired(
        place=opened.fields.get("rules-of") or ANYWHERE,
        at=_at(opened).astimezone(zone),
        cleared=_at(cleared).astimezone(zone) if cleared else None,
        told=tuple(Told(to=f.fields["party"], at=_at(f).astimezone(zone), how=f.fields.get("how", ""), record=f.uid) for f in given),
    )
    return Impairment(
        unit=unit,
        record=opened.uid,
        impairments=opened.fields["impairments"],
        number=opened.fields.get("number", ""),
        person=person,
        case=case,
        names={fact.uid: fact.fields.get("name", "") for fact in given},
        dues=notice_dues(case, now=now, zone=zone),
        cleared_how=cleared.fields.get("how", "") if cleared else "",
    )


def _at(fact: Fact) -> datetime:
    return datetime.fromisoformat(fact.fields["at"])
