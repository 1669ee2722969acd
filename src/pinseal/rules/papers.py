"""Whether an instrument may be read on, and whether a person's papers are in date: one standing each, with its reason.

On the last day of an interval, or of a paper, it still counts. Whatever is not said is told as such, never guessed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from pinseal.kinds import CHECKED, INSTRUMENTS
from pinseal.records.registers import Instrument, InstrumentCheck, Paper, Person
from pinseal.rules.bench_instruments import add_months
from pinseal.standards.instruments import EFFECTS, CheckInterval, Effect, instrument_rules
from pinseal.standards.pressure_tests import Source

_LICENCE = "licence"
_STRICTEST_LAST = tuple(EFFECTS)


SOON_DAYS = 30  # as the due list looks ahead where nothing else is asked (our own choice)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How an instrument or a person stands on a day.

    `code`: good; of an instrument lapsed, bad, never-checked, unknown-instrument, withdrawn; of a person lapsed, no-paper,
    unknown-person. `effect`: none, flags or blocks. `good_until` is the last good day, where there is one.
    `source` is the rule that set the last good day or the effect, None where none was needed.
    """

    code: str
    effect: str
    because: str
    good_until: date | None = None
    source: Source | None = None

    def as_json(self) -> dict[str, object]:
        return {
            "code": self.code,
            "effect": self.effect,
            "because": self.because,
            "good_until": self.good_until.isoformat() if self.good_until else None,
            "source": self.source.as_json() if self.source else None,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class GoodUntil:
    """The last day that a check vouches for, the sentence that says so, and the rule; no rule where the paper alone says it."""

    last: date
    words: str
    source: Source | None


def where(source: Source) -> str:
    """A source for people; common practice has no document to name."""
    return CHECKED["practice"] if source.checked == "practice" else source.for_people()


def pack_ids(packs: Iterable[str]) -> frozenset[str]:
    """The names of packs without their editions: `us-nfpa10@2013` is us-nfpa10."""
    return frozenset(name.partition("@")[0].strip() for name in packs)


def intervals_for(what: str, *, on: date, packs: Iterable[str]) -> tuple[CheckInterval, ...]:
    """The intervals that a kind of instrument is checked by: those of the packs' documents, else common practice."""
    chosen = pack_ids(packs)
    fits = [
        rule
        for rule in instrument_rules().intervals
        if what in rule.what and rule.source.holds_on(on) and (not rule.packs or chosen & set(rule.packs))
    ]
    documents = [rule for rule in fits if rule.source.checked != "practice"]
    return tuple(documents or fits)


def good_until(check: InstrumentCheck, *, what: str, packs: Iterable[str]) -> GoodUntil:
    """The last day that a good check vouches for: the earliest end of the intervals that apply.

    A last day on the paper stands in for common practice; beside the interval of a document the earlier day counts. An
    interval runs from the earliest day that the check can be of.
    """
    day = check.done.earliest
    rules = intervals_for(what, on=day, packs=packs)
    only_practice = all(rule.source.checked == "practice" for rule in rules)
    ends = [] if only_practice and check.until else [_end(rule, day) for rule in rules]
    if check.until:
        ends.append(GoodUntil(last=check.until, words=f"its paper vouches for it until {check.until.isoformat()}", source=None))
    assert ends, "common practice gives every instrument an interval"
    return min(ends, key=lambda end: end.last)


def _end(rule: CheckInterval, day: date) -> GoodUntil:
    last = add_months(day, rule.months)
    how_long = "for that day" if rule.months == 0 else f"{rule.months} months, to {last.isoformat()}"
    return GoodUntil(last=last, words=f"a good check counts {how_long} ({where(rule.source)})", source=rule.source)


def instrument_standing(instrument: Instrument | None, *, on: date, packs: Iterable[str]) -> Standing:
    """How an instrument stands on a day; `packs` are the shop's rule packs. What was recorded of later days does not count."""
    if instrument is None or instrument.what is None:
        return _standing(
            "unknown-instrument", "the instrument is not in the register, so nothing shows that it was checked", packs=packs, on=on
        )
    what, name = instrument.what, f"{INSTRUMENTS[instrument.what]} {instrument.id}"
    gone = instrument.withdrawn
    if gone and gone.since.earliest <= on:
        words = f"{name} was withdrawn on {gone.since.for_people()}: {gone.reason}"
        return _standing("withdrawn", words, packs=packs, on=on, what=what)
    last = _last_check(instrument.checks, on)
    if last is None:
        return _standing("never-checked", f"no check of {name} is on record", packs=packs, on=on, what=what)
    if not last.good:
        words = f"the check of {name} of {last.done.for_people()} found it bad, and no good one came after"
        return _standing("bad", words, packs=packs, on=on, what=what)
    until = good_until(last, what=what, packs=packs)
    words = f"the last good check of {name} is of {last.done.for_people()}; {until.words}"
    if on <= until.last:
        return Standing(code="good", effect="none", because=words, good_until=until.last, source=until.source)
    return _standing("lapsed", words, packs=packs, on=on, what=what, until=until.last)


def _last_check(checks: Sequence[InstrumentCheck], on: date) -> InstrumentCheck | None:
    """The last check that counts by a day: a bad one from the earliest day that it can be of, a good one from its latest."""
    counting = [check for check in checks if (check.done.latest if check.good else check.done.earliest) <= on]
    return counting[-1] if counting else None


def last_good(instrument: Instrument, *, on: date) -> InstrumentCheck | None:
    """The last good check up to a day, whatever came after it."""
    return next((check for check in reversed(instrument.checks) if check.good and check.done.latest <= on), None)


def _standing(
    code: str,
    because: str,
    *,
    packs: Iterable[str],
    on: date,
    about: str = "instrument",
    what: str | None = None,
    until: date | None = None,
) -> Standing:
    """A standing that is not good, with the strictest effect that the rules give it."""
    rule = _strictest(code, about=about, what=what, packs=packs, on=on)
    if rule is None:
        return Standing(code=code, effect="none", because=because, good_until=until)
    words = f"{because}; {EFFECTS[rule.effect]} ({where(rule.source)})"
    return Standing(code=code, effect=rule.effect, because=words, good_until=until, source=rule.source)


def _strictest(code: str, *, about: str, what: str | None, packs: Iterable[str], on: date) -> Effect | None:
    chosen = pack_ids(packs)
    fits = [
        rule
        for rule in instrument_rules().effects
        if rule.about == about
        and code in rule.when
        and (not rule.what or what in rule.what)
        and (not rule.packs or chosen & set(rule.packs))
        and rule.source.holds_on(on)
    ]
    return max(fits, key=lambda rule: _STRICTEST_LAST.index(rule.effect), default=None)


def person_standing(person: Person | None, *, on: date, packs: Iterable[str], mark: bool) -> Standing:
    """How a person's papers stand on a day. With `mark`, the licence is what counts: a mark is a statement by a licensed person.

    Where the packs ask for the licence of one jurisdiction, a licence of another one does not count, and one that does not
    say where it counts is flagged.
    """
    about = "mark" if mark else "work"
    if person is None or not person.name:
        return _standing("unknown-person", "this person is not in the register", packs=packs, on=on, about=about)
    papers = [paper for paper in person.papers if not mark or paper.kind == _LICENCE]
    if not papers:
        words = f"no {'licence' if mark else 'paper'} of {person.name} is on record"
        return _standing("no-paper", words, packs=packs, on=on, about=about)
    asked = _strictest("lapsed", about=about, what=None, packs=packs, on=on) if mark else None
    here = [paper for paper in papers if _counts_here(paper, asked) is not False]
    lapsed = sorted({paper.kind for paper in papers} - {paper.kind for paper in here if in_date(paper, on)})
    if lapsed:
        return _lapsed(person, [paper for paper in papers if paper.kind == lapsed[0]], here, on=on, packs=packs, about=about)
    return _in_order(person, [paper for paper in here if in_date(paper, on)], asked)


def _counts_here(paper: Paper, asked: Effect | None) -> bool | None:
    """Whether a paper counts where the work is done; None where it does not say where it counts and that matters."""
    if asked is None or not asked.jurisdictions:
        return True
    return None if paper.jurisdiction is None else paper.jurisdiction.strip().casefold() in asked.jurisdictions


def in_date(paper: Paper, on: date) -> bool:
    """Whether a paper counts on a day: begun, not ended, its last day included."""
    ended = paper.ended is not None and paper.ended.since.earliest <= on
    return not ended and (paper.from_day is None or paper.from_day <= on) and (paper.until is None or on <= paper.until)


def paper_state(paper: Paper, on: date) -> str:
    """How one paper stands on a day by its own dates: in date, ends soon, not yet, ended, or out of date.

    It ends soon within `SOON_DAYS`; another paper of its kind may have taken its place by then.
    """
    if paper.ended is not None and paper.ended.since.earliest <= on:
        return "ended"
    if paper.from_day is not None and on < paper.from_day:
        return "not yet"
    if paper.until is None:
        return "in date"
    if on > paper.until:
        return "out of date"
    return "ends soon" if (paper.until - on).days <= SOON_DAYS else "in date"


def latest_of_kinds(papers: Sequence[Paper], on: date) -> list[Paper]:
    """The paper of each kind that counts longest, by kind; where none of a kind is in date, the one that counted last."""

    def longest(paper: Paper) -> tuple[bool, date, str]:
        return in_date(paper, on), paper.until or date.max, paper.record

    kinds = sorted({paper.kind for paper in papers})
    return [max((paper for paper in papers if paper.kind == kind), key=longest) for kind in kinds]


def _lapsed(person: Person, papers: Sequence[Paper], here: Sequence[Paper], *, on: date, packs: Iterable[str], about: str) -> Standing:
    kind = papers[0].kind
    of_here = [paper for paper in papers if paper in here]
    if not of_here:
        places = ", ".join(sorted({paper.jurisdiction or "" for paper in papers}))
        words = f"the {kind} of {person.name} is of {places}, and does not count here"
        return _standing("lapsed", words, packs=packs, on=on, about=about)
    why = "; ".join(_why_not(paper, on) for paper in of_here)
    last = max((paper.until for paper in of_here if paper.until), default=None)
    return _standing("lapsed", f"the {kind} of {person.name} is not in date: {why}", packs=packs, on=on, about=about, until=last)


def _why_not(paper: Paper, on: date) -> str:
    number = f"number {paper.number}" if paper.number else "without a number"
    if paper.ended is not None and paper.ended.since.earliest <= on:
        return f"{number} ended on {paper.ended.since.for_people()} ({paper.ended.reason})"
    if paper.from_day is not None and on < paper.from_day:
        return f"{number} counts from {paper.from_day.isoformat()}"
    return f"{number} counted until {paper.until.isoformat() if paper.until else 'a day that is not said'}"


def _in_order(person: Person, papers: Sequence[Paper], asked: Effect | None) -> Standing:
    """Papers in date. The day up to which all of them are good is the earliest, over the kinds, of the last day of each."""
    last_of_kind = {paper.kind: [other.until for other in papers if other.kind == paper.kind] for paper in papers}
    ends = [max(day for day in days if day) for days in last_of_kind.values() if all(days)]
    until = min(ends, default=None)
    kinds = ", ".join(sorted(last_of_kind))
    words = f"{kinds} of {person.name} in date" + (f" until {until.isoformat()}" if until else "; no last day is said")
    if asked is not None and all(_counts_here(paper, asked) is None for paper in papers):
        words += f"; where it counts is not said ({where(asked.source)})"
        return Standing(code="good", effect="flags", because=words, good_until=until, source=asked.source)
    return Standing(code="good", effect="none", because=words, good_until=until)
