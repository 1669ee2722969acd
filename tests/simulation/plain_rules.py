"""The rules once more, for one unit at a time, as a careful reader would work them out with a calendar (python-dateutil).

Only for nameplates that say everything. It reads the same packs as the engine and shares no code with it: the meaning of
each key of a provision is taken from `standards/model.py`, the states and what governs from `docs/contract.md`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

from pinseal import kinds
from pinseal.standards.model import Chosen, Clock, Interval, Provision, Start

Span = tuple[date, date]
Facts = Mapping[str, Span]
_OBSOLETE = ("soda-acid", "chemical-foam", "vaporising-liquid")


@dataclass(frozen=True, slots=True)
class PlainDue:
    """A due as the plain reader gives it; `span` None where it is owed and no date can be told."""

    span: Span | None
    pack: str | None
    state: str


def later(day: date, interval: Interval, convention: str, shift_months: int = 0) -> date:
    if convention == "days":
        return day + timedelta(days=interval.count)
    if convention == "end-of-year":
        return date(day.year + interval.count, 12, 31)
    months = (interval.count * 12 if interval.unit == "year" else interval.count) + shift_months
    return day + relativedelta(months=months, day=31) if convention == "end-of-month" else day + relativedelta(months=months)


class PlainUnit:
    """One unit on one day under some packs."""

    def __init__(self, plate: Mapping[str, str], facts: Facts, chosen: Sequence[Chosen], on: date) -> None:
        self.plate, self.on, self.chosen = plate, on, chosen
        self.facts = {name: span for name, span in facts.items() if span[0] <= on}
        self.dues: dict[str, PlainDue] = {}
        for duty in sorted(kinds.DUTIES, key=lambda each: (each == "retirement", each == "hydrostatic-test")):
            found = self._due(duty)
            if found:
                self.dues[duty] = found

    # One clock

    def _restarted(self, clock: Clock, end: int) -> date | None:
        days = [self.facts[fact][end] for fact in clock.after if fact in self.facts]
        if end == 1 and "recharge-opened" in clock.after and "recharge-maybe-opened" in self.facts:
            days.append(self.facts["recharge-maybe-opened"][1])
        return max(days, default=None)

    def _set_aside(self, start: Start, end: int) -> bool:
        if start.within is None or start.within_of not in self.facts:
            return False
        bound = self.facts[start.within_of]
        if end == 0:  # perhaps too late
            return self.facts[start.fact][1] > later(bound[0], start.within, "anniversary")
        return self.facts[start.fact][0] > later(bound[1], start.within, "anniversary")

    def _started(self, clock: Clock, end: int) -> date | None:
        days = []
        for start in clock.first:
            if start.fact not in self.facts or self._set_aside(start, end):
                continue
            span = self.facts[start.fact]
            whole_year = span == (date(span[0].year, 1, 1), date(span[0].year, 12, 31))
            if start.year_only_next_january and whole_year:
                days.append(date(span[0].year + 1, 1, 1))
            else:
                days.append(later(span[end], start.interval, start.convention, clock.tolerance_months))
        return None if not days else min(days) if clock.pick == "earliest" else days[0]

    def _clock(self, clock: Clock) -> Span | None:
        ends = []
        for end in (0, 1):
            restarted = self._restarted(clock, end)
            if restarted is not None and clock.interval is not None:
                ends.append(later(restarted, clock.interval, clock.convention, clock.tolerance_months))
            else:
                ends.append(self._started(clock, end))
        if ends[0] is None or ends[1] is None:
            return None
        return min(ends), max(ends)  # type: ignore[type-var]

    # One duty

    def _fitting(self, pick: Chosen, duty: str, *, governs: bool) -> list[Provision]:
        return [
            p
            for p in pick.provisions
            if p.duty == duty
            and p.governs == governs
            and p.in_force(self.on)
            and all(self.plate[a] in codes for a, codes in p.applies.items())
        ]

    def _joined(self, pick: Chosen, duty: str, other: str) -> Span | None:
        """The test of a calendar year goes with the other duty of that year, by the same pack; its year comes from the other packs."""
        spans = [span for each in self.chosen if each is not pick and (span := self._by_pack(each, duty)[1])]
        if not spans:
            return None
        with_other = self._by_pack(pick, other)[1]
        ends = []
        for end in (0, 1):
            year = min(span[end] for span in spans).year
            joins = with_other is not None and with_other[end].year == year
            ends.append(with_other[end] if joins and with_other else date(year, 12, 31))
        return min(ends), max(ends)

    def _withdrawn(self, provision: Provision) -> tuple[bool, Span | None]:
        """Whether this reason to withdraw speaks of the unit, and its day."""
        if provision.clock:
            return True, self._clock(provision.clock)
        day: Span | None = None
        if provision.at_next:
            spans = [due.span for duty in provision.at_next if (due := self.dues.get(duty)) and due.span]
            day = (min(s[0] for s in spans), min(s[1] for s in spans)) if spans else None
        else:
            by = provision.withdraw_by or provision.in_force_from
            day = (by, by)
        if provision.made_before is None:
            return True, day
        made = self.facts.get("manufactured")
        if made is None or made[0] >= provision.made_before:
            return False, None
        return True, day if made[1] < provision.made_before else None

    def _by_pack(self, pick: Chosen, duty: str, *, governs: bool = True) -> tuple[bool, Span | None]:
        """Whether a pack asks for the duty, and by when."""
        fitting = self._fitting(pick, duty, governs=governs)
        if duty == "retirement":
            reasons = [span for speaks, span in map(self._withdrawn, fitting) if speaks]
            dated = [span for span in reasons if span]
            return bool(reasons), min(dated, key=lambda span: span[1]) if dated else None
        asking = [p for p in fitting if p.effect != "exempt"]
        assert len(asking) <= 1, "a pack gives one value for one duty of one unit"
        if not asking:
            return False, None
        clock = asking[0].clock
        if clock is None:
            return True, None
        return True, self._joined(pick, duty, clock.join) if clock.join else self._clock(clock)

    def _owed_by_all(self, duty: str) -> bool:
        """Owed by every unit of its kind, unless a chosen pack says that this one does not owe it."""
        tested = (
            self.plate["rechargeable"] == "yes"
            and self.plate["expelled_by"] != "pump"
            and self.plate["shell"] != "soldered-brass"
            and self.plate["agent"] not in _OBSOLETE
        )
        if duty not in ("inspection", "maintenance") and not (duty == "hydrostatic-test" and tested):
            return False
        return not any(
            {p.effect for p in self._fitting(pick, duty, governs=governs)} == {"exempt"}
            for pick in self.chosen
            for governs in (True, False)
        )

    def _due(self, duty: str) -> PlainDue | None:
        said = [self._by_pack(pick, duty) for pick in self.chosen]
        shown = [self._by_pack(pick, duty, governs=False)[0] for pick in self.chosen]
        if not any(speaks for speaks, _ in said) and not any(shown) and not self._owed_by_all(duty):
            return None
        dated = [(span[1], span[0], number) for number, (_, span) in enumerate(said) if span]
        if not dated:
            return PlainDue(None, None, "unknown")
        latest, _, number = min(dated)
        earliest = min(each[1] for each in dated)
        return PlainDue((earliest, latest), self.chosen[number].pack.id, self._state(duty, earliest, latest))

    def _state(self, duty: str, earliest: date, latest: date) -> str:
        if self.on > latest:
            return "withdraw" if duty == "retirement" else "overdue"
        if earliest < self.on:
            return "may be overdue"
        return "due" if earliest <= self.on + timedelta(days=30) else "ahead"
