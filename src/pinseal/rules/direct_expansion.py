"""The verdict of a direct expansion test, by the table of a standard, with the scientific equation beside it as a flag."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from pinseal.kinds import CHECKED
from pinseal.measures import GaugePa
from pinseal.physics.expansion import CM3, WATER_TABLES, WaterTable, compression_share, direct_total_m3, expansion, tolerance_m3
from pinseal.rules.pressure_tests import ExpansionVerdict, Marking, checked_test_pa, judge_expansion

# Regulatory tables were found 0.2 to 2 % above the scientific equation. Beyond this something else is wrong.
_TABLE_ABOVE = (0.0, 0.025)


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectTest:
    """The readings of a direct test: volumes exact [m3], the water's temperature [K], the table of the report, the pressure [Pa]."""

    forced_in_m3: Fraction
    take_up_m3: Fraction
    permanent_m3: Fraction
    water_capacity_m3: Fraction
    water_k: float
    table: str
    marking: Marking
    test_pa: Fraction
    on: date
    rejection_m3: Fraction | None = None
    accuracy_m3: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectVerdict:
    """The verdict by the standard's table, and what the scientific equation would have made of the same readings."""

    verdict: ExpansionVerdict
    table: WaterTable
    share: float
    share_iapws: float
    total_iapws_m3: Fraction
    percent_iapws: float


def _total(test: DirectTest, share: float) -> Fraction:
    return direct_total_m3(
        forced_in_m3=test.forced_in_m3, take_up_m3=test.take_up_m3, water_capacity_m3=test.water_capacity_m3, share=share
    )  # fmt: skip


def judge_direct(test: DirectTest) -> DirectVerdict:
    """Judge by the chosen table; near where the scientific equation would change the verdict. Raises `Refusal` outside the table."""
    pressure = GaugePa(float(checked_test_pa(test.test_pa)))
    table = WATER_TABLES[test.table]
    share = compression_share(table=test.table, test_gauge_pa=pressure, water_k=test.water_k)
    scientific = compression_share(table="iapws-95", test_gauge_pa=pressure, water_k=test.water_k)
    volumes = expansion(total_m3=_total(test, share), permanent_m3=test.permanent_m3)
    found = judge_expansion(
        volumes, marking=test.marking, test_pa=test.test_pa, on=test.on, rejection_m3=test.rejection_m3, accuracy_m3=test.accuracy_m3
    )  # fmt: skip
    other_total = _total(test, scientific)
    other = 100 * test.permanent_m3 / other_total
    shift = (other_total - volumes.total_m3) / volumes.total_m3
    words = [
        f"by the {table.title} ({CHECKED[table.checked]}) the water gave way by {share:.5f} of its volume, so the shell grew by "
        f"{float(volumes.total_m3 / CM3):.5g} cm3",
        f"by IAPWS-95 it would be {scientific:.5f}, total {float(other_total / CM3):.5g} cm3 ({float(shift):+.1%}), "
        f"permanent {float(other):.2f} %: a flag only; the table of your standard governs",
    ]
    cautions = list(found.cautions)
    if not _TABLE_ABOVE[0] <= share / scientific - 1 <= _TABLE_ABOVE[1]:
        cautions.append(f"table and IAPWS-95 differ by {share / scientific - 1:+.1%}, more than tables do: check temperature and pressure")
    changes = (other <= found.limit.percent) is not (volumes.percent_permanent <= found.limit.percent)
    if changes:
        words.append("the two tables would give different verdicts: test again in a water jacket if you can")
    spread = _spread_m3(test, volumes.total_m3)
    cautions.append(f"the water's temperature, known to 1 K, moves the total by about {float(spread / CM3):.2g} cm3")
    verdict = replace(
        found, near=found.near or changes, because=(found.because[0], *words, *found.because[1:]), cautions=tuple(cautions)
    )  # fmt: skip
    return DirectVerdict(
        verdict=verdict, table=table, share=share, share_iapws=scientific, total_iapws_m3=other_total, percent_iapws=float(other)
    )  # fmt: skip


def _spread_m3(test: DirectTest, total_m3: Fraction) -> Fraction:
    """How much 1 K of the water moves the total [m3], by the scientific equation, which reaches beyond every table."""
    pressure = GaugePa(float(test.test_pa))
    low, high = (compression_share(table="iapws-95", test_gauge_pa=pressure, water_k=test.water_k + d) for d in (0.0, 1.0))
    assert tolerance_m3(total_m3) > 0, "a test has a total above zero"
    return abs(Fraction(high) - Fraction(low)) * (test.water_capacity_m3 + test.forced_in_m3 - test.take_up_m3)
