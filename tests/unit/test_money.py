import pytest

from pinseal.money import DECIMALS, MINOR_MAX, Money, check_currency, parse_amount
from pinseal.reasons import Refusal


@pytest.mark.parametrize(
    ("typed", "currency", "minor"),
    [
        ("184.50", "EUR", 18450), ("184,5", "eur", 18450), ("1 250", "JPY", 1250), ("1'250.05", "CHF", 125005), ("0", "USD", 0),
        ("0.005", "KWD", 5), ("1.250", "KWD", 1250), ("184.50 EUR", "EUR", 18450), ("\u00a012.00", "GBP", 1200),
    ],
)  # fmt: skip
def test_an_amount_is_read_as_whole_minor_units(typed: str, currency: str, minor: int) -> None:
    assert parse_amount(typed, currency) == Money(minor, currency.upper())


@pytest.mark.parametrize(
    ("typed", "currency"),
    [
        ("", "EUR"), ("-5", "EUR"), ("1,250", "EUR"), ("1,250", "KWD"), ("1,250.00", "USD"), ("1.2.3", "EUR"), ("184.505", "EUR"),
        ("12.5", "JPY"), ("1e3", "EUR"), ("٣", "EUR"), ("inf", "EUR"), ("9999999999999", "JPY"), ("99999999999.99", "EUR"), (".5", "EUR"),
    ],
)  # fmt: skip
def test_what_could_be_read_two_ways_or_not_at_all_is_refused(typed: str, currency: str) -> None:
    with pytest.raises(Refusal, match="not an amount of money"):
        parse_amount(typed, currency)


def test_a_code_that_nobody_pays_with_is_refused() -> None:
    for code in ("XAU", "XXX", "BTC", "E", ""):
        with pytest.raises(Refusal, match="no currency"):
            check_currency(code)


@pytest.mark.parametrize("currency", sorted(DECIMALS))
@pytest.mark.parametrize("minor", [0, 1, 999, 18450, MINOR_MAX])
def test_what_is_written_plainly_is_read_again_as_the_same(currency: str, minor: int) -> None:
    money = Money(minor, currency)
    assert parse_amount(money.plain, currency) == money
