"""From a history to a state: what a unit's records, in the order of their days, make of it.

The order is by the day of the deed, then by uid, so that the state never depends on which record arrived first. Odd
records are kept and marked, never refused.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from pinseal import kinds
from pinseal.dates import PartialDate, parse_date
from pinseal.records.corrections import Fact, Mark, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.records.record_kinds import FACT_OF_FIELD, KINDS, NAMEPLATE_FIELDS, ORIGINS, SHELL_FACTS, subject_of
from pinseal.records.registering import read_state, registered_dates
from pinseal.records.unit import UnitState

IDENTITIES = ("extinguisher", "shell", "place", "tag")
_PLATE = tuple(each.name for each in NAMEPLATE_FIELDS)
_STATED = ("id", "serial", "site", "place", "sheet", "row", "placeholder", *_PLATE)
_AFTER_CONDEMNED = frozenset(code for code, kind in KINDS.items() if kind.work) | {"returned", "placed-in-service", "sold-and-tagged"}
_ENDS = "removed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What an identity was from one day on: a number, a place, a tag; and the record that says so."""

    value: str
    since: PartialDate
    record: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One extinguisher as its records make it.

    `state` is what the rules take. `identities` holds, for each of `IDENTITIES`, what it was and since when.
    `recalled` names the lists on which it was found; `condemned` says why its shell may not be charged again.
    `away` is the last record that it was taken away, while it was not brought back: the fields of that record, with
    `record` (its uid) and `since` (its day). `facts` are the records that count, corrections applied, in order; `marks` says what is odd.
    """

    state: UnitState
    identities: Mapping[str, tuple[Held, ...]]
    recalled: tuple[str, ...] = ()
    condemned: str | None = None
    tag: str | None = None
    matched_to: str | None = None
    away: Mapping[str, str] | None = None
    facts: tuple[Fact, ...] = ()
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Dated:
    """One dated fact that a record gives; the last one starts the clock."""

    fact: str
    done: PartialDate
    record: str
    method: str | None = None


@dataclass(slots=True)
class Building:
    """The state while it is being built."""

    said: dict[str, str] = field(default_factory=dict)
    dated: list[_Dated] = field(default_factory=list)
    held: dict[str, list[Held]] = field(default_factory=lambda: {name: [] for name in IDENTITIES})
    recalled: list[str] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    registered: bool = False
    condemned: str | None = None
    tag: str | None = None
    matched_to: str | None = None
    away: dict[str, str] | None = None
    findings: set[str] = field(default_factory=set)
    quotes: set[str] = field(default_factory=set)

    def mark(self, fact: Fact, text: str) -> None:
        self.marks.append(Mark(record=fact.uid, text=text))


def fold(records: Iterable[Record], on: date | None = None) -> Unit:
    """What the records of one unit make of it; with `on`, as it stood at the end of that day.

    A deed counts when its earliest day is on or before `on`. What a registered record or a correction says was true
    before it was written, so these count for days before theirs too, each of their dates by itself.
    """
    kept, doubled = distinct(records)
    assert kept, "a unit has at least one record"
    assert len({record.unit for record in kept}) == 1, "a fold is of one unit"
    facts, marks = apply_corrections(kept)
    counted = [fact for fact in facts if on is None or _counts(fact, on)]
    building = Building(marks=[*marks, *(Mark(record=uid, text="two different records came with this uid") for uid in doubled)])
    for fact in counted:
        take(building, fact, on)
    return built(building, kept[0].unit, counted)


def fold_all(records: Iterable[Record], on: date | None = None) -> dict[str, Unit]:
    """Every unit by its uid, in the order of the uids; with `on`, those that are known to have been there that day.

    Records about instruments and people are no units and are left out.
    """
    by_unit: dict[str, list[Record]] = {}
    for record in records:
        by_unit.setdefault(record.unit, []).append(record)
    folded = {uid: fold(by_unit[uid], on) for uid in sorted(by_unit) if is_unit(by_unit[uid])}
    return {uid: unit for uid, unit in folded.items() if on is None or unit.facts}


def is_unit(records: Iterable[Record]) -> bool:
    """Whether the records of one subject are those of an extinguisher."""
    return subject_of(record.kind for record in records) == "unit"


def _counts(fact: Fact, on: date) -> bool:
    if fact.done.earliest <= on:
        return True
    if fact.kind not in KINDS or not KINDS[fact.kind].knowledge:
        return False
    return not any(parse_date(fact.fields[name]).earliest > on for name in ORIGINS if name in fact.fields)


def take(building: Building, fact: Fact, on: date | None) -> None:
    """Add one fact to the state."""
    kind = KINDS.get(fact.kind)
    if kind is None:
        building.mark(fact, f"this program does not know records of the kind {fact.kind}; it sets nothing")
        return
    _mark_odd(building, fact)
    _HANDLERS.get(fact.kind, _take_deed)(building, fact)
    if on is not None and kind.knowledge:
        building.dated = [dated for dated in building.dated if dated.done.earliest <= on]


def _mark_odd(building: Building, fact: Fact) -> None:
    if fact.received is not None and fact.done.earliest > _day_after(fact.received.date()):
        building.mark(fact, "it is dated after the day on which it was received")
    if clock := fact.fields.get("clock"):
        building.mark(fact, f"the clock of its device was {clock} when it was handed in; check its day")
    if building.condemned and fact.kind in _AFTER_CONDEMNED:
        building.mark(fact, f"{KINDS[fact.kind].label} after the unit was condemned; it stays condemned")
    elif building.said.get(_ENDS) and KINDS[fact.kind].work:
        building.mark(fact, f"{KINDS[fact.kind].label} after the unit was removed; it stays removed")


def _day_after(day: date) -> date:
    """A day of grace: the shop's day can be ahead of UTC's."""
    return date.fromordinal(day.toordinal() + 1)


def _take_deed(building: Building, fact: Fact) -> None:
    """A deed that sets the dated facts of its kind, unless it failed; and the place and tag that it names."""
    if fact.fields.get("result") != "fail":
        building.dated += [
            _Dated(fact=name, done=fact.done, record=fact.uid, method=fact.fields.get("method")) for name in KINDS[fact.kind].sets
        ]
    if fact.kind != "recharged" and fact.kind != "condemned":
        _take_identities(building, fact)


def _take_registered(building: Building, fact: Fact) -> None:
    """What is now known of the unit. Said again, or more of it, is no oddity; said differently is."""
    differing = [n for n in _PLATE if n in fact.fields and building.said.get(n, fact.fields[n]) != fact.fields[n]]
    if building.registered and differing:
        building.mark(fact, f"{', '.join(differing)} was registered differently before; what this record says holds from here on")
    building.registered = True
    building.said.update({name: fact.fields[name] for name in _STATED if name in fact.fields})
    if fact.fields.get(_ENDS):
        building.said[_ENDS] = fact.fields[_ENDS]
    dates = registered_dates(fact.fields)
    building.dated += [
        _Dated(fact=name, done=done, record=fact.uid, method=fact.fields.get("test-method") if name == "hydrostatic-test" else None)
        for name, done in dates.items()
    ]
    _take_identities(building, fact)


def _take_identities(building: Building, fact: Fact) -> None:
    """The numbers and the place that a fact names become the present ones, and the history of each grows."""
    said = fact.fields
    building.said.update({name: said[name] for name in ("id", "serial") if name in said})
    if "site" in said:  # another site: a place on the old one says nothing there
        building.said.pop("place", None)
    building.said.update({name: said[name] for name in ("site", "place") if name in said})
    building.tag = said.get("tag", building.tag)
    place = " / ".join(building.said[name] for name in ("site", "place") if name in building.said)
    now = {
        "extinguisher": said.get("id"),
        "shell": said.get("serial"),
        "place": place if said.keys() & {"site", "place"} else None,
        "tag": said.get("tag"),
    }
    for identity, value in now.items():
        history = building.held[identity]
        if value and (not history or history[-1].value != value):
            history.append(Held(value=value, since=fact.done, record=fact.uid))


def _take_recharged(building: Building, fact: Fact) -> None:
    opened = fact.fields.get("opened")
    facts = ["recharge"] + ["recharge-opened"] * (opened == "yes") + ["recharge-maybe-opened"] * (opened != "no")
    building.dated += [_Dated(fact=name, done=fact.done, record=fact.uid) for name in facts]
    _mark_other_agent(building, fact)


def _take_agent_renewed(building: Building, fact: Fact) -> None:
    _take_deed(building, fact)
    _mark_other_agent(building, fact)


def _mark_other_agent(building: Building, fact: Fact) -> None:
    filled, plate = fact.fields.get("agent"), building.said.get("agent")
    if filled and plate and filled != plate and kinds.AGENTS[filled].specific and kinds.AGENTS[plate].specific:
        building.mark(fact, f"filled with {kinds.agent_label(filled)}, but the nameplate says {kinds.agent_label(plate)}")


def _take_shell(building: Building, fact: Fact) -> None:
    """Another shell: what was known of the old one's age and tests is no longer true of the unit."""
    building.dated = [dated for dated in building.dated if dated.fact not in SHELL_FACTS]
    building.dated += [
        _Dated(fact=FACT_OF_FIELD[name], done=parse_date(text), record=fact.uid, method=fact.fields.get("test-method"))
        for name, text in fact.fields.items()
        if name in FACT_OF_FIELD
    ]
    for name in ("shell", "serial"):
        building.said.pop(name, None)
    if "shell" in fact.fields:
        building.said["shell"] = fact.fields["shell"]
    if building.condemned:
        building.said.pop(_ENDS, None)
    building.condemned = None
    _take_identities(building, fact)


def _take_condemned(building: Building, fact: Fact) -> None:
    building.condemned = fact.fields.get("reason", "no reason said")
    building.said[_ENDS] = f"condemned: {building.condemned}"


def _take_removed(building: Building, fact: Fact) -> None:
    if building.condemned is None:
        building.said[_ENDS] = fact.fields.get("reason", "removed, no reason said")


def _take_returned(building: Building, fact: Fact) -> None:
    if building.condemned is None and building.said.pop(_ENDS, None) is None:
        building.mark(fact, "returned, but it was never removed")
    _take_identities(building, fact)


def _take_recalled(building: Building, fact: Fact) -> None:
    named = fact.fields.get("list", "")
    if named not in building.recalled:
        building.recalled.append(named)


def _take_matched(building: Building, fact: Fact) -> None:
    if building.said.get("placeholder") != "yes":
        building.mark(fact, "matched to another unit, but it is no placeholder")
    building.matched_to = fact.fields.get("to")
    building.said[_ENDS] = f"matched to the seen unit {building.matched_to}"


def _take_away(building: Building, fact: Fact) -> None:
    if building.away is not None:
        building.mark(fact, "taken away, but it was away already")
    building.away = {**fact.fields, "record": fact.uid, "since": str(fact.done)}


def _take_back(building: Building, fact: Fact) -> None:
    if building.away is None:
        building.mark(fact, "brought back, but it was never taken away")
    building.away = None
    _take_identities(building, fact)


def _take_finding(building: Building, fact: Fact) -> None:
    building.findings.add(fact.uid)


def _take_quote(building: Building, fact: Fact) -> None:
    building.quotes.add(fact.uid)
    _mark_no_finding(building, fact)


def _take_answer(building: Building, fact: Fact) -> None:
    if fact.fields.get("quoted") not in building.quotes:
        building.mark(fact, "it answers a price that this unit was not quoted before; it changes nothing")


def _take_remedy(building: Building, fact: Fact) -> None:
    if fact.fields.get("deficiency"):
        _mark_no_finding(building, fact)


def _mark_no_finding(building: Building, fact: Fact) -> None:
    if fact.fields.get("deficiency") not in building.findings:
        building.mark(fact, "it is about a finding that was not made on this unit before; it changes nothing")


_HANDLERS = {
    "found-deficient": _take_finding,
    "deficiency-quoted": _take_quote,
    "quote-answered": _take_answer,
    "remedied": _take_remedy,
    "registered": _take_registered,
    "recharged": _take_recharged,
    "agent-renewed": _take_agent_renewed,
    "shell-exchanged": _take_shell,
    "condemned": _take_condemned,
    "removed": _take_removed,
    "returned": _take_returned,
    "recalled": _take_recalled,
    "matched": _take_matched,
    "taken-away": _take_away,
    "brought-back": _take_back,
}


def built(building: Building, uid: str, counted: list[Fact]) -> Unit:
    last = _last_of_each(building.dated)
    _mark_before_manufacture(building, last.get("manufactured"))
    if counted and not building.registered:
        building.mark(counted[0], "the unit was never registered: its nameplate is not known")
    said = dict(building.said)
    method = _test_method(building.dated, last.get("hydrostatic-test"))
    if method:
        said["test-method"] = method
    state = read_state(
        said,
        uid=uid,
        dates={name: dated.done for name, dated in last.items()},
        set_by={name: dated.record for name, dated in last.items()},
    )
    return Unit(
        state=state,
        identities={name: tuple(history) for name, history in building.held.items()},
        recalled=tuple(building.recalled),
        condemned=building.condemned,
        tag=building.tag,
        matched_to=building.matched_to,
        away=building.away,
        facts=tuple(counted),
        marks=tuple(sorted(building.marks, key=lambda mark: (mark.record, mark.text))),
    )


def _last_of_each(dated: list[_Dated]) -> dict[str, _Dated]:
    """The last of each fact: by its earliest day, then its latest, then the order of the records.

    So a bare "2024" beside "2024-06-10" does not pull the next due forward: the deed of June is known to have happened.
    The year of manufacture is a statement, not an event: there the record that comes last in the fold holds.
    """
    last: dict[str, _Dated] = {}
    for each in dated:
        known = last.get(each.fact)
        later = known is None or (each.done.earliest, each.done.latest) >= (known.done.earliest, known.done.latest)
        if each.fact == "manufactured" or later:
            last[each.fact] = each
    return {name: last[name] for name in kinds.FACTS if name in last}


def _test_method(dated: list[_Dated], last: _Dated | None) -> str | None:
    """How the last pressure test was done, as far as any record of that very test says."""
    if last is None:
        return None
    return next(
        (each.method for each in reversed(dated) if each.fact == "hydrostatic-test" and each.done == last.done and each.method), None
    )


def _mark_before_manufacture(building: Building, made: _Dated | None) -> None:
    if made is None:
        return
    odd = {each.record: each for each in building.dated if each.done.latest < made.done.earliest}
    building.marks += [
        Mark(record=uid, text=f"{kinds.FACTS[each.fact]} is dated {each.done}, before the manufacture of the unit ({made.done})")
        for uid, each in odd.items()
    ]
