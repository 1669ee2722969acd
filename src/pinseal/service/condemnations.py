"""A shell that was condemned, as the records make it: why, what proves it, how it was made unusable, who was told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pinseal.dates import PartialDate, parse_date
from pinseal.reasons import Refusal
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.records.unit import UnitState
from pinseal.rules.shell_damage import condemnation_needs, need_words, owner_must_nots
from pinseal.standards.shell_damage import CondemningNeed, OwnerMustNot


@dataclass(frozen=True, slots=True, kw_only=True)
class Condemnation:
    """One condemned shell. `specification` is the one that is stamped on it, empty where none is on record.

    `unit` is the unit as it stands today; `record` the record that condemned the shell, `other_shell` whether the unit has another now.
    `photo` is the SHA-256 of the file that the record names.
    """

    unit: UnitState
    record: str
    done: PartialDate
    person: str
    serial: str
    specification: str
    reason: str
    proof: str
    made_unusable: str
    told: str
    told_on: PartialDate | None
    photo: str
    other_shell: bool

    @property
    def stamped(self) -> bool | None:
        """Whether the shell bears a specification; None where that is not on record."""
        return True if self.specification else None

    @property
    def needs(self) -> tuple[tuple[CondemningNeed, str], ...]:
        """What condemning needs, each with what is on record about it (empty: nothing)."""
        proof = self.proof or ("a photo" if self.photo else "")
        told = ", ".join(part for part in (self.told, self.told_on.for_people() if self.told_on else "") if part)
        said = {"proof": proof, "marked-condemned": self.made_unusable, "made-unusable": self.made_unusable, "owner-told": told}
        return tuple((need, said[need.id]) for need in condemnation_needs(stamped=self.stamped))

    @property
    def must_nots(self) -> tuple[OwnerMustNot, ...]:
        return owner_must_nots(stamped=self.stamped)

    @property
    def missing(self) -> tuple[str, ...]:
        """The facts of the record that are not there."""
        kept = {
            "why it was condemned": self.reason,
            "the serial of the shell": self.serial,
            "the proof": self.proof or self.photo,
            "how it was made unusable": self.made_unusable,
        }
        return tuple(name for name, value in kept.items() if not value)

    def as_json(self) -> dict[str, Any]:
        from pinseal.service.duelist import unit_json

        return {
            "unit": unit_json(self.unit),
            "record": self.record,
            "date": str(self.done),
            "person": self.person,
            "serial": self.serial,
            "specification": self.specification,
            "reason": self.reason,
            "proof": self.proof,
            "photo": self.photo or None,
            "made_unusable": self.made_unusable,
            "told": self.told,
            "told_on": str(self.told_on) if self.told_on else None,
            "other_shell": self.other_shell,
            "missing": list(self.missing),
            "needs": [{"id": n.id, "words": need_words(n), "on_record": said, "source": n.source.as_json()} for n, said in self.needs],
            "must_not": [{"id": each.id, "words": each.words, "source": each.source.as_json()} for each in self.must_nots],
        }


def condemnation(unit: UnitState, records: Sequence[Record], *, record: str | None = None) -> Condemnation:
    """The newest condemnation of a unit, or the one of a record. Corrections are applied. Raises `Refusal` where there is none."""
    kept, _ = distinct(records)
    facts, _ = apply_corrections(kept)
    found = [fact for fact in facts if fact.kind == "condemned" and record in (None, fact.uid)]
    if not found:
        raise Refusal(
            what="no shell of this unit was condemned",
            rule="a condemnation notice tells of a record condemned",
            got=record or unit.id or unit.serial or unit.uid or "",
            do='record it: `pinseal record condemned UNIT --reason "dent 9 mm deep" --serial … --proof … --made-unusable …`',
        )
    fact = found[-1]
    later = facts[facts.index(fact) + 1 :]
    exchanged = next((each for each in later if each.kind == "shell-exchanged"), None)
    people = {each.uid: each.person for each in kept}
    said = fact.fields
    told_on = parse_date(said["told-on"]) if "told-on" in said else None
    return Condemnation(
        unit=unit,
        record=fact.uid,
        done=fact.done,
        person=people[fact.uid],
        serial=said.get("serial") or _serial_then(unit, facts, fact, exchanged=exchanged is not None),
        specification="" if exchanged else unit.nameplate.cylinder_specification or "",
        reason=said.get("reason", ""),
        proof=said.get("proof", ""),
        made_unusable=said.get("made-unusable", ""),
        told=said.get("told", ""),
        told_on=told_on,
        photo=said.get("file", ""),
        other_shell=exchanged is not None,
    )


def _serial_then(unit: UnitState, facts: Sequence[Fact], condemned: Fact, *, exchanged: bool) -> str:
    """The serial that the unit had when it was condemned; that of today where no other shell came after."""
    if not exchanged:
        return unit.serial or ""
    before = facts[: facts.index(condemned)]
    return next((each.fields["serial"] for each in reversed(before) if "serial" in each.fields), "")
