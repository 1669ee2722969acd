"""What is known of one extinguisher on one day: its nameplate and the last time each thing was done to it.

`UnitState` is the only thing that the rules take. A register gives one for each row; the fold of a history gives one
for each unit of a shop.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Nameplate:
    """What the maker fixed. None means that it is not said; the codes are those of `kinds`.

    Weights and pressures are texts as typed, such as `29 lb 6 oz` or `195 psi`; a record takes only such as can be read
    (`measures.parse_measure`, `measures.parse_pressure`). `gauge_low` and `gauge_high` are the ends of the green band.
    """

    agent: str | None = None
    expelled_by: str | None = None
    shell: str | None = None
    wheeled: bool | None = None
    rechargeable: bool | None = None
    size: Quantity | None = None
    rating: str | None = None
    cylinder_specification: str | None = None
    service_pressure: str | None = None
    water_capacity: Quantity | None = None
    hose: str | None = None
    model: str | None = None
    lot: str | None = None
    gross_weight: str | None = None
    gross_weight_low: str | None = None
    gross_weight_high: str | None = None
    empty_weight: str | None = None
    test_pressure: str | None = None
    gauge_low: str | None = None
    gauge_high: str | None = None
    charging_gas: str | None = None
    cartridge_weight: str | None = None
    cartridge_weight_low: str | None = None
    expellant_pressure: str | None = None
    regulator_pressure: str | None = None

    def __post_init__(self) -> None:
        for what, code, table in (
            ("agent", self.agent, kinds.AGENTS),
            ("expelled by", self.expelled_by, kinds.EXPELLED_BY),
            ("shell", self.shell, kinds.SHELLS),
            ("hose", self.hose, kinds.HOSES),
            ("charging gas", self.charging_gas, kinds.GASES),
        ):
            if code is not None:
                kinds.require(code, table, what=what)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitState:
    """One extinguisher as it stands: identity, place, nameplate, and the date of each fact that starts a clock.

    `dates` is keyed by `kinds.FACTS`; `set_by` names the record that set a date, where there is one. `test_method` is
    how the last hydrostatic test was done (`kinds.TEST_METHODS`). A unit that is `removed` (scrapped, stolen, crossed
    out) owes no duty. `placeholder` marks a unit that is only counted, not yet seen.
    """

    uid: str | None = None
    sheet: str | None = None
    row: int | None = None
    id: str | None = None
    serial: str | None = None
    site: str | None = None
    place: str | None = None
    nameplate: Nameplate = field(default_factory=Nameplate)
    dates: Mapping[str, PartialDate] = field(default_factory=dict)
    set_by: Mapping[str, str] = field(default_factory=dict)
    test_method: str | None = None
    removed: str | None = None
    placeholder: bool = False

    def __post_init__(self) -> None:
        for fact in self.dates:
            if fact not in kinds.FACTS:
                raise Refusal(what="unknown dated fact", rule=f"a fact is one of {', '.join(kinds.FACTS)}", got=fact, do="check the name")
        if self.test_method is not None:
            kinds.require(self.test_method, kinds.TEST_METHODS, what="test method")


def letters_and_figures(text: str | None) -> str:
    """Letters and figures alone: people write one number, place or model with and without hyphens and spaces."""
    return "".join(each for each in (text or "").casefold() if each.isalnum())


def with_recharge(dates: Mapping[str, PartialDate], recharged: PartialDate | None, *, opened: bool | None) -> dict[str, PartialDate]:
    """Add one recharge to the dated facts; `opened` says whether the inside work was done, None that it is not said."""
    found = dict(dates)
    if recharged is None:
        return found
    facts = ["recharge"] + (["recharge-opened"] if opened else []) + (["recharge-maybe-opened"] if opened is not False else [])
    for fact in facts:
        if fact not in found or (found[fact].earliest, found[fact].latest) <= (recharged.earliest, recharged.latest):
            found[fact] = recharged
    return found
