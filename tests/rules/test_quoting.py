"""Lines and sums, against the decimal module and against properties that any honest bill has."""

from __future__ import annotations

from collections import Counter
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from price_books import book, item, unit

from pinseal.measures import LB_KG
from pinseal.money import MINOR_MAX, Money, rounded, total
from pinseal.reasons import Refusal
from pinseal.rules.quoting import Figures, Item, Quantity, figures, read_figures, same_work_once

SITE = "Ferry hall"
LB = Decimal("0.45359237")


def pounds(text: str) -> Quantity:
    return Quantity(exact=Fraction(text) * LB_KG, kind="mass", text=f"{text} lb")


def of(*items: Item, visit: bool = False, **changes) -> Figures:
    return figures(book(**changes), items, site=SITE, visit=visit)


def amounts(found: Figures) -> dict[str, str]:
    return {line.words: line.amount.plain for line in found.lines}


# A visit worked by hand with an invented book: 2 maintenances, one pressure test with recharge and 9.5 lb of agent, 2 hoses.
#   14.50 x 2 = 29.00; 34.00; 26.00; 9.5 x 3.15 = 29.925 -> 29.93; 2 x 21.35 = 42.70; sum 161.63
#   tax 8.25 % of 161.63 = 13.334475 -> 13.33; total 174.96
def test_a_visit_worked_by_hand() -> None:
    other = unit("u2")
    hoses = Quantity(exact=Fraction(2), kind="pieces", text="2")
    found = of(
        item("maintenance"),
        item("maintenance", other),
        item("hydrostatic-test"),
        item("recharge"),
        item("agent", quantity=pounds("9.5")),
        item("part", thing="hose", quantity=hoses),
    )
    assert [line.amount.plain for line in found.lines] == ["14.50", "14.50", "34.00", "26.00", "29.93", "42.70"]
    assert (found.subtotal.plain, found.tax.plain, found.total.plain) == ("161.63", "13.33", "174.96")


@given(st.decimals("0.01", "400", places=2), st.decimals("0.01", "99", places=2), st.sampled_from(["half-up", "half-even"]))
def test_mass_times_price_is_what_the_decimal_module_says(mass: Decimal, price: Decimal, rounding: str) -> None:
    prices = [{"id": "A", "service": "agent", "agent": "abc", "per": "lb", "price": str(price)}]
    found = of(item("agent", quantity=pounds(str(mass))), price=prices, rounding=rounding)
    way = ROUND_HALF_UP if rounding == "half-up" else ROUND_HALF_EVEN
    line = (mass * price).quantize(Decimal("0.01"), way)
    assert Decimal(found.lines[0].amount.plain) == line
    assert Decimal(found.tax.plain) == (line * Decimal("0.0825")).quantize(Decimal("0.01"), way)


def test_a_price_by_the_kilogram_takes_pounds() -> None:
    found = of(item("agent", unit(agent="co2"), quantity=pounds("15")))
    assert Decimal(found.lines[0].amount.plain) == (15 * LB * Decimal("4.07")).quantize(Decimal("0.01"), ROUND_HALF_UP)


@pytest.mark.parametrize(("currency", "price", "lb", "amount"), [("JPY", "315", "9.5", "2993"), ("KWD", "1.005", "1.5", "1.508")])
def test_currencies_without_and_with_three_decimals(currency: str, price: str, lb: str, amount: str) -> None:
    prices = [{"id": "A", "service": "agent", "agent": "abc", "per": "lb", "price": price}]
    assert of(item("agent", quantity=pounds(lb)), price=prices, currency=currency).lines[0].amount.plain == amount


def test_what_is_included_is_a_line_without_an_amount_that_says_in_what() -> None:
    found = of(item("maintenance"), item("inspection"), item("mark", thing="tag"), item("part", thing="seal"))
    assert [(line.words, line.amount.minor, line.included_in) for line in found.lines] == [
        ("maintenance", 1450, ""),
        ("inspection", 0, "maintenance"),
        ("service tag", 0, "maintenance"),
        ("part: seal", 0, "maintenance"),
    ]


def test_the_pressure_test_does_not_include_the_recharge_unless_the_book_says_so() -> None:
    work = (item("hydrostatic-test"), item("recharge"), item("internal-examination"))
    assert amounts(of(*work)) == {"hydrostatic test": "34.00", "recharge": "26.00", "internal examination": "0.00"}
    assert amounts(of(*work, includes={"hydrostatic-test": ["recharge"]}))["recharge"] == "0.00"


def test_only_work_on_the_same_unit_on_the_same_day_is_included() -> None:
    found = of(item("maintenance"), item("inspection", unit("u2")), item("inspection", visit="u1 another day"))
    assert [line.amount.plain for line in found.lines] == ["14.50", "2.00", "2.00"]


def test_what_has_no_price_is_named_and_never_nothing() -> None:
    found = of(item("part", thing="gauge", record="r1"), item("agent", quantity=None), item("maintenance"))
    assert len(found.lines) == 1
    assert [(each.words, each.reason) for each in found.unpriced] == [
        ("part: gauge", "the price book has no price for part: gauge (10 lb ABC dry chemical)"),
        ("agent", "how much it was is not on record"),
    ]
    assert not found.is_whole


def test_a_price_by_mass_does_not_fit_a_volume() -> None:
    litres = Quantity(exact=Fraction(6, 1000), kind="volume", text="6 L")
    assert of(item("agent", quantity=litres)).unpriced[0].reason == "price AL is by lb, but 6 L is no mass"


def test_a_price_that_the_owner_was_told_goes_before_the_book() -> None:
    found = of(item("repair", thing="bracket-loose", record="d1", told=Money(999, "USD"), told_by="q1"))
    assert (found.lines[0].amount, "q1" in found.lines[0].source) == (Money(999, "USD"), True)
    strange = of(item("repair", thing="bracket-loose", told=Money(999, "EUR"), told_by="q1"))
    assert strange.unpriced[0].reason == "its price was told in EUR, the book is in USD"


TRAVEL = {"id": "T", "service": "travel", "price": "40.00"}


@pytest.mark.parametrize(
    ("counts", "lines"),
    [(False, {"maintenance": "14.50", "travel": "40.00", "to the minimum of a visit": "80.50"}),
     (True, {"maintenance": "14.50", "travel": "40.00", "to the minimum of a visit": "40.50"})],
)  # fmt: skip
def test_the_minimum_counts_travel_as_the_book_says(counts: bool, lines: dict[str, str]) -> None:
    prices = [{"id": "M", "service": "maintenance", "price": "14.50"}, TRAVEL]
    found = of(item("maintenance"), visit=True, price=prices, not_offered=[], site_minimum="95", minimum_counts_travel=counts)
    assert amounts(found) == lines


def test_the_minimum_is_left_open_while_work_has_no_price() -> None:
    found = of(item("maintenance"), item("part", thing="gauge"), visit=True, site_minimum="95")
    assert amounts(found) == {"maintenance": "14.50"}
    assert "left open" in found.left_out[-1]


def test_nothing_done_is_nothing_billed() -> None:
    assert of(visit=True, not_offered=[], site_minimum="95").lines == ()


def test_what_the_shop_does_not_offer_is_in_no_line() -> None:
    assert of(item("inspection"), not_offered=["inspection"]).lines == ()


def test_one_record_is_billed_once_and_one_work_of_a_day_too() -> None:
    work = [
        item("recharge", record="r1"),
        item("agent", record="r1"),
        item("recharge", record="r1"),
        item("agent", record="r1"),
        item("recharge", record="r2"),
        item("agent", record="r2"),
        item("part", thing="hose", record="r3"),
        item("part", thing="hose", record="r4"),
    ]
    kept, told = same_work_once(work)
    assert [(each.service, each.record) for each in kept] == [("recharge", "r1"), ("agent", "r1"), ("part", "r3"), ("part", "r4")]
    assert told == ["U1: recharge is on record twice for one day and is billed once (record r2)."]


def test_figures_read_back_are_the_same() -> None:
    found = of(item("maintenance", record="r1"), item("part", thing="gauge"), visit=True)
    assert read_figures(found.as_json()) == found


SERVICES = st.sampled_from(["inspection", "maintenance", "internal-examination", "hydrostatic-test", "recharge", "agent", "part", "repair"])
THINGS = {"part": st.sampled_from(["hose", "seal", "gauge"]), "repair": st.just("bracket-loose")}


@st.composite
def works(draw: st.DrawFn) -> list[Item]:
    found = []
    for number in range(draw(st.integers(0, 25))):
        service, uid = draw(SERVICES), draw(st.sampled_from(["u1", "u2", "u3", "u4"]))
        more = {"thing": draw(THINGS[service])} if service in THINGS else {}
        if service == "agent":
            more["quantity"] = pounds(str(draw(st.decimals("0.1", "20", places=2))))
        found.append(item(service, unit(uid), record=f"r{draw(st.integers(0, number + 1))}", **more))
    return found


@given(works())
def test_the_lines_add_up_to_the_total(work: list[Item]) -> None:
    found = of(*work, visit=True, site_minimum="95")
    assert found.subtotal.minor == sum(line.amount.minor for line in found.lines)
    assert found.total.minor == found.subtotal.minor + found.tax.minor
    assert [line.number for line in found.lines] == [str(number) for number in range(1, len(found.lines) + 1)]


@given(works(), st.sets(st.sampled_from(["u1", "u2", "u3", "u4"])))
def test_splitting_a_visit_in_two_gives_the_same_sum_without_minimums(work: list[Item], morning: set[str]) -> None:
    whole = of(*work)
    parts = [of(*(each for each in work if (each.visit in morning) == side)) for side in (True, False)]
    assert whole.subtotal.minor == sum(part.subtotal.minor for part in parts)
    assert Counter(each.reason for each in whole.unpriced) == Counter(each.reason for part in parts for each in part.unpriced)


@given(works())
def test_every_work_is_a_line_or_named_once(work: list[Item]) -> None:
    found = of(*work)
    assert len(found.lines) + len(found.unpriced) == len(work)


@given(works())
def test_nothing_is_billed_twice_for_one_record(work: list[Item]) -> None:
    kept, _ = same_work_once([*work, *work])
    lines = of(*kept).lines
    assert max(Counter((line.record, line.service, line.thing) for line in lines).values(), default=1) == 1


@given(st.fractions(0, 10**6), st.sampled_from(["half-up", "half-even"]))
def test_rounding_is_never_off_by_more_than_half_of_the_smallest_unit(exact: Fraction, rounding: str) -> None:
    assert abs(rounded(exact, "EUR", rounding).minor - exact) <= Fraction(1, 2)


def test_more_money_than_can_be_kept_is_refused() -> None:
    with pytest.raises(Refusal, match="more money than can be kept"):
        total([Money(MINOR_MAX, "EUR"), Money(1, "EUR")], "EUR")
