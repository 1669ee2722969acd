"""Impairments as the records make them."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from pinseal.dates import parse_date
from pinseal.reasons import Refusal
from pinseal.records.record import Draft, seal, uuid7
from pinseal.records.record_kinds import check_record
from pinseal.service.impairments import impairments

DALLAS = ZoneInfo("America/Chicago")
NOW = datetime(2026, 7, 6, 12, 0, tzinfo=UTC)
UNIT = uuid7(at=NOW, randomness=b"unit of a test")


def records(*said):
    """Records of one unit, bound in one chain; a number in a field stands for the uid of that record."""
    made, previous = [], "0" * 64
    for number, (kind, day, fields) in enumerate(said):
        filled = {name: made[value].uid if isinstance(value, int) else value for name, value in fields.items()}
        draft = Draft(kind=kind, unit=UNIT, person="Ida Quill", done=parse_date(day), fields=check_record(kind, filled))
        made.append(seal(draft, uid=uuid7(at=NOW, randomness=bytes([number]) * 10), writer="desk", previous=previous))
        previous = made[-1].digest
    return made


OPENED = ("impaired", "2026-07-03", {"at": "2026-07-03T10:00-05:00", "impairments": "valve leaks", "rules-of": "us-tx", "number": "R-7"})


def told(party, at):
    return ("notice-given", at[:10], {"impairment": 0, "party": party, "at": at, "name": "the chief"})


def test_an_impairment_is_open_until_it_is_cleared_and_everybody_was_told():
    days = {"owner": "2026-07-03T10:05-05:00", "authority": "2026-07-03T11:00-05:00", "authority-copy": "2026-07-06T09:00-05:00"}
    all_told = [told(party, at) for party, at in days.items()]
    cleared = ("impairment-cleared", "2026-07-06", {"impairment": 0, "at": "2026-07-06T10:00-05:00", "how": "valve replaced"})
    last = told("authority-clearance", "2026-07-06T11:00-05:00")
    steps = [[], all_told, [*all_told, cleared], [*all_told, cleared, last]]
    assert [impairments(records(OPENED, *more), now=NOW, zone=DALLAS)[0].is_open for more in steps] == [True, True, True, False]


def test_what_was_not_told_in_time_is_late():
    [found] = impairments(records(OPENED), now=NOW, zone=DALLAS)
    assert {due.telling.to: due.state for due in found.dues} == {
        "owner": "overdue",
        "authority": "overdue",
        "authority-copy": "due",
        "authority-clearance": "not begun",
    }
    assert found.is_late


def test_a_correction_moves_the_clock():
    mend = ("corrected", "2026-07-06", {"corrects": 0, "to-at": "2026-07-06T06:00-05:00"})
    [found] = impairments(records(OPENED, mend), now=NOW, zone=DALLAS)
    assert not found.is_late


def test_an_hour_without_its_zone_is_refused_in_words():
    with pytest.raises(Refusal, match="the difference from UTC"):
        check_record("impaired", {"at": "2026-07-03T10:00", "impairments": "valve leaks"})
