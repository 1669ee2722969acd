"""Which test earns a stamp, and each reason why one does not."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.measures import PSI_PA
from pinseal.physics.expansion import CM3
from pinseal.reasons import Refusal
from pinseal.rules.requalification import Requalifier, TestOnRecord, checked_requalifier, exact_words, stamp_of, weigh

DAY = date(2026, 11, 20)
OURS = Requalifier(number="Z019", until=DAY)


def jacket(**changes):
    said = {
        "on": DAY,
        "passed": True,
        "method": "water-jacket",
        "specification": "DOT-3AL1800",
        "pressure_pa": 3000 * PSI_PA,
        "total_m3": 180 * CM3,
        "permanent_m3": 18 * CM3,
    }
    return TestOnRecord(**(said | changes))


def proof(**changes):
    said = {"on": DAY, "passed": True, "method": "proof-pressure", "specification": "4BW240", "pressure_pa": 480 * PSI_PA}
    return TestOnRecord(**(said | changes))


def stamped(test, requalifier=OURS, against=""):
    return stamp_of(test, weigh(test), requalifier, against)


def test_exactly_the_limit_earns_the_stamp():
    stamp, why = stamped(jacket())
    assert (stamp.month, stamp.number, stamp.year, stamp.letter, why) == ("11", "Z019", "26", "", ())


def test_a_hair_over_the_limit_does_not_even_where_it_was_recorded_as_passed():
    stamp, why = stamped(jacket(permanent_m3=18 * CM3 + Fraction(1, 10**18)))
    assert stamp is None
    assert "exceeds the 10 % allowed" in why[0]


def test_the_last_day_of_an_approval_counts_and_the_day_after_does_not():
    assert stamped(jacket())[0] is not None
    stamp, (why,) = stamped(jacket(on=DAY + timedelta(days=1)))
    assert stamp is None
    assert "the approval ended on 2026-11-20" in why


@pytest.mark.parametrize(
    ("test", "requalifier", "against", "words"),
    [
        (jacket(passed=False), OURS, "", "it did not pass"),
        (jacket(), None, "", "no requalifier's number"),
        (jacket(method=None), OURS, "", "the method is not on record"),
        (jacket(specification=None), OURS, "", "no specification is on record"),
        (jacket(specification="none"), OURS, "", "it bears no specification"),
        (jacket(specification="DOT-SP 10915"), OURS, "", "this cylinder specification is not known"),
        (jacket(specification="DOT-39"), OURS, "", "not requalified by a pressure test"),
        (jacket(total_m3=None), OURS, "", "its expansion is not on record"),
        (jacket(permanent_m3=181 * CM3), OURS, "", "larger than the total"),
        (jacket(pressure_pa=2990 * PSI_PA), OURS, "", "below the 3000 psi"),
        (jacket(pressure_pa=None), OURS, "", "the test pressure is not on record"),
        (jacket(), OURS, "the jacket was not checked", "the jacket was not checked"),
        (proof(specification="DOT-3AL1800", pressure_pa=3000 * PSI_PA), OURS, "", "3AL is tested by volume"),
        (proof(pressure_pa=479 * PSI_PA), OURS, "", "below the 480 psi"),
    ],
)
def test_each_reason_withholds_the_stamp(test, requalifier, against, words):
    stamp, why = stamped(test, requalifier, against)
    assert stamp is None
    assert any(words in each for each in why)


def test_a_shell_without_a_stamp_is_held_against_its_factory_pressure():
    plain = proof(specification="none", pressure_pa=584 * PSI_PA, factory_pa=585 * PSI_PA)
    assert "below the factory test pressure" in weigh(plain).against[0]
    assert weigh(proof(specification="none", pressure_pa=585 * PSI_PA, factory_pa=585 * PSI_PA)).against == ()


def test_a_test_that_failed_has_nothing_that_speaks_against_its_record():
    assert weigh(jacket(passed=False, permanent_m3=30 * CM3, pressure_pa=100 * PSI_PA)).against == ()


@pytest.mark.parametrize("number", ["", "Z01", "Z0199", "Z 19", "Ž019", "Z-19"])
def test_a_number_that_fills_no_square_is_refused(number):
    with pytest.raises(Refusal, match="four letters or figures"):
        checked_requalifier(number)


@given(st.fractions(min_value=0, max_value=100))
def test_figures_are_cut_off_and_never_rounded(value):
    words = exact_words(value, apart_from=Fraction(10))
    shown = Fraction(words.rstrip("…"))
    assert shown == value if not words.endswith("…") else shown < value
    assert (shown > 10) <= (value > 10)
    assert (words == "10") is (value == 10)
