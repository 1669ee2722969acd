"""A hand-written office with an invented shop: sites, people, numbers and dates are all made up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from datetime import date

from fake_people import LEAD, FakePeople
from record_makers import Writer
from starlette.testclient import TestClient

from pinseal.dates import PartialDate, parse_date
from pinseal.intake.questions import Question
from pinseal.intake.register import CountPart, DateOrder, NotUnit, Problem, Register, RegisterUnit
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit, fold
from pinseal.records.record import Record, uuid7
from pinseal.records.unit import UnitState
from pinseal.service.duelist import DueList, due_list
from pinseal.service.taking_in import Change, ImportPlan, Line, TakenIn, Unsure
from pinseal.standards import choose_packs, held_packs
from pinseal.standards.model import Chosen, Pack
from pinseal.units import Quantity
from pinseal.web.account import Account
from pinseal.web.doors import About, Upload
from pinseal.web.site import build_site

TODAY = date(2026, 11, 24)
SITES = ("Airfield ramp", "Ferry hall", "Fuel depot", "School kitchen", "Harbour museum")
PLACES = ("stand 3", "pier door", "gate B", "range hood", "stair 2", "switch room")
KINDS = (
    ("abc", "10 lb", "stored-pressure", "mild-steel"),
    ("co2", "15 lb", "self-expelling", "aluminium"),
    ("potassium-bicarbonate", "150 lb", "cylinder", "mild-steel"),
    ("wet-chemical", "6 l", "stored-pressure", "stainless-steel"),
    ("water", "2.5 gal", "stored-pressure", "stainless-steel"),
)


def uid_of(number: int) -> str:
    from record_makers import START

    return uuid7(at=START, randomness=f"unit{number:04d}".encode())


def records_of(number: int) -> list[Record]:
    """An invented life: made, listed, looked at, opened, sometimes corrected or removed."""
    agent, size, expelled, shell = KINDS[number % len(KINDS)]
    writer, unit = Writer(f"van-{number % 3}", first=number * 100), uid_of(number)
    made = ("2014", f"2015-{number % 12 + 1:02d}", f"2016-03-{number % 27 + 1:02d}")[number % 3]
    told = {} if number % 7 == 6 else {"manufactured": made}
    if number % 3 == 0:
        told["shell"] = shell
    fields = {
        "id": f"{'W-' if agent == 'potassium-bicarbonate' else ''}{number + 1:03d}",
        "serial": f"RB-{30700 + number}",
        "site": SITES[number % len(SITES)],
        "place": PLACES[number % len(PLACES)],
        "agent": agent,
        "size": size,
        "expelled-by": expelled,
        **told,
    }
    fields |= {"wheeled": "yes"} if agent == "potassium-bicarbonate" else {}
    found = [writer.write("registered", "2020-01-15", unit=unit, **fields)]
    if number % 4 == 1:
        found.append(writer.write("tested", "2020-06", unit=unit, method="water-jacket", result="pass"))
    if number % 4 < 2:
        found.append(writer.write("opened", f"2020-{number % 6 + 5:02d}-10", unit=unit))
    found.append(writer.write("maintained", f"{2025 + number % 2}-{number % 11 + 1:02d}-03", unit=unit, found="pin bent, replaced"))
    if number % 5 == 2:
        found.append(writer.write("inspected", "2026-10-30", unit=unit))
    if number == 3:
        found.append(writer.write("corrected", "2026-02-01", unit=unit, corrects=found[1].uid, void="yes", reason="another unit was meant"))
    if number == 4:
        found.append(writer.write("condemned", "2026-05-02", unit=unit, reason="dent in the shell"))
    if number == 8:
        found.append(writer.write("removed", "2026-05-02", unit=unit, reason="stolen"))
    return found


class FakeOffice:
    """`Office` by hand. `refuses` makes every question about the shop fail, as a damaged shop does."""

    def __init__(self, units: int = 30, *, packs: Sequence[str] = ("us-osha", "us-nfpa10"), extra: Sequence[UnitState] = ()) -> None:
        self.lives = {uid_of(n): records_of(n) for n in range(units)}
        self.names, self.extra = packs, extra
        self.refuses: Refusal | None = None
        self.taken: list[tuple[str, dict[str, str], str]] = []
        self.read_count = 0

    def within(self, sites: frozenset[str] | None) -> FakeOffice:
        if sites is None:
            return self
        narrowed = copy(self)
        narrowed.lives = {uid: life for uid, life in self.lives.items() if fold(life).state.site in sites}
        narrowed.extra = [state for state in self.extra if state.site in sites]
        return narrowed

    def about(self) -> About:
        self._may_refuse()
        return About(name="Gullhaven Extinguisher Works", today=TODAY, note="invented")

    def _may_refuse(self) -> None:
        if self.refuses:
            raise self.refuses

    def packs(self) -> Sequence[Pack]:
        return tuple(held_packs().values())

    def chosen(self) -> Sequence[Chosen]:
        return choose_packs(self.names) if self.names else ()

    def due_list(self, on: date) -> DueList:
        self._may_refuse()
        states = [fold(records).state for records in self.lives.values()]
        return due_list([*states, *self.extra], choose_packs(self.names), on)

    def unit(self, uid: str) -> Unit | None:
        records = self.lives.get(uid)
        return fold(records) if records else None

    def history(self, uid: str) -> Sequence[Record]:
        return self.lives.get(uid, ())

    def read(self, upload: Upload, answers: Mapping[str, str]) -> Register:
        self.read_count += 1
        if upload.content.startswith(b"\x89PNG"):
            raise Refusal(what="this is a picture", rule="a list is CSV or XLSX", got=upload.name, do="hand over the list itself")
        given = answers.get("halon", "")
        if given and given not in (*_HALON.readings, "unknown"):
            raise Refusal(what="the answer to halon is none of its readings", rule="one answer fits", got=given, do="choose a reading")
        return read_by_hand(answers)

    def preview(self, upload: Upload, answers: Mapping[str, str]) -> ImportPlan:
        register = self.read(upload, answers)
        known = [fold(records).state for records in self.lives.values()]
        doubt = Unsure(id="same-12", words="Row 12, RB-3070I, may be unit 001 at Airfield ramp. Is it?", readings=("yes", "no"))
        listed = UnitState(row=5, id="001", serial="RB-30700")
        changed = Line(
            name="001, 10 lb ABC dry chemical",
            known=known[0] if known else None,
            listed=listed,
            changes=(Change(fact="place", was="stand 3", now="stand 4"), Change(fact="last-maintenance", was="", now="2026-09-14")),
        )
        return ImportPlan(
            register=register,
            matched=(changed, Line(name="002"), Line(name="003")),
            changed=(changed,),
            new=(Line(name="0711, 20 lb Halon 1211", listed=UnitState(row=7, id="0711")),),
            vanished=tuple(Line(name=state.id or "", known=state) for state in known[1:4]),
            counted=(UnitState(row=9, placeholder=True),) * 7,
            uncertain=() if "same-12" in answers else (doubt,),
        )

    def take_in(self, upload: Upload, answers: Mapping[str, str], person: str) -> TakenIn:
        if person == "Nobody":
            raise Refusal(what="nobody may not take in lists", rule="a person is named", got=person, do="say who you are")
        self.taken.append((upload.name, dict(answers), person))
        return TakenIn(new=1, changed=1, placeholders=7, records=12)


def _question(name: str, column: str, field: str, raw: str, rows: tuple[int, ...], readings: tuple[str, ...], ask: str) -> Question:
    return Question(id=name, sheet=None, column=column, rows=rows, field=field, raw=raw, readings=readings, ask=ask)


_HEADS = ("id", "size", "place", "manufactured", "last_maintenance", "Remarks")
_HALON = _question("halon", "Kind", "agent", "20# Halon", (7, 8), ("halon-1211", "halon-1301"), "Which halon is meant by “20# Halon”?")
_ORDER = _question(
    "order-last", "Serviced", "last_maintenance", "4/5/26", (5, 6, 7, 8), ("MDY", "DMY"), "Is 4/5/26 the 5th of April or the 4th of May?"
)


def _unit(row: int, agent: str | None, lb: float, made: str | None, place: str | None, *cells: str) -> RegisterUnit:
    return RegisterUnit(
        None,
        row,
        id=cells[0].zfill(3),
        agent=agent,
        size=Quantity(value=lb, unit="lb"),
        place=place,
        site="Airfield ramp",
        manufactured=parse_date(made) if made else None,
        cells=cells,
        headings=_HEADS,
    )


def read_by_hand(answers: Mapping[str, str]) -> Register:
    """What a reader would make of `LIST`."""
    halon = answers.get("halon")
    agent = halon if halon and halon != "unknown" else None
    units = (
        _unit(5, "abc", 10, "2014", "stand 4", "1", "10# ABC", "stand 4", "2014", "9/14/26", ""),
        _unit(6, "co2", 15, "2015-11", None, "0102", "15# CO2", "", "11-15", "4/5/26", "horn cracked"),
        _unit(7, agent, 20, None, "hangar", "0711", "20# Halon", "hangar", "2041", "4/5/26", ""),
        _unit(8, agent, 20, None, "<b>tower</b>", "0712", "20# Halon", "<b>tower</b>", "", "4/5/26", ""),
    )
    counted = CountPart(count=7, readings=(), agent="abc", size=Quantity(value=5, unit="lb"))
    problems = (
        Problem(sheet=None, row=7, column="manufactured", raw="2041", kind="date-in-the-future", why="this year has not come yet"),
        Problem(sheet=None, row=9, column=None, raw="7 x 5# ABC", kind="count-row", why="stands for 7 units", count=7, parts=(counted,)),
    )
    return Register(
        units=units,
        questions=tuple(q for q in (_HALON, _ORDER) if q.id not in answers),
        problems=problems,
        not_units=tuple(NotUnit(sheet=None, row=row, kind=kind) for row, kind in ((1, "title"), (2, "blank"), (3, "header"))),
        date_order="undecidable",
        date_orders=(DateOrder(sheet=None, column="Serviced", order="undecidable"),),
        as_of=PartialDate(2026, 11),
        encoding="utf-8",
        separator=",",
        unused_answers=tuple(each for each in answers if each not in ("halon", "order-last")),
    )


LIST = b"Airfield list\n\nNo,Kind,Where,Made,Serviced,Remarks\n1,10# ABC,stand 4,2014,9/14/26,\n"


def client_of(office: FakeOffice, *, account: Account | None = LEAD, **kwargs) -> TestClient:
    """A browser on our own pages: it says where its forms come from. It is signed in as `account`, or as nobody."""
    people = kwargs.pop("people", None) or FakePeople(*([account] if account else []))
    client = TestClient(
        build_site(office, people=people, **kwargs), base_url="http://127.0.0.1:8000", headers={"sec-fetch-site": "same-origin"}
    )
    if account:
        client.cookies.set("pinseal", people.key_of(account))
    return client
