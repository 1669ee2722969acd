"""The dated data of the condemn guide (`shell_damage.toml`), read strictly: findings by list, measured limits, what condemning needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from pinseal.standards.load import held_packs
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, fraction, shipped, source_of
from pinseal.standards.strict import Place

LISTS = ("never-tested", "fails", "condemned")
_FILE = "shell_damage.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class DamageFinding:
    """One thing that can be found on a shell, on which list it stands, and under which packs."""

    id: str
    list: str
    words: str
    packs: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class DamageLimit:
    """A measured limit: a share of something (`of`), or a length in inches as printed."""

    id: str
    share: Fraction | None
    of: str
    inches: Fraction | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class CondemningNeed:
    """What condemning needs. `shells`: any, specification (those with a stamped one) or none (those without)."""

    id: str
    words: str
    shells: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerMustNot:
    """What the owner of a condemned shell is told not to do. `shells` as in `CondemningNeed`."""

    id: str
    words: str
    shells: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellDamage:
    findings: tuple[DamageFinding, ...]
    limits: Mapping[str, DamageLimit]
    needs: tuple[CondemningNeed, ...]
    must_nots: tuple[OwnerMustNot, ...]


def _finding(place: Place, table: Mapping[str, Any]) -> DamageFinding:
    packs = place.codes(table, "packs", held_packs(), what="rule pack")
    if not packs:
        raise place.refuse("no pack", rule="a finding says under which packs it holds", got=table.get("packs"), do='write packs = ["…"]')
    return DamageFinding(
        id=table["id"], list=place.code(table.get("list"), LISTS, what="list"), words=place.text(table, "words"), packs=packs,
        source=source_of(place, table),
    )  # fmt: skip


def _limit(place: Place, table: Mapping[str, Any]) -> DamageLimit:
    if ("share" in table) == ("inches" in table) or ("share" in table) != ("of" in table):
        raise place.refuse("the limit is not clear", rule="either share with of, or inches", got=sorted(table), do="keep one of them")
    return DamageLimit(
        id=table["id"], share=fraction(place, table, "share") if "share" in table else None, of=place.text(table, "of", ""),
        inches=fraction(place, table, "inches") if "inches" in table else None, source=source_of(place, table),
    )  # fmt: skip


def _shells(place: Place, table: Mapping[str, Any]) -> str:
    return place.code(table.get("shells"), ("any", "specification", "none"), what="kind of shell")


def _need(place: Place, table: Mapping[str, Any]) -> CondemningNeed:
    return CondemningNeed(id=table["id"], words=place.text(table, "words"), shells=_shells(place, table), source=source_of(place, table))


def _must_not(place: Place, table: Mapping[str, Any]) -> OwnerMustNot:
    return OwnerMustNot(id=table["id"], words=place.text(table, "words"), shells=_shells(place, table), source=source_of(place, table))


def parse_shell_damage(tables: Mapping[str, Any]) -> ShellDamage:
    """Read the data from the tables of a TOML file. Raises `Refusal` for anything that is not as declared."""
    Place(_FILE).keys(tables, {"finding", "measure", "need", "must-not"})
    limits = (_limit(*each) for each in entries(tables, _FILE, "measure", {"share", "of", "inches"}))
    return ShellDamage(
        findings=tuple(_finding(*each) for each in entries(tables, _FILE, "finding", {"list", "words", "packs"})),
        limits={limit.id: limit for limit in limits},
        needs=tuple(_need(*each) for each in entries(tables, _FILE, "need", {"words", "shells"})),
        must_nots=tuple(_must_not(*each) for each in entries(tables, _FILE, "must-not", {"words", "shells"})),
    )


@cache
def shell_damage() -> ShellDamage:
    """The data that is shipped."""
    return parse_shell_damage(shipped(_FILE))
