"""The supply bottles of a shop, as their records make them: what each holds, its certificate, its readings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pinseal.dates import PartialDate
from pinseal.records.corrections import Mark
from pinseal.records.record import Record
from pinseal.records.registers import Withdrawn, about_subject, counting_facts


@dataclass(frozen=True, slots=True, kw_only=True)
class BottleRead:
    """One look at the gauge of a bottle: pressure and temperature as typed."""

    record: str
    done: PartialDate
    shows: str
    at_temperature: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyBottle:
    """One supply bottle. `gas` is a key of `kinds.GASES`; texts keep their unit.

    `reads` are those since it came last, in order. One whose receiving has not come in has an empty `id` and no gas.
    """

    uid: str
    id: str = ""
    gas: str | None = None
    water_capacity: str | None = None
    serial: str | None = None
    dew_point: str | None = None
    purity: str | None = None
    certificate: str | None = None
    received: PartialDate | None = None
    reads: tuple[BottleRead, ...] = ()
    returned: Withdrawn | None = None
    marks: tuple[Mark, ...] = ()

    @property
    def last(self) -> BottleRead | None:
        return self.reads[-1] if self.reads else None


def fold_bottle(records: Iterable[Record]) -> SupplyBottle:
    """What the records of one bottle make of it. Received again, it is another filling: older readings and papers do not hold for it."""
    facts, marks, uid = counting_facts(records)
    found = SupplyBottle(uid=uid, marks=marks)
    for fact in facts:
        said = fact.fields
        if fact.kind == "bottle-received":
            found = SupplyBottle(
                uid=uid,
                id=said["id"],
                gas=said["gas"],
                water_capacity=said["water-capacity"],
                serial=said.get("serial", found.serial),
                dew_point=said.get("dew-point"),
                purity=said.get("purity"),
                certificate=said.get("certificate"),
                received=fact.done,
                marks=marks,
            )
        elif fact.kind == "bottle-read":
            look = BottleRead(record=fact.uid, done=fact.done, shows=said["shows"], at_temperature=said["at-temperature"])
            found = replace(found, reads=(*found.reads, look))
        elif fact.kind == "bottle-returned":
            found = replace(found, returned=Withdrawn(since=fact.done, reason=said.get("reason", "no reason said")))
    return found


def fold_bottles(records: Iterable[Record]) -> list[SupplyBottle]:
    """Every supply bottle among records of any subject, in the order of the uids."""
    return [fold_bottle(some) for some in about_subject(records, "bottle")]
