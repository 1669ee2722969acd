"""From a list that was read to units that the rules take."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Protocol

from pinseal.dates import PartialDate
from pinseal.records.record import NOT_KEPT, TEXT_LENGTH_MAX
from pinseal.records.unit import Nameplate, UnitState, with_recharge
from pinseal.units import Quantity

# attribute of a listed unit: the fact that it dates
_DATES = {
    "manufactured": "manufactured",
    "placed_in_service": "placed-in-service",
    "sold_and_tagged": "sold-and-tagged",
    "last_inspection": "inspection",
    "last_maintenance": "maintenance",
    "last_internal_examination": "internal-examination",
    "last_hydrostatic_test": "hydrostatic-test",
    "last_hose_test": "hose-test",
    "last_conductivity_test": "conductivity-test",
    "last_agent_renewal": "agent-renewal",
    "last_expellant_cylinder_test": "expellant-cylinder-test",
}
_PLATE = (
    "agent", "expelled_by", "shell", "wheeled", "rechargeable", "size", "rating", "cylinder_specification", "service_pressure",
    "water_capacity", "hose", "model", "lot",
)  # fmt: skip
_PLATE_IN_WORDS = ("rating", "cylinder_specification", "model", "lot")


class ListedUnit(Protocol):
    """One row of a list that is one extinguisher, as the reader of lists gives it. Dates and nameplate facts by name."""

    @property
    def sheet(self) -> str | None: ...
    @property
    def row(self) -> int: ...
    @property
    def id(self) -> str | None: ...
    @property
    def serial(self) -> str | None: ...
    @property
    def site(self) -> str | None: ...
    @property
    def place(self) -> str | None: ...
    @property
    def test_method(self) -> str | None: ...
    @property
    def last_recharge(self) -> PartialDate | None: ...
    @property
    def recharge_opened(self) -> bool | None: ...
    @property
    def more(self) -> Mapping[str, str] | None: ...


class CountedPart(Protocol):
    @property
    def count(self) -> int | None: ...
    @property
    def agent(self) -> str | None: ...
    @property
    def size(self) -> Quantity | None: ...


class ListProblem(Protocol):
    """What the reader says of a row that it could not take as it stands."""

    @property
    def sheet(self) -> str | None: ...
    @property
    def row(self) -> int | None: ...
    @property
    def kind(self) -> str: ...
    @property
    def raw(self) -> str: ...
    @property
    def parts(self) -> Sequence[CountedPart]: ...
    @property
    def site(self) -> str | None: ...
    @property
    def place(self) -> str | None: ...


def _kept(text: str | None) -> str | None:
    """A cell as a record can keep it: without characters that steer a printer or a screen, and cut where it is a whole page.

    The raw cell is kept beside it as it stands.
    """
    if not text or (text.isprintable() and len(text) <= TEXT_LENGTH_MAX):
        return text
    return " ".join(NOT_KEPT.sub(" ", text).split())[:TEXT_LENGTH_MAX] or None


def state_of(unit: ListedUnit, *, removed: str | None = None) -> UnitState:
    """One listed unit as the rules take it."""
    plate: dict[str, Any] = {name: getattr(unit, name, None) for name in _PLATE}
    plate.update({name: _kept(plate[name]) for name in _PLATE_IN_WORDS})
    plate.update(unit.more or {})
    dates = {fact: day for name, fact in _DATES.items() if (day := getattr(unit, name, None)) is not None}
    return UnitState(
        sheet=unit.sheet,
        row=unit.row,
        id=_kept(unit.id),
        serial=_kept(unit.serial),
        site=_kept(unit.site),
        place=_kept(unit.place),
        nameplate=Nameplate(**plate),
        dates=with_recharge(dates, unit.last_recharge, opened=unit.recharge_opened),
        test_method=unit.test_method,
        removed=removed,
    )


def states_of(units: Iterable[ListedUnit], problems: Iterable[ListProblem]) -> list[UnitState]:
    """Every listed unit; one that the list crosses out or calls scrapped or stolen is marked as removed."""
    gone = {(p.sheet, p.row): p.raw or "crossed out" for p in problems if p.kind == "removed"}
    return [state_of(unit, removed=gone.get((unit.sheet, unit.row))) for unit in units]


def placeholders(problems: Iterable[ListProblem]) -> Iterator[UnitState]:
    """One placeholder for each extinguisher that a list only counts, without dates, to be matched on the walk."""
    for problem in problems:
        if problem.kind == "count-row":
            for part in problem.parts:
                for _ in range(part.count or 0):
                    yield UnitState(
                        sheet=problem.sheet,
                        row=problem.row,
                        site=_kept(problem.site),
                        place=_kept(problem.place),
                        nameplate=Nameplate(agent=part.agent, size=part.size),
                        placeholder=True,
                    )
