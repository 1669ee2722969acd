"""Money: whole minor units (cents, yen, fils) with a currency of ISO 4217. Never a float.

Source of the codes and of how many decimals each has: ISO 4217 list one (SIX Interbank Clearing, the maintenance agency), compared
with the package `iso4217` in `tests/check_values/test_currencies.py`. Metals, testing codes and units of account are left out.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pinseal.reasons import Refusal

_TWO = (
    "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC CUP CVE CZK DKK DOP "
    "DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR "
    "LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB "
    "SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG "
    "YER ZAR ZMW ZWG"
)
_NONE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"
DECIMALS: dict[str, int] = {code: places for places, codes in ((2, _TWO), (0, _NONE), (3, _THREE)) for code in codes.split()}
MINOR_MAX = 999_999_999_999
# How an amount that falls between two smallest units is made whole. Which one is a shop's own choice.
ROUNDINGS: Mapping[str, str] = {
    "half-up": "to the nearest smallest unit of the currency, a half up",
    "half-even": "to the nearest smallest unit of the currency, a half to the even one",
}
_WHOLE = re.compile(r"\d{1,12}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Money:
    """An amount of at least nothing.

    >>> str(Money(184_50, "EUR")), str(Money(18_450, "JPY")), str(Money(5, "KWD"))
    ('184.50 EUR', '18,450 JPY', '0.005 KWD')
    """

    minor: int
    currency: str

    def __post_init__(self) -> None:
        assert self.currency in DECIMALS
        assert 0 <= self.minor <= MINOR_MAX

    @property
    def plain(self) -> str:
        """The amount as a plain decimal number, without its currency: `184.50`."""
        places = DECIMALS[self.currency]
        whole, part = divmod(self.minor, 10**places)
        return f"{whole}.{part:0{places}d}" if places else f"{whole}"

    def __str__(self) -> str:
        whole, point, part = self.plain.partition(".")
        return f"{int(whole):,}{point}{part} {self.currency}"


def rounded(minor: Fraction, currency: str, rounding: str) -> Money:
    """An exact number of smallest units made whole (a key of `ROUNDINGS`). Raises `Refusal` where it is more than can be kept.

    >>> rounded(Fraction(5, 2), "EUR", "half-up").minor, rounded(Fraction(5, 2), "EUR", "half-even").minor
    (3, 2)
    """
    whole = math.floor(minor + Fraction(1, 2)) if rounding == "half-up" else round(minor)
    return _held(whole, currency)


def total(amounts: Iterable[Money], currency: str) -> Money:
    """The sum of amounts in one currency. Raises `Refusal` where it is more than can be kept.

    >>> str(total([Money(150, "EUR"), Money(1, "EUR")], "EUR"))
    '1.51 EUR'
    """
    minor = 0
    for each in amounts:
        assert each.currency == currency, "amounts of one currency are added"
        minor += each.minor
    return _held(minor, currency)


def _held(minor: int, currency: str) -> Money:
    if minor > MINOR_MAX:
        raise Refusal(
            what="this comes to more money than can be kept",
            rule=f"an amount is at most {Money(MINOR_MAX, currency)}",
            got=f"{minor} smallest units of {currency}",
            do="check the prices and the counts",
        )
    return Money(minor, currency)


def check_currency(text: str) -> str:
    """The code in its one spelling. Raises `Refusal`.

    >>> check_currency(" eur ")
    'EUR'
    """
    code = text.strip().upper()
    if code in DECIMALS:
        return code
    raise Refusal(
        what="this is no currency",
        rule="a currency is three letters of ISO 4217 that people pay with",
        got=text,
        do="write for example EUR, USD or JPY",
    )


def parse_amount(text: str, currency: str) -> Money:
    """An amount as people type it, with one kind of decimal mark. Raises `Refusal` for what could be read two ways.

    >>> parse_amount("184.5", "EUR"), parse_amount("184,50", "EUR"), parse_amount("1 250", "JPY")
    (Money(minor=18450, currency='EUR'), Money(minor=18450, currency='EUR'), Money(minor=1250, currency='JPY'))
    """
    code = check_currency(currency)
    places = DECIMALS[code]
    said = text.strip().replace(code, "").replace("\u00a0", " ").replace(" ", "").replace("'", "")
    whole, point, part = said.replace(",", ".").partition(".")
    thousands = "," in said and len(part) == 3  # 1,250 may be a thousand, where a currency has three decimals
    if not _WHOLE.fullmatch(whole) or thousands or (point and not (part.isascii() and part.isdigit() and len(part) <= places)):
        raise _unreadable(text, code)
    minor = int(whole) * 10**places + int(part.ljust(places, "0") or "0")
    if minor > MINOR_MAX:
        raise _unreadable(text, code)
    return Money(minor, code)


def _unreadable(text: str, code: str) -> Refusal:
    places = DECIMALS[code]
    example = Money(10**places * 184 + (10**places // 2), code).plain
    decimals = "no decimals" if places == 0 else f"{places} decimals at most"
    return Refusal(
        what="this is not an amount of money",
        rule=f"an amount in {code} is a number with {decimals}, without marks between thousands",
        got=text[:40],
        do=f"write it as in {example}",
    )
