"""A unit's state as the plain fields of a registered record, and back again."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from pinseal.dates import PartialDate, parse_date
from pinseal.records.record_kinds import FACT_OF_FIELD, FIELD_OF_FACT, NAMEPLATE_FIELDS
from pinseal.records.unit import Nameplate, UnitState, with_recharge
from pinseal.units import Quantity, parse_quantity

_YES_NO = {True: "yes", False: "no"}
_TRUTH: dict[str | None, bool | None] = {"yes": True, "no": False, None: None}
_TEXTS = ("id", "serial", "site", "place", "sheet", "removed")
_ATTRIBUTES = {field.name: field.name.replace("-", "_") for field in NAMEPLATE_FIELDS}
_QUANTITIES = frozenset(("size", "water-capacity"))
_TRUTHS = frozenset(("wheeled", "rechargeable"))
_RECHARGES = ("recharge", "recharge-opened", "recharge-maybe-opened")


def registered_fields(state: UnitState) -> dict[str, str]:
    """What a registered record says of a unit: everything that is known of it, and nothing else."""
    said = {name: value for name in _TEXTS if (value := getattr(state, name))}
    said |= {name: text for name, attribute in _ATTRIBUTES.items() if (text := _as_text(getattr(state.nameplate, attribute))) is not None}
    said |= {FIELD_OF_FACT[fact]: str(done) for fact, done in state.dates.items() if fact not in _RECHARGES}
    said |= _recharge_fields(state.dates)
    if state.test_method:
        said["test-method"] = state.test_method
    if state.placeholder:
        said["placeholder"] = "yes"
    if state.row is not None:
        said["row"] = str(state.row)
    return said


def _as_text(value: object) -> str | None:
    if isinstance(value, bool):
        return _YES_NO[value]
    if isinstance(value, Quantity):
        return f"{_digits(value.value)} {value.unit}"
    return str(value) if value else None


def _digits(number: float) -> str:
    """The shortest decimal digits that read back as the same number, without an exponent."""
    text = format(Decimal(repr(number)), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _recharge_fields(dates: Mapping[str, PartialDate]) -> dict[str, str]:
    """The three facts about recharges, as `last-recharge` and `recharge-opened` where these say it all."""
    known = {fact: dates[fact] for fact in _RECHARGES if fact in dates}
    last = known.get("recharge")
    for opened in ("yes", "no", None) if last else ():
        if known == with_recharge({}, last, opened=_TRUTH[opened]):
            return {FIELD_OF_FACT["recharge"]: str(last)} | ({"recharge-opened": opened} if opened else {})
    apart = {FIELD_OF_FACT[fact]: str(done) for fact, done in known.items()}
    return apart | ({"recharge-opened": "no"} if last else {})


def registered_dates(said: Mapping[str, str]) -> dict[str, PartialDate]:
    """The dated facts that the fields of a registered record give."""
    given = {fact: parse_date(said[name]) for name, fact in FACT_OF_FIELD.items() if name in said}
    opened = _TRUTH[said.get("recharge-opened")]
    return {**with_recharge({}, given.get("recharge"), opened=opened), **given}


def read_nameplate(said: Mapping[str, str]) -> Nameplate:
    """The nameplate that the fields of a registered record give. Raises `Refusal` for a value outside the codes."""
    values = {_ATTRIBUTES[name]: _from_text(name, text) for name, text in said.items() if name in _ATTRIBUTES}
    return Nameplate(**values)  # type: ignore[arg-type]


def _from_text(name: str, text: str) -> str | bool | Quantity | None:
    if name in _QUANTITIES:
        return parse_quantity(text)
    return _TRUTH[text] if name in _TRUTHS else text


def read_state(
    said: Mapping[str, str],
    *,
    uid: str | None = None,
    dates: Mapping[str, PartialDate] | None = None,
    set_by: Mapping[str, str] | None = None,
) -> UnitState:
    """The state that fields give: the inverse of `registered_fields`. `dates` stands for the dates in the fields."""
    row = said.get("row")
    return UnitState(
        uid=uid,
        sheet=said.get("sheet"),
        row=None if row is None else int(row),
        id=said.get("id"),
        serial=said.get("serial"),
        site=said.get("site"),
        place=said.get("place"),
        nameplate=read_nameplate(said),
        dates=registered_dates(said) if dates is None else dict(dates),
        set_by=dict(set_by or {}),
        test_method=said.get("test-method"),
        removed=said.get("removed"),
        placeholder=said.get("placeholder") == "yes",
    )
