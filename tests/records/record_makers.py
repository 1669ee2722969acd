"""Makers of records for the tests: fixed times and fixed chance, so that every run makes the same ids."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime

from pinseal.dates import parse_date
from pinseal.records.record import FIRST, Draft, Record, seal, uuid7
from pinseal.records.record_kinds import check_record, kind_of

START = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)
UNIT = uuid7(at=START, randomness=b"the unit")
OTHER_UNIT = uuid7(at=START, randomness=b"another.")


def uid(number: int) -> str:
    """The uid number `number` of one batch."""
    return uuid7(at=START, randomness=number.to_bytes(8, "big"), sequence=number)


def draft(kind: str, on: str, *, unit: str = UNIT, uid: str | None = None, **fields: str) -> Draft:
    code = kind_of(kind).code
    return Draft(kind=code, unit=unit, person="Ida Quill", done=parse_date(on), fields=check_record(code, fields), uid=uid)


class Writer:
    """A device that writes records, each bound to the one before."""

    def __init__(self, name: str = "van-1", first: int = 0) -> None:
        self.name, self.head, self.count = name, FIRST, first

    def write(self, kind: str, on: str, *, unit: str = UNIT, **fields: str) -> Record:
        self.count += 1
        record = seal(draft(kind, on, unit=unit, **fields), uid=uid(self.count), writer=self.name, previous=self.head)
        self.head = record.digest
        return record

    def write_raw(self, kind: str, on: str, fields: Mapping[str, str], *, unit: str = UNIT) -> Record:
        """A record that no check has seen, as a newer program or a faulty device may write it."""
        self.count += 1
        made = Draft(kind=kind, unit=unit, person="Ida Quill", done=parse_date(on), fields=fields)
        record = seal(made, uid=uid(self.count), writer=self.name, previous=self.head)
        self.head = record.digest
        return record
