"""What the people of an invented fleet record: units of many types, work of every kind, corrections. All invented."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from random import Random

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.records.record import Draft, Record, uuid7
from pinseal.records.record_kinds import KINDS

PEOPLE = ("Ida Quill", "Bram Oster", "Wen Talloway")
SITES = ("Pier", "Depot", "Kiln", "Ropewalk")
_DAY_ONE = date(2010, 1, 1)

# What is recorded beside registering and correcting, and how often, as shares.
_WORK: tuple[tuple[int, str, dict[str, tuple[str | None, ...]]], ...] = (
    (8, "inspected", {"found": (None, None, "gauge low")}),
    (8, "maintained", {"tag": (None, "T-1", "T-2"), "note": (None, "seal replaced")}),
    (4, "opened", {}),
    (5, "tested", {"method": (None, "proof-pressure", "water-jacket"), "result": (None, "pass", "fail"), "pressure": (None, "585 psi")}),
    (5, "recharged", {"opened": (None, "yes", "no"), "mass": (None, "10 lb"), "agent": (None, "abc", "co2")}),
    (2, "hose-tested", {"result": (None, "pass", "fail")}),
    (1, "conductivity-tested", {}),
    (1, "agent-renewed", {"agent": (None, "afff")}),
    (1, "expellant-cylinder-tested", {"result": (None, "fail")}),
    (1, "regulator-tested", {}),
    (3, "moved", {"site": SITES, "place": (None, "stair 2", "by the crane")}),
    (2, "retagged", {"tag": ("T-3", "T-4")}),
    (1, "placed-in-service", {"site": (None, *SITES)}),
    (1, "sold-and-tagged", {"tag": (None, "T-5")}),
    (2, "shell-exchanged", {"serial": ("B-1", "B-2"), "manufactured": (None, "2015", "2018-03"), "test-method": (None, "water-jacket")}),
    (1, "condemned", {"reason": (None, "pitted")}),
    (2, "removed", {"reason": (None, "sold", "lost")}),
    (3, "returned", {"site": (None, *SITES)}),
    (1, "recalled", {"list": ("Valves of lot 7", "Gauges of 2019")}),
    (1, "noted", {"note": ("bracket loose", "sign missing")}),
    (1, "not-done", {"reason": ("no access",), "duty": (None, *kinds.DUTIES)}),
)  # fmt: skip


def new_uid(random: Random, at: datetime) -> str:
    return uuid7(at=at, randomness=random.randbytes(8), sequence=random.randrange(16))


def _said(random: Random, choices: Mapping[str, tuple[str | None, ...]]) -> dict[str, str]:
    picked = {name: random.choice(values) for name, values in choices.items()}
    return {name: value for name, value in picked.items() if value is not None}


def vague(random: Random, day: date) -> PartialDate:
    """A day as people write it down: mostly whole, at times only the month or the year."""
    precision = random.choices(("day", "month", "year"), (16, 3, 1))[0]
    return {"day": PartialDate.of(day), "month": PartialDate(day.year, day.month), "year": PartialDate(day.year)}[precision]


def _draft(random: Random, kind: str, unit: str, done: PartialDate, fields: Mapping[str, str], at: datetime) -> Draft:
    return Draft(kind=kind, unit=unit, person=random.choice(PEOPLE), done=done, fields=fields, uid=new_uid(random, at))


def nameplate_fields(random: Random) -> dict[str, str]:
    """Some of what a nameplate says."""
    agent = random.choice([each for each in kinds.AGENTS.values() if each.specific])
    full = {
        "agent": agent.code,
        "expelled-by": random.choice(agent.expelled_by),
        "shell": random.choice(agent.shells),
        "wheeled": random.choice(("yes", "no", "no")),
        "rechargeable": random.choice(("yes", "yes", "no")),
        "hose": random.choice(tuple(kinds.HOSES)),
        "cylinder-specification": random.choice(("DOT-4BW500", "3AL1800", "none")),
        "water-capacity": random.choice(("8 lb", "30 lb")),
    }
    return {name: value for name, value in full.items() if random.random() < 0.8}


def registering(random: Random, unit: str, number: int, today: date, at: datetime) -> Draft:
    """The first sight of a unit, or a list that was read (also of a unit that is known already)."""
    made = _DAY_ONE + timedelta(days=random.randrange((today - _DAY_ONE).days))
    since = [made + timedelta(days=random.randrange((today - made).days + 1)) for _ in range(3)]
    dates = {
        "manufactured": str(vague(random, made)),
        "last-maintenance": str(vague(random, since[0])),
        "last-recharge": str(vague(random, since[1])),
        "last-hydrostatic-test": str(vague(random, since[2])),
    }
    said = {"id": str(number), "serial": f"KX-{number}", "site": random.choice(SITES), "place": random.choice(("door", "stair 1"))}
    said |= nameplate_fields(random)
    said |= {name: value for name, value in dates.items() if random.random() < 0.6}
    return _draft(random, "registered", unit, PartialDate.of(today), said, at)


def deed(random: Random, unit: str, today: date, at: datetime) -> Draft:
    """Some work on a unit: mostly of today, at times written down later."""
    _, kind, choices = random.choices(_WORK, [share for share, _, _ in _WORK])[0]
    day = today - timedelta(days=random.choice((0, 0, 0, 1, 30, 400)))
    return _draft(random, kind, unit, vague(random, day), _said(random, choices), at)


def same_deed_twice(random: Random, unit: str, today: date, at: datetime) -> tuple[Draft, Draft]:
    """Two people record the same work on the same unit and the same day, each in their own words."""
    one = deed(random, unit, today, at)
    _, _, choices = next(each for each in _WORK if each[1] == one.kind)
    return one, _draft(random, one.kind, unit, one.done, _said(random, choices), at)


def correction(random: Random, target: Record, today: date, at: datetime) -> Draft:
    """A correction of any record; one of a correction makes it void."""
    fields = {"corrects": target.uid, "reason": "read again"}
    how = "void" if target.kind == "corrected" else random.choice(("void", "done", "done", "note", "not-said", "field"))
    if how == "void":
        fields["void"] = "yes"
    elif how == "done":
        fields["to-done"] = str(vague(random, today - timedelta(days=random.randrange(700))))
    elif how == "field":
        fields |= _mended(random, target)
    else:
        fields["to-note"] = "not-said" if how == "not-said" and target.kind != "noted" else "read again"
    return _draft(random, "corrected", target.unit, PartialDate.of(today), fields, at)


def _mended(random: Random, target: Record) -> dict[str, str]:
    """A field of the record said anew, or another day where it has none that has choices."""
    choices: dict[str, tuple[str | None, ...]] = next((each[2] for each in _WORK if each[1] == target.kind), {})
    if target.kind == "registered":
        name, value = random.choice(list(nameplate_fields(random).items()) or [("id", "99")])
        return {f"to-{name}": value}
    known = [(name, value) for name, values in choices.items() for value in values if value is not None]
    assert target.kind in KINDS
    if not known:
        return {"to-note": "read once more"}
    name, value = random.choice(known)
    return {f"to-{name}": value}
