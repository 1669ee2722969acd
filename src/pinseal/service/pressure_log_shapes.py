"""The log of pressure tests by day, as plain values: what was checked first, each test, the stamps, what the owner must be told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from pinseal.rules.requalification import NO_SPECIFICATION, Requalifier, Stamp
from pinseal.standards.requalification import FIELDS, requalification

NOT_ON_RECORD = "not on record"


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckEntry:
    """One check of an instrument on the day. Texts as they were recorded; empty is not on record. `missing` holds keys of `FIELDS`."""

    record: str
    instrument: str
    what: str
    good: bool
    against: str
    cylinder_serial: str
    certificate: str
    pressure: str
    certified: str
    total: str
    elastic: str
    permanent: str
    value: str
    operator: str
    missing: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return {
            "record": self.record,
            "instrument": self.instrument,
            "what": self.what,
            "result": "good" if self.good else "bad",
            "against": self.against,
            "cylinder_serial": self.cylinder_serial,
            "certificate": self.certificate,
            "pressure": self.pressure,
            "certified": self.certified,
            "total": self.total,
            "elastic": self.elastic,
            "permanent": self.permanent,
            "value": self.value,
            "operator": self.operator,
            "missing": list(self.missing),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Apparatus:
    """An instrument that tests of the day were read on: how it stood, and what speaks against it on that day (empty: nothing)."""

    name: str
    what: str
    standing: str
    against: str

    def as_json(self) -> dict[str, Any]:
        return {"instrument": self.name, "what": self.what, "standing": self.standing, "against": self.against}


@dataclass(frozen=True, slots=True, kw_only=True)
class TestEntry:
    """One pressure test of a shell. Texts as they were recorded, empty where nothing is on record.

    `values` holds the fields of the record of the day (keys of `FIELDS`), `omitted` those that a proof test has not, `missing` those
    that are not on record. `percent` stands before any rounding. `against` says what does not fit what is recorded; `why_no_stamp`
    why nothing is struck. `must` is a key of the tellings: what the owner is told.
    """

    __test__ = False
    record: str
    unit: str
    name: str
    owner: str
    method: str
    passed: bool
    values: dict[str, str]
    omitted: tuple[str, ...]
    missing: tuple[str, ...]
    made: str
    held: str
    limit: str
    instrument: str
    reasons: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    stamp: Stamp | None = None
    why_no_stamp: tuple[str, ...] = ()
    must: str = ""
    told: str = ""

    @property
    def is_stamped(self) -> bool:
        """Whether the shell bears a specification, as far as is on record."""
        return self.values.get("specification", "").strip().casefold() not in ("", NO_SPECIFICATION)

    def as_json(self) -> dict[str, Any]:
        return {
            "record": self.record,
            "unit": {"uid": self.unit, "name": self.name, "owner": self.owner},
            "method": self.method or None,
            "result": "pass" if self.passed else "fail",
            **{name.replace("-", "_"): self.values.get(name) or None for name in FIELDS if name in self.values},
            "made": self.made or None,
            "held": self.held or None,
            "limit": self.limit or None,
            "instrument": self.instrument or None,
            "omitted": list(self.omitted),
            "missing": list(self.missing),
            "reasons": list(self.reasons),
            "against": list(self.against),
            "stamp": self.stamp.as_json() if self.stamp else None,
            "why_no_stamp": list(self.why_no_stamp),
            "tell_the_owner": self.must or None,
            "told": self.told or None,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherTest:
    """A pressure test of a hose or of a gas cylinder; it has no sheet of its own to fill."""

    record: str
    name: str
    what: str
    pressure: str
    held: str
    passed: bool
    found: str
    operator: str
    instrument: str

    def as_json(self) -> dict[str, Any]:
        return {
            "record": self.record,
            "unit": self.name,
            "what": self.what,
            "pressure": self.pressure or None,
            "held": self.held or None,
            "result": "pass" if self.passed else "fail",
            "found": self.found or None,
            "operator": self.operator,
            "instrument": self.instrument or None,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class TestDay:
    """One day: checks first, then the tests."""

    __test__ = False
    on: date
    checks: tuple[CheckEntry, ...]
    apparatus: tuple[Apparatus, ...]
    tests: tuple[TestEntry, ...]
    others: tuple[OtherTest, ...]

    @property
    def stamps(self) -> tuple[tuple[Stamp, tuple[TestEntry, ...]], ...]:
        """Each stamp of the day with the tests that have earned it."""
        found: dict[tuple[str, str], list[TestEntry]] = {}
        for test in self.tests:
            if test.stamp is not None:
                found.setdefault((test.stamp.number, test.stamp.letter), []).append(test)
        return tuple((stamp, tuple(some)) for some in found.values() if (stamp := some[0].stamp) is not None)

    def as_json(self) -> dict[str, Any]:
        return {
            "date": self.on.isoformat(),
            "checks": [each.as_json() for each in self.checks],
            "apparatus": [each.as_json() for each in self.apparatus],
            "tests": [each.as_json() for each in self.tests],
            "other_tests": [each.as_json() for each in self.others],
            "stamps": [{**stamp.as_json(), "records": [each.record for each in some]} for stamp, some in self.stamps],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class TestLog:
    """The days of a span on which something is on record. `undated` names tests of which the day is not known, with what is known."""

    __test__ = False
    first: date
    last: date
    days: tuple[TestDay, ...]
    undated: tuple[str, ...]
    requalifier: Requalifier | None

    @property
    def count(self) -> int:
        return sum(len(day.tests) for day in self.days)

    def as_json(self) -> dict[str, Any]:
        held, number = requalification(), self.requalifier
        return {
            "from": self.first.isoformat(),
            "to": self.last.isoformat(),
            "requalifier": {"number": number.number, "until": number.until.isoformat() if number.until else None} if number else None,
            "days": [day.as_json() for day in self.days],
            "undated": list(self.undated),
            "rules": [each.as_json() for each in held.markings.values()],
            "keep": [each.as_json() for each in held.kept("sheet")],
        }
