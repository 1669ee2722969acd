"""The certificate of a pressure test and the record of a yearly maintenance, from one record; what the rule asks for is never missing."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.records.unit import UnitState
from pinseal.rules.requalification import weigh
from pinseal.service.pressure_log import on_record, state_at
from pinseal.standards.requalification import FIELDS, FieldList, Said, requalification

# What can be certified, and the kind of record that says it was done.
KIND_OF: Mapping[str, str] = {"hydrostatic-test": "tested", "maintenance": "maintained"}
NOT_SAID = "not said"
_DO: Mapping[str, str] = {
    "hydrostatic-test": "record it: pinseal record hydrostatic-test UNIT --on 2026-11-20 --person NAME --method … --pressure …",
    "maintenance": "record it: pinseal record maintenance UNIT --on 2026-11-20 --person NAME",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Certification:
    """What is certified of one unit. `work` is a key of `KIND_OF`; `fact` its record; `person` who did it, empty where that is not said.

    `state` is the unit as it stood then. `later` is the day of the next record of the same work, empty where there is none.
    """

    work: str
    fact: Fact
    state: UnitState
    person: str
    asked: FieldList
    keep: tuple[Said, ...]
    later: str = ""

    @property
    def name(self) -> str:
        return self.state.id or self.state.serial or ""

    @property
    def lacking(self) -> tuple[str, ...]:
        """What is not on record, and is not asked for by the rule."""
        said = self.fact.fields
        known = {
            "serial number": self.state.serial,
            "who did it": self.person,
            **({"test pressure": said.get("pressure"), "method": said.get("method")} if self.work == "hydrostatic-test" else {}),
        }
        return tuple(name for name, text in known.items() if not text)

    def as_json(self) -> dict[str, Any]:
        said = self.fact.fields
        return {
            "work": self.work,
            "record": self.fact.uid,
            "unit": {"uid": self.state.uid, "id": self.state.id, "serial": self.state.serial},
            "site": self.state.site,
            "place": self.state.place,
            "date": str(self.fact.done),
            "person": self.person or None,
            "helper": said.get("helper"),
            "method": said.get("method"),
            "pressure": said.get("pressure"),
            "asked_for": list(self.asked.fields),
            "rule": self.asked.source.as_json(),
            "keep": [each.as_json() for each in self.keep],
            "not_on_record": list(self.lacking),
            "later": self.later or None,
        }


def certification(work: str, records: Sequence[Record], *, record: str | None = None, erased: Collection[str] = ()) -> Certification:
    """Certify the newest such work of a unit, or that of one record. `records` is the unit's life, `erased` names that were erased.

    Raises `Refusal` where there is no such work, where it failed or does not fit the rules, and for each thing that the rule asks
    for and that is not on record.
    """
    people = {each.uid: each.person for each in records}
    facts = [fact for fact in apply_corrections(distinct(records)[0])[0] if fact.kind == KIND_OF[work]]
    fact = next((each for each in reversed(facts) if record in (None, each.uid)), None)
    if fact is None:
        raise _refused("there is nothing to certify", f"a certificate is of a recorded {kinds.DUTIES[work]}", record or "none", _DO[work])
    asked, person = requalification().certificates[work], people[fact.uid]
    found = Certification(
        work=work,
        fact=fact,
        state=state_at(records, fact),
        person="" if person.strip().casefold() in ("", NOT_SAID) else person,
        asked=asked,
        keep=requalification().kept(work),
        later=next((str(each.done) for each in facts if each.order > fact.order), ""),
    )
    _check(found, erased)
    return found


def _check(found: Certification, erased: Collection[str]) -> None:
    if found.work == "hydrostatic-test":
        _check_passed(found)
    if found.fact.done.precision != "day":
        raise _lacks(found, "date", f"only {found.fact.done} is on record", "correct the record: pinseal record corrected UNIT --to-done …")
    if not found.name:
        raise _lacks(found, "identifier", "the unit has no number", "give it one: pinseal record retagged UNIT --id …")
    if "signature" not in found.asked.fields:
        return
    if not found.person:
        raise _lacks(
            found, "signature", "who did it is not on record", "let whoever did it sign the paper of that time; records keep their names"
        )
    if found.person in erased:
        raise _lacks(found, "signature", "the name was erased", "keep the certificate that was signed then; none is made anew")


def _check_passed(found: Certification) -> None:
    test = on_record(found.fact, found.state)
    if not test.passed:
        raise _refused(
            "a failed test is not certified",
            "an extinguisher that failed goes out of service and out of the workplace (29 CFR 1910.157(f)(14))",
            f"{found.name}: {found.fact.fields.get('found', 'failed')}",
            "print the test sheet, which says what the owner is told: pinseal print sheet --on …",
        )
    against = weigh(test).against
    if against:
        raise _refused(
            "this test does not fit the rules",
            "what is certified was done as the rules ask",
            f"{found.name}: {'; '.join(against)}",
            "look at the record again; correct it if it is wrong, else test again",
        )


def _lacks(found: Certification, field: str, got: str, do: str) -> Refusal:
    rule = f"it says the {FIELDS[field]} ({found.asked.source.for_people()})"
    return _refused(f"the certificate of {found.name or 'this unit'} would not be whole", rule, got, do)


def _refused(what: str, rule: str, got: str, do: str) -> Refusal:
    return Refusal(what=what, rule=rule, got=got, do=do)
