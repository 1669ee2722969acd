"""Marks to draw in tests: every form and mark with a full set of facts, and the stock that each goes on by default."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from pinseal.rules.marks import EarnedMark, default_stock
from pinseal.standards.marks import PRINTED, STATEMENTS, mark_forms
from pinseal.standards.stocks import Stock, shipped_stocks

STAMP = datetime(2026, 11, 24, 22, 0, tzinfo=UTC)
ON = date(2026, 11, 24)
FACTS = {
    "unit-id": "PC-9",
    "serial": "NB-0448812",
    "unit-type": "ABC dry chemical, wheeled",
    "unit-size": "125 lb",
    "unit-place": "Pier Café, Kitchen door",
    "owner": "Pier Café, 1 Long Quay, Tolberhaven",
    "firm-name": "Quay Works (invented)",
    "firm-address": "14 Ropewalk, Tolberhaven",
    "firm-phone": "555 0142",
    "firm-registration": "ECR-0001",
    "firm-class": "RB",
    "person-name": "Ida Quill",
    "person-licence": "L-204",
    "licence-class": "portable and wheeled",
    "month-year": "Nov 2026",
    "day": "24 Nov 2026",
    "work": "maintenance, recharge",
    "work-done": "maintenance; recharge; filled: ABC dry chemical 125 lb; new part: seal",
    "test-pressure": "585 psi",
    "level": "2",
    "test-year": "2022",
    "impairments": "Gauge needle below the green band",
    "next-due": "Nov 2027, maintenance",
    "seal": "on the stock",
}
_PLACE = "Long store of the eastern breakwater, second door past the boiler house, behind the blue cabinet with the spare hose reels, "
LONGEST = {
    "unit-id": "TOLBER-HANGAR-B-0117",
    "serial": "SN-2014-06-AB-0099887766",
    "unit-place": (_PLACE * 2)[:200],
    "owner": "Tolberhaven Harbour and Breakwater Maintenance Cooperative, 1482 Old Ropewalk Extension, Tolberhaven",
    "firm-name": "Tolberhaven and Northmole United Extinguisher Works (invented)",
    "firm-address": "1482 Old Ropewalk Extension, Building 7, Tolberhaven",
    "person-name": "Maximiliane-Theodora Brackwater-Varrowny",
    "work-done": "maintenance; inside examined; recharge; pressure test; filled: urea-potassium bicarbonate dry chemical 125 lb",
    "impairments": "Gauge needle below the green band\nHose cracked at the coupling\nShell pitted deeper than its limit at the foot ring",
}

# Each mark once, in the form that rules it: a state form takes the rest from the general one.
EVERY = [
    (form.id, mark)
    for form in mark_forms().values()
    for mark, rule in form.marks.items()
    if mark in STATEMENTS and rule.made_by == "shop" and rule.form == form.id
]


def made(form: str, mark: str, **other: str) -> EarnedMark:
    """A mark with the common facts; `other` replaces some (underscores for hyphens)."""
    rule = mark_forms()[form].marks[mark]
    years = (rule.years or (1, 1))[1]
    facts = {**FACTS, **{name.replace("_", "-"): text for name, text in other.items()}}
    return EarnedMark(
        unit="u",
        rule=rule,
        title=PRINTED[mark],
        on=ON,
        years=tuple(range(2026, 2026 + years)),
        values=facts,
        works=("maintained", "recharged"),
    )


def longest(form: str, mark: str) -> EarnedMark:
    """The same with the longest texts that a shop meets."""
    found = made(form, mark)
    return replace(found, values={**found.values, **LONGEST})


def stock_of(form: str, mark: str) -> Stock:
    return default_stock(mark_forms()[form].marks[mark], shipped_stocks().values())
