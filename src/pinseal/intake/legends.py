"""What a list says about its own shorthand: `BC = plain sodium powder`, `g = gallons`, `K = CO2` on a sheet of codes."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from pinseal.intake.details import cut_wheeled, expelled_code, shell_code
from pinseal.intake.findings import REMARK_READ_MAX
from pinseal.intake.headings import meaning_of
from pinseal.intake.kind_cells import Custom, Kind, is_liquid, read_kind
from pinseal.intake.words import plain
from pinseal.units import unit_code

_ENTRIES = re.compile(r"\s*(?:[;\n|]|,(?=[^,;=]{1,24}=)|\.(?=\s[^.;=]{1,16}=))\s*")
_ENTRY = re.compile(r"^(.{1,40}?)\s*(?:=|→|->)\s*(.+)$")
_COLON = re.compile(r"^(\S{1,6})\s*(?::| - )\s*(.{3,})$")
_KEYS = re.compile(r"\s*(?:/|,| or | o | oder | ou | and | und | y )\s*")
_UNIT_WORDS = re.compile(r"\b(pounds?|lbs?|gallons?|gal|kilos?|kg|kilogram\w*|lit(?:er|re|ro|ri)s?|galones|libras|pfund)\b")
_SIZES = re.compile(
    r"\b(?:sizes?|numbers?|figures?|weights?|charges?|capacit\w*|amounts?|tamanos?|numeros?|cifras?|pesos?|cargas?|contenidos?"
    r"|grossen?|gewichte?|angaben"
    r"|zahl(?:en)?|fullung(?:en)?|fullmengen?|inhalt|pesi|peso|cariche|carica|numeri|poids|charges|chiffres?|contenances?)\b"
)
_PIECES = re.compile(r"\s*(?:[;,/\n|]|\.(?=\s))\s*")
_PIECE = re.compile(r"^(?:.*:\s*)?(\S{1,6})\s+(?:is |means |stands for |for |es |ist |e |= )?(?:the same as |same as |like )?(.{2,})$")
_UNIT_OF = {"galones": "gal", "libras": "lb", "pfund": "lb", "litro": "l", "litros": "l"}
_HAND = re.compile(r"\bhand\b|\bportable\b|\bportatil\b|\btragbar\b|\bportatile\b|not wheeled|no wheels|\bportatif\b")


@dataclass(slots=True)
class _Draft:
    codes: dict[str, Kind] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    expelled: dict[str, str] = field(default_factory=dict)
    shells: dict[str, str] = field(default_factory=dict)
    wheels: dict[str, bool] = field(default_factory=dict)
    headings: dict[str, str] = field(default_factory=dict)
    mass: str | None = None
    liquid: str | None = None


def _unit_in(text: str) -> str | None:
    match = _UNIT_WORDS.search(text)
    return _UNIT_OF.get(match[1], unit_code(match[1]) or ("l" if match[1].startswith("lit") else "kg")) if match else None


def read_legends(
    lines: Iterable[str], pairs: Iterable[tuple[str, str]], kinds: Iterable[str], unit_hints: Iterable[str], used: Collection[str] = ()
) -> Custom:
    """Gather the customs of a list.

    `lines` are its notes, titles and legend lines; `pairs` code and meaning from a sheet of codes; `kinds` the cells
    that name agents and sizes, from which the usual units are told; `unit_hints` units named in size headings; `used`
    the short words that stand in its coded columns: only these are looked for in lines that explain without a `=`.
    """
    draft = _Draft()
    for line in (each[:REMARK_READ_MAX] for each in lines):
        _default_units(draft, plain(line))
        entries = [entry.strip() for entry in _ENTRIES.split(line)]
        for entry in entries:
            match = _ENTRY.match(entry) or _COLON.match(entry)
            if match:
                _learn(draft, match[1], match[2], loose="=" not in entry)
        if "=" not in line:
            for piece in _PIECES.split(line):
                match = _PIECE.match(piece)
                if match and plain(match[1]).strip(" .:()") in used:
                    _learn(draft, match[1], match[2], loose=True)
    for code, meaning in pairs:
        _learn(draft, code, meaning, loose=False)
    return _custom(draft, tuple(kinds), tuple(unit_hints))


def _default_units(draft: _Draft, low: str) -> None:
    """Units for bare numbers: `Sizes are pounds unless it says gal or L`, `number = charge in kg, for S and W in litres`."""
    if not _SIZES.search(low):
        return
    units = {unit for match in _UNIT_WORDS.finditer(low) if (unit := _unit_in(match[0]))}
    masses, liquids = units & {"lb", "kg"}, units & {"gal", "l"}
    if len(masses) == 1:
        draft.mass = masses.pop()
    if len(liquids) == 1 and "unless" not in low:
        draft.liquid = liquids.pop()


def _learn(draft: _Draft, keys: str, meaning: str, *, loose: bool) -> None:
    low = plain(meaning)
    for key in _KEYS.split(plain(keys.rpartition(":")[2] if ":" in keys else keys)):
        key = key.strip(" .\"'()*")
        if not key or len(key) > 24:
            continue
        _learn_one(draft, key, low, loose)


def _learn_one(draft: _Draft, key: str, low: str, loose: bool) -> None:
    unit = _unit_in(low)
    if unit and len(low.split()) <= 3 and not re.search(r"\d", low):
        draft.units[key] = unit
        return
    kind = read_kind(low)
    if (kind.agent or kind.unsure) and len(key.split()) <= 2 and not re.fullmatch(r"\d+", key):
        draft.codes[key] = kind
    if (driven := expelled_code(low)) is not None:
        draft.expelled[key] = driven
    if (shell := shell_code(low)) is not None and kind.agent is None:
        draft.shells[key] = shell
    wheeled, _ = cut_wheeled(low)
    if wheeled or _HAND.search(low) or low in ("cart", "wheeled cart"):
        draft.wheels[key] = not _HAND.search(low)
    meaning = meaning_of(low)
    if meaning.fields and not loose:
        draft.headings[key] = meaning.fields[0]


def _custom(draft: _Draft, kinds: tuple[str, ...], hints: tuple[str, ...]) -> Custom:
    first = Custom(codes=draft.codes, units=draft.units, expelled=draft.expelled, shells=draft.shells, wheels=draft.wheels)
    masses: set[str] = {hint for hint in hints if hint in ("lb", "kg")}
    liquids: set[str] = {hint for hint in hints if hint in ("gal", "l")}
    for text in kinds:
        kind = read_kind(text, first)
        unit = kind.amount.unit if kind.amount else ""
        unit = draft.units.get("g", "") if unit == "g?" else unit
        if unit in ("lb", "kg"):
            (liquids if is_liquid(kind) else masses).add(unit)
        elif unit in ("gal", "l"):
            liquids.add(unit)
    mass = draft.mass if draft.mass else masses.pop() if len(masses) == 1 else None
    liquid = draft.liquid if draft.liquid else liquids.pop() if len(liquids) == 1 else None
    return Custom(
        codes=draft.codes, units=draft.units, mass_unit=mass, liquid_unit=liquid, expelled=draft.expelled, shells=draft.shells,
        wheels=draft.wheels, headings=draft.headings,
    )  # fmt: skip
