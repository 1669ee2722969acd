"""The price book of the invented shop. No shop asks these prices; they only have to hang together."""

from __future__ import annotations

from typing import Any

from pinseal.demo import town

_DRY, _LIQUID = "all-dry-chemical", "all-foam all-water wet-chemical"


def _price(name: str, service: str, price: str, words: str = "", **more: str) -> dict[str, str]:
    return {"id": name, "service": service, "price": price} | ({"words": words} if words else {}) | more


BOOK: dict[str, Any] = {
    "title": "Prices of the year (invented)",
    "from": f"{town.DAY.year}-01-01",
    "currency": town.CURRENCY,
    "rounding": "half-up",
    "tax_name": "sales tax",
    "tax_percent": "6.25",
    "site_minimum": "95.00",
    "minimum_counts_travel": False,
    "includes": {
        "maintenance": ["inspection", "mark:tag", "part:seal"],
        "internal-examination": ["mark:six-year-label", "mark:collar"],
        "hydrostatic-test": ["internal-examination", "mark:test-label"],
        "recharge": ["mark:collar", "part:seal"],
    },
    "goes_with": {"hydrostatic-test": ["recharge"], "internal-examination": ["recharge"]},
    "not_offered": ["inspection"],
    "agent_new_percent": "20",
    "agent_put_back_billed": False,
    "failed_tests_billed": True,
    "margin_percent": "10",
    "price": [
        _price("M", "maintenance", "14.50"),
        _price("M-W", "maintenance", "68.00", "wheeled", wheeled="yes"),
        _price("IX", "internal-examination", "19.00"),
        _price("IX-W", "internal-examination", "120.00", "wheeled", wheeled="yes"),
        _price("HT", "hydrostatic-test", "34.00", "low pressure"),
        _price("HT-H", "hydrostatic-test", "46.00", "high pressure", agent="co2"),
        _price("HT-W", "hydrostatic-test", "160.00", "wheeled", wheeled="yes"),
        _price("R-5", "recharge", "18.00", "up to 5 lb", agent=_DRY, up_to="5 lb"),
        _price("R-20", "recharge", "26.00", "over 5 lb, up to 20 lb", agent=_DRY, over="5 lb", up_to="20 lb"),
        _price("R-L", "recharge", "31.00", "liquid", agent=_LIQUID),
        _price("R-C", "recharge", "24.00", "carbon dioxide", agent="co2"),
        _price("A-ABC", "agent", "3.15", agent="abc", per="lb"),
        _price("A-BC", "agent", "2.60", agent="sodium-bicarbonate", per="lb"),
        _price("A-K", "agent", "4.40", agent="potassium-bicarbonate", per="lb"),
        _price("A-C", "agent", "1.85", agent="co2", per="lb"),
        _price("A-W", "agent", "0.40", agent="water", per="gal"),
        _price("A-F", "agent", "19.50", agent="all-foam", per="gal"),
        _price("CT", "conductivity-test", "4.00"),
        _price("HS", "hose-test", "11.00"),
        _price("AR", "agent-renewal", "12.00"),
        _price("BRACKET", "repair", "27.50", "a bracket, fixed", finding="bracket-loose"),
        _price("SEAL", "repair", "3.00", "weighed, a new seal", finding="seal-broken"),
        _price("N-ABC-5", "new-unit", "62.00", agent="abc", up_to="5 lb"),
        _price("N-ABC-10", "new-unit", "92.00", agent="abc", over="5 lb", up_to="10 lb"),
        _price("N-ABC-20", "new-unit", "158.00", agent="abc", over="10 lb", up_to="20 lb"),
        _price("N-C-5", "new-unit", "175.00", agent="co2", up_to="5 lb"),
        _price("N-C-20", "new-unit", "310.00", agent="co2", over="5 lb", up_to="20 lb"),
        _price("N-W", "new-unit", "128.00", "a water unit of today", agent="all-water soda-acid chemical-foam"),
        _price("TRAVEL", "travel", "40.00"),
    ],
}
