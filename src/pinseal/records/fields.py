"""What the field of a record can hold: one table of types, each with its rule in words and its check.

Values stay text. A check returns the text that is kept: codes and dates in their one spelling, everything else as typed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from pinseal import kinds
from pinseal.dates import parse_date, parse_day
from pinseal.measures import parse_measure, parse_pressure, parse_temperature
from pinseal.money import check_currency
from pinseal.reasons import Refusal
from pinseal.records.record import check_text, check_uid
from pinseal.units import parse_quantity

_PRESSURE = re.compile(r"\d+(?:\.\d+)?\s*(?:psi|psig|psia|bar|bar abs|kPa|MPa)", re.ASCII)
_PERCENT = re.compile(r"\d{1,6}(?:\.\d{1,9})?", re.ASCII)
_DURATION = re.compile(r"\d{1,6}(?:\.\d{1,3})?\s*(?:s|min)", re.ASCII)
_SHA256 = re.compile(r"[0-9a-f]{64}", re.ASCII)
_RESULTS = {"pass": "passed", "fail": "failed"}
_CHECKS = {"good": "good", "bad": "bad"}
_YES_NO = {"yes": "yes", "no": "no"}
_ANSWERS = {"agreed": "agreed", "declined": "declined"}


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldType:
    """What a field may be: a code, the rule as people read it, and a check that returns the text to keep.

    A check raises `ValueError` or `Refusal`; `checked` turns both into one message that names the field.
    """

    code: str
    rule: str
    read: Callable[[str], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a kind of record: its name, its type (a key of `TYPES`), whether it must be given, and a help line."""

    name: str
    type: str = "text"
    required: bool = False
    help: str = ""


def _any_text(text: str) -> str:
    return text.strip()


def _one_of(table: dict[str, kinds.Agent] | dict[str, str]) -> Callable[[str], str]:
    codes = frozenset(table)

    def read(text: str) -> str:
        if text.strip() not in codes:
            raise ValueError
        return text.strip()

    return read


def _matching(pattern: re.Pattern[str]) -> Callable[[str], str]:
    def read(text: str) -> str:
        if not pattern.fullmatch(text.strip()):
            raise ValueError
        return text.strip()

    return read


def _date(text: str) -> str:
    return str(parse_date(text))


def _day(text: str) -> str:
    return parse_day(text).isoformat()


def _measured(read: Callable[[str], object]) -> Callable[[str], str]:
    """A check by what reads such quantities at the bench. The text is kept as typed."""

    def checked_text(text: str) -> str:
        read(text)
        return text.strip()

    return checked_text


def _moment(text: str) -> str:
    at = datetime.fromisoformat(text.strip())
    if at.tzinfo is None:
        raise ValueError
    return at.isoformat(timespec="minutes")


def _quantity(text: str) -> str:
    parse_quantity(text)
    return text.strip()


def _mass(text: str) -> str:
    parse_measure("mass", text)
    return text.strip()


def _uid(text: str) -> str:
    return check_uid(text.strip().lower())


def _list(table: dict[str, kinds.Agent] | dict[str, str]) -> str:
    return f"one of {', '.join(table)}"


TYPES: dict[str, FieldType] = {
    kind.code: kind
    for kind in (
        FieldType(code="text", rule="any text", read=_any_text),
        FieldType(code="yes-no", rule="yes or no", read=_one_of(_YES_NO)),
        FieldType(code="date", rule="YYYY, YYYY-MM or YYYY-MM-DD, a day that is in the calendar", read=_date),
        FieldType(code="quantity", rule="a number and a unit of mass or volume, for example 10 lb or 2.5 gal", read=_quantity),
        FieldType(code="mass", rule="a number and a unit of mass, for example 10 lb or 4.5 kg", read=_mass),
        FieldType(code="pressure", rule="a number and a unit of pressure, for example 585 psi or 40 bar", read=_matching(_PRESSURE)),
        FieldType(code="weight", rule="a mass, for example 29 lb 6 oz or 4.5 kg", read=_measured(lambda text: parse_measure("mass", text))),
        FieldType(
            code="pressure-level",
            rule="a pressure, counted from the air unless it says absolute, for example 195 psi or 14.4 bar abs",
            read=_measured(parse_pressure),
        ),
        FieldType(code="volume", rule="a volume, for example 182.4 cm3", read=_measured(lambda text: parse_measure("volume", text))),
        FieldType(code="temperature", rule="a temperature in F, C or K, for example 70 F", read=_measured(parse_temperature)),
        FieldType(code="percent", rule="a number of percent, for example 9.4", read=_matching(_PERCENT)),
        FieldType(code="duration", rule="a number and s or min, for example 30 s", read=_matching(_DURATION)),
        FieldType(code="day", rule="a full day, YYYY-MM-DD, that is in the calendar", read=_day),
        FieldType(
            code="moment",
            rule="a day and an hour with the difference from UTC, for example 2026-07-03T10:00-05:00",
            read=_moment,
        ),
        FieldType(code="told", rule=_list(kinds.TOLD), read=_one_of(kinds.TOLD)),
        FieldType(code="good-bad", rule=_list(_CHECKS), read=_one_of(_CHECKS)),
        FieldType(code="gas", rule=_list(kinds.GASES), read=_one_of(kinds.GASES)),
        FieldType(code="verdict", rule=_list(kinds.VERDICTS), read=_one_of(kinds.VERDICTS)),
        FieldType(code="mark", rule=_list(kinds.MARKS), read=_one_of(kinds.MARKS)),
        FieldType(code="agent-way", rule=_list(kinds.AGENT_WAYS), read=_one_of(kinds.AGENT_WAYS)),
        FieldType(code="agent-origin", rule=_list(kinds.AGENT_ORIGINS), read=_one_of(kinds.AGENT_ORIGINS)),
        FieldType(code="batch-way", rule=_list(kinds.BATCH_WAYS), read=_one_of(kinds.BATCH_WAYS)),
        FieldType(code="fill", rule=_list(kinds.FILLS), read=_one_of(kinds.FILLS)),
        FieldType(code="away-to", rule=_list(kinds.AWAY_TO), read=_one_of(kinds.AWAY_TO)),
        FieldType(code="instrument-kind", rule=_list(kinds.INSTRUMENTS), read=_one_of(kinds.INSTRUMENTS)),
        FieldType(code="role", rule=_list(kinds.ROLES), read=_one_of(kinds.ROLES)),
        FieldType(code="agent", rule=_list(kinds.AGENTS), read=_one_of(kinds.AGENTS)),
        FieldType(code="expelled-by", rule=_list(kinds.EXPELLED_BY), read=_one_of(kinds.EXPELLED_BY)),
        FieldType(code="shell", rule=_list(kinds.SHELLS), read=_one_of(kinds.SHELLS)),
        FieldType(code="hose", rule=_list(kinds.HOSES), read=_one_of(kinds.HOSES)),
        FieldType(code="test-method", rule=_list(kinds.TEST_METHODS), read=_one_of(kinds.TEST_METHODS)),
        FieldType(code="result", rule=_list(_RESULTS), read=_one_of(_RESULTS)),
        FieldType(code="duty", rule=_list(kinds.DUTIES), read=_one_of(kinds.DUTIES)),
        FieldType(code="number", rule="a whole number", read=_matching(re.compile(r"\d{1,12}", re.ASCII))),
        FieldType(code="currency", rule="a currency of ISO 4217, for example EUR", read=check_currency),
        FieldType(code="answer", rule=_list(_ANSWERS), read=_one_of(_ANSWERS)),
        FieldType(code="uid", rule="the uid of a record or unit of this shop", read=_uid),
        FieldType(code="file", rule="the SHA-256 of a file that the shop keeps, 64 hexadecimal digits", read=_matching(_SHA256)),
    )
}


def checked(field: Field, value: str, *, kind: str) -> str:
    """The text to keep for a field's value. Raises `Refusal` that names the field and its rule."""
    rule = TYPES[field.type].rule
    try:
        return TYPES[field.type].read(check_text(field.name, value))
    except Refusal as refused:
        if field.type == "text":
            raise
        raise _refused(field, value, kind, rule) from refused
    except ValueError as wrong:
        raise _refused(field, value, kind, rule) from wrong


def _refused(field: Field, value: str, kind: str, rule: str) -> Refusal:
    return Refusal(
        what=f"{field.name} of a record {kind} cannot be read",
        rule=f"{field.name} is {rule}",
        got=str(value)[:80],
        do=f"write {field.name} as the rule says, or leave it out",
    )
