"""What small data files share: an entry says its source, how that was checked and when it holds; nothing else stands in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from importlib.resources import files
from typing import Any

from pinseal.kinds import CHECKED
from pinseal.standards.pressure_tests import Source
from pinseal.standards.strict import Place, read_toml

SOURCE_KEYS = {"document", "edition", "clause", "checked", "checked_on", "in_force_from", "in_force_to", "note"}


def source_of(place: Place, table: Mapping[str, Any]) -> Source:
    """The source of an entry. Raises `Refusal` for a key that is missing or wrong."""
    open_end = table.get("in_force_to") == "open"
    return Source(
        document=place.text(table, "document"), edition=place.text(table, "edition"), clause=place.text(table, "clause"),
        checked=place.code(table.get("checked"), CHECKED, what="way of checking"),
        checked_on=place.day(table.get("checked_on"), what="checked_on"),
        in_force_from=place.day(table.get("in_force_from"), what="in_force_from"),
        in_force_to=None if open_end else place.day(table.get("in_force_to"), what='in_force_to (or "open")'),
        note=place.text(table, "note", ""),
    )  # fmt: skip


def entries(tables: Mapping[str, Any], file: str, kind: str, keys: set[str]) -> Iterator[tuple[Place, Mapping[str, Any]]]:
    """Each entry of a kind with its place for refusals; `keys` are the keys it may have beside its id and its source."""
    for number, table in enumerate(Place(file).tables(tables, kind), start=1):
        place = Place(file, str(table.get("id", number)), kind=kind)
        place.keys(table, keys | SOURCE_KEYS | {"id"})
        place.text(table, "id")
        yield place, table


def fraction(place: Place, table: Mapping[str, Any], key: str) -> Fraction:
    """An exact number above zero, written as a text. Raises `Refusal`."""
    try:
        value = Fraction(place.text(table, key))
    except (ValueError, ZeroDivisionError):
        value = Fraction(0)
    if value <= 0:
        raise place.refuse(
            f"{key} is no number above zero", rule='numbers are exact texts, such as "1/10"', got=table[key], do="correct it"
        )
    return value


def shipped(file: str) -> Mapping[str, Any]:
    """The tables of a data file that comes with the program."""
    return read_toml(files("pinseal.standards").joinpath(file))
