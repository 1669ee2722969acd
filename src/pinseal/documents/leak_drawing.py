"""From a leak answer to the plain numbers of its picture."""

from __future__ import annotations

from dataclasses import replace

from pinseal.documents.leak_plot import LeakPicture
from pinseal.physics import leak_outlook as outlook
from pinseal.rules.leak_series import year_of
from pinseal.rules.leak_words import KIND_LABELS, Words, in_words_unit
from pinseal.rules.leaks import LeakAnswer

_VERDICTS = {"fail": "fail", "too-close": "too close to call", "unknown": "unknown", "pass": "pass"}
_DAYS_AHEAD = 183
_POINTS = 40


def picture_of(answer: LeakAnswer, system: str) -> LeakPicture:
    """What is drawn of an answer, in people's units. The line goes half a year past the last reading, or to the next one."""
    words, series = Words(answer, system), answer.series
    line, lower, upper = _lines(answer, words)
    crossing = None
    if answer.crossing and answer.crossing.bounded and answer.crossing.earliest and answer.crossing.latest:
        crossing = (answer.crossing.earliest.toordinal(), answer.crossing.latest.toordinal())
    unit = {"pressure": {"us": "psi", "metric": "bar"}, "mass": {"us": "lb", "metric": "kg"}}[words.dimension][words.system]
    return LeakPicture(
        unit_name=series.facts.unit[:40],
        verdict=answer.verdict,
        verdict_words=f"{_VERDICTS[answer.verdict]}, {KIND_LABELS[answer.kind]}" if answer.kind != "unknown" else "unknown",
        sentence=_sentence(words),
        unit=unit,
        value_words=f"gauge reading at 70 F, {unit}" if words.dimension == "pressure" else f"weight, {unit}",
        days=[day.toordinal() for day in series.days],
        values=[in_words_unit(value, words) for value in series.values],
        gauges=series.gauges,
        odd=answer.odd,
        line=line,
        lower=lower,
        upper=upper,
        limit=None if series.limit is None else in_words_unit(series.limit, words),
        limit_words="" if series.limit is None else f"limit {words.amount(series.limit)}",
        crossing=crossing,
    )


def _sentence(words: Words) -> str:
    """The reason, and where the limit may be met."""
    reason = words.because()[0]
    met = words.crossing() if words.answer.crossing and words.answer.crossing.bounded else ""
    return (reason[:1].upper() + reason[1:] + (f"; {met}" if met else "")) + "."


def _ahead(answer: LeakAnswer, first: int, last: int) -> int:
    """How far past the last reading the line goes [days]: to the day on which the limit is met, where that is near enough to be seen."""
    crossing = answer.crossing
    if crossing is None or not crossing.bounded or crossing.latest is None:
        return _DAYS_AHEAD
    return max(_DAYS_AHEAD, min(crossing.latest.toordinal() - last + 30, 2 * (last - first)))


_Pairs = list[tuple[float, float]]


def _lines(answer: LeakAnswer, words: Words) -> tuple[_Pairs, _Pairs, _Pairs]:
    """The chosen model for the last gauge with its interval; nothing where no model was chosen."""
    unit, series = answer.line, answer.series
    if unit is None or answer.kind == "unknown":
        return [], [], []
    first, last = series.days[0].toordinal(), series.days[-1].toordinal()
    offset = first - year_of(series.days[0]) * 365.25
    end = last + _ahead(answer, first, last)
    days = [first + (end - first) * n / _POINTS for n in range(_POINTS + 1)]
    middle, reach = [], []
    for day in days:
        if answer.kind == "one-off-loss" and answer.loss_before is not None:
            after = day >= answer.loss_before.toordinal()
            share = unit.after_share if after else 1.0 - unit.after_share
            flat = replace(unit, slope_se=0.0, weight=unit.weight * max(share, 1e-9))
            middle.append(outlook.level_after(unit) - (0.0 if after else unit.step))
            reach.append(outlook.line(flat, 0.0)[1])
        else:
            at, wide = outlook.line(unit, (day - offset) / 365.25)
            middle.append(at)
            reach.append(wide)
    pairs = [[in_words_unit(m + sign * r, words) for m, r in zip(middle, reach, strict=True)] for sign in (0, -1, 1)]
    line, lower, upper = (list(zip(days, values, strict=True)) for values in pairs)
    return line, lower, upper
