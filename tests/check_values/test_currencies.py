"""The currencies against the published list: ISO 4217 list one, as the package `iso4217` packs it."""

from iso4217 import Currency

from pinseal.money import DECIMALS

# In the list, and nothing that a price is written in: funds, units of account, bonds' codes, testing (names as in the list).
NOT_PAID_WITH = {"BOV", "CHE", "CHW", "CLF", "COU", "MXV", "USN", "UYI", "UYW", "XAD"}


def test_every_currency_that_people_pay_with_is_held_with_its_decimals():
    listed = {each.code: each.exponent for each in Currency if each.exponent is not None and each.code not in NOT_PAID_WITH}
    assert listed == DECIMALS
