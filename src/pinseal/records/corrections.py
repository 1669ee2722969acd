"""How corrections take hold: a record as it counts after everything that was said about it later."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from pinseal.dates import PartialDate, parse_date
from pinseal.reasons import Refusal
from pinseal.records.record import Record
from pinseal.records.record_kinds import CORRECTED_PREFIX, KINDS, NOT_SAID, check_record


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something odd about a record, kept beside it: the record still counts unless the text says otherwise."""

    record: str
    text: str

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A record as it counts: its day and its fields after corrections."""

    uid: str
    kind: str
    done: PartialDate
    fields: Mapping[str, str]
    received: datetime | None = None
    corrected_by: tuple[str, ...] = ()

    @property
    def order(self) -> tuple[date, date, str]:
        return self.done.latest, self.done.earliest, self.uid


def apply_corrections(records: Sequence[Record]) -> tuple[list[Fact], list[Mark]]:
    """The facts that count, in the order of the fold, and the corrections that could not take hold.

    `records` are those of one unit, each once and in order. Later corrections are weighed first, so that one that is
    itself void does nothing; of two that mend the same field the later one holds.
    """
    by_uid = {record.uid: record for record in records}
    holding, marks = _holding([record for record in records if record.kind == "corrected"], by_uid)
    void = {each.fields["corrects"] for each in holding if each.fields.get("void") == "yes"}
    facts = {uid: _as_fact(record) for uid, record in by_uid.items() if record.kind != "corrected" and uid not in void}
    for correction in holding:
        target = facts.get(correction.fields["corrects"])
        if target:
            facts[target.uid] = mended(target, correction)
    return sorted(facts.values(), key=lambda fact: fact.order), marks


def _as_fact(record: Record) -> Fact:
    return Fact(uid=record.uid, kind=record.kind, done=record.done, fields=record.fields, received=record.received)


def _holding(corrections: Sequence[Record], by_uid: Mapping[str, Record]) -> tuple[list[Record], list[Mark]]:
    """The corrections that take hold, in order, and marks on the others."""
    holding: list[Record] = []
    marks: list[Mark] = []
    void: set[str] = set()
    for correction in reversed(corrections):
        if correction.uid in void:
            continue
        wrong = _why_not(correction, by_uid)
        if wrong:
            marks.append(Mark(record=correction.uid, text=f"{wrong}; the correction does nothing"))
            continue
        holding.append(correction)
        if correction.fields.get("void") == "yes":
            void.add(correction.fields["corrects"])
    return holding[::-1], marks


def _why_not(correction: Record, by_uid: Mapping[str, Record]) -> str | None:
    named = correction.fields.get("corrects", "")
    target = by_uid.get(named)
    if target is None:
        return f"it corrects {named or 'nothing'}, which is no record of this unit"
    if target.kind == "corrected" and (target.done.latest, target.done.earliest, target.uid) >= (
        correction.done.latest,
        correction.done.earliest,
        correction.uid,
    ):
        return "it corrects a correction that was written later"
    try:
        check_correction(correction.fields, target)
    except Refusal as refused:
        return refused.what
    return None


def check_correction(fields: Mapping[str, str], target: Record) -> None:
    """Check that a correction fits the record that it corrects. Raises `Refusal`."""
    if fields.get("void") == "yes":
        return
    if target.kind == "corrected":
        raise Refusal(
            what="a correction can only be made void",
            rule="void=yes, then a new correction",
            got=target.uid,
            do="void it and correct again",
        )
    if target.kind in KINDS:
        check_record(target.kind, _mended_fields(target.fields, fields))


def mended(fact: Fact, correction: Record) -> Fact:
    """A fact after one correction that fits it."""
    done = correction.fields.get("to-done")
    return replace(
        fact,
        done=parse_date(done) if done else fact.done,
        fields=_mended_fields(fact.fields, correction.fields),
        corrected_by=(*fact.corrected_by, correction.uid),
    )


def _mended_fields(said: Mapping[str, str], correction: Mapping[str, str]) -> dict[str, str]:
    found = dict(said)
    for name, value in correction.items():
        field = name.removeprefix(CORRECTED_PREFIX)
        if name == field or name == "to-done":
            continue
        if value == NOT_SAID:
            found.pop(field, None)
        else:
            found[field] = value
    return found
