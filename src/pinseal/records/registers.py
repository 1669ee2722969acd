"""The shop's registers: its instruments with their checks, its people with their papers, as their records make them.

As with extinguishers, the order is by the day of the deed, then by uid, and corrections are applied first, so that the
order of arrival never matters.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pinseal.dates import PartialDate, parse_day
from pinseal.records.corrections import Fact, Mark, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.records.record_kinds import subject_of


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentCheck:
    """One comparison with a better instrument. `until` is the last day that the paper vouches for, where the paper says one."""

    record: str
    done: PartialDate
    good: bool
    until: date | None = None
    against: str | None = None
    certificate: str | None = None
    value: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawn:
    """Since when, and why, an instrument is not used or a paper does not count any more."""

    since: PartialDate
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """One instrument. `id` is what it is called in the shop, `what` a key of `kinds.INSTRUMENTS`.

    Range, resolution and uncertainty are texts with their unit. An instrument whose registering has not come in has an
    empty `id` and no `what`. `checks` are in order.
    """

    uid: str
    id: str = ""
    what: str | None = None
    serial: str | None = None
    range_text: str | None = None
    resolution: str | None = None
    uncertainty: str | None = None
    accuracy_percent: str | None = None
    note: str | None = None
    checks: tuple[InstrumentCheck, ...] = ()
    withdrawn: Withdrawn | None = None
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """One paper of a person: what it is, its class and number, where it counts, from when and until when."""

    record: str
    paper: str
    class_: str | None = None
    number: str | None = None
    issued_by: str | None = None
    jurisdiction: str | None = None
    from_day: date | None = None
    until: date | None = None
    ended: Withdrawn | None = None

    @property
    def kind(self) -> str:
        """What it is, spelt one way: a licence is a license, and capitals do not count."""
        return self.paper.strip().casefold().replace("license", "licence")


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """One person. `role` is a key of `kinds.ROLES`. One whose registering has not come in has an empty `name`."""

    uid: str
    id: str | None = None
    name: str = ""
    role: str | None = None
    papers: tuple[Paper, ...] = ()
    marks: tuple[Mark, ...] = ()


def fold_instrument(records: Iterable[Record]) -> Instrument:
    """What the records of one instrument make of it."""
    facts, marks, uid = counting_facts(records)
    found = Instrument(uid=uid, marks=marks)
    for fact in facts:
        if fact.kind == "instrument-registered":
            found = _registered(found, fact.fields)
        elif fact.kind == "instrument-checked":
            found = replace(found, checks=(*found.checks, _check(fact)))
        elif fact.kind == "instrument-withdrawn":
            found = replace(found, withdrawn=_withdrawn(fact))
    return found


def fold_person(records: Iterable[Record]) -> Person:
    """What the records of one person make of them."""
    facts, marks, uid = counting_facts(records)
    found = Person(uid=uid, marks=marks)
    for fact in facts:
        said = fact.fields
        if fact.kind == "person-registered":
            found = replace(found, name=said["name"], role=said.get("role", found.role), id=said.get("id", found.id))
        elif fact.kind == "paper-held":
            found = replace(found, papers=(*found.papers, _paper(fact)))
        elif fact.kind == "paper-ended":
            found = replace(found, papers=tuple(_ended(paper, fact) for paper in found.papers))
    return found


def fold_instruments(records: Iterable[Record]) -> list[Instrument]:
    """Every instrument among records of any subject, in the order of the uids."""
    return [fold_instrument(some) for some in about_subject(records, "instrument")]


def fold_people(records: Iterable[Record]) -> list[Person]:
    """Every person among records of any subject, in the order of the uids."""
    return [fold_person(some) for some in about_subject(records, "person")]


def other_subjects(records: Iterable[Record]) -> dict[str, str]:
    """The subjects that are no extinguishers: what each uid stands for, `instrument`, `person`, `bottle` or `batch`."""
    found = {uid: subject_of(record.kind for record in some) for uid, some in _by_subject(records).items()}
    return {uid: about for uid, about in found.items() if about != "unit"}


def _by_subject(records: Iterable[Record]) -> dict[str, list[Record]]:
    found: dict[str, list[Record]] = {}
    for record in records:
        found.setdefault(record.unit, []).append(record)
    return found


def about_subject(records: Iterable[Record], about: str) -> list[list[Record]]:
    """The records of each subject of a kind (a key of `SUBJECTS`), in the order of the uids."""
    by_subject = _by_subject(records)
    return [by_subject[uid] for uid in sorted(by_subject) if subject_of(record.kind for record in by_subject[uid]) == about]


def counting_facts(records: Iterable[Record]) -> tuple[Sequence[Fact], tuple[Mark, ...], str]:
    """The facts of one subject that count, corrections applied, with its marks and its uid."""
    kept, doubled = distinct(records)
    assert kept, "a subject has at least one record"
    assert len({record.unit for record in kept}) == 1, "a fold is of one subject"
    facts, marks = apply_corrections(kept)
    marks += [Mark(record=uid, text="two different records came with this uid") for uid in doubled]
    return facts, tuple(sorted(marks, key=lambda mark: (mark.record, mark.text))), kept[0].unit


def _registered(found: Instrument, said: Mapping[str, str]) -> Instrument:
    """What is said again holds from there on; what is not said again stays. It is in use again if it was withdrawn before."""
    return replace(
        found,
        id=said["id"],
        what=said["what"],
        serial=said.get("serial", found.serial),
        range_text=said.get("range", found.range_text),
        resolution=said.get("resolution", found.resolution),
        uncertainty=said.get("uncertainty", found.uncertainty),
        accuracy_percent=said.get("accuracy-percent", found.accuracy_percent),
        note=said.get("note", found.note),
        withdrawn=None,
    )


def _check(fact: Fact) -> InstrumentCheck:
    said = fact.fields
    return InstrumentCheck(
        record=fact.uid,
        done=fact.done,
        good=said["check"] == "good",
        until=_day(said, "until"),
        against=said.get("against"),
        certificate=said.get("certificate"),
        value=said.get("value"),
    )


def _paper(fact: Fact) -> Paper:
    said = fact.fields
    return Paper(
        record=fact.uid,
        paper=said["paper"],
        class_=said.get("class"),
        number=said.get("number"),
        issued_by=said.get("issued-by"),
        jurisdiction=said.get("jurisdiction"),
        from_day=_day(said, "from"),
        until=_day(said, "until"),
    )


def _ended(paper: Paper, fact: Fact) -> Paper:
    """A paper of that number, and of that name where one is said, has ended; one that was held later has not."""
    said = fact.fields
    named = replace(paper, paper=said.get("paper", paper.paper)).kind
    same = _same_number(paper.number, said["number"]) and paper.kind == named
    return replace(paper, ended=_withdrawn(fact)) if same and paper.ended is None else paper


def _same_number(one: str | None, other: str) -> bool:
    return one is not None and one.strip().casefold() == other.strip().casefold()


def _withdrawn(fact: Fact) -> Withdrawn:
    return Withdrawn(since=fact.done, reason=fact.fields.get("reason", "no reason said"))


def _day(said: Mapping[str, str], name: str) -> date | None:
    return parse_day(said[name]) if name in said else None
