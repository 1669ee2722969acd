"""What is written down of pressure tests, struck on cylinders, told to owners and kept (`requalification.toml`), read strictly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from pinseal.kinds import TEST_METHODS
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import entries, fraction, shipped, source_of
from pinseal.standards.strict import Place

_FILE = "requalification.toml"
# The fields of a record of the day or of a certificate, as people call them.
FIELDS: dict[str, str] = {
    "date": "date",
    "serial": "serial number",
    "specification": "specification as marked",
    "marked-pressure": "marked pressure",
    "dimensions": "actual dimensions",
    "symbol": "maker's or owner's symbol",
    "visual": "result of the visual inspection",
    "pressure": "test pressure",
    "total": "total expansion",
    "elastic": "elastic expansion",
    "permanent": "permanent expansion",
    "percent": "permanent expansion, percent of the total",
    "disposition": "disposition",
    "reason": "reason",
    "operator": "operator",
    "cylinder-serial": "serial number of the calibrated cylinder",
    "signature": "signature of the person who did it",
    "identifier": "serial number or other identifier",
}
OF: dict[str, str] = {"sheet": "the test sheet", "hydrostatic-test": "a test certificate", "maintenance": "a maintenance record"}


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldList:
    """The fields that something says (keys of `FIELDS`), in the order of its source; `words` is what it is."""

    id: str
    fields: tuple[str, ...]
    words: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Suffix:
    """What follows the year after a test by a method (a key of `TEST_METHODS`); `method` None: a sign that is never drawn here."""

    id: str
    method: str | None
    letter: str
    words: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A rule in words. `of` is a key of `OF` where the rule says how long something is kept, else empty."""

    id: str
    words: str
    source: Source
    of: str = ""

    def for_people(self) -> str:
        return f"{self.words} ({self.source.for_people()})"

    def as_json(self) -> dict[str, Any]:
        return {"id": self.id, "words": self.words, "source": self.source.as_json()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Requalification:
    """All of the file. `height_mm` and `number_height_mm` are the least heights struck [mm]: of month, year and sign, and of the number."""

    records: Mapping[str, FieldList]
    suffixes: tuple[Suffix, ...]
    markings: Mapping[str, Said]
    tellings: Mapping[str, Said]
    retentions: tuple[Said, ...]
    certificates: Mapping[str, FieldList]
    height_mm: Fraction
    number_height_mm: Fraction

    def kept(self, of: str) -> tuple[Said, ...]:
        """How long something is kept; `of` is a key of `OF`."""
        return tuple(each for each in self.retentions if each.of == of)


def _field_lists(tables: Mapping[str, Any], kind: str) -> dict[str, FieldList]:
    found = {}
    for place, table in entries(tables, _FILE, kind, {"fields", "words"}):
        names = place.codes(table, "fields", FIELDS, what="field")
        found[table["id"]] = FieldList(id=table["id"], fields=names, words=place.text(table, "words", ""), source=source_of(place, table))
    return found


def _said(tables: Mapping[str, Any], kind: str, more: frozenset[str] = frozenset()) -> dict[str, Said]:
    found = {}
    for place, table in entries(tables, _FILE, kind, {"words", *more}):
        of = place.code(table.get("of"), OF, what="paper") if "of" in more else ""
        found[table["id"]] = Said(id=table["id"], words=place.text(table, "words"), source=source_of(place, table), of=of)
    return found


def _suffixes(tables: Mapping[str, Any]) -> tuple[Suffix, ...]:
    found = []
    for place, table in entries(tables, _FILE, "suffix", {"method", "letter", "words"}):
        method = place.code(table["method"], TEST_METHODS, what="method") if "method" in table else None
        letter = str(table.get("letter", ""))
        found.append(Suffix(id=table["id"], method=method, letter=letter, words=place.text(table, "words"), source=source_of(place, table)))
    return tuple(found)


def _heights(tables: Mapping[str, Any]) -> tuple[Fraction, Fraction]:
    table: Mapping[str, Any] = next((each for each in tables.get("marking", ()) if each.get("id") == "size"), {})
    place = Place(_FILE, "size", kind="marking")
    return fraction(place, table, "height_mm"), fraction(place, table, "number_height_mm")


def parse_requalification(tables: Mapping[str, Any]) -> Requalification:
    """Read the data from the tables of a TOML file. Raises `Refusal` for anything that is not as declared."""
    Place(_FILE).keys(tables, {"record", "suffix", "marking", "telling", "retention", "certificate"})
    tall, small = _heights(tables)
    return Requalification(
        records=_field_lists(tables, "record"),
        suffixes=_suffixes(tables),
        markings=_said(tables, "marking", frozenset({"height_mm", "number_height_mm"})),
        tellings=_said(tables, "telling"),
        retentions=tuple(_said(tables, "retention", frozenset({"of"})).values()),
        certificates=_field_lists(tables, "certificate"),
        height_mm=tall,
        number_height_mm=small,
    )


@cache
def requalification() -> Requalification:
    """The data that is shipped."""
    return parse_requalification(shipped(_FILE))
