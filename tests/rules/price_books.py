"""Invented price books for tests: nobody asks these prices."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from pinseal.records.unit import Nameplate, UnitState
from pinseal.rules.price_book import PriceBook, read_book
from pinseal.rules.quoting import Item
from pinseal.units import parse_quantity

SAID: dict[str, Any] = {
    "title": "Test prices (invented)",
    "from": "2026-01-01",
    "currency": "USD",
    "rounding": "half-up",
    "tax_name": "sales tax",
    "tax_percent": "8.25",
    "site_minimum": "0",
    "minimum_counts_travel": False,
    "includes": {"maintenance": ["inspection", "mark:tag", "part:seal"], "hydrostatic-test": ["internal-examination"]},
    "goes_with": {"hydrostatic-test": ["recharge"]},
    "not_offered": ["travel"],
    "agent_new_percent": "100",
    "agent_put_back_billed": False,
    "failed_tests_billed": True,
    "margin_percent": "10",
    "price": [
        {"id": "I", "service": "inspection", "price": "2.00"},
        {"id": "M", "service": "maintenance", "price": "14.50"},
        {"id": "MW", "service": "maintenance", "wheeled": "yes", "price": "68.00"},
        {"id": "MS", "service": "maintenance", "site": "Sawmill", "over": "5 lb", "up_to": "10 lb", "price": "12.00"},
        {"id": "X", "service": "internal-examination", "price": "19.00"},
        {"id": "HS", "service": "hydrostatic-test", "shell": "mild-steel", "price": "34.00"},
        {"id": "HA", "service": "hydrostatic-test", "shell": "aluminium", "price": "39.00"},
        {"id": "R5", "service": "recharge", "agent": "abc", "up_to": "5 lb", "price": "18.00"},
        {"id": "R10", "service": "recharge", "agent": "all-dry-chemical", "over": "5 lb", "up_to": "10 lb", "price": "26.00"},
        {"id": "AL", "service": "agent", "agent": "abc", "per": "lb", "price": "3.15"},
        {"id": "AK", "service": "agent", "agent": "co2", "per": "kg", "price": "4.07"},
        {"id": "PH", "service": "part", "part": "hose", "price": "21.35"},
        {"id": "RB", "service": "repair", "finding": "bracket-loose", "price": "27.50"},
        {"id": "N", "service": "new-unit", "agent": "abc", "price": "92.00"},
    ],
}


def said(**changes: Any) -> dict[str, Any]:
    return {**deepcopy(SAID), **changes}


def book(**changes: Any) -> PriceBook:
    return read_book(said(**changes), name="prices.toml")


def unit(
    uid: str = "u1", *, agent: str | None = "abc", size: str | None = "10 lb", shell: str | None = "mild-steel", **more: Any
) -> UnitState:
    plate = Nameplate(agent=agent, size=parse_quantity(size) if size else None, shell=shell, wheeled=more.pop("wheeled", False))
    return UnitState(uid=uid, id=uid.upper(), site="Ferry hall", place="gate B", nameplate=plate, **more)


def item(service: str, state: UnitState | None = None, **more: Any) -> Item:
    state = state or unit()
    return Item(service=service, visit=more.pop("visit", state.uid), why=more.pop("why", "asked for"), unit=state, **more)
