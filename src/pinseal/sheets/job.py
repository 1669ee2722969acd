"""One job: the unit, its kind, the works of the day, the steps that follow, and what the rules say of it today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.records.registers import Instrument, Person
from pinseal.records.unit import UnitState
from pinseal.rules.loaners import BackBy, Loaner
from pinseal.sheets.model import Finding, Step, UnitType
from pinseal.sheets.plate import Plate


@dataclass(frozen=True, slots=True, kw_only=True)
class TestDate:
    """When the shell's pressure test is due. `owed` is yes, no or unknown; `last_day` is the early reading of the last permitted day,
    `words` the day as exactly as it is known."""

    __test__ = False
    owed: str
    last_day: PartialDate | None = None
    words: str = ""
    overdue: bool = False
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandIn:
    """A unit that may stand in for another: its uid, and what the rules want to know of it."""

    uid: str
    loaner: Loaner


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What a sheet is run against. It is made anew from the record each time, so the server judges, never the paper.

    `instruments` and `people` are keyed by id and by name; `loaners` holds units that may stand in, by the id as typed.
    `by_step` says why no confirmation may cover several steps; empty where it may. `dues` are the sentences for people,
    `left_out` what is due and has no procedure for this kind, with the reason;
    `back_by` says until when a unit that is taken away today must be back.
    """

    unit: UnitState
    type: UnitType
    works: tuple[str, ...]
    on: date
    packs: tuple[str, ...]
    steps: tuple[Step, ...]
    findings: Mapping[str, Finding]
    plate: Plate
    test_date: TestDate
    last_agent: str | None = None
    system: str = "us"
    by_step: str = ""
    dues: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    condemned: str | None = None
    gone: str | None = None
    back_by: BackBy | None = None
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    people: Mapping[str, Person] = field(default_factory=dict)
    loaners: Mapping[str, StandIn] = field(default_factory=dict)

    def step(self, code: str) -> Step | None:
        return next((each for each in self.steps if each.id == code), None)

    def can_tell(self, token: str) -> bool:
        """Whether an answer of this sheet tells a token of the picture: what no step asks for is never waited for."""
        return any(token in answer.sets for step in self.steps for answer in step.answers)

    @property
    def agent(self) -> str | None:
        return self.unit.nameplate.agent

    @property
    def only_inspection(self) -> bool:
        return self.works == ("inspection",)

    @property
    def is_water_like(self) -> bool:
        return self.agent in kinds.AGENT_GROUPS["all-water"] + kinds.AGENT_GROUPS["all-foam"] + ("wet-chemical", "water-mist")
