"""Where two people said different things of one unit around the same time. All of it stays on record; a person settles it.

Everything follows from records, with corrections applied. What is near in time, and when two readings differ, is our own choice
(no source): a day apart at most, and more than a twentieth of the larger reading.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction

from pinseal.measures import parse_measure, parse_pressure, parse_temperature
from pinseal.reasons import Refusal
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.records.record_kinds import KINDS
from pinseal.records.unit import letters_and_figures

APART_MAX = timedelta(days=1)
READINGS_APART_MAX = Fraction(1, 20)
WARMTH_APART_MAX_K = 3.0  # pressures that were read at temperatures farther apart are compared by their verdicts alone
MISSING, PLACE, OUTCOME, READING, RESULT, CONDEMNED, GONE = "missing", "place", "outcome", "reading", "result", "condemned", "gone"
_PLACING = ("moved", "brought-back", "returned", "placed-in-service")
_HANDS_ON = frozenset(code for code, kind in KINDS.items() if kind.work) | {"measured", "found-deficient", "marked", "taken-away"}
_ENDS = ("condemned", "removed", "returned", "shell-exchanged")
_BROKEN_OFF = ("abandoned", "blocked")
_CLOCK_MAX = timedelta(minutes=10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One of the two records: the fact as it counts, and who said it."""

    fact: Fact
    person: str

    @property
    def made_ms(self) -> int:
        """When it was written, by the clock of who wrote it: a uid of version 7 begins with the milliseconds since 1970."""
        return int(self.fact.uid.replace("-", "")[:12], 16)


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement:
    """Two records of a unit that cannot both be right. `matter` says about what; `about` names the work or the quantity."""

    unit: str
    matter: str
    one: Side
    other: Side
    about: str = ""

    @property
    def order(self) -> tuple[object, ...]:
        return self.other.fact.order


def disagreements(records: Iterable[Record]) -> tuple[Disagreement, ...]:
    """What stands unsettled among the records of one unit, the latest first.

    It is settled by a correction of one of the two, or by a later record on the same matter: of a later day, or written when
    both had come in.
    """
    kept, _ = distinct(records)
    people = {record.uid: record.person for record in kept}
    sides = [Side(fact=fact, person=people[fact.uid]) for fact in apply_corrections(kept)[0]]
    found = [each for rule in _RULES for each in rule(sides)]
    unit = kept[0].unit if kept else ""
    return in_order(Disagreement(unit=unit, matter=matter, one=one, other=other, about=about) for matter, about, one, other in found)


def all_disagreements(lives: Iterable[Iterable[Record]]) -> tuple[Disagreement, ...]:
    """What stands unsettled in many lives, the latest first."""
    return in_order(each for life in lives for each in disagreements(life))


def in_order(found: Iterable[Disagreement]) -> tuple[Disagreement, ...]:
    """The latest first."""
    return tuple(sorted(found, key=lambda each: each.order, reverse=True))


_Found = tuple[str, str, Side, Side]
_Clash = Callable[[Side, Side], bool]


def _missing(sides: Sequence[Side]) -> Iterator[_Found]:
    """One looked for it and did not find it; another had it in hand."""

    def is_lost(side: Side) -> bool:
        return side.fact.kind == "not-done" and side.fact.fields.get("missing") == "yes"

    some = [each for each in sides if is_lost(each) or each.fact.kind in _HANDS_ON]
    for one, other in _pairs(some, lambda one, other: is_lost(one) is not is_lost(other)):
        yield MISSING, "", one, other


def _places(sides: Sequence[Side]) -> Iterator[_Found]:
    some = [each for each in sides if each.fact.kind in _PLACING and each.fact.fields.keys() & {"site", "place"}]
    for one, other in _pairs(some, lambda one, other: any(_differ(one, other, name) for name in ("site", "place"))):
        yield PLACE, "", one, other


def _differ(one: Side, other: Side, name: str) -> bool:
    """Whether both say it, and not the same. Hyphens, spaces and capitals are no difference."""
    said = [each.fact.fields.get(name) for each in (one, other)]
    return None not in said and letters_and_figures(said[0]) != letters_and_figures(said[1])


def _outcomes(sides: Sequence[Side]) -> Iterator[_Found]:
    """Two job sheets for the same work with different ends. One that was broken off says nothing of the unit."""
    some = [each for each in sides if each.fact.kind == "worked" and each.fact.fields.get("outcome") not in _BROKEN_OFF]
    for duty in dict.fromkeys(duty for each in some for duty in _duties(each)):
        of_duty = [each for each in some if duty in _duties(each)]
        for one, other in _pairs(of_duty, lambda one, other: _differ(one, other, "outcome")):
            yield OUTCOME, duty, one, other


def _duties(side: Side) -> list[str]:
    return [text for text in side.fact.fields.get("duties", "").split(", ") if text]


def _readings(sides: Sequence[Side]) -> Iterator[_Found]:
    some = [each for each in sides if each.fact.kind == "measured"]
    for quantity in dict.fromkeys(each.fact.fields.get("quantity", "") for each in some):
        for one, other in _pairs([each for each in some if each.fact.fields.get("quantity") == quantity], _read_apart):
            yield READING, quantity, one, other


def _read_apart(one: Side, other: Side) -> bool:
    """Whether one passed and the other failed, or the numbers lie apart. What cannot be compared does not differ."""
    verdicts = {each.fact.fields.get("verdict") for each in (one, other)}
    if verdicts == {"pass", "fail"}:
        return True
    first, second = (_number(each.fact.fields.get("value", "")) for each in (one, other))
    if first is None or second is None or first[0] != second[0] or not _as_warm(one, other):
        return False
    return abs(first[1] - second[1]) > READINGS_APART_MAX * max(abs(first[1]), abs(second[1]))


def _number(text: str) -> tuple[str, Fraction] | None:
    """A mass or a pressure as its kind and its value in SI; None for anything else."""
    try:
        return "mass", parse_measure("mass", text).exact
    except Refusal:
        pass
    try:
        read = parse_pressure(text)
        return f"pressure, {read.kind}", read.exact
    except Refusal:
        return None


def _as_warm(one: Side, other: Side) -> bool:
    said = [each.fact.fields.get("at-temperature") for each in (one, other)]
    if said == [None, None]:
        return True
    if None in said:
        return False
    try:
        first, second = (parse_temperature(text or "").si for text in said)
    except Refusal:
        return False
    return abs(first - second) <= WARMTH_APART_MAX_K


def _results(sides: Sequence[Side]) -> Iterator[_Found]:
    """One says that a test was passed, another that it failed. Not said means passed."""
    tests = [code for code, kind in KINDS.items() if kind.field("result")]
    for code in tests:
        some = [each for each in sides if each.fact.kind == code]
        for one, other in _pairs(some, lambda one, other: _failed(one) is not _failed(other)):
            yield RESULT, code, one, other


def _failed(side: Side) -> bool:
    return side.fact.fields.get("result") == "fail"


def _gone(sides: Sequence[Side]) -> Iterator[_Found]:
    """One took it out of the fleet, and another worked on it after that: whether they knew of it or not."""
    for place, end in enumerate(sides):
        if end.fact.kind not in ("condemned", "removed"):
            continue
        matter = CONDEMNED if end.fact.kind == "condemned" else GONE
        last: dict[str, Side] = {}
        for each in sides[place + 1 :]:
            if each.fact.kind in _ENDS and not (matter == CONDEMNED and each.fact.kind == "returned"):
                last = {}  # somebody said once more how it stands
                break
            if each.fact.kind in _HANDS_ON | {"returned", "placed-in-service"} and each.person != end.person:
                last[each.person] = each
        for other in last.values():
            yield matter, "", end, other


_RULES = (_gone, _missing, _places, _outcomes, _results, _readings)


# Which two are compared


def _pairs(sides: Sequence[Side], clash: _Clash) -> Iterator[tuple[Side, Side]]:
    """The last clash of each two people, where no later record settles it."""
    last: dict[frozenset[str], tuple[Side, Side]] = {}
    dated = [each for each in sides if each.fact.done.earliest == each.fact.done.latest]
    for one, other in _near(dated):
        if one.person != other.person and not _aware(one, other) and clash(one, other):
            last[frozenset((one.person, other.person))] = one, other
    for one, other in last.values():
        if not any(_settles(each, one, other) for each in sides):
            yield one, other


def _near(dated: Sequence[Side]) -> Iterator[tuple[Side, Side]]:
    """Every two around the same time. The sides come in the order of their days."""
    for place, one in enumerate(dated):
        last = one.fact.done.earliest + APART_MAX
        for other in dated[place + 1 :]:
            if other.fact.done.earliest > last:
                break
            yield one, other


def _aware(one: Side, other: Side) -> bool:
    """Whether one of the two was written when the other had come in: then it is the later word, and no disagreement."""
    return _after(one, other) or _after(other, one)


def _after(later: Side, earlier: Side) -> bool:
    mine, theirs = later.fact.received, earlier.fact.received
    if mine is None or theirs is None:
        return False
    return _ms(theirs) < later.made_ms <= _ms(mine + _CLOCK_MAX)  # by a clock that runs ahead nothing is proved


def _ms(moment: datetime) -> int:
    return (moment - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)


def _settles(later: Side, one: Side, other: Side) -> bool:
    if later in (one, other):
        return False
    days = max(one.fact.done.latest, other.fact.done.latest)
    return later.fact.done.earliest > days or (_after(later, one) and _after(later, other))
