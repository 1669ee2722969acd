"""Whether the instruments of a pressure test are fit for it: gauge, pump, and the daily check with a calibrated cylinder."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinseal.measures import PSI_PA
from pinseal.physics.expansion import cm3_words
from pinseal.reasons import Refusal
from pinseal.standards.pressure_tests import Instrument, Source, pressure_tests


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One demand on an instrument, whether it is met, and the sentence that says so."""

    code: str
    met: bool
    text: str
    source: Source

    def as_json(self) -> dict[str, object]:
        return {"code": self.code, "met": self.met, "because": self.text, "source": self.source.as_json()}


@dataclass(frozen=True, slots=True, kw_only=True)
class TestGauge:
    """A test gauge: range [Pa], accuracy [percent of the range], step between marks [Pa], last good calibration. None is not said."""

    __test__ = False
    range_pa: Fraction | None = None
    accuracy_percent: Fraction | None = None
    division_pa: Fraction | None = None
    calibrated_on: date | None = None


def _demand(name: str) -> Instrument:
    return next(entry for entry in pressure_tests().instruments if entry.id == name)


def _percent(value: Fraction | None) -> Fraction:
    assert value is not None, "the data file gives this demand a percent"
    return value


def psi(pa: Fraction) -> str:
    """A pressure in psi with its bar, for people."""
    value = pa / PSI_PA
    if abs(value) > 10**9:
        return "over a thousand million psi"
    return f"{float(value):,.6g} psi ({float(pa) / 1e5:.4g} bar)".replace(",", "")


def add_months(day: date, months: int) -> date:
    """The same day some months later; the last day of the month where that day does not exist.

    >>> add_months(date(2026, 1, 15), 3), add_months(date(2025, 8, 31), 6)
    (datetime.date(2026, 4, 15), datetime.date(2026, 2, 28))
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not 1 <= year <= 9999:
        raise Refusal(what="this date cannot be counted on from", rule="years run to 9999", got=day.isoformat(), do="check the date")
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def span_pa(test_pa: Fraction) -> tuple[Fraction, Fraction]:
    """The pressures a test gauge must show [Pa]: 90 to 110 % of the test pressure."""
    span = _demand("gauge-span")
    return test_pa * _percent(span.percent_low) / 100, test_pa * _percent(span.percent_high) / 100


def readable_pa(test_pa: Fraction) -> Fraction:
    """What a test gauge must be readable to [Pa]: 1 % of the test pressure."""
    return test_pa * _percent(_demand("gauge-readable").percent) / 100


def pump_least_pa(test_pa: Fraction) -> Fraction:
    """What the pump must be able to give [Pa]: 150 % of the test pressure."""
    return test_pa * _percent(_demand("pump").percent) / 100


def gauge_error_pa(range_pa: Fraction) -> Fraction:
    """How far a test gauge may err [Pa]: 0.5 % of its range."""
    return range_pa * _percent(_demand("gauge-accuracy").percent) / 100


def _range(gauge: TestGauge, test_pa: Fraction) -> Finding | None:
    if gauge.range_pa is None:
        return None
    low, high = span_pa(test_pa)
    met = gauge.range_pa >= high
    words = f"the gauge must show {psi(low)} to {psi(high)}; its range ends at {psi(gauge.range_pa)}"
    return Finding(code="gauge-range", met=met, text=words, source=_demand("gauge-span").source)


def _accuracy(gauge: TestGauge) -> Finding | None:
    if gauge.accuracy_percent is None:
        return None
    demand = _demand("gauge-accuracy")
    allowed = _percent(demand.percent)
    words = f"the gauge may err by {float(allowed):g} % of its range; this one may err by {float(gauge.accuracy_percent):g} %"
    if gauge.range_pa is not None:
        words += f", that is {psi(gauge.range_pa * gauge.accuracy_percent / 100)}"
    return Finding(code="gauge-accuracy", met=gauge.accuracy_percent <= allowed, text=words, source=demand.source)


def _division(gauge: TestGauge, test_pa: Fraction) -> Finding | None:
    if gauge.division_pa is None:
        return None
    # A reading midway between two marks counts, so the step may be twice what must be readable.
    met = gauge.division_pa <= 2 * readable_pa(test_pa)
    words = (
        f"the gauge must be readable to {psi(readable_pa(test_pa))}; its marks stand {psi(gauge.division_pa)} apart, readable to half of it"
    )
    return Finding(code="gauge-readable", met=met, text=words, source=_demand("gauge-readable").source)


def calibrated_until(calibrated_on: date) -> date:
    """The last day on which a test gauge calibrated then may be used: six months on, that day included."""
    months = _demand("gauge-calibrated").months
    assert months is not None, "the data file gives this demand an interval"
    return add_months(calibrated_on, months)


def _calibration(gauge: TestGauge, tested_on: date | None) -> Finding | None:
    if gauge.calibrated_on is None or tested_on is None:
        return None
    last = calibrated_until(gauge.calibrated_on)
    met = gauge.calibrated_on <= tested_on <= last
    words = (
        f"the gauge was calibrated on {gauge.calibrated_on.isoformat()}, good to {last.isoformat()}; the test is of {tested_on.isoformat()}"
    )
    return Finding(code="calibration-lapsed", met=met, text=words, source=_demand("gauge-calibrated").source)


def gauge_findings(gauge: TestGauge, *, test_pa: Fraction, tested_on: date | None) -> tuple[Finding, ...]:
    """Every demand on the gauge that can be judged from what was said: range, accuracy, marks, calibration."""
    found = (_range(gauge, test_pa), _accuracy(gauge), _division(gauge, test_pa), _calibration(gauge, tested_on))
    return tuple(finding for finding in found if finding is not None)


def pump_finding(*, test_pa: Fraction, pump_pa: Fraction) -> Finding:
    """Whether the pump can give 150 % of the test pressure."""
    words = f"the pump must be able to give {psi(pump_least_pa(test_pa))}; this one gives {psi(pump_pa)}"
    return Finding(code="pump", met=pump_pa >= pump_least_pa(test_pa), text=words, source=_demand("pump").source)


def daily_limit() -> tuple[Fraction, str]:
    """How far a jacket may be off its calibrated cylinder [percent], and where that is from."""
    demand = _demand("daily-check")
    return _percent(demand.percent), demand.source.for_people()


def daily_check(*, certified_m3: Fraction, read_m3: Fraction, permanent_m3: Fraction = Fraction(0)) -> Finding:
    """The first work of a testing day: a calibrated cylinder must read within 1 % of its certificate. Exactly 1 % is within.

    The volumes are expansions at the same pressure [m3]; `permanent_m3` is what stayed of the one that was read, and a calibrated
    cylinder shows none (49 CFR 180.205(g)(4), public copy as amended to 2010-09-01). Raises `Refusal` for volumes that cannot be.
    """
    if certified_m3 <= 0 or read_m3 <= 0 or permanent_m3 < 0:
        raise Refusal(
            what="this is not a daily check",
            rule="certified and read expansion are both above zero",
            got="a volume of zero, or below",
            do="pressurise the calibrated cylinder to a pressure on its certificate and read again",
        )
    demand = _demand("daily-check")
    off = 100 * abs(read_m3 - certified_m3) / certified_m3
    met = off <= _percent(demand.percent) and permanent_m3 == 0
    words = (
        f"the calibrated cylinder reads {cm3_words(read_m3)} for {cm3_words(certified_m3)}, "
        f"{float(min(off, Fraction(10**6))):.2f} % off; {float(_percent(demand.percent)):g} % is allowed"
    )
    if permanent_m3 > 0:
        words += f"; {cm3_words(permanent_m3)} of it stayed, and a calibrated cylinder shows no permanent expansion"
    return Finding(code="daily-check", met=met, text=words, source=demand.source)
