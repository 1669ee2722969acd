"""A leak answer in words and for programs: the reason first, then what was found, what it rests on, and what would change it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from pinseal.dates import PartialDate
from pinseal.measures import as_json, for_people, in_unit
from pinseal.physics.leak_kinds import PRIOR_SHARES
from pinseal.rules.leaks import LeakAnswer, NextReading

KIND_LABELS = {
    "none": "no loss shown",
    "slow-leak": "slow leak",
    "one-off-loss": "one-off loss",
    "loss": "a loss, leak or one-off not clear",
    "dissolution-pending": "solution in the water explains it",
    "unknown": "unknown",
}
_BUBBLES = {
    "finds": "bubble fluid finds a leak of this size",
    "may-find": "bubble fluid may find it: below 1e-4 std cm3/s that rests on the operator (ASTM E515-11)",
    "misses": "bubble fluid cannot find it: its normal limit is 1e-5 std cm3/s (ASTM E515-11); the trend sees more",
}


def day(value: date | None) -> str:
    return PartialDate.of(value).for_people() if value else "no date"


class Words:
    """One answer in words; `system` is the system of units of the words."""

    def __init__(self, answer: LeakAnswer, system: str) -> None:
        self.answer, self.system = answer, "us" if system == "si" else system
        self.dimension = "pressure" if answer.series.evidence == "pressure" else "mass"
        self.digits = {("pressure", "us"): 1, ("pressure", "metric"): 2}.get((self.dimension, self.system), 3)

    def amount(self, value: float | None) -> str:
        return "nothing" if value is None else for_people(value, self.dimension, system=self.system, digits=self.digits)

    def slope(self, value: float | None) -> str:
        return f"{self.amount(value)}/yr"

    def at_70f(self) -> str:
        return " at 70 F" if self.dimension == "pressure" else ""

    # -- the sentences

    def because(self) -> list[str]:
        """The reason first, then what it rests on."""
        found = [self._reason(), *self._trend(), *self._more(), *self._basis()]
        return [sentence for sentence in found if sentence]

    def _reason(self) -> str:
        reasons: dict[str, Callable[[], str]] = {
            "few": self._few,
            "one-time": lambda: "unknown: every reading is of one day or each gauge read once; a trend needs the same gauge on other days",
            "rise": self._rose,
            "empty": lambda: "the last reading is about zero: empty, or the gauge is broken; a reading of zero is no proof that it is safe",
            "below": self._below,
            "dissolution": self._dissolution,
            "last-low": lambda: f"only the last reading, of {day(self.answer.series.days[-1])}, is low: one low reading proves nothing yet",
            "none": lambda: f"no loss is shown{self._ruled_out()}",
            "could-hide": lambda: f"no loss is shown, but {self._could_hide()}",
            "shown": lambda: self._shown("it loses"),
            "likely": lambda: self._shown("it probably loses"),
        }
        return reasons[self.answer.why]()

    def _few(self) -> str:
        series = self.answer.series
        count = len(series.days)
        kind = "weights" if series.evidence == "weight" else "readings"
        if series.evidence == "weight" and series.facts.medium in ("co2", "halocarbon"):
            return (
                f"unknown: {count} weights; the pressure of such a unit is no evidence of a loss, and three weighings are needed: weigh it"
            )
        if count >= 3:
            return (
                f"unknown: {count} {kind} by {len(set(series.gauges))} gauges; gauges are never mixed, so one gauge must read it more often"
            )
        return f"unknown: {count} usable {kind}; three are needed for a trend"

    def _rose(self) -> str:
        assert self.answer.rise, "this rule needs a rise"
        size, after, before = self.answer.rise
        return (
            f"unknown: it rose by {self.amount(size)} between {day(after)} and {day(before)} and stayed there; gas does not come "
            "by itself: a charge that is not on record, or another gauge. Say which, and the readings since then are judged"
        )

    def _below(self) -> str:
        found = self.answer
        return f"it stands at {self.amount(found.level)}{self.at_70f()}, below its limit of {self.amount(found.series.limit)}, sure at 95 %"

    def _dissolution(self) -> str:
        lost = self.answer.loss if self.answer.loss is not None else self._fallen()
        return (
            f"too close: {self.amount(lost)} are gone since the first reading, and gas going into solution in the water explains up to "
            f"{self.amount(self.answer.dissolution)} of it; turn it over a few times, wait, and read again"
        )

    def _fallen(self) -> float:
        days = self.answer.series.days
        return -(self.answer.slope or 0.0) * (days[-1] - days[0]).days / 365.25

    def _ruled_out(self) -> str:
        limit = self.answer.series.limit
        if limit is None:
            return f", and a leak above {self.slope(-(self.answer.slope_low or 0.0))} is ruled out at 95 %"
        return f", and even the steepest line that fits keeps it above {self.amount(limit)} for a year"

    def _could_hide(self) -> str:
        limit = self.answer.series.limit
        hidden = self.slope(max(-(self.answer.slope_low or 0.0), 0.0))
        if limit is None:
            return f"a leak of up to {hidden} could hide in these readings"
        if self.answer.level_low is not None and self.answer.level_low < limit:
            return f"at {self.amount(self.answer.level)} it stands so near its limit of {self.amount(limit)} that it may be below"
        return f"a leak of up to {hidden} could hide in these readings, enough to meet {self.amount(limit)} within a year"

    def _shown(self, verb: str) -> str:
        found = self.answer
        if found.kind == "slow-leak":
            return f"{verb} {self.slope(-(found.slope or 0.0))}{self.at_70f()}: a slow leak"
        if found.kind == "one-off-loss":
            between = f"between {day(found.loss_after)} and {day(found.loss_before)}"
            return f"{verb.replace('loses', 'lost')} {self.amount(found.loss)} once, {between}"
        return f"{verb} ({self.slope(-(found.slope or 0.0))} if it is a slow leak); a slow leak or a one-off loss cannot be told apart yet"

    def _trend(self) -> list[str]:
        found = self.answer
        if found.slope is None or found.slope_low is None or found.slope_high is None or found.kind == "unknown":
            return []
        change = (
            f"change per year {self.amount(found.slope)}, 95 % interval {self.amount(found.slope_low)} to {self.amount(found.slope_high)}"
        )
        if found.kind == "loss" and found.slope_high >= 0:
            change += " (it reaches zero because a one-off loss leaves no slope)"
        return [change, self._chances(), self.crossing()]

    def _chances(self) -> str:
        found = self.answer
        chance, shares = found.probabilities, found.shares
        if not shares or chance["none"] is None:
            return ""
        start = f"starting from {shares[0]:.0%} none, {shares[1]:.0%} leak, {shares[2]:.0%} one-off, which is an assumption of this program"
        if shares != PRIOR_SHARES:
            start = f"starting from {shares[0]:.0%}, {shares[1]:.0%} and {shares[2]:.0%}, the shares that this fleet shows"
        if chance["slow_leak"] is None or chance["one_off_loss"] is None:
            return f"probability of no loss {chance['none']:.2f} ({start}); too few readings to tell a leak from a one-off loss"
        each = f"none {chance['none']:.2f}, slow leak {chance['slow_leak']:.2f}, one-off loss {chance['one_off_loss']:.2f}"
        return f"probabilities: {each} ({start})"

    def crossing(self) -> str:
        """When the limit is met, if it is a slow leak; empty for other kinds."""
        found = self.answer
        crossing, limit = found.crossing, found.series.limit
        if found.kind not in ("slow-leak", "loss"):
            return ""
        if crossing is None or limit is None:
            return "no limit is given, so no date of crossing: give the low end of the operable band at 70 F (or the least weight)"
        if not crossing.bounded:
            early = f"; not before {day(crossing.earliest)}, if it is a leak" if crossing.earliest else ""
            return f"cannot bound the day on which {self.amount(limit)} is met{early}"
        early, late = day(crossing.earliest) if crossing.earliest else "some day before 1900", crossing.latest
        between = f"95 % between {early} and {day(late) if late else 'some day after 2099'}"
        told = "" if found.kind == "slow-leak" else "if it is a slow leak, "
        return f"{told}{self.amount(limit)} is met about {day(crossing.when) if crossing.when else 'some day after 2099'}, {between}"

    def _more(self) -> list[str]:
        found = self.answer
        said = []
        if found.weight_change and found.kind == "one-off-loss":
            change, u = found.weight_change
            lighter, sure = (for_people(value, "mass", system=self.system, digits=2) for value in (-change, 2 * u))
            said.append(
                f"it is {lighter} lighter since: agent went too, so it was used and is to be recharged"
                if change < -2 * u
                else f"its weight did not fall with it ({lighter} lighter, uncertain by {sure}): gas alone"
            )
        if found.leak_rate_std_cm3_s is not None:
            said.append(f"that is {found.leak_rate_std_cm3_s:.1e} std cm3/s; {_BUBBLES[found.bubble_test or 'misses']}")
        if found.rise and found.why != "rise":
            size, after, before = found.rise
            said.append(f"it also rose by {self.amount(size)} between {day(after)} and {day(before)}: was it charged? Give that date")
        if found.odd:
            days = ", ".join(day(found.series.days[number]) for number in found.odd)
            said.append(f"far off the rest: the reading of {days}; check the figure, its temperature and its gauge")
        return said

    def _basis(self) -> list[str]:
        found, series = self.answer, self.answer.series
        said = [f"set aside: {'; '.join(series.set_aside)}"] if series.set_aside else []
        gauges = len(set(series.gauges))
        if gauges > 1:
            noun = "scales" if series.evidence == "weight" else "gauges"
            said.append(f"{gauges} {noun} with a constant of their own each; the limit is met by the last one")
        if found.excess:
            said.append("the readings scatter more than the gauge and the thermometer explain, so their own scatter counts alone")
        if series.caution:
            said.append(series.caution)
        return said

    # -- what would change it

    def would_change(self) -> str:
        """The one fact that would change the verdict."""
        found = self.answer
        if found.next_reading:
            return self._next(found.next_reading)
        facts = {
            "few": "more readings with temperature, by the same gauge",
            "one-time": "a reading by the same gauge on another day",
            "rise": "the date of the charge that is not on record",
            "empty": "a second gauge that shows pressure",
            "below": "a check of its gauge against a master gauge that shows it reads low",
            "dissolution": "a reading after turning it over: if it falls no further, nothing leaks",
        }
        if found.why in facts:
            return facts[found.why]
        if found.kind == "one-off-loss" and found.weight_change:
            return "a record of a use, or of work on its valve or gauge, between those two days"
        if found.kind == "one-off-loss":
            return "its weight: lighter means it was used, unchanged means gas alone; and a look at the seal and the pin"
        if found.kind in ("slow-leak", "loss"):
            return "a check of its gauge against a master gauge that shows the gauge has drifted as much"
        low = None if found.level is None else found.level - 3 * max(found.series.u)
        return f"two readings in a row below {self.amount(low)}{self.at_70f()}"

    def _next(self, reading: NextReading) -> str:
        when = (
            f"one more reading by the same {'scale' if self.answer.series.evidence == 'weight' else 'gauge'} on or after {day(reading.on)}"
        )
        if reading.value is None:
            return f"{when}: it {reading.why}" if not reading.why.startswith("the last") else f"{when}, now if you can: {reading.why}"
        return f"{when}: at or below {self.amount(reading.value)}{self.at_70f()} means a {reading.below}, above it a {reading.above}"

    # -- for programs

    def as_json(self, system: str) -> dict[str, Any]:
        """The answer with its quantities in the asked system."""
        found, series = self.answer, self.answer.series
        return {
            "unit": series.facts.unit,
            "evidence": series.evidence,
            "kind": found.kind,
            "verdict": found.verdict,
            "readings": len(series.days),
            "first": series.days[0].isoformat() if series.days else None,
            "last": series.days[-1].isoformat() if series.days else None,
            "gauges": sorted(set(series.gauges)),
            "set_aside": list(series.set_aside),
            "level": self._level(found.level, system),
            "level_low": self._level(found.level_low, system),
            "level_high": self._level(found.level_high, system),
            "limit": self._level(series.limit, system),
            "slope": self._difference(found.slope, system, per="yr"),
            "slope_low": self._difference(found.slope_low, system, per="yr"),
            "slope_high": self._difference(found.slope_high, system, per="yr"),
            "detectable": self._difference(found.detectable, system, per="yr"),
            "probabilities": found.probabilities or None,
            "starting_shares": list(found.shares) if found.shares else None,
            "loss": self._difference(found.loss, system),
            "loss_after": found.loss_after.isoformat() if found.loss_after else None,
            "loss_before": found.loss_before.isoformat() if found.loss_before else None,
            "crossing": self._crossing_json(),
            "next_reading": self._next_json(system),
            "leak_rate_std_cm3_s": found.leak_rate_std_cm3_s,
            "bubble_test": found.bubble_test,
            "dissolution": self._difference(found.dissolution, system),
            "odd_readings": [series.days[number].isoformat() for number in found.odd],
            "would_change": self.would_change(),
            "because": self.because(),
        }

    def _level(self, value: float | None, system: str) -> dict[str, float | str] | None:
        return as_json(value, self.dimension, system=system, kind="gauge" if self.dimension == "pressure" else None)

    def _difference(self, value: float | None, system: str, *, per: str = "") -> dict[str, float | str] | None:
        return as_json(value, self.dimension, system=system, per=per)

    def _crossing_json(self) -> dict[str, Any] | None:
        crossing = self.answer.crossing
        if crossing is None:
            return None
        ends = (crossing.when, crossing.earliest, crossing.latest)
        when, earliest, latest = (end.isoformat() if end else None for end in ends)
        return {"date": when, "earliest": earliest, "latest": latest, "bounded": crossing.bounded, "if": "slow leak"}

    def _next_json(self, system: str) -> dict[str, Any] | None:
        reading = self.answer.next_reading
        if reading is None:
            return None
        return {
            "date": reading.on.isoformat(),
            "value": self._level(reading.value, system),
            "at_or_below": reading.below or None,
            "above": reading.above or None,
            "why": reading.why,
        }


def in_words_unit(value: float, words: Words) -> float:
    """A value of the evidence in the unit of the words, for the picture."""
    units = {("pressure", "us"): "psi", ("pressure", "metric"): "bar", ("mass", "us"): "lb", ("mass", "metric"): "kg"}
    return in_unit(value, words.dimension, units[(words.dimension, words.system)])
