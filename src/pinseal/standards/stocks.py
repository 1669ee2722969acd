"""Label stock: the sheets, rolls and cards on which marks are printed, as shipped (`stocks.toml`) or in a shop's own file."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from pinseal.reasons import Refusal
from pinseal.standards.marks import COLOURS, PRINTED, mark_forms
from pinseal.standards.sourced import shipped
from pinseal.standards.strict import Place, read_toml

_FILE = "stocks.toml"
FEEDS = {"sheet": "a sheet of several cells", "roll": "a roll, one cell a page", "card": "a single card"}
_SIZES = ("cell_width", "cell_height", "page_width", "page_height", "left", "top", "pitch_x", "pitch_y")
_KEYS = {"id", "title", "feed", "marks", "forms", "colour", "carries", "columns", "rows", "ring_inner", "radius", *_SIZES}
_LARGEST_MM = 1200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """One kind of stock. Lengths are in mm, `left` and `top` from the edge of the page to the first cell.

    `marks` are what it is made for (none: any), `forms` whose form is printed on it already (none: it is blank). `colour` is
    what it is made of, None where it is not said. `carries` names the fields and words that are on it already. `ring_inner` is
    the inner diameter of a ring that is cut from the cell, 0 for none.
    """

    id: str
    title: str
    feed: str
    cell_width: float
    cell_height: float
    page_width: float
    page_height: float
    left: float = 0.0
    top: float = 0.0
    pitch_x: float = 0.0
    pitch_y: float = 0.0
    columns: int = 1
    rows: int = 1
    marks: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()
    colour: str | None = None
    carries: tuple[str, ...] = ()
    ring_inner: float = 0.0
    radius: float = 2.0

    @property
    def cells(self) -> int:
        return self.columns * self.rows

    def fits(self, mark: str) -> bool:
        """Whether it is made for a mark."""
        return not self.marks or mark in self.marks


def parse_stocks(tables: Mapping[str, Any], *, file: str) -> dict[str, Stock]:
    """The stocks of one file. Raises `Refusal` for anything that is not as declared."""
    Place(file).keys(tables, {"stock"})
    found: dict[str, Stock] = {}
    for table in Place(file).tables(tables, "stock"):
        place = Place(file, str(table.get("id")), kind="stock")
        made = _stock(place, table)
        if made.id in found:
            raise place.refuse("this stock stands twice", rule="an id means one stock", got=made.id, do="choose another id")
        found[made.id] = made
    return found


def _stock(place: Place, table: Mapping[str, Any]) -> Stock:
    place.keys(table, _KEYS)
    feed = place.code(table.get("feed"), FEEDS, what="feed")
    sizes = {name: _length(place, table, name) for name in _SIZES if name in table}
    for name in ("cell_width", "cell_height"):
        if not sizes.get(name):
            raise place.refuse(f"{name} is missing", rule="a cell has a size in mm", got=table.get(name), do=f"add {name} = 50")
    sizes.setdefault("page_width", sizes["cell_width"])
    sizes.setdefault("page_height", sizes["cell_height"])
    columns, rows = (_count(place, table, name) for name in ("columns", "rows"))
    sizes.setdefault("pitch_x", sizes["cell_width"])
    sizes.setdefault("pitch_y", sizes["cell_height"])
    colour = table.get("colour")
    made = Stock(
        id=place.text(table, "id"),
        title=place.text(table, "title"),
        feed=feed,
        columns=columns,
        rows=rows,
        marks=place.codes(table, "marks", PRINTED, what="mark"),
        forms=place.codes(table, "forms", mark_forms(), what="form of marks"),
        colour=None if colour is None else place.code(colour, COLOURS, what="colour"),
        carries=place.texts(table, "carries"),
        ring_inner=_length(place, table, "ring_inner"),
        radius=place.number(table, "radius", 2.0),
        **sizes,
    )
    _check_page(place, made)
    return made


def _length(place: Place, table: Mapping[str, Any], key: str) -> float:
    value = place.number(table, key, 0.0)
    if not math.isfinite(value) or value > _LARGEST_MM:
        raise place.refuse(f"{key} is no length", rule=f"lengths are in mm, up to {_LARGEST_MM:g}", got=value, do="measure it again")
    return value


def _count(place: Place, table: Mapping[str, Any], key: str) -> int:
    value = table.get(key, 1)
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 60:
        raise place.refuse(f"{key} is no count", rule="a page has 1 to 60 columns and rows", got=value, do=f"write {key} = 3")
    return value


def _check_page(place: Place, made: Stock) -> None:
    """Every cell lies on the page, and none on another. Raises `Refusal`."""
    slack = 0.01
    right = made.left + (made.columns - 1) * made.pitch_x + made.cell_width
    bottom = made.top + (made.rows - 1) * made.pitch_y + made.cell_height
    for what, reaches, page in (("to the right", right, made.page_width), ("down", bottom, made.page_height)):
        if reaches > page + slack:
            raise place.refuse(
                f"the cells reach beyond the page {what}",
                rule=f"the page is {page:g} mm",
                got=f"{reaches:g} mm",
                do="measure the sheet again",
            )
    if (made.columns > 1 and made.pitch_x < made.cell_width - slack) or (made.rows > 1 and made.pitch_y < made.cell_height - slack):
        raise place.refuse(
            "cells lie on each other", rule="the pitch runs from the edge of one cell to the same edge of the next",
            got=f"{made.pitch_x:g} x {made.pitch_y:g} mm", do="measure the pitch again",
        )  # fmt: skip
    if made.ring_inner >= min(made.cell_width, made.cell_height):
        raise place.refuse(
            "the ring has no rim",
            rule="the inner diameter is less than the cell",
            got=f"{made.ring_inner:g} mm",
            do="measure the neck again",
        )


@cache
def shipped_stocks() -> Mapping[str, Stock]:
    """The stocks that come with the program."""
    return parse_stocks(shipped(_FILE), file=_FILE)


def stock_named(name: str) -> Stock:
    """A shipped stock by its name, or the one stock of a TOML file. Raises `Refusal`."""
    held = shipped_stocks()
    if name in held:
        return held[name]
    if name.endswith(".toml"):
        own = parse_stocks(read_toml(Path(name)), file=Path(name).name)
        if len(own) == 1:
            return next(iter(own.values()))
        raise Refusal(
            what="this file does not hold one stock", rule="a file of a stock holds one", got=f"{len(own)} in {name}", do="keep one in it"
        )
    raise Refusal(
        what="there is no such stock",
        rule=f"a stock is one of {', '.join(held)}, or a file that ends in .toml",
        got=name,
        do="use a listed one, or write a file as docs/marks.md shows",
    )
