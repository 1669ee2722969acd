"""Agent by lot: what went into units, what came out of them, and where it went; what the records leave open is said.

A ledger of records, not of stock: what lies in the store is not on record. The account of one unit is the mass balance that its sheet
judged (`balance` of `agent-taken-out`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from pinseal.dates import PartialDate
from pinseal.measures import parse_measure
from pinseal.reasons import Refusal
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct

LEDGER_KINDS = ("recharged", "agent-renewed", "agent-taken-out", "corrected")


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """Agent that went into a unit (`into`) or came out of it. `mass_kg` is None where no figure was recorded that can be read.

    `fill` is a key of `kinds.FILLS` where the record says it, `went_to` one of `kinds.AGENT_WAYS`.
    """

    unit: str
    record: str
    done: PartialDate
    agent: str
    lot: str
    into: bool
    mass_kg: Fraction | None
    text: str
    container: str = ""
    went_to: str = ""
    balance: str = ""
    fill: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """The movements of one agent and lot. The sums hold what has a figure; `unweighed` counts the movements without one."""

    agent: str
    lot: str
    movements: tuple[Movement, ...]

    @property
    def in_kg(self) -> Fraction:
        return sum((each.mass_kg for each in self.movements if each.into and each.mass_kg is not None), Fraction(0))

    @property
    def out_kg(self) -> Fraction:
        return sum((each.mass_kg for each in self.movements if not each.into and each.mass_kg is not None), Fraction(0))

    @property
    def unweighed(self) -> int:
        return sum(each.mass_kg is None for each in self.movements)

    @property
    def unbalanced(self) -> tuple[Movement, ...]:
        """What came out of a unit, and whose account did not close on its sheet."""
        return tuple(each for each in self.movements if each.balance in ("fail", "too-close"))


def ledger(records: Iterable[Record]) -> list[Lot]:
    """The lots by agent and number, those without a number last. Each holds its movements, the newest first."""
    lots: dict[tuple[str, str], list[Movement]] = {}
    for moved in movements(records):
        lots.setdefault((moved.agent, moved.lot), []).append(moved)
    return [
        Lot(agent=agent, lot=lot, movements=tuple(sorted(found, key=lambda each: (each.done.latest, each.record), reverse=True)))
        for (agent, lot), found in sorted(lots.items(), key=lambda pair: (pair[0][1] == "", pair[0]))
    ]


def movements(records: Iterable[Record]) -> list[Movement]:
    """Every movement of agent into units and out of them. `records` are those of `LEDGER_KINDS`; corrections are applied."""
    by_unit: dict[str, list[Record]] = {}
    for record in records:
        by_unit.setdefault(record.unit, []).append(record)
    return [_movement(unit, fact) for unit, some in by_unit.items() for fact in _each_once(apply_corrections(distinct(some)[0])[0])]


def _each_once(facts: Iterable[Fact]) -> list[Fact]:
    """A sheet that recharges and renews the agent says the same agent twice: the recharge counts."""
    found = list(facts)
    filled = {fact.fields["sheet"] for fact in found if fact.kind == "recharged" and "sheet" in fact.fields}
    return [fact for fact in found if fact.kind != "agent-renewed" or fact.fields.get("sheet", "") not in filled]


def _movement(unit: str, fact: Fact) -> Movement:
    said = fact.fields
    return Movement(
        unit=unit,
        record=fact.uid,
        done=fact.done,
        agent=said.get("agent", ""),
        lot=said.get("lot", ""),
        into=fact.kind != "agent-taken-out",
        mass_kg=kg_of(said.get("mass", "")),
        text=said.get("mass", ""),
        container=said.get("container", ""),
        went_to=said.get("went-to", ""),
        balance=said.get("balance", ""),
        fill=said.get("fill", ""),
    )


def kg_of(text: str) -> Fraction | None:
    """A mass as typed, exactly [kg]; None where none can be read."""
    try:
        return parse_measure("mass", text).exact
    except Refusal:
        return None
