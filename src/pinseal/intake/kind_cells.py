"""One cell that says what a unit is: agent, size, rating, wheels and what drives it, in any mix."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from pinseal.intake.agents import LIQUIDS, agent_question, find_agent
from pinseal.intake.details import cut_expelled, cut_shell, cut_wheeled, has_cart
from pinseal.intake.findings import CELL_READ_MAX, Ask, is_absent
from pinseal.intake.sizes import Amount, bare_numbers, cut_rating, cut_size, quantity
from pinseal.intake.words import plain
from pinseal.kinds import AGENTS
from pinseal.units import Quantity

_TOKEN = re.compile(r"[a-z]+[0-9.,]*|[a-z0-9]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What a cell says about the kind of a unit; None where it does not say. `unsure` are the agent's readings."""

    agent: str | None = None
    unsure: tuple[str, ...] = ()
    amount: Amount | None = None
    size: Quantity | None = None
    rating: str | None = None
    wheeled: bool | None = None
    expelled_by: str | None = None
    shell: str | None = None
    asks: tuple[Ask, ...] = ()
    left: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Custom:
    """The customs of one list: its codes from legends, its default units, and the answers given so far."""

    codes: Mapping[str, Kind] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    mass_unit: str | None = None
    liquid_unit: str | None = None
    expelled: Mapping[str, str] = field(default_factory=dict)
    shells: Mapping[str, str] = field(default_factory=dict)
    wheels: Mapping[str, bool] = field(default_factory=dict)
    headings: Mapping[str, str] = field(default_factory=dict)


NO_CUSTOM = Custom()


def read_kind(text: str, custom: Custom = NO_CUSTOM) -> Kind:
    """Read one cell. What the list's own legend says goes before what the trade usually means.

    >>> kind = read_kind("20# ABC 10A120BC"); kind.agent, str(kind.size), kind.rating
    ('abc', '20 lb', '10A120BC')
    """
    return settle_kind(parse_kind(text, custom), custom, text)


@lru_cache(maxsize=16384)
def _parse_plainly(text: str) -> Kind:
    return _parse(text, NO_CUSTOM)


def parse_kind(text: str, custom: Custom = NO_CUSTOM) -> Kind:
    """The words of one cell, before units that are not written and questions are settled."""
    return _parse(text, custom) if custom.codes else _parse_plainly(text)


def _parse(text: str, custom: Custom) -> Kind:
    low = plain(text[:CELL_READ_MAX])
    if is_absent(low):
        return Kind()
    if low in AGENTS and low not in custom.codes:
        return Kind(agent=low)
    rating, low = cut_rating(low)
    expelled, low = cut_expelled(low)
    wheeled, low = cut_wheeled(low)
    amount, low = cut_size(low)
    coded, low = _by_code(low, custom)
    agent, unsure, low = (coded.agent, coded.unsure, low) if coded and (coded.agent or coded.unsure) else find_agent(low)
    shell, low = cut_shell(low)
    if amount is None:
        numbers = bare_numbers(low)
        amount = Amount(numbers[0], "") if len(numbers) == 1 and 0 < numbers[0] <= 500 else None
    kind = Kind(
        agent=agent, unsure=unsure, amount=amount, rating=rating.upper() if rating else None, wheeled=wheeled, expelled_by=expelled,
        shell=shell,
        left=low.strip(),
    )  # fmt: skip
    return _filled(kind, coded) if coded else kind


def settle_kind(kind: Kind, custom: Custom, raw: str, unit: str | None = None) -> Kind:
    """Give the size its unit and raise the questions that stay open; `unit` is what the heading says."""
    if unit is not None and kind.amount is not None and kind.amount.unit == "" and not (is_liquid(kind) and unit in ("lb", "kg")):
        kind = replace(kind, amount=Amount(kind.amount.value, unit))
    return _with_questions(_sized(kind, custom), raw)


def combined(agent: Kind, size: Kind) -> Kind:
    """A cell that names the agent and one that gives the size, as one."""
    amount = size.amount or agent.amount
    return replace(_filled(agent, size), amount=amount, left=f"{agent.left} {size.left}".strip())


def _by_code(low: str, custom: Custom) -> tuple[Kind | None, str]:
    """The legend's meaning of the codes in the text, whole words or a letter code glued to a number (K5)."""
    found: Kind | None = None
    for token in _TOKEN.findall(low) if custom.codes else ():
        letters = re.match(r"[a-z]+", token)
        key = token if token in custom.codes else letters[0] if letters and letters[0] in custom.codes else None
        if key is None:
            continue
        meaning = custom.codes[key]
        found = _filled(found, meaning) if found else meaning
        low = re.sub(rf"(?<![a-z0-9]){re.escape(key)}(?![a-z])", " ", low, count=1)
    return found, low


def _filled(kind: Kind, other: Kind) -> Kind:
    return replace(
        kind,
        agent=kind.agent or (None if kind.unsure else other.agent),
        unsure=kind.unsure or (() if kind.agent else other.unsure),
        amount=kind.amount or other.amount,
        wheeled=other.wheeled if kind.wheeled is None else kind.wheeled,
        expelled_by=kind.expelled_by or other.expelled_by,
        shell=kind.shell or other.shell,
        rating=kind.rating or other.rating,
    )


def is_liquid(kind: Kind) -> bool:
    """Whether the agent is commonly sold by volume."""
    return kind.agent in LIQUIDS or (bool(kind.unsure) and set(kind.unsure) <= LIQUIDS)


def _sized(kind: Kind, custom: Custom) -> Kind:
    if kind.amount is None:
        return kind
    unit: str | None = kind.amount.unit
    if unit == "g?":
        unit = custom.units.get("g") or ("g" if kind.amount.value >= 100 else None)
        if unit is None:
            ask = Ask("size", "unit g", ("gal", "g"), "Does g mean gallons or grams in this list?")
            return replace(kind, asks=(*kind.asks, ask))
    elif unit == "":
        unit = custom.liquid_unit if is_liquid(kind) else custom.mass_unit
        if unit is None:
            return replace(kind, asks=(*kind.asks, _unit_question(kind)))
    assert unit is not None
    return replace(kind, size=quantity(kind.amount, unit))


def _unit_question(kind: Kind) -> Ask:
    if is_liquid(kind):
        return Ask("size", "unit of liquids", ("gal", "l", "kg", "lb"), "In which unit are sizes of liquids given where none is written?")
    return Ask("size", "unit of masses", ("lb", "kg"), "In which unit are sizes given where none is written?")


def _with_questions(kind: Kind, raw: str) -> Kind:
    asks = kind.asks
    if kind.unsure:
        asks = (*asks, agent_question(kind.unsure, raw))
    if has_cart(kind.left) and kind.wheeled is None and kind.expelled_by is None:
        asks = (*asks, Ask("wheeled", "cart", ("cartridge", "wheeled"), "Does cart mean a gas cartridge or a wheeled cart?"))
    return replace(kind, asks=asks)
