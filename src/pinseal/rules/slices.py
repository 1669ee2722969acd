"""The working of an evaluation, slice by slice.

The slices fit the processor's cache and run on threads (numpy lets go of the lock), each writing its own rows.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import day_number
from pinseal.rules import clocks
from pinseal.rules.columns import chunks
from pinseal.rules.matching import Plans, owed_anyway
from pinseal.rules.result import AHEAD, DUE, MAY_BE_OVERDUE, NO, NO_ROW, OVERDUE, UNKNOWN, WITHDRAW, DutyDues, Evaluation, VoiceDues
from pinseal.rules.tables import FAR, Days, year_end_after
from pinseal.standards.model import Clock, Provision

SLICE = 1 << 16

# How firmly a voice speaks of a nameplate: a date in every reading, in some (the document is silent on others), or
# perhaps nothing owed at all.
SURE, PARTLY, PERHAPS = range(3)


class Run:
    """The working of one evaluation: sets the result arrays up once, then fills them slice by slice."""

    def __init__(self, evaluation: Evaluation) -> None:
        self.e = evaluation
        self.today = np.int32(day_number(evaluation.on))
        self.known_until = np.int32(day_number(evaluation.known_until))
        self.members: dict[tuple[int, str], list[tuple[Clock, NDArray[np.bool_]]]] = {}
        self.speaks: dict[tuple[int, str], NDArray[np.bool_]] = {}
        self.firmness: dict[tuple[int, str], NDArray[np.int64] | None] = {}
        self.owed: dict[str, NDArray[np.bool_]] = {}
        self._set_up()

    def _set_up(self) -> None:
        e = self.e
        heard = self._heard()
        for number, by_duty in enumerate(e.plans):
            for duty, plans in by_duty.items():
                speaks = plans.where(lambda p: p.speaks)
                if duty in heard:
                    speaks |= plans.where(lambda p: p.faint) & heard[duty]
                if speaks.any():
                    self._set_up_voice(number, duty, plans, speaks)
        spoken = {duty for _, duty in self.speaks}
        for duty in kinds.DUTIES:
            owed = owed_anyway(duty, e.profiles)
            for by_duty in e.plans:
                if duty in by_duty:
                    owed &= by_duty[duty].where(lambda p: p.speaks or not p.exempt)
            if duty in spoken or owed.any():
                self.owed[duty] = owed
                size = e.fleet.size
                earliest, latest = np.empty(size, np.int32), np.empty(size, np.int32)
                e.duties[duty] = DutyDues(earliest, latest, np.empty(size, np.int8), np.empty(size, np.int8), np.zeros(size, np.bool_))

    def _heard(self) -> dict[str, NDArray[np.bool_]]:
        """For each duty, the nameplates of which a governing voice speaks. There a faint voice counts too."""
        heard: dict[str, NDArray[np.bool_]] = {}
        for voice, by_duty in zip(self.e.voices, self.e.plans, strict=True):
            for duty, plans in by_duty.items():
                if voice.governs:
                    heard[duty] = heard.get(duty, np.False_) | plans.where(lambda p: p.speaks)
        return heard

    def _set_up_voice(self, number: int, duty: str, plans: Plans, speaks: NDArray[np.bool_]) -> None:
        e, key = self.e, (number, duty)
        self.speaks[key] = speaks
        partly = plans.where(lambda p: bool(p.clocks and p.gaps))
        perhaps = plans.where(lambda p: p.may_not_apply) & speaks
        firmness = np.where(perhaps, PERHAPS, np.where(partly, PARTLY, SURE))
        self.firmness[key] = firmness if duty != "retirement" and firmness.any() else None
        every = [c for c in dict.fromkeys(p.clock for plan in plans.distinct for p in plan.clocks) if c]
        self.members[key] = [(c, speaks & plans.where(lambda plan, c=c: any(p.clock == c for p in plan.clocks))) for c in every]  # type: ignore[misc]
        tolerant = any(c.tolerance_months for c in every)
        # Full of FAR, not empty: a clock without tolerance beside one with it never says when the work counts from.
        not_before = np.full(e.fleet.size, FAR, np.int32) if tolerant else None
        e.spoken[key] = VoiceDues(np.empty(e.fleet.size, np.int32), np.empty(e.fleet.size, np.int32), not_before)

    def all(self) -> None:
        slices = list(chunks(self.e.fleet.size, SLICE))
        if len(slices) < 2:
            for rows in slices:
                self.work(rows)
            return
        with ThreadPoolExecutor(os.cpu_count() or 1) as threads:
            list(threads.map(self.work, slices))

    def work(self, rows: slice) -> None:
        """Evaluate one slice: the plain clocks, then what leans on them (joined tests, retirement), then the states."""
        facts = self._facts(rows)
        keys = sorted(self.speaks, key=lambda key: list(kinds.DUTIES).index(key[1]))
        joined = [key for key in keys if any(c.join for c, _ in self.members[key])]
        for key in keys:
            if key not in joined and key[1] != "retirement":
                self._voice(key, rows, facts)
        for key in joined:
            self._join(key, rows)
        for duty in self.e.duties:
            if duty != "retirement":
                self._combine(duty, rows)
        if "retirement" in self.e.duties:
            for key in keys:
                if key[1] == "retirement":
                    self._retire(key, rows, facts)
            self._combine("retirement", rows)

    def _facts(self, rows: slice) -> clocks.Facts:
        """The facts of a slice, without those that lie wholly after `known_until`: that work has not happened yet."""
        plain = clocks.facts_of(self.e.fleet.earliest, self.e.fleet.latest, rows, rows.stop - rows.start)
        cache: dict[str, tuple[Days, Days]] = {}

        def facts(name: str) -> tuple[Days, Days]:
            if name not in cache:
                earliest, latest = plain(name)
                future = earliest > self.known_until
                cache[name] = (np.where(future, -1, earliest), np.where(future, -1, latest)) if future.any() else (earliest, latest)
            return cache[name]

        return facts

    def _voice(self, key: tuple[int, str], rows: slice, facts: clocks.Facts) -> None:
        profile = self.e.profiles.number[rows]
        out = self.e.spoken[key]
        earliest, latest = out.earliest[rows], out.latest[rows]
        earliest[:] = np.where(self.speaks[key][profile], FAR, NO_ROW)
        latest[:] = earliest
        for clock, member in self.members[key]:
            some = np.flatnonzero(member[profile])
            if len(some):
                window = clocks.run(_some(facts, some, len(profile)), key[1], clock, self.e.basis)
                _widen(out, rows, some, window)

    def _join(self, key: tuple[int, str], rows: slice) -> None:
        """A test that falls due in the year of another duty is done with it; the year comes from the other packs chosen."""
        number, duty = key
        clock = self.members[key][0][0]
        out, other = self.e.spoken[key], self.e.spoken.get((number, clock.join or ""))
        out.earliest[rows], out.latest[rows] = NO_ROW, NO_ROW
        earliest, latest, _, _ = self._laid_over(duty, rows, without=number)
        speaks = self.speaks[key][self.e.profiles.number[rows]]
        for end, due in (("earliest", earliest), ("latest", latest)):
            year_end = _year_end(due)
            with_other = getattr(other, end)[rows] if other else np.full_like(due, FAR)
            joined = np.where((with_other >= 0) & (_year_end(with_other) == year_end), with_other, year_end)
            getattr(out, end)[rows] = np.where(speaks, joined, NO_ROW)
        low, high = np.minimum(out.earliest[rows], out.latest[rows]), np.maximum(out.earliest[rows], out.latest[rows])
        out.earliest[rows], out.latest[rows] = low, high

    def _retire(self, key: tuple[int, str], rows: slice, facts: clocks.Facts) -> None:
        """Reasons to withdraw: by age, by type, by type and date of manufacture, at the next service. The earliest governs."""
        profile, plans = self.e.profiles.number[rows], self.e.plans[key[0]]["retirement"]
        out = self.e.spoken[key]
        out.earliest[rows], out.latest[rows] = NO_ROW, NO_ROW
        for provision in dict.fromkeys(p for plan in plans.distinct for p in (*plan.clocks, *plan.withdraw)):
            member = plans.where(lambda plan, p=provision: p in plan.clocks or p in plan.withdraw)  # type: ignore[misc]
            unsure = plans.where(lambda plan, p=provision: p in plan.perhaps)  # type: ignore[misc]
            some = np.flatnonzero(member[profile])
            if len(some):
                earliest, latest = self._withdrawal(provision, rows, some, _some(facts, some, len(profile)))
                maybe = unsure[profile[some]] & (earliest >= 0)
                _keep_first(out, rows, some, np.where(maybe, FAR, earliest), np.where(maybe, FAR, latest))

    def _withdrawal(self, provision: Provision, rows: slice, some: NDArray[np.intp], facts: clocks.Facts) -> tuple[Days, Days]:
        if provision.clock:
            window = clocks.run(facts, "retirement", provision.clock, self.e.basis)
            return window.earliest, window.latest
        if provision.at_next:
            none = [np.full(len(some), FAR)]
            duties = [self.e.duties[d] for d in provision.at_next if d in self.e.duties]
            ends = [np.minimum.reduce(none + [_dated(getattr(d, end)[rows][some]) for d in duties]) for end in ("earliest", "latest")]
        else:
            day = np.int32(day_number(provision.withdraw_by or provision.in_force_from))
            ends = [np.full(len(some), day), np.full(len(some), day)]
        if provision.made_before is None:
            return ends[0], ends[1]
        limit = day_number(provision.made_before)
        made_e, made_l = facts("manufactured")
        surely = (made_l >= 0) & (made_l < limit)
        perhaps = ~surely & (made_e >= 0) & (made_e < limit)
        return tuple(np.where(surely, end, np.where(perhaps, FAR, NO_ROW)).astype(np.int32) for end in ends)  # type: ignore[return-value]

    def _combine(self, duty: str, rows: slice) -> None:
        """All voices of one duty as one due, and its state."""
        out, said = self.e.duties[duty], self.owed[duty][self.e.profiles.number[rows]]
        for (_, each), dues in self.e.spoken.items():
            if each == duty:
                said = said | (dues.earliest[rows] != NO_ROW)
        earliest, latest, governing, perhaps = self._laid_over(duty, rows)
        out.earliest[rows], out.latest[rows], out.governing[rows], out.perhaps[rows] = earliest, latest, governing, perhaps
        out.state[rows] = self._state(duty, said, earliest, latest)

    def _laid_over(self, duty: str, rows: slice, *, without: int = -1) -> tuple[Days, Days, NDArray[np.int8], NDArray[np.bool_]]:
        """Lay the voices over each other: the least earliest, the least latest; the voice with the least latest governs.

        A voice that may have no date for the unit (a fact is not said) may make a due earlier, but does not bound its
        late end beside a voice that has one in every reading. Where all may owe nothing, the latest is the late end, and
        the due is one that may not be owed. One voice can be left `without`.
        """
        profile = self.e.profiles.number[rows]
        ends = [_Ends(len(profile), widest=firmness == PERHAPS) for firmness in (SURE, PARTLY, PERHAPS)]
        for (number, each), dues in self.e.spoken.items():
            if each == duty and number != without and self.e.voices[number].governs:
                firmness = self.firmness[number, duty]
                if firmness is None:
                    ends[SURE].take(number, dues.earliest[rows], dues.latest[rows])
                else:
                    for level, end in enumerate(ends):
                        end.take(number, np.where(firmness[profile] == level, dues.earliest[rows], FAR), dues.latest[rows])
        earliest = np.minimum.reduce([end.earliest for end in ends])
        latest, governing = ends[PERHAPS].latest, ends[PERHAPS].governing
        for end in (ends[PARTLY], ends[SURE]):
            latest, governing = np.where(end.governing < 0, latest, end.latest), np.where(end.governing < 0, governing, end.governing)
        return earliest, latest, governing, (ends[SURE].governing < 0) & (ends[PARTLY].governing < 0) & (governing >= 0)

    def _state(self, duty: str, said: NDArray[np.bool_], earliest: Days, latest: Days) -> NDArray[np.int8]:
        past = WITHDRAW if duty == "retirement" else OVERDUE
        state = np.full(len(earliest), AHEAD, np.int8)
        state[earliest <= self.today + np.int32(self.e.horizon_days)] = DUE
        state[earliest < self.today] = MAY_BE_OVERDUE
        state[latest < self.today] = past
        state[earliest == FAR] = UNKNOWN
        state[~said] = NO
        return state


class _Ends:
    """The ends so far, and the voice that governs: the one with the least latest end (`widest`: the greatest)."""

    def __init__(self, count: int, *, widest: bool) -> None:
        self.widest = widest
        self.earliest, self.latest = np.full(count, FAR), np.full(count, FAR)
        self.own = np.full(count, FAR)
        self.governing = np.full(count, -1, np.int8)

    def take(self, number: int, earliest: Days, latest: Days) -> None:
        dated = (earliest >= 0) & (earliest != FAR)
        e, l = np.where(dated, earliest, FAR), np.where(dated, latest, FAR)  # noqa: E741
        if self.widest:
            better = dated & ((self.governing < 0) | (l > self.latest))
        else:
            better = dated & ((l < self.latest) | ((l == self.latest) & (e < self.own)))
        self.governing[better] = number
        self.own = np.where(better, e, self.own)
        self.earliest, self.latest = np.minimum(self.earliest, e), np.where(better, l, self.latest)


def _dated(days: Days) -> Days:
    return np.where(days < 0, FAR, days)


def _year_end(days: Days) -> Days:
    known = (days >= 0) & (days != FAR)
    return np.where(known, year_end_after(0)[np.where(known, np.minimum(days, len(year_end_after(0)) - 2), -1)], FAR)


def _some(facts: clocks.Facts, some: NDArray[np.intp], count: int) -> clocks.Facts:
    if len(some) == count:
        return facts

    def chosen(name: str) -> tuple[Days, Days]:
        earliest, latest = facts(name)
        return earliest[some], latest[some]

    return chosen


def _widen(out: VoiceDues, rows: slice, some: NDArray[np.intp], window: clocks.Window) -> None:
    """Lay one reading of a nameplate over the others: the earliest end of all, and the latest."""
    earliest, latest = out.earliest[rows], out.latest[rows]
    fresh = latest[some] == FAR
    fresh &= earliest[some] == FAR
    earliest[some] = np.minimum(earliest[some], window.earliest)
    latest[some] = np.where(fresh, window.latest, np.maximum(latest[some], window.latest))
    if window.not_before is not None and out.not_before is not None:
        out.not_before[rows][some] = window.not_before


def _keep_first(out: VoiceDues, rows: slice, some: NDArray[np.intp], earliest: Days, latest: Days) -> None:
    """Of two reasons to withdraw, keep the one that comes first; one with a date comes before one without."""
    e, l = out.earliest[rows], out.latest[rows]  # noqa: E741
    speaks = earliest != NO_ROW
    first = speaks & ((e[some] == NO_ROW) | (latest < l[some]))
    e[some] = np.where(first, earliest, e[some])
    l[some] = np.where(first, latest, l[some])
