"""Price books: read strictly, every term said, the closest price meant, no price where that cannot be told."""

from fractions import Fraction

import pytest
from price_books import book, said, unit

from pinseal.money import Money
from pinseal.reasons import Refusal
from pinseal.rules.price_book import TERM_KEYS, exact_si, parse_toml, read_book
from pinseal.rules.pricing import NoPrice, Wanted, price_of
from pinseal.units import parse_quantity


def id_of(wanted: Wanted, **changes) -> str:
    found = price_of(book(**changes), wanted)
    return found.why if isinstance(found, NoPrice) else found.id


@pytest.mark.parametrize("key", TERM_KEYS)
def test_every_term_must_be_said(key: str) -> None:
    whole = said()
    del whole[key]
    with pytest.raises(Refusal, match=f"{key} is not said"):
        read_book(whole, name="prices.toml")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"currency": "EURO"}, "no currency"),
        ({"rounding": "down"}, "unknown rounding"),
        ({"tax_percent": "8,25"}, "no percentage"),
        ({"tax_percent": "101"}, "no percentage"),
        ({"site_minimum": "95.001"}, "not an amount of money"),
        ({"from": "2026-13-01"}, "not a date"),
        ({"includes": {"maintenance": ["tag"]}}, "unknown service"),
        ({"includes": {"maintenance": ["inspection"], "inspection": ["maintenance"]}}, "services include each other"),
        ({"discount": "5"}, "wrong key"),
        ({"price": [{"id": "a", "service": "polishing", "price": "1"}]}, "unknown service"),
        ({"price": [{"id": "a", "service": "part", "price": "1"}]}, "part does not fit"),
        ({"price": [{"id": "a", "service": "maintenance", "part": "hose", "price": "1"}]}, "part does not fit"),
        ({"price": [{"id": "a", "service": "agent", "agent": "abc", "price": "1"}]}, "unknown measure for agent"),
        ({"price": [{"id": "a", "service": "maintenance", "price": "-1"}]}, "not an amount of money"),
        ({"price": [{"id": "a", "service": "maintenance", "over": "10 lb", "up_to": "5 lb", "price": "1"}]}, "no size lies between"),
        ({"price": [{"id": "a", "service": "maintenance", "over": "1 kg", "up_to": "5 l", "price": "1"}]}, "no size lies between"),
        ({"price": [{"id": "a", "service": "maintenance", "price": "1"}, {"id": "a", "service": "recharge", "price": "1"}]}, "one id"),
    ],
)  # fmt: skip
def test_a_book_that_cannot_be_right_is_refused_in_words(change: dict, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        read_book(said(**change), name="prices.toml")


@pytest.mark.parametrize(("key", "text"), [("price", "ten"), ("over", "ten")])
def test_what_cannot_be_read_in_an_entry_is_refused_with_its_name(key: str, text: str) -> None:
    entry = {"id": "M-7", "service": "maintenance", "price": "1", key: text}
    with pytest.raises(Refusal, match=r"prices\.toml, price M-7: this is not"):
        read_book(said(price=[entry]), name="prices.toml")


def test_a_broken_toml_is_refused_with_its_name() -> None:
    with pytest.raises(Refusal, match=r"prices\.toml: not readable"):
        parse_toml("title = ", name="prices.toml")


def test_the_price_with_the_most_conditions_is_meant() -> None:
    assert id_of(Wanted(service="maintenance", unit=unit(), site="Ferry hall")) == "M"
    assert id_of(Wanted(service="maintenance", unit=unit(wheeled=True), site="Ferry hall")) == "MW"
    assert id_of(Wanted(service="maintenance", unit=unit(), site="Sawmill")) == "MS"


@pytest.mark.parametrize(("size", "price"), [("4.9 lb", "R5"), ("5 lb", "R5"), ("5.1 lb", "R10"), ("10 lb", "R10"), ("4.5 kg", "R10")])
def test_a_size_range_ends_with_its_upper_bound(size: str, price: str) -> None:
    assert id_of(Wanted(service="recharge", unit=unit(size=size))) == price


def test_a_size_beyond_every_range_or_of_another_dimension_has_no_price() -> None:
    assert "no price for recharge (20 lb ABC dry chemical)" in id_of(Wanted(service="recharge", unit=unit(size="20 lb")))
    assert "no price for recharge" in id_of(Wanted(service="recharge", unit=unit(size="6 l")))


def test_what_is_not_on_record_and_decides_the_price_leaves_it_open() -> None:
    assert id_of(Wanted(service="hydrostatic-test", unit=unit(shell=None))) == (
        "the price turns on what is not on record: what its shell is made of"
    )
    assert "the size" in id_of(Wanted(service="recharge", unit=unit(size=None)))
    assert "whether it has wheels" in id_of(Wanted(service="maintenance", unit=unit(wheeled=None)))


def test_what_is_not_on_record_does_not_matter_where_every_price_is_the_same() -> None:
    prices = [{"id": "A", "service": "hydrostatic-test", "shell": shell, "price": "30"} for shell in ("mild-steel",)]
    prices += [{"id": "B", "service": "hydrostatic-test", "price": "30"}]
    assert id_of(Wanted(service="hydrostatic-test", unit=unit(shell=None)), price=prices) == "B"


def test_two_prices_that_fit_alike_and_differ_are_no_price() -> None:
    prices = [
        {"id": "A", "service": "maintenance", "agent": "abc", "price": "10"},
        {"id": "B", "service": "maintenance", "shell": "mild-steel", "price": "11"},
    ]
    assert id_of(Wanted(service="maintenance", unit=unit()), price=prices) == "two prices fit alike: A, B"


def test_the_agent_that_was_used_counts_and_not_the_nameplate() -> None:
    assert id_of(Wanted(service="agent", unit=unit(), agent="co2")) == "AK"


def test_a_part_is_found_however_it_is_spelt() -> None:
    assert id_of(Wanted(service="part", unit=unit(), thing="Hose")) == "PH"
    assert "no price for part: valve stem" in id_of(Wanted(service="part", unit=unit(), thing="valve-stem"))


def test_sizes_are_compared_exactly() -> None:
    assert exact_si(parse_quantity("0.1 kg")) == Fraction(1, 10)
    assert exact_si(parse_quantity("10 lb")) == Fraction("4.5359237")


def test_the_terms_say_what_is_included_and_how_it_is_rounded() -> None:
    words = " ".join(book(site_minimum="95").terms())
    for each in ("The price of maintenance includes: inspection, service tag, part: seal.", "95.00 USD at least", "a half up", "travel"):
        assert each in words
    assert book().site_minimum == Money(0, "USD")
