"""An office with a test bench, by hand: a stamped cylinder, a plain shell, gauges, a jacket and its calibrated cylinder. All invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from fake_office import TODAY, uid_of
from fake_rooms import BAD_GAUGE, NOW, PACKS, SCALE, FakeRooms
from record_makers import Writer

from pinseal.dates import PartialDate
from pinseal.records.bottles import SupplyBottle, fold_bottles
from pinseal.records.fold import fold
from pinseal.records.record import Draft, Record
from pinseal.records.record_kinds import check_record
from pinseal.records.registers import Instrument, InstrumentCheck
from pinseal.service.office import Writer as Writer_
from pinseal.service.registry import ListedInstrument, listed_instrument
from pinseal.service.supplies import read_bottle, receive_bottle, return_bottle
from pinseal.service.workshop import AskedSheet, Registers, make_job

STAMPED, PLAIN, SILENT = uid_of(1), uid_of(0), uid_of(5)
TEST_PLATE = {"test-pressure": "585 psi"}
STAMP = {
    "cylinder-specification": "DOT-3AL1800",
    "service-pressure": "1800 psi",
    "size": "15 lb",
    "water-capacity": "22 lb",
    "empty-weight": "14 lb",
    "gross-weight": "29 lb",
}


def _checked(uid: str, name: str, what: str, on: PartialDate, **more: str) -> Instrument:
    check = InstrumentCheck(record=f"c-{name}", done=on, good=True, against="MG-1")
    return Instrument(uid=uid, id=name, what=what, checks=(check,), **more)


HIGH = _checked(uid_of(911), "TG-9", "test-gauge", PartialDate(2026, 9, 1), range_text="0 to 5000 psi", accuracy_percent="0.5")
LOW = _checked(uid_of(912), "TG-8", "test-gauge", PartialDate(2026, 9, 1), range_text="0 to 1000 psi", accuracy_percent="0.5")
WJ = _checked(uid_of(913), "WJ-1", "test-jacket", PartialDate(2026, 11, 23))
CC = _checked(uid_of(914), "CC-1", "calibrated-cylinder", PartialDate(2026, 3, 2), range_text="182.0 cm3 at 3000 psi")


class BenchRooms(FakeRooms):
    """`FakeRooms` with instruments for pressure tests. Unit 1 is stamped, unit 0 says its factory test pressure, unit 5 says nothing."""

    def __init__(self) -> None:
        super().__init__(12)
        writer = Writer("bench", first=97_000)
        self.bottle_records: list[Record] = []
        self.pen = Writer("bottles", first=99_500)
        self.tools = [SCALE, BAD_GAUGE, HIGH, LOW, WJ, CC]
        self.lives[STAMPED].append(writer.write("registered", "2024-01-02", unit=STAMPED, **STAMP))
        self.lives[PLAIN].append(writer.write("registered", "2024-01-03", unit=PLAIN, **TEST_PLATE))

    def _job(self, unit: str, works: Sequence[str] | None):
        whole, dues = fold(self.lives[unit]), self.due_list(TODAY)
        place = next(i for i, state in enumerate(dues.states) if state.uid == unit)
        asked = AskedSheet(works=None if works is None else tuple(works), on=TODAY, packs=PACKS)
        return make_job(whole, dues.of_unit(place), asked, Registers(instruments=self.tools))

    def bottles(self) -> Sequence[SupplyBottle]:
        return fold_bottles(self.bottle_records)

    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]:
        made = [self.pen.write(each.kind, str(each.done), unit=each.unit, **check_record(each.kind, each.fields)) for each in drafts]
        self.bottle_records += made
        return made

    def write_bottle(self, deed: str, uid: str, fields: Mapping[str, str], person: str) -> None:
        who = Writer_(device="office", person=person, now=NOW, new_uid=lambda: uid_of(970 + len(self.bottle_records)))
        if deed == "receive":
            receive_bottle(self, who, done=TODAY, fields=fields)
        else:
            {"read": read_bottle, "return": return_bottle}[deed](self, who, uid, done=TODAY, fields=fields)

    def instruments(self) -> Sequence[ListedInstrument]:
        return [listed_instrument(each, on=TODAY, packs=PACKS) for each in self.tools]

    def check_instrument(self, instrument: str, fields: Mapping[str, str], person: str) -> None:
        check = InstrumentCheck(
            record="c-new", done=PartialDate.of(TODAY), good=fields["check"] == "good", against=fields["against"], value=fields["value"]
        )
        self.tools = [replace(each, checks=(*each.checks, check)) if each.uid == instrument else each for each in self.tools]
