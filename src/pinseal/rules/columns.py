"""A fleet in columns: one row a unit, nameplate facts as small codes, dates as earliest and latest day numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import DAYS, PartialDate, day_number
from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState
from pinseal.rules.tables import UNKNOWN_DAY, Days
from pinseal.standards.model import ATTRIBUTES
from pinseal.units import Quantity, water_capacity_lb

Codes = NDArray[np.int8]
NOT_SAID = -1
_SMALL = 4096

_INDEX = {name: {code: number for number, code in enumerate(codes)} for name, codes in ATTRIBUTES.items()}
_RADIX = {name: len(codes) + 1 for name, codes in ATTRIBUTES.items()}
KEYS = int(np.prod(list(_RADIX.values())))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fleet:
    """The columns that the clocks read. Every array has one entry a unit.

    `attributes[name]` holds the index of the code in `ATTRIBUTES[name]`, or -1 where the nameplate does not say.
    `earliest[fact]` and `latest[fact]` hold day numbers, or -1; a fact that no unit has may be left out.
    `assumed[name]` marks the units whose attribute was not said and was assumed.
    """

    size: int
    attributes: Mapping[str, Codes]
    earliest: Mapping[str, Days]
    latest: Mapping[str, Days]
    assumed: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name, column in self.attributes.items():
            assert column.shape == (self.size,), f"attribute {name} has another length"
        for fact, days in self.earliest.items():
            assert days.shape == self.latest[fact].shape == (self.size,), f"dates of {fact} have another length"


def specification_code(text: str | None) -> str | None:
    """The specification group of a stamped marking (`DOT-4BW500`, `3AL 1800`): the longest known beginning. None if none fits."""
    if text is None:
        return None
    plain = "".join(ch for ch in text.upper() if ch.isalnum())
    for lead in ("DOT", "ICC", "CTC", "TC"):
        plain = plain.removeprefix(lead)
    if plain in ("NONE", "NONSPECIFICATION", "NONSPEC"):
        return "none"
    fits = [code for code in kinds.CYLINDER_SPECIFICATIONS if code != "none" and plain.startswith(code)]
    code = max(fits, key=len, default=None)
    rest = plain[len(code) :] if code else ""
    return code if code and (rest == "" or rest.isdigit()) else None


def _water_capacity_code(quantity: Quantity | None) -> str | None:
    if quantity is None:
        return None
    # 5.44 kg stands beside "12 pounds" in the paragraph; the rounding of a litre figure must not push 12 lb over the line.
    return "up-to-12-lb" if water_capacity_lb(quantity) <= 12 + 1e-6 else "over-12-lb"


def _yes_no(value: bool | None) -> str | None:
    return None if value is None else "yes" if value else "no"


def attribute_codes(state: UnitState) -> dict[str, str | None]:
    """The nameplate of a unit in the codes that provisions speak of; None where it is not said."""
    plate = state.nameplate
    return {
        "agent": plate.agent,
        "expelled_by": plate.expelled_by,
        "shell": plate.shell,
        "wheeled": _yes_no(plate.wheeled),
        "rechargeable": _yes_no(plate.rechargeable),
        "hose": plate.hose,
        "specification": specification_code(plate.cylinder_specification),
        "water_capacity": _water_capacity_code(plate.water_capacity),
        "test_method": state.test_method,
    }


def parse_assumptions(text: str | None) -> dict[str, str]:
    """Read `shell=mild-steel,expelled-by=stored-pressure`. Raises `Refusal` for a name or code that is not known."""
    found: dict[str, str] = {}
    for part in (p.strip() for p in (text or "").split(",")):
        if not part:
            continue
        name, _, code = (p.strip() for p in part.partition("="))
        key = name.replace("-", "_").replace(" ", "_")
        if key not in ATTRIBUTES:
            known = ", ".join(a.replace("_", "-") for a in ATTRIBUTES)
            raise Refusal(
                what="this cannot be assumed",
                rule=f"a nameplate fact is one of {known}",
                got=part,
                do="write NAME=CODE, for example shell=mild-steel",
            )
        if code not in ATTRIBUTES[key]:
            raise Refusal(
                what=f"unknown {name}", rule=f"{name} is one of {', '.join(ATTRIBUTES[key])}", got=code or "nothing", do="use a listed code"
            )
        found[key] = code
    return found


def _date_columns(states: Sequence[UnitState]) -> tuple[dict[str, Days], dict[str, Days]]:
    earliest: dict[str, Days] = {}
    latest: dict[str, Days] = {}
    seen: dict[PartialDate, tuple[int, int]] = {}
    for row, state in enumerate(states):
        for fact, partial in state.dates.items():
            if fact not in earliest:
                earliest[fact] = np.full(len(states), UNKNOWN_DAY, np.int32)
                latest[fact] = np.full(len(states), UNKNOWN_DAY, np.int32)
            if partial not in seen:
                seen[partial] = (day_number(partial.earliest), day_number(partial.latest))
            earliest[fact][row], latest[fact][row] = seen[partial]
    return earliest, latest


def columns(states: Sequence[UnitState], assume: Mapping[str, str] | None = None) -> Fleet:
    """Lay a sequence of units out in columns, with `assume` filled in where a nameplate does not say."""
    attributes = {name: np.full(len(states), NOT_SAID, np.int8) for name in ATTRIBUTES}
    for row, state in enumerate(states):
        for name, code in attribute_codes(state).items():
            if code is not None:
                attributes[name][row] = _INDEX[name][code]
    assumed = {}
    for name, code in (assume or {}).items():
        assumed[name] = attributes[name] == NOT_SAID
        attributes[name][assumed[name]] = _INDEX[name][code]
    earliest, latest = _date_columns(states)
    return Fleet(size=len(states), attributes=attributes, earliest=earliest, latest=latest, assumed=assumed)


Profile = Mapping[str, str | None]


@dataclass(frozen=True, slots=True)
class Profiles:
    """The distinct nameplates of a fleet (`codes`, one entry each) and for each unit the number of its own (`number`).

    A fleet of millions has a few hundred distinct nameplates; provisions are matched once for each of them.
    """

    codes: Mapping[str, Codes]
    number: NDArray[np.int32]

    def __len__(self) -> int:
        return len(next(iter(self.codes.values())))

    def __getitem__(self, number: int) -> Profile:
        """One nameplate, in codes."""
        return {name: ATTRIBUTES[name][code] if (code := int(column[number])) >= 0 else None for name, column in self.codes.items()}

    def project(self, names: Sequence[str]) -> tuple[list[Profile], NDArray[np.int32]]:
        """The distinct nameplates as far as `names` go, and for each nameplate the number of its own."""
        key = np.zeros(len(self), np.int32)
        for name in names:
            key = key * np.int32(_RADIX[name]) + self.codes[name] + np.int32(1)
        _, first, index = np.unique(key, return_index=True, return_inverse=True)
        whole = [self[int(number)] for number in first]
        return [{name: profile[name] for name in names} for profile in whole], index.astype(np.int32)


def _decode(found: NDArray[np.int32]) -> dict[str, Codes]:
    codes: dict[str, Codes] = {}
    for name in reversed(ATTRIBUTES):
        found, digit = np.divmod(found, _RADIX[name])
        codes[name] = digit.astype(np.int8) - np.int8(1)
    return {name: codes[name] for name in ATTRIBUTES}


def profiles(fleet: Fleet) -> Profiles:
    """Find the distinct nameplates of a fleet."""
    key = np.zeros(fleet.size, np.int32)
    for name, radix in _RADIX.items():
        key *= np.int32(radix)
        key += fleet.attributes[name] + np.int32(1)
    if fleet.size <= _SMALL:
        found, number = np.unique(key, return_inverse=True)
        return Profiles(_decode(found), number.astype(np.int32))
    present = np.zeros(KEYS, np.bool_)
    present[key] = True
    found = np.flatnonzero(present).astype(np.int32)
    lookup = np.zeros(KEYS, np.int32)
    lookup[found] = np.arange(len(found), dtype=np.int32)
    return Profiles(_decode(found), lookup[key])


def in_calendar(column: Days) -> bool:
    """Whether all day numbers lie in the two centuries that the tables cover (or are not known)."""
    return bool(((column >= UNKNOWN_DAY) & (column < DAYS)).all())


def chunks(size: int, length: int) -> Iterator[slice]:
    """Slices of at most `length` rows: small enough that the columns of one slice stay in the processor's cache."""
    for start in range(0, size, length):
        yield slice(start, min(start + length, size))
