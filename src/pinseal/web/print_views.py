"""The data of the print page: what may be printed, how it looks, and why the rest is not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pinseal.web.office_views import Link, UnitHead
from pinseal.web.views import Choice, Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPrinted:
    """A mark that is not printed now, and why."""

    name: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintPage:
    """One sheet, unit or site, and what is printed of it. `hidden` are names and values that the form sends along.

    `preview` is the address of a picture of the first page, empty where nothing may be printed; `trouble` says why not.
    """

    frame: Frame
    title: str
    unit: UnitHead | None
    back: Link
    tabs: tuple[Link, ...]
    name: str
    counted: str
    stock: str
    notes: tuple[str, ...]
    trouble: str
    here: str
    hidden: tuple[tuple[str, str], ...]
    stocks: tuple[Choice, ...]
    start: int
    cells: int
    preview: str
    pdf: str
    not_printed: tuple[NotPrinted, ...] = ()
    sheet_is_open: bool = False


TEMPLATES: dict[type[Any], str] = {PrintPage: "print.html"}
