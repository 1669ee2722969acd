"""Rows out of an evaluation: one for each unit and duty, with the due, the state, the provision and the reasons.

The columns hold the answer; a row only tells it. Rows are built one at a time, so a page of twelve costs twelve.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import numpy as np

from pinseal import kinds
from pinseal.dates import EPOCH, PartialDate, span_for_people
from pinseal.reasons import Citation
from pinseal.records.unit import UnitState
from pinseal.rules import clocks, sentences
from pinseal.rules.matching import Plan
from pinseal.rules.result import NO, NO_ROW, STATE_CODES, UNKNOWN, DutyDues, Evaluation, VoiceDues
from pinseal.rules.tables import FAR
from pinseal.standards.model import Chosen, Clock, Provision

_DUTY_ORDER = sorted(kinds.DUTIES)


@dataclass(frozen=True, slots=True, kw_only=True)
class PackDue:
    """What one pack says of one duty of one unit."""

    pack: str
    earliest: date | None
    latest: date | None
    not_before: date | None
    state: str
    governing: Citation | None
    because: tuple[str, ...]
    missing: tuple[str, ...]
    binds: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """One duty of one unit on a day. `index` is the unit's place in the sequence that was evaluated.

    `earliest` and `latest` are the two readings of the last permitted day; both None where it is unknown. `others` are
    the packs that speak and do not govern. `perhaps`: it may not be owed at all. `assumed` names the nameplate facts
    that were assumed and that this rests on.
    """

    index: int
    duty: str
    earliest: date | None
    latest: date | None
    not_before: date | None
    state: str
    governing: Citation | None
    because: tuple[str, ...]
    missing: tuple[str, ...]
    withdrawn: bool
    perhaps: bool
    binds: str | None
    assumed: tuple[str, ...]
    others: tuple[PackDue, ...]


@lru_cache(maxsize=200_000)
def _day(number: int) -> date:
    return EPOCH + timedelta(days=number)


def _date(number: int) -> date | None:
    return None if number < 0 or number == FAR else _day(number)


class Rows:
    """The rows of an evaluation over `states`, the units that its fleet was made of, in the same order."""

    def __init__(self, evaluation: Evaluation, states: Sequence[UnitState]) -> None:
        self.e = evaluation
        self.states = states
        self.withdrawn = evaluation.withdrawn
        self.spoken: dict[str, list[tuple[int, VoiceDues]]] = {}
        for (number, duty), dues in evaluation.spoken.items():
            self.spoken.setdefault(duty, []).append((number, dues))
        self._told: tuple[int, dict[str, PartialDate]] = (-1, {})
        self._columns: tuple[int, clocks.Facts] = (-1, clocks.facts_of({}, {}, slice(0, 1), 1))
        self._held = _held(evaluation)
        self._asked = {
            duty: frozenset(a for (_, d), ps in self._held.items() if d == duty for p in ps for a in p.applies) for duty in kinds.DUTIES
        }
        self._joined = [(n, duty, p.clock.join) for (n, duty), ps in self._held.items() for p in ps if p.clock and p.clock.join]

    def all(self) -> Iterator[Due]:
        """Every row, sorted by unit, then duty. Removed units have none; a placeholder has one that is unknown."""
        for index, state in enumerate(self.states):
            yield from self.of_unit(index, state)

    def of_unit(self, index: int, state: UnitState | None = None) -> Iterator[Due]:
        """The rows of one unit, by duty."""
        state = state or self.states[index]
        if state.removed:
            return
        if state.placeholder:
            yield _placeholder(index)
            return
        for duty in _DUTY_ORDER:
            dues = self.e.duties.get(duty)
            if dues is not None and dues.state[index] != NO:
                yield self.row(index, duty, dues)

    def row(self, index: int, duty: str, dues: DutyDues | None = None) -> Due:
        """One row. The unit must owe the duty."""
        dues = dues or self.e.duties[duty]
        said = {number: self._voice(index, duty, number, voice) for number, voice in self.spoken.get(duty, ())}
        governing = self._governing(int(dues.governing[index]), said)
        others = tuple(due for number, due in said.items() if due and number != governing)
        own = said.get(governing)
        missing = list(own.missing) if own else []
        for other in others:
            if self._counts(other) or own is None:
                missing += [m for m in other.missing if m not in missing]
        if own is None and not others:
            missing = [sentences.FACT_HEADINGS[duty]] if duty in kinds.FACTS else []
        return Due(
            index=index,
            duty=duty,
            earliest=_date(int(dues.earliest[index])),
            latest=_date(int(dues.latest[index])),
            not_before=own.not_before if own else None,
            state=STATE_CODES[dues.state[index]],
            governing=own.governing if own else None,
            because=tuple(self._because(index, duty, own, others)),
            missing=tuple(missing),
            withdrawn=bool(self.withdrawn[index]),
            perhaps=bool(dues.perhaps[index]),
            binds=own.binds if own else None,
            assumed=self._assumed(index, duty),
            others=others,
        )

    def _governing(self, dated: int, said: Mapping[int, PackDue | None]) -> int:
        """The voice that governs; where none has a date, the first that has a rule, so that the rule is told."""
        if dated >= 0:
            return dated
        return next((n for n, due in said.items() if due and due.governing and self.e.voices[n].governs), -1)

    def _counts(self, due: PackDue) -> bool:
        return due.governing is None or due.governing.checked != "unsure"

    # -- one voice

    def _voice(self, index: int, duty: str, number: int, dues: VoiceDues) -> PackDue | None:
        earliest = int(dues.earliest[index])
        if earliest == NO_ROW:
            return None
        voice = self.e.voices[number]
        plan = self.e.plans[number][duty][self.e.profiles.number[index]]
        latest = int(dues.latest[index])
        provision = self._provision(index, duty, plan, latest)
        reasons, missing = self._reasons(index, duty, voice.chosen, plan, provision, known=earliest != FAR)
        return PackDue(
            pack=voice.pack,
            earliest=_date(earliest),
            latest=_date(latest),
            not_before=_date(int(dues.not_before[index])) if dues.not_before is not None and earliest != FAR else None,
            state=self._state(duty, earliest, latest),
            governing=voice.chosen.cite(provision) if provision and not _leans_on_others(provision, earliest) else None,
            because=tuple(reasons),
            missing=missing,
            binds=provision.binds if provision and earliest != FAR else None,
        )

    def _state(self, duty: str, earliest: int, latest: int) -> str:
        if earliest == FAR:
            return STATE_CODES[UNKNOWN]
        today = (self.e.on - EPOCH).days
        if latest < today:
            return "withdraw" if duty == "retirement" else "overdue"
        if earliest < today:
            return "may be overdue"
        return "due" if earliest <= today + self.e.horizon_days else "ahead"

    def _provision(self, index: int, duty: str, plan: Plan, latest: int) -> Provision | None:
        """The provision to cite: of several readings of a nameplate, the one with the earliest due."""
        options = (*plan.clocks, *plan.withdraw)
        if len(options) < 2:
            return options[0] if options else None
        ends = [self._end(index, duty, p) for p in options]
        if duty == "retirement":
            made = self._dates(index).get("manufactured")
            live = [p for p in options if not (p.made_before and made and made.earliest >= p.made_before)] or list(options)
            return next((p for p, end in zip(options, ends, strict=True) if end == latest and p in live), live[0])
        return options[ends.index(min(ends))]

    def _end(self, index: int, duty: str, provision: Provision) -> int:
        if provision.clock:
            return int(clocks.run(self._facts(index), duty, provision.clock, self.e.basis).latest[0])
        made = self._dates(index).get("manufactured")
        if provision.made_before and not (made and made.latest < provision.made_before):
            return int(FAR)
        if provision.at_next:
            return min((int(self.e.duties[d].latest[index]) for d in provision.at_next if d in self.e.duties), default=int(FAR))
        return ((provision.withdraw_by or provision.in_force_from) - EPOCH).days

    def _dates(self, index: int) -> dict[str, PartialDate]:
        """The dated facts of a unit that are counted: not those that lie after the day asked. Remembered for the last unit."""
        told = self._told  # taken once: other threads ask about other units meanwhile
        if told[0] != index:
            told = self._told = (index, {fact: day for fact, day in self.states[index].dates.items() if day.earliest <= self.e.on})
        return told[1]

    def _facts(self, index: int) -> clocks.Facts:
        """The same as columns of length one, for the clocks. Remembered for the last unit."""
        columns = self._columns
        if columns[0] != index:
            ends = {fact: (day.earliest, day.latest) for fact, day in self._dates(index).items()}
            earliest = {fact: np.array([(first - EPOCH).days], np.int32) for fact, (first, _) in ends.items()}
            latest = {fact: np.array([(last - EPOCH).days], np.int32) for fact, (_, last) in ends.items()}
            columns = self._columns = (index, clocks.facts_of(earliest, latest, slice(0, 1), 1))
        return columns[1]

    # -- reasons

    def _reasons(
        self, index: int, duty: str, chosen: Chosen, plan: Plan, provision: Provision | None, *, known: bool
    ) -> tuple[list[str], tuple[str, ...]]:
        document = chosen.pack.document
        if provision is None:
            gap = plan.gaps[0]
            return [sentences.rule_words(gap, document)], sentences.missing_names(plan.missing)
        reasons = [sentences.rule_words(provision, document)]
        missing = plan.missing
        if provision.clock and provision.clock.join:
            reasons.append(f"Here it falls with the {kinds.DUTIES[provision.clock.join]} of the same calendar year; both dates are shown.")
        elif provision.clock:
            path = self._path(index, duty, provision.clock)
            if path.kind != "restart" and "test_method" in missing:
                missing = tuple(m for m in missing if m != "test_method")
            reasons += self._path_words(index, duty, provision.clock, path)
        left_open = sentences.open_words((*plan.clocks, *plan.gaps), missing, plan.may_not_apply)
        if left_open:
            reasons.append(left_open)
        names = sentences.missing_names(missing)
        if not known:
            names += self._missing_dates(index, provision)
        return reasons, names + (self._perhaps_opened(index, provision.clock) if provision.clock else ())

    def _path(self, index: int, duty: str, clock: Clock) -> clocks.Path:
        dates = self._dates(index)
        plain = clock.pick == "first-known" and not any(s.within for s in clock.first)
        facts = None if plain else self._facts(index)
        return clocks.trace(facts, dates, duty, clock, self.e.basis)

    def _path_words(self, index: int, duty: str, clock: Clock, path: clocks.Path) -> list[str]:
        basis = self.e.basis
        how = {}
        if duty == "maintenance" and basis.maintenance != "anniversary" and clock.interval:
            how = dict.fromkeys(("restart", "first"), basis.of(duty, clock.interval, clock.convention, clock.tolerance_months))
        words = [sentences.path_words(duty, clock, path, how)]
        dates = self.states[index].dates
        if self._perhaps_opened(index, clock):
            words.append(sentences.perhaps_opened_words(dates["recharge-maybe-opened"]))
        made = dates.get("manufactured")
        for fact in (*clock.after, *(s.fact for s in clock.first)):
            day = dates.get(fact)
            if day and day.earliest > self.e.on:
                words.append(sentences.future_words(fact, day))
            elif day and made and day.latest < made.earliest:
                words.append(sentences.order_words(day, made, fact))
        return words

    def _missing_dates(self, index: int, provision: Provision) -> tuple[str, ...]:
        clock, dates = provision.clock, self._dates(index)
        if clock is None:
            made = dates.get("manufactured")
            settled = provision.made_before is None or (made and made.latest < provision.made_before)
            return () if settled else ("manufactured",)
        if clock.join:
            return ("a pack that gives the interval",)
        facts = dict.fromkeys((*clock.after[:1], *(s.fact for s in clock.first if s.fact == "manufactured")))
        return tuple(sentences.FACT_HEADINGS[f] for f in facts if f not in dates)

    def _perhaps_opened(self, index: int, clock: Clock) -> tuple[str, ...]:
        """A recharge that may have included the inside work leaves the clock open: name what would settle it."""
        if "recharge-opened" not in clock.after:
            return ()
        dates = self._dates(index)
        perhaps = dates.get("recharge-maybe-opened")
        rivals = [dates[f].latest for f in clock.after if f in dates]
        return ("recharge opened",) if perhaps and perhaps.latest > max(rivals, default=date.min) else ()

    def _assumed(self, index: int, duty: str) -> tuple[str, ...]:
        asked = self._asked[duty]
        return tuple(name for name, rows in self.e.fleet.assumed.items() if rows[index] and name in asked)

    def _because(self, index: int, duty: str, own: PackDue | None, others: Sequence[PackDue]) -> list[str]:
        because = list(own.because) if own else []
        if own is None:
            because.append(f"No chosen pack covers the {kinds.DUTIES[duty]} of this unit.")
            because += [text for other in others for text in other.because]
        for name in self._assumed(index, duty):
            code = self.e.profiles[self.e.profiles.number[index]][name]
            because.append(f"Assumed, not read: {sentences.attribute_words(name, code or '')}.")
        because += self._joined_words(index, duty)
        if own:
            dated = [o for o in others if o.latest and self._counts(o)]
            because += [f"{o.pack} gives {_span(o)}; {own.pack} governs." for o in dated]
            because += [f"A choice, to be settled with the authority: {o.because[0]}" for o in dated if self._joins(o.pack, duty)]
        because += self._silent(index, duty)
        return because

    def _joins(self, pack: str, duty: str) -> bool:
        return any(self.e.voices[number].pack == pack and joined == duty for number, joined, _ in self._joined)

    def _joined_words(self, index: int, duty: str) -> list[str]:
        """Where a test of the same calendar year is tied to this duty, say so on both rows."""
        words = []
        for number, other, joins in self._joined:
            mine, theirs = self.e.spoken.get((number, duty)), self.e.spoken.get((number, other))
            if joins == duty and mine and theirs and 0 <= theirs.latest[index] == mine.latest[index] != FAR:
                words.append(sentences.joined_words(other, self.e.voices[number].pack))
        return words

    def _silent(self, index: int, duty: str) -> list[str]:
        """Chosen packs that speak of this duty for some units, and not for this one."""
        words = []
        for number, plans in enumerate(self.e.plans):
            voice = self.e.voices[number]
            if not voice.governs or duty not in plans or duty == "retirement":
                continue
            dues, plan = self.e.spoken.get((number, duty)), plans[duty][self.e.profiles.number[index]]
            if dues is not None and dues.earliest[index] != NO_ROW:
                continue
            if plan.exempt:
                words.append(sentences.rule_words(plan.exempt[0], voice.chosen.pack.document))
            else:
                asks = any("specification" in p.applies for p in self._held.get((number, duty), ()))
                unsaid = self.e.fleet.attributes["specification"][index] < 0
                words.append(sentences.silent_words(voice.pack, asks and bool(unsaid)))
        return words


def _held(evaluation: Evaluation) -> dict[tuple[int, str], tuple[Provision, ...]]:
    """For each voice and duty, the provisions that it is matched against."""
    return {
        (number, duty): tuple(
            p for p in voice.chosen.provisions if p.duty == duty and p.governs == voice.governs and p.in_force(evaluation.on)
        )
        for number, voice in enumerate(evaluation.voices)
        for duty in evaluation.plans[number]
    }


def _span(due: PackDue) -> str:
    assert due.earliest and due.latest
    return span_for_people(due.earliest, due.latest)


def _leans_on_others(provision: Provision, earliest: int) -> bool:
    return bool(provision.clock and provision.clock.join) and earliest == FAR


def _placeholder(index: int) -> Due:
    """The one row of a unit that is only counted: it must be found and read before any date is claimed."""
    return Due(
        index=index,
        duty="inspection",
        earliest=None,
        latest=None,
        not_before=None,
        state="unknown",
        governing=None,
        because=("Only counted on a list, not yet seen: find it on the walk and read its nameplate and dates.",),
        missing=("the unit itself",),
        withdrawn=False,
        perhaps=False,
        binds=None,
        assumed=(),
        others=(),
    )
