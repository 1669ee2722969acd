"""Marks drawn: from what may be printed to pages of stock at true scale, with codes that readers read."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

import typst

from pinseal.documents.codes import code128_svg, qr_svg
from pinseal.documents.typeset import Form, Typeset, drawn_boxes, typeset
from pinseal.kinds import AGENT_GROUPS
from pinseal.reasons import Refusal
from pinseal.rules.marks import EarnedMark
from pinseal.standards.marks import FIELDS
from pinseal.standards.stocks import Stock

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_SHAPES = {"collar": "ring", "six-year-label": "label", "test-label": "label", "hose-label": "strip"}
_TITLES = {
    "tag": "Serviced",
    "recharge-tag": "Recharged",
    "collar": "Valve out, inside examined",
    "six-year-label": "Emptied and examined inside",
    "test-label": "Shell pressure tested",
    "hose-label": "Hose tested",
    "red-tag": "Out of order",
}
_WORK_CELLS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Maintenance", ("maintained",)),
    ("Recharge", ("recharged", "agent-renewed")),
    ("Inside", ("opened",)),
    ("Pressure test", ("tested",)),
    ("Hose", ("hose-tested", "conductivity-tested")),
    ("Gas, regulator", ("expellant-cylinder-tested", "regulator-tested")),
)
_TYPE_CELLS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Powder", AGENT_GROUPS["all-dry-chemical"]),
    ("CO2", ("co2",)),
    ("Water", (*AGENT_GROUPS["all-water"], "water-mist")),
    ("Foam", AGENT_GROUPS["all-foam"]),
    ("Wet chem.", ("wet-chemical",)),
    ("Clean agent", AGENT_GROUPS["all-halocarbon"]),
    ("Halon", AGENT_GROUPS["all-halon"]),
    ("Class D", AGENT_GROUPS["all-class-d"]),
)
# Fields that stand elsewhere than in a captioned line.
_PLACED = {
    "firm-name", "firm-address", "firm-phone", "firm-registration", "firm-class", "month-year", "work", "signature", "test-pressure",
    "level", "test-year", "seal",
}  # fmt: skip
_SIZE = re.compile(r"(\d) ([A-Za-z]+)$")  # a figure and its unit stay on one line
_LONG_WORD, _ZERO_WIDTH_SPACE = 16, "\u200b"
_LEAST_MODULE_MM, _BEST_MODULE_MM = 0.19, 0.42


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitLabel:
    """What a code label or a place label says of a unit. `address` is what its code leads to; empty draws no such code."""

    id: str
    kind: str
    place: str
    address: str = ""
    agent: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Pages of marks, and what the person who prints should know of them."""

    pages: Typeset
    notes: tuple[str, ...] = ()


def draw_marks(
    marks: Sequence[EarnedMark],
    stock: Stock,
    *,
    stamp: datetime,
    agents: Sequence[str | None] = (),
    start: int = 1,
    form: Form = "pdf",
    ppi: float = 200,
) -> Drawn:
    """Earned marks on a stock, from its cell `start` on. `agents` are the agents of their units, for the cells of the type."""
    kinds = [*agents, *[None] * (len(marks) - len(agents))]
    return _draw([_drawing(mark, agent) for mark, agent in zip(marks, kinds, strict=True)], stock, stamp, start, form, ppi, ())


def draw_labels(
    mark: str, labels: Sequence[UnitLabel], stock: Stock, *, stamp: datetime, start: int = 1, form: Form = "pdf", ppi: float = 200
) -> Drawn:
    """Code labels or place labels of units on a stock, from its cell `start` on."""
    notes: list[str] = []
    drawings = [_code_drawing(each, stock, notes) if mark == "code-label" else _place_drawing(each) for each in labels]
    return _draw(drawings, stock, stamp, start, form, ppi, tuple(notes))


def draw_check(stock: Stock, *, stamp: datetime, form: Form = "pdf", ppi: float = 200) -> Drawn:
    """A page that shows whether stock and print meet: outlines, numbers of the cells, and a rule."""
    pages = typeset("stock_check", {"stock": asdict(stock)}, title=f"Check page for {stock.id}", stamp=stamp, form=form, ppi=ppi)
    return Drawn(pages=pages)


def boxes_of(marks: Sequence[EarnedMark], stock: Stock, *, labels: Sequence[UnitLabel] = (), start: int = 1) -> list[dict[str, Any]]:
    """Where each part of each mark is drawn [mm], for checks."""
    drawings = [_drawing(mark, None) for mark in marks] + [_code_drawing(each, stock, []) for each in labels]
    return drawn_boxes("marks", {"stock": asdict(stock), "start": start, "marks": drawings, "told": True}, title="Check")


def _draw(
    drawings: list[dict[str, Any]], stock: Stock, stamp: datetime, start: int, form: Form, ppi: float, notes: tuple[str, ...]
) -> Drawn:
    _check_start(stock, start)
    data = {"stock": asdict(stock), "start": start, "marks": drawings}
    try:
        pages = typeset("marks", data, title=_title(drawings), stamp=stamp, form=form, ppi=ppi)
    except typst.TypstError as failed:
        raise _too_long(failed, stock) from failed
    uncovered = tuple(f"no font here has {each}: its number is printed in its place" for each in pages.uncovered)
    return Drawn(pages=pages, notes=(*notes, *uncovered))


def _title(drawings: Sequence[Mapping[str, Any]]) -> str:
    names = list(dict.fromkeys(str(each["name"]) for each in drawings))
    return f"{', '.join(names[:3])}{f' and {len(names) - 3} more' if len(names) > 3 else ''}" or "Empty stock"


def _check_start(stock: Stock, start: int) -> None:
    if not 1 <= start <= stock.cells:
        raise Refusal(
            what="there is no such cell on this stock",
            rule=f"its cells are numbered 1 to {stock.cells}, row by row",
            got=str(start),
            do="say the number of the first free cell",
        )


def _too_long(failed: typst.TypstError, stock: Stock) -> Exception:
    found = re.search(r"does not fit: ([^\n\"]*)", failed.message)
    if not found:
        return failed
    return Refusal(
        what="the text does not fit on this stock, even small",
        rule="every field of a mark can be read",
        got=f"{found[1].strip()} on {stock.id}, {stock.cell_width:g} x {stock.cell_height:g} mm",
        do="take a larger stock, or shorten the place or the owner",
    )


# -- one mark


def _drawing(mark: EarnedMark, agent: str | None) -> dict[str, Any]:
    rule, values = mark.rule, mark.values
    level = rule.grid == "month-by-year"
    asked = {each.what for each in rule.fields}
    dated = "month-year" in asked
    return {
        "name": f"{values.get('unit-id') or mark.unit} {mark.title}",
        "shape": "level" if level else _SHAPES.get(rule.mark, "tag"),
        "title": _TITLES[rule.mark],
        "red": rule.mark == "red-tag",
        "border": True,
        "words": [each.what for each in rule.texts],
        "firm": _firm(values),
        "months": _cells(_MONTHS, _MONTHS[mark.on.month - 1]) if dated else [],
        "years": _cells(map(str, mark.years), str(mark.on.year)) if dated else [],
        "punched": "month-year" in rule.punched,
        "kinds": [{"word": word, "hit": bool(set(kinds) & set(mark.works))} for word, kinds in _WORK_CELLS] if "work" in asked else [],
        "kinds-punched": "work" in rule.punched,
        "types": [{"word": word, "hit": agent in agents} for word, agents in _TYPE_CELLS] if "unit-type" in rule.punched else [],
        "lines": _lines(rule.mark, [each.what for each in rule.fields if each.what not in rule.punched or each.what == "day"], values),
        "sign": "signature" in asked or rule.mark == "red-tag",
        "figure": values.get("test-pressure", "") if "test-pressure" in asked else "",
        "level": values.get("level", ""),
        "tests": _test_years(values.get("test-year", ""), mark.on) if level else [],
    }


def _firm(values: Mapping[str, str]) -> dict[str, Any]:
    numbers = " ".join(
        part for part in (values.get("firm-registration", ""), f"class {values['firm-class']}" if "firm-class" in values else "") if part
    )
    lines = [values.get("firm-address", ""), values.get("firm-phone", ""), f"Registration {numbers}" if numbers else ""]
    return {"name": _breakable(values.get("firm-name", "")), "lines": [_breakable(each) for each in lines if each]}


def _cells(words: Iterable[str], hit: str) -> list[dict[str, Any]]:
    return [{"word": word, "hit": word == hit} for word in words]


def _test_years(year: str, on: date) -> list[dict[str, Any]]:
    """Six years at the spine, the last one that of the service; a test further back has a cell of its own in front."""
    years = [str(each) for each in range(on.year - 5, on.year + 1)]
    return _cells(years if year in years or not year else [year, *years[1:]], year)


def _lines(mark: str, asked: Iterable[str], values: Mapping[str, str]) -> list[dict[str, str]]:
    """The captioned lines of a mark: what the form asks for and is not drawn elsewhere; the unit's number always, where known."""
    names = [name for name in asked if name not in _PLACED]
    if mark in ("tag", "recharge-tag", "red-tag") and "unit-id" not in names:
        names.insert(0, "unit-id")
    together = {"person-licence": "person-name", "licence-class": "person-name", "unit-size": "unit-type"}
    found: dict[str, list[str]] = {}
    for name in sorted(names, key=_ORDER.index):
        if values.get(name):
            found.setdefault(together.get(name, name) if together.get(name) in found else name, []).append(values[name])
    captions = _CAPTIONS | ({"person-name": "Found by"} if mark == "red-tag" else {})
    return [{"name": captions[name], "value": _breakable(", ".join(parts))} for name, parts in found.items()]


_CAPTIONS = {
    **FIELDS,
    "unit-id": "Unit",
    "unit-type": "Type and size",
    "unit-size": "Size",
    "unit-place": "Place",
    "serial": "Serial number",
    "owner": "Owner",
    "work-done": "Done",
    "impairments": "What is wrong",
    "day": "Day",
    "next-due": "Next due",
    "person-name": "Serviced by",
    "person-licence": "Licence",
    "licence-class": "Class of licence",
}
_ORDER = (
    "unit-id", "serial", "unit-type", "unit-size", "unit-place", "owner", "impairments", "work-done", "day", "next-due", "person-name",
    "person-licence", "licence-class",
)  # fmt: skip


def _breakable(text: str) -> str:
    """A word longer than a line can break anywhere: a space without width stands between some of its letters."""
    return re.sub(
        rf"\S{{{_LONG_WORD + 8},}}", lambda word: _ZERO_WIDTH_SPACE.join(word[0][i : i + 8] for i in range(0, len(word[0]), 8)), text
    )


# -- labels of units


def _code_drawing(label: UnitLabel, stock: Stock, notes: list[str]) -> dict[str, Any]:
    bars, width = _bars(label.id, stock.cell_width - 4)
    if not bars:
        notes.append(f"{label.id}: no bar code, for {width}")
    return {
        "name": f"{label.id} code label",
        "shape": "code",
        "red": False,
        "border": True,
        "id": label.id,
        "qr": qr_svg(label.address) if label.address else "",
        "bars": bars,
        "bars-mm": width if bars else 0,
        "lines": [{"name": "", "value": _breakable(each)} for each in (_SIZE.sub("\\1\u00a0\\2", label.kind), label.place) if each],
    }


def _place_drawing(label: UnitLabel) -> dict[str, Any]:
    return {
        "name": f"{label.id} place label",
        "shape": "place",
        "red": False,
        "border": True,
        "id": label.id,
        "place": _breakable(label.place),
        "lines": [{"name": "", "value": label.kind}] if label.kind else [],
    }


def _bars(text: str, room: float) -> tuple[str, Any]:
    """Code 128 as SVG with its width [mm], quiet zones included; no code, and why, where it cannot be drawn or read."""
    if not text or not all(" " <= each <= "~" for each in text):
        return "", "its number has characters that Code 128 does not hold"
    svg, modules = code128_svg(text)
    module = min(_BEST_MODULE_MM, room / modules)
    if module < _LEAST_MODULE_MM:
        return "", f"its bars would be finer than {_LEAST_MODULE_MM} mm"
    return svg, round(module * modules, 3)
