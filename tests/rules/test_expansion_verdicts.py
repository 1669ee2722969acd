"""The verdict of an expansion test: exact at the limit, near where the instrument could change it, refusals for unknown stamps."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.kinds import CYLINDER_SPECIFICATIONS
from pinseal.measures import PSI_PA
from pinseal.physics.expansion import CM3, expansion
from pinseal.reasons import Refusal
from pinseal.rules.direct_expansion import DirectTest, judge_direct
from pinseal.rules.pressure_tests import (
    OF_EXPANSION_ALONE,
    ExpansionVerdict,
    judge_expansion,
    least_test_pa,
    limit_of,
    parse_specification,
    percent_words,
    retest_pa,
)

ON = date(2026, 11, 24)


def judged(total: str, permanent: str, spec: str = "3AA1800", *, psi: int = 3000, on: date = ON, **more: Fraction) -> ExpansionVerdict:
    volumes = expansion(total_m3=Fraction(total) * CM3, permanent_m3=Fraction(permanent) * CM3)
    return judge_expansion(volumes, marking=parse_specification(spec), test_pa=psi * PSI_PA, on=on, **more)


@pytest.mark.parametrize(
    ("total", "permanent", "spec", "psi", "verdict", "near"),
    [
        ("180.0", "18.0", "3AA1800", 3000, "pass", True),
        ("180.0", "18.1", "3AA1800", 3000, "fail", True),
        ("152.4", "15.2", "3AA1800", 3000, "pass", True),
        ("152.4", "15.3", "3AA1800", 3000, "fail", True),
        ("92.0", "8.4", "DOT-3AA1800", 3000, "pass", True),
        ("92.0", "9.6", "DOT-3AA1800", 3000, "fail", True),
        ("56.3", "0.3", "3AA2400", 4000, "pass", False),
        ("100", "40", "3AA1800", 3000, "fail", False),
        ("100", "12", "4E240", 480, "pass", True),
        ("100", "12.001", "4E240", 480, "fail", True),
        ("100", "12", "4BW240", 480, "fail", False),
        ("100", "10.5", "4BW240", 480, "fail", True),
        ("100", "0", "3AL2015", 3360, "pass", False),
    ],
)
def test_the_limit_is_compared_before_any_rounding(total: str, permanent: str, spec: str, psi: int, verdict: str, near: bool) -> None:
    found = judged(total, permanent, spec, psi=psi)
    assert (found.verdict, found.near) == (verdict, near)


@given(st.integers(10**4, 10**9), st.sampled_from([10, 12]))
def test_one_part_in_a_thousand_million_decides(total: int, limit: int) -> None:
    spec, psi = ("4E240", 480) if limit == 12 else ("3AA1800", 3000)
    volume = Fraction(total, 10**4) * CM3
    at_limit = expansion(total_m3=volume, permanent_m3=volume * limit / 100)
    above = expansion(total_m3=volume, permanent_m3=volume * limit / 100 + Fraction(1, 10**30))
    marking = parse_specification(spec)
    for volumes, verdict in ((at_limit, "pass"), (above, "fail")):
        found = judge_expansion(volumes, marking=marking, test_pa=psi * PSI_PA, on=ON)
        assert found.verdict == verdict
        assert found.near


def test_the_reason_comes_first_and_a_pass_speaks_of_expansion_alone() -> None:
    found = judged("92.0", "8.4")
    assert found.because[0].startswith("9.13 % of the total expansion stayed; that is within the 10 % allowed")
    assert "49 CFR 180.205(i)(1), read in a public copy" in found.because[0]
    assert found.because[-1] == OF_EXPANSION_ALONE


def test_a_percent_shows_on_which_side_it_lies() -> None:
    assert percent_words(Fraction("10.00001"), Fraction(10)) == "10.00001 %"
    assert percent_words(Fraction(10), Fraction(10)) == "10.00 %"
    assert percent_words(Fraction("9.9999"), Fraction(10)) == "9.9999 %"


def test_an_instrument_better_than_the_rule_makes_it_less_near() -> None:
    assert judged("92.0", "8.4").near
    assert not judged("92.0", "8.4", accuracy_m3=CM3 / 10).near


@pytest.mark.parametrize(("rejection", "verdict"), [("56.0", "pass"), ("55.9", "fail"), ("66.3", "pass")])
def test_the_marked_rejection_elastic_expansion(rejection: str, verdict: str) -> None:
    found = judged("56.3", "0.3", "3AA2400", psi=4000, rejection_m3=Fraction(rejection) * CM3)
    assert found.verdict == verdict
    assert ("marked rejection limit" in found.because[0]) is (verdict == "fail")


def test_near_the_rejection_limit_is_near() -> None:
    assert judged("56.3", "0.3", "3AA2400", psi=4000, rejection_m3=Fraction("56.2") * CM3).near


def test_a_3ht_needs_its_marked_limit() -> None:
    with pytest.raises(Refusal, match="rejection elastic"):
        judged("56.3", "0.3", "3HT1850", psi=3100)
    with pytest.raises(Refusal, match="not a rejection"):
        judged("56.3", "0.3", "3HT1850", psi=3100, rejection_m3=Fraction(0))


def test_a_test_below_the_smallest_pressure_is_no_requalification() -> None:
    low, exact = judged("92.0", "8.4", psi=2999), judged("92.0", "8.4", psi=3000)
    assert (low.pressure_enough, exact.pressure_enough) == (False, True)
    assert "no valid requalification" in low.because[1]
    assert low.cautions == ()


def test_a_stamp_without_service_pressure_says_so() -> None:
    found = judged("92.0", "8.4", "3AA")
    assert found.pressure_enough is None
    assert "no service pressure" in found.cautions[0]


def test_a_pressure_far_above_and_a_permanent_of_zero_are_asked_about() -> None:
    assert any("110 %" in caution for caution in judged("92.0", "8.4", psi=3400).cautions)
    assert any("exactly zero" in caution for caution in judged("92.0", "0").cautions)


@pytest.mark.parametrize(
    ("text", "code", "psi"),
    [
        ("DOT-3AA1800", "3AA", 1800),
        ("dot 3aa 1800", "3AA", 1800),
        ("3AA-2015", "3AA", 2015),
        ("ICC-3A2015", "3A", 2015),
        ("3AL1800", "3AL", 1800),
        ("4BW240", "4BW", 240),
        ("4BA240", "4BA", 240),
        ("4B500", "4B", 500),
        ("4B240ET", "4B240ET", 240),
        ("4E240", "4E", 240),
        ("3AAX2400", "3AAX", 2400),
        ("ICC-3", "3", None),
        ("DOT-3 2000", "3", 2000),
        ("3AL", "3AL", None),
    ],
)
def test_stamps_are_read_as_marked(text: str, code: str, psi: int | None) -> None:
    marking = parse_specification(text)
    assert (marking.code, marking.service_pa) == (code, None if psi is None else psi * PSI_PA)
    assert marking.code in CYLINDER_SPECIFICATIONS


@pytest.mark.parametrize(
    "text", ["", "XYZ", "3AB1800", "TC-3ALM124", "DOT-SP 10915", "3AA1800psi!", "31800", "4BW9", "3AA99999", "3AA0050", "nan", "8AL"]
)
def test_unknown_stamps_are_refused(text: str) -> None:
    with pytest.raises(Refusal):
        parse_specification(text)


@pytest.mark.parametrize("text", ["3E1800", "DOT-39"])
def test_what_is_never_tested_is_refused(text: str) -> None:
    with pytest.raises(Refusal, match="not requalified by a pressure test"):
        limit_of(parse_specification(text), ON)


def test_every_specification_has_an_answer() -> None:
    for code in CYLINDER_SPECIFICATIONS:
        if code in ("none", "3E", "39"):
            continue
        marking = parse_specification(code if code in ("3", "4B240ET") else f"{code}500")
        assert limit_of(marking, ON).percent in (10, 12)
        least_test_pa(marking, ON)


def test_a_day_before_the_data_is_refused() -> None:
    judged("92.0", "8.4", on=date(2002, 10, 1))
    with pytest.raises(Refusal) as refused:
        judged("92.0", "8.4", on=date(2002, 9, 30))
    assert "2002-10-01" in refused.value.rule


@pytest.mark.parametrize("psi", [0, -3000, 49, 15_001])
def test_a_pressure_that_is_no_test_pressure_is_refused(psi: int) -> None:
    with pytest.raises(Refusal, match="not a test pressure"):
        judged("92.0", "8.4", psi=psi)


@pytest.mark.parametrize(("psi", "repeat"), [(480, 528), (1000, 1100), (3000, 3100)])
def test_a_repeat_is_ten_percent_or_a_hundred_psi_more(psi: int, repeat: int) -> None:
    assert retest_pa(psi * PSI_PA) == repeat * PSI_PA


# -- direct expansion


def direct(permanent: str, *, table: str = "k-form", accuracy: str | None = None) -> DirectTest:
    return DirectTest(
        forced_in_m3=790 * CM3,
        take_up_m3=60 * CM3,
        permanent_m3=Fraction(permanent) * CM3,
        water_capacity_m3=49_000 * CM3,
        water_k=291.15,
        table=table,
        marking=parse_specification("3AA1950"),
        test_pa=Fraction(225 * 10**5),
        on=ON,
        accuracy_m3=None if accuracy is None else Fraction(accuracy) * CM3,
    )


def test_the_equation_shifts_total_and_percent_by_the_same_share() -> None:
    found = judge_direct(direct("6"))
    shift = float(found.total_iapws_m3 / found.verdict.expansion.total_m3) - 1
    assert shift == pytest.approx(0.028, abs=0.001)
    assert float(found.verdict.expansion.percent_permanent) / found.percent_iapws - 1 == pytest.approx(shift, rel=1e-9)
    assert found.verdict.verdict == "pass"


def test_both_standard_tables_give_the_same_total_within_their_last_figure() -> None:
    first, second = (judge_direct(direct("6", table=table)).verdict.expansion.total_m3 for table in ("k-form", "gb-t-9251"))
    assert float(first / second) == pytest.approx(1, abs=0.006)


def test_where_the_tables_would_decide_differently_it_is_near() -> None:
    """22.6 cm3 is 10.09 % by the table and 9.82 % by the equation, even on a perfect instrument."""
    found = judge_direct(direct("22.6", accuracy="0"))
    assert (found.verdict.verdict, found.verdict.near) == ("fail", True)
    assert any("different verdicts" in line for line in found.verdict.because)
    assert not judge_direct(direct("6", accuracy="0")).verdict.near
