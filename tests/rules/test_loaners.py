"""Which unit may stand in for which, and by when the owner's own is back."""

from __future__ import annotations

from datetime import date

import pytest

from pinseal.reasons import Refusal
from pinseal.records.unit import Nameplate
from pinseal.rules.loaners import UNPROTECTED, Loaner, LoanerVerdict, back_by, may_stand_in
from pinseal.units import parse_quantity


def plate(agent: str | None, rating: str | None = None, size: str | None = None) -> Nameplate:
    return Nameplate(agent=agent, rating=rating, size=parse_quantity(size) if size else None)


def ask(loaner: Nameplate, original: Nameplate, hazard: str | None = None) -> LoanerVerdict:
    return may_stand_in(Loaner(plate=loaner, overdue=()), original, hazard=hazard)


ABC_4A = plate("abc", "4-A:80-B:C", "10 lb")
WET = plate("wet-chemical", "2-A:K", "6 l")


@pytest.mark.parametrize(
    ("rating", "verdict"), [("3-A:80-B:C", "fail"), ("4-A:80-B:C", "pass"), ("6-A:80-B:C", "pass"), ("10-B:C", "fail")]
)
def test_a_loaner_is_of_equal_or_better_rating(rating: str, verdict: str) -> None:
    assert ask(plate("abc", rating), ABC_4A).verdict == verdict


def test_another_agent_of_the_same_rating_passes_with_a_warning() -> None:
    found = ask(ABC_4A, plate("co2", "10-B:C"))
    assert found.verdict == "pass"
    assert any("can bear it" in text for text in found.because)
    assert not any("can bear it" in text for text in ask(ABC_4A, ABC_4A).because)


def test_a_hazard_is_not_settled_by_size_alone() -> None:
    bare = plate("co2", None, "10 lb")
    assert ask(bare, bare).verdict == "pass"
    assert ask(bare, bare, "A").verdict == "unknown"
    kitchen = plate("wet-chemical", None, "6 l")
    assert ask(kitchen, kitchen, "K").verdict == "pass"


def test_every_answer_names_its_rules() -> None:
    said = [source.for_people() for source in ask(ABC_4A, ABC_4A).sources]
    assert said[0].startswith("NFPA 10 7.1.3, from memory")
    assert "29 CFR 1910.157 (e)(5), read in a public copy of the text" in said
    assert "19 CCR 591.5, read in a public copy of the text" in said


def test_a_loaner_carries_the_letters_of_the_hazard_too() -> None:
    original = plate("abc", "2-A")
    assert ask(plate("water", "2-A"), original, "A").verdict == "pass"
    assert ask(plate("water", "2-A"), original, "A:B").verdict == "fail"
    assert ask(plate("abc", "2-A:10-B:C"), original, "A:B").verdict == "pass"


@pytest.mark.parametrize("original", [WET, plate("wet-chemical"), plate(None, "K"), plate(None, "75F")])
@pytest.mark.parametrize("agent", ["abc", "sodium-bicarbonate", "co2", "water"])
def test_a_kitchen_spot_takes_wet_chemical_alone(original: Nameplate, agent: str) -> None:
    found = ask(plate(agent, "40-A:120-B:C", "20 lb"), original)
    assert found.verdict == "fail"
    assert UNPROTECTED in found.because[0]


@pytest.mark.parametrize("hazard", ["K", "F", "a:k"])
def test_a_kitchen_hazard_alone_bars_an_abc_loaner_even_where_abc_hung(hazard: str) -> None:
    found = ask(ABC_4A, ABC_4A, hazard)
    assert found.verdict == "fail"
    assert "unprotected" in found.because[0]


def test_wet_chemical_covers_a_kitchen_and_a_smaller_one_is_said() -> None:
    assert ask(WET, WET, "K").verdict == "pass"
    assert ask(plate(None, "K"), WET).verdict == "fail"
    assert ask(plate(None, "2-A:K"), WET).verdict == "unknown"
    smaller = ask(plate("wet-chemical", "K", "3 l"), plate("wet-chemical", "K", "6 l"))
    assert smaller.verdict == "pass"
    assert any("smaller" in text for text in smaller.because)


@pytest.mark.parametrize(
    ("loaner", "original", "verdict"),
    [
        ("class-d-copper", "class-d-copper", "pass"),
        ("class-d-sodium-chloride", "class-d-copper", "fail"),
        ("class-d", "class-d-copper", "unknown"),
        ("class-d-copper", "class-d", "unknown"),
        ("abc", "class-d", "fail"),
        (None, "class-d-copper", "unknown"),
    ],
)
def test_a_metal_fire_takes_its_own_powder_alone(loaner: str | None, original: str, verdict: str) -> None:
    assert ask(plate(loaner, "D"), plate(original, "D")).verdict == verdict


def test_a_class_d_hazard_with_another_unit_there_is_not_settled_by_any_powder() -> None:
    assert ask(plate("class-d-copper", "D"), plate("abc", "D"), "D").verdict == "unknown"
    assert ask(ABC_4A, ABC_4A, "D").verdict == "fail"


@pytest.mark.parametrize(
    ("loaner", "original", "verdict"),
    [
        (plate("abc", None, "10 lb"), plate("abc", None, "10 lb"), "pass"),
        (plate("abc", None, "9.9 lb"), plate("abc", None, "10 lb"), "unknown"),
        (plate("abc", None, "6 kg"), plate("abc", None, "10 lb"), "pass"),
        (plate("co2", None, "10 lb"), plate("abc", None, "10 lb"), "unknown"),
        (plate("dry-chemical", None, "10 lb"), plate("dry-chemical", None, "10 lb"), "unknown"),
        (plate("water", None, "2.5 gal"), plate("water", None, "20 lb"), "unknown"),
        (plate("abc", "4-A:80-B:C"), plate("abc"), "unknown"),
        (plate("abc", None, "20 lb"), ABC_4A, "unknown"),
    ],
)
def test_without_the_originals_rating_only_the_same_agent_and_size_will_do(loaner: Nameplate, original: Nameplate, verdict: str) -> None:
    found = ask(loaner, original)
    assert found.verdict == verdict
    if verdict == "pass":
        assert any("rests on size" in text for text in found.because)
    else:
        assert found.would_settle


def test_two_scales_and_a_rating_that_cannot_be_read_leave_it_open() -> None:
    assert ask(plate("abc", "55A 233B"), ABC_4A).verdict == "unknown"
    unread = ask(ABC_4A, plate("abc", "big"))
    assert unread.verdict == "unknown"
    assert unread.would_settle == ("the rating of the original, from its nameplate",)


@pytest.mark.parametrize(
    "loaner",
    [
        Loaner(plate=ABC_4A, overdue=(), removed="scrapped"),
        Loaner(plate=ABC_4A, overdue=(), withdrawn="on a withdrawal list"),
        Loaner(plate=ABC_4A, overdue=("hydrostatic-test",)),
        Loaner(plate=ABC_4A, overdue=(), away="at the bench"),
    ],
)
def test_a_loaner_that_is_itself_unfit_is_refused_whatever_its_rating(loaner: Loaner) -> None:
    found = may_stand_in(loaner, ABC_4A)
    assert found.verdict == "fail"
    assert found.because[0].startswith("the loaner is")


def test_dues_of_the_loaner_that_nobody_worked_out_leave_it_open() -> None:
    assert may_stand_in(Loaner(plate=ABC_4A, overdue=None), ABC_4A).verdict == "unknown"
    assert may_stand_in(Loaner(plate=ABC_4A, overdue=(), perhaps_overdue=("maintenance",)), ABC_4A).verdict == "unknown"


def test_a_hazard_that_is_none_is_refused() -> None:
    with pytest.raises(Refusal, match="this is not a hazard"):
        ask(ABC_4A, ABC_4A, "kitchen")


TAKEN = date(2026, 1, 10)


@pytest.mark.parametrize(
    ("packs", "contract", "day"),
    [
        (["us-osha", "us-ca"], None, date(2026, 3, 11)),
        (["us-ca@2024"], 61, date(2026, 3, 11)),
        (["us-ca"], 60, date(2026, 3, 11)),
        (["us-ca"], 59, date(2026, 3, 10)),
        (["us-osha"], 4, date(2026, 1, 14)),
        (["us-osha"], None, None),
        ([], None, None),
    ],
)
def test_the_owners_unit_is_back_by_the_rule_or_the_contract(packs: list[str], contract: int | None, day: date | None) -> None:
    found = back_by(taken_on=TAKEN, packs=packs, contract_days=contract)
    assert found.on == day
    assert found.because


def test_a_day_set_by_a_rule_names_it_and_a_rule_does_not_reach_back() -> None:
    found = back_by(taken_on=TAKEN, packs=["us-ca"])
    assert found.source is not None
    assert "19 CCR 591.5, read in a public copy" in found.because
    assert back_by(taken_on=date(2000, 1, 1), packs=["us-ca"]).on is None


@pytest.mark.parametrize(("day", "days"), [(TAKEN, -1), (TAKEN, 3651), (date(9999, 12, 30), 5)])
def test_days_that_cannot_be_are_refused(day: date, days: int) -> None:
    with pytest.raises(Refusal):
        back_by(taken_on=day, packs=[], contract_days=days)
