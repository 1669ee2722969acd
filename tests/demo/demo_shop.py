"""The demo taken in as the app does it, in memory: the list as meant, then every deed sealed into a chain, then folded."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache

from pinseal.dates import PartialDate, parse_date
from pinseal.demo import Demo, build
from pinseal.demo.fleet import COUNTED
from pinseal.demo.models import MODELS
from pinseal.demo.paper import ListedRow
from pinseal.demo.town import MOORINGS
from pinseal.records.fold import Unit, fold_all
from pinseal.records.record import FIRST, Draft, Record, seal, uuid7
from pinseal.records.record_kinds import check_record
from pinseal.records.registering import registered_fields
from pinseal.records.registers import Instrument, Person, fold_instruments, fold_people
from pinseal.records.unit import Nameplate, UnitState
from pinseal.records.withdrawals import load_withdrawals
from pinseal.service.duelist import DueList, due_list
from pinseal.service.office import withdrawals_of
from pinseal.standards import choose_packs
from pinseal.units import parse_quantity

_DATES = {
    "manufactured": "manufactured",
    "last_maintenance": "maintenance",
    "last_internal_examination": "internal-examination",
    "last_hydrostatic_test": "hydrostatic-test",
}
# The kinds of deed by which a unit, an instrument and a person come into the shop's book.
FIRST_KINDS = ("registered", "instrument-registered", "person-registered", "bottle-received")


def uid(number: int) -> str:
    return uuid7(at=datetime(2014, 11, 14, tzinfo=UTC), randomness=number.to_bytes(8, "big"), sequence=number)


@cache
def demo() -> Demo:
    return build()


def _state(listed: ListedRow) -> UnitState:
    meant = listed.meant
    dates: dict[str, PartialDate] = {fact: parse_date(meant[name]) for name, fact in _DATES.items() if name in meant}
    if "last_recharge" in meant:
        dates |= {"recharge": parse_date(meant["last_recharge"]), "recharge-maybe-opened": parse_date(meant["last_recharge"])}
    return UnitState(
        row=listed.row,
        id=meant.get("id"),
        serial=meant.get("serial"),
        site=meant["site"],
        place=meant["place"],
        nameplate=Nameplate(agent=meant["agent"], size=parse_quantity(meant["size"])),
        dates=dates,
        removed=None if listed.key else "said to be gone",
    )


def _placeholders() -> Iterator[UnitState]:
    for count, key in COUNTED:
        for _ in range(count):
            plate = Nameplate(agent=MODELS[key].agent, size=parse_quantity(MODELS[key].size))
            yield UnitState(site=MOORINGS, nameplate=plate, placeholder=True)


@cache
def sealed() -> tuple[Record, ...]:
    """Every record of the demo: first what the list says, then the deeds."""
    taken = demo()
    uids: dict[str, str] = {}
    drafts: list[Draft] = []
    states = [*((row.key, _state(row)) for row in taken.listed), *((None, state) for state in _placeholders())]
    for number, (key, state) in enumerate(states):
        uids[key or f"nameless {number}"] = uid(number)
        fields = check_record("registered", registered_fields(state))
        drafts.append(
            Draft(
                kind="registered",
                unit=uid(number),
                person="office",
                done=PartialDate.of(taken.taken_over),
                fields=fields,
                uid=uid(5000 + number),
            )
        )
    for number, deed in enumerate(taken.deeds):
        if deed.unit not in uids:
            assert deed.kind in FIRST_KINDS, f"{deed.unit} is named before it is registered"
            uids[deed.unit] = uid(10_000 + number)
        drafts.append(
            Draft(
                kind=deed.kind,
                unit=uids[deed.unit],
                person=deed.person,
                done=deed.done,
                fields=check_record(deed.kind, deed.said(uids)),
                uid=deed.uid,
            )
        )
    records, head = [], FIRST
    for draft in drafts:
        record = seal(draft, uid=draft.uid or "", writer="office", previous=head)
        records.append(record)
        head = record.digest
    return tuple(records)


@cache
def units() -> tuple[Unit, ...]:
    return tuple(fold_all(sealed()).values())


@cache
def instruments() -> dict[str, Instrument]:
    return {each.id: each for each in fold_instruments(sealed())}


@cache
def people() -> dict[str, Person]:
    return {each.name: each for each in fold_people(sealed())}


@cache
def dues() -> DueList:
    """The due list on the demo's day, as the shop would see it."""
    taken = demo()
    states = [unit.state for unit in units()]
    entries = [entry for name, text in taken.withdrawals for entry in load_withdrawals(text, name=name)]
    recalls = {unit.state.uid or "": unit.recalled for unit in units() if unit.recalled}
    packs = taken.settings["packs"]
    assert isinstance(packs, list)
    found = withdrawals_of(entries, recalls, states, taken.day)
    return due_list(states, choose_packs(packs), taken.day, withdrawals=found)
