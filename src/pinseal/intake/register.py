"""A list as it was read: units, questions, problems, and every other row with what it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import overload

from pinseal.dates import PartialDate
from pinseal.intake.heading_words import PLAIN_FIELDS
from pinseal.intake.questions import Question
from pinseal.intake.words import word_set
from pinseal.units import Quantity


def quantity_json(size: Quantity) -> dict[str, float | str]:
    """A size as lists and scripts write it: litres are `L`, whole numbers carry no point."""
    value: float = int(size.value) if size.value == int(size.value) else size.value
    return {"value": value, "unit": "L" if size.unit == "l" else size.unit}


@dataclass(frozen=True, slots=True)
class RegisterUnit:
    """One row that is one extinguisher. A fact is None where the row does not say, or where a question is open.

    `more` holds the seldom ones by their name (`heading_words.MORE_FIELDS`), so that long lists do not carry them all.
    """

    sheet: str | None
    row: int
    id: str | None = None
    serial: str | None = None
    site: str | None = None
    place: str | None = None
    agent: str | None = None
    expelled_by: str | None = None
    shell: str | None = None
    wheeled: bool | None = None
    size: Quantity | None = None
    rating: str | None = None
    rechargeable: bool | None = None
    cylinder_specification: str | None = None
    service_pressure: str | None = None
    water_capacity: Quantity | None = None
    hose: str | None = None
    manufactured: PartialDate | None = None
    placed_in_service: PartialDate | None = None
    sold_and_tagged: PartialDate | None = None
    last_inspection: PartialDate | None = None
    last_maintenance: PartialDate | None = None
    last_internal_examination: PartialDate | None = None
    last_hydrostatic_test: PartialDate | None = None
    test_method: str | None = None
    last_recharge: PartialDate | None = None
    recharge_opened: bool | None = None
    last_hose_test: PartialDate | None = None
    last_conductivity_test: PartialDate | None = None
    last_agent_renewal: PartialDate | None = None
    last_expellant_cylinder_test: PartialDate | None = None
    model: str | None = None
    lot: str | None = None
    more: Mapping[str, str] | None = None
    notes: str | None = None
    cells: Sequence[str] = ()
    headings: tuple[str, ...] = ()

    @property
    def raw(self) -> dict[str, str]:
        """The cells as shown, by fact (or by heading, where the column holds no fact)."""
        found: dict[str, str] = {}
        for name, cell in zip(self.headings, self.cells, strict=False):
            if cell.strip():
                found[name] = f"{found[name]} | {cell}" if name in found else cell
        return found

    def as_json(self) -> dict[str, object]:
        shape: dict[str, object] = {"sheet": self.sheet, "row": self.row}
        for name in PLAIN_FIELDS:
            value = getattr(self, name)
            if value is None and name not in ALWAYS:
                continue
            if isinstance(value, Quantity):
                shape[name] = quantity_json(value)
            else:
                shape[name] = str(value) if isinstance(value, PartialDate) else value
        shape |= self.more or {}
        if self.notes:
            shape["notes"] = self.notes
        shape["raw"] = self.raw
        return shape


# Facts that every unit shows, null where the row does not say; the others stand only where said.
ALWAYS = word_set(
    "id serial site place agent expelled_by shell wheeled size rating manufactured last_inspection last_maintenance "
    "last_internal_examination last_hydrostatic_test last_recharge"
)
UNIT_FIELDS = tuple(each.name for each in fields(RegisterUnit))


Columns = tuple[Sequence[object], ...]


class UnitColumns(Sequence[RegisterUnit]):
    """The units of a long list, kept as columns (in the order of `UNIT_FIELDS`) and made one by one when asked for."""

    __slots__ = ("_tables",)

    def __init__(self, tables: Sequence[Columns]) -> None:
        self._tables = tuple(tables)

    def __len__(self) -> int:
        return sum(len(columns[0]) for columns in self._tables)

    def __iter__(self) -> Iterator[RegisterUnit]:
        for columns in self._tables:
            yield from map(RegisterUnit, *columns)

    @overload
    def __getitem__(self, index: int) -> RegisterUnit: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[RegisterUnit, ...]: ...
    def __getitem__(self, index: int | slice) -> RegisterUnit | tuple[RegisterUnit, ...]:
        if isinstance(index, slice):
            return tuple(self[place] for place in range(*index.indices(len(self))))
        place = index + len(self) if index < 0 else index
        for columns in self._tables:
            if 0 <= place < len(columns[0]):
                return RegisterUnit(*(column[place] for column in columns))  # type: ignore[arg-type]
            place -= len(columns[0])
        raise IndexError(index)

    def values(self, name: str) -> list[object]:
        """One fact of all units, in order."""
        at = UNIT_FIELDS.index(name)
        return [value for columns in self._tables for value in columns[at]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CountPart:
    """How many of what, in a row that stands for several units."""

    count: int | None
    readings: tuple[int, ...]
    agent: str | None
    size: Quantity | None

    def as_json(self) -> dict[str, object]:
        shape: dict[str, object] = {"count": self.count, "agent": self.agent, "size": quantity_json(self.size) if self.size else None}
        if self.readings:
            shape["count_readings"] = list(self.readings)
        return shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Something wrong with a cell or row, in a sentence. Count rows also carry how many of what, and where."""

    sheet: str | None
    row: int
    column: str | None
    raw: str
    kind: str
    why: str
    count: int | None = None
    parts: tuple[CountPart, ...] = ()
    site: str | None = None
    place: str | None = None

    def as_json(self) -> dict[str, object]:
        shape: dict[str, object] = {
            "sheet": self.sheet, "row": self.row, "column": self.column, "raw": self.raw, "kind": self.kind, "why": self.why,
        }  # fmt: skip
        if self.kind == "count-row":
            shape |= {"count": self.count, "parts": [part.as_json() for part in self.parts], "site": self.site, "place": self.place}
        return shape


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUnit:
    """A row that is no unit: title, header, section, subtotal, blank, legend or note."""

    sheet: str | None
    row: int
    kind: str

    def as_json(self) -> dict[str, object]:
        return {"sheet": self.sheet, "row": self.row, "kind": self.kind}


@dataclass(frozen=True, slots=True, kw_only=True)
class DateOrder:
    """The order of day and month in one column: MDY, DMY, YMD, mixed or undecidable."""

    sheet: str | None
    column: str
    order: str

    def as_json(self) -> dict[str, object]:
        return {"sheet": self.sheet, "column": self.column, "order": self.order}


@dataclass(frozen=True, kw_only=True)
class Register:
    """A whole list. Every row of every sheet stands in `units`, `not_units` or `problems`."""

    units: Sequence[RegisterUnit]
    questions: tuple[Question, ...]
    problems: tuple[Problem, ...]
    not_units: tuple[NotUnit, ...]
    date_order: str | None
    date_orders: tuple[DateOrder, ...]
    as_of: PartialDate | None = None
    form: str = "text"
    encoding: str | None = None
    separator: str | None = None
    unused_answers: tuple[str, ...] = ()

    @cached_property
    def _by_place(self) -> dict[tuple[str | None, int], RegisterUnit]:
        return {(unit.sheet, unit.row): unit for unit in self.units}

    def raw(self, sheet: str | None, row: int) -> dict[str, str]:
        """The cells of one unit's row as shown; empty where the row is no unit."""
        unit = self._by_place.get((sheet, row))
        return unit.raw if unit else {}

    def as_json(self) -> dict[str, object]:
        return {
            "units": [unit.as_json() for unit in self.units],
            "questions": [question.as_json() for question in self.questions],
            "problems": [problem.as_json() for problem in self.problems],
            "not_units": [other.as_json() for other in self.not_units],
            "date_order": self.date_order,
            "date_orders": [order.as_json() for order in self.date_orders],
            "as_of": str(self.as_of) if self.as_of else None,
            "encoding": self.encoding,
            "separator": self.separator,
            "unused_answers": list(self.unused_answers),
        }
