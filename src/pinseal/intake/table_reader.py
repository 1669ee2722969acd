"""One table to units: its columns are read one after the other, then joined row by row."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import cast

from pinseal.dates import PartialDate
from pinseal.intake.column_cells import Cells, Key, Marked, read_each, text_of
from pinseal.intake.columns import decide_order
from pinseal.intake.date_columns import ORDERS, context_of, fold_latest, order_of, read_column, read_year_columns
from pinseal.intake.date_shapes import triple_orders
from pinseal.intake.date_words import DateContext
from pinseal.intake.findings import Ask, Flaw, Read
from pinseal.intake.gathering import Gathering, Part, faulty, problem, report, settled
from pinseal.intake.heading_words import DATE_FIELDS, MORE_FIELDS
from pinseal.intake.kind_cells import Kind, combined, parse_kind, settle_kind
from pinseal.intake.note_cells import NOTHING, Remark, read_remark
from pinseal.intake.plain_cells import (
    read_bench_cell,
    read_expelled,
    read_hose,
    read_identity,
    read_shell,
    read_test_method,
    read_text_cell,
    read_volume,
    read_yes_no,
)
from pinseal.units import Quantity

_FIGURES = frozenset("0123456789")
_WORD = re.compile(r"[^\W\d_]{3,}")

Values = Sequence[object]


class TableReader:
    """Reads the unit rows of one table; `facts` maps each fact to its values in row order."""

    def __init__(self, gathering: Gathering, part: Part) -> None:
        self.gathering, self.part = gathering, part
        self.size = len(part.numbers)
        self.facts: dict[str, Values] = {}
        self.headings: dict[str, str] = {}
        self._pending: tuple[str, list[tuple[Key, ...]], dict[tuple[Key, ...], Kind]] | None = None
        self.latest_readings: dict[str, list[PartialDate | None]] = {}
        for column in part.table.columns:
            if column.field and not column.due:
                self.headings.setdefault(column.field, column.heading)

    def read(self, orders: dict[int, str | None]) -> dict[str, Values]:
        """All facts but site and place."""
        self._kinds()
        for field in ("id", "serial"):
            self._identity(field)
        for field in ("rating", "model", "lot", "cylinder_specification", "service_pressure"):
            self._one(field, lambda key: Read(read_text_cell(text_of(key))))
        custom = self.gathering.custom
        self._one("expelled_by", lambda key: read_expelled(text_of(key), custom))
        self._one("shell", lambda key: read_shell(text_of(key), custom))
        self._one("hose", lambda key: read_hose(text_of(key)))
        self._one("test_method", lambda key: read_test_method(text_of(key)))
        self._one("water_capacity", lambda key: read_volume(text_of(key)))
        for field in ("wheeled", "rechargeable", "recharge_opened"):
            self._one(field, lambda key, field=field: read_yes_no(text_of(key), field, custom))  # type: ignore[misc]
        self._more()
        self._dates(orders)
        self._remarks()
        self._ask_kinds()
        return self.facts

    def _merge(self, field: str, values: Values) -> None:
        """Values of a column go before what was already read elsewhere in the row."""
        before = self.facts.get(field)
        self.facts[field] = values if before is None else [new if new is not None else old for new, old in zip(values, before, strict=True)]

    def _one(self, field: str, read: Callable[[Key], Read[object]]) -> None:
        for column in reversed(self.part.columns_of(field)):
            keys = self.part.keys[column.index]

            def read_key(key: Key) -> Read[object]:
                return faulty(key) or (self._answered(read(key)) if text_of(key) else Read())

            reads = read_each(keys, read_key)
            report(self.gathering, self.part, column, reads)
            values = {key: found.value for key, found in reads.items()}
            self._merge(field, [values[key] for key in keys])

    def _more(self) -> None:
        """The seldom facts of the nameplate, together in one fact of the row."""
        for field in MORE_FIELDS:
            self._one(field, lambda key, field=field: read_bench_cell(text_of(key), field))  # type: ignore[misc]
        given = {field: self.facts.pop(field) for field in MORE_FIELDS if field in self.facts}
        if given:
            rows = (dict(zip(given, row, strict=True)) for row in zip(*given.values(), strict=True))
            self.facts["more"] = [{name: value for name, value in row.items() if value is not None} or None for row in rows]

    def _identity(self, field: str) -> None:
        """Ids and serials: hardly two are the same, so that only unusual cells are looked at closely."""
        for column in reversed(self.part.columns_of(field)):
            keys = self.part.keys[column.index]
            plainly = [isinstance(key, str) and key[-1:] in _FIGURES and key.isascii() and key[0] != " " for key in keys]
            odd = Cells(key for key, clear in zip(keys, plainly, strict=True) if not clear)
            reads: dict[Key, Read[object]] = {key: faulty(key) or read_identity(text_of(key)) for key in odd.different()}
            report(self.gathering, self.part, column, reads)
            self._merge(field, [key if clear else reads[key].value for key, clear in zip(keys, plainly, strict=True)])

    def _answered(self, found: Read[object]) -> Read[object]:
        given = settled(self.gathering, found.ask) if found.ask else None
        if given is None:
            return found
        return Read({"yes": True, "no": False}.get(given, given), None, found.ask)

    def _kinds(self) -> None:
        """Agent and size, from one cell or several, each different combination read once."""
        columns = [*self.part.columns_of("agent"), *self.part.columns_of("size")]
        if not columns:
            return
        custom = self.gathering.custom
        unit = next((column.units[0] for column in columns if len(column.units) == 1), None)
        rows = list(zip(*(self.part.keys[column.index] for column in columns), strict=True))
        kinds: dict[tuple[Key, ...], Kind] = {}
        for row in dict.fromkeys(rows):
            kind = Kind()
            for key in row:
                parsed = Kind() if faulty(key) else parse_kind(text_of(key), custom)
                kind = combined(kind, parsed)
            raw = " ".join(text_of(key) for key in row).strip()
            kinds[row] = self._kind_answered(settle_kind(kind, custom, raw, unit))
        for column in columns:
            report(
                self.gathering,
                self.part,
                column,
                {key: fault for key in self.part.keys[column.index].different() if (fault := faulty(key))},
            )
        self._pending = (columns[0].heading, rows, kinds)
        for field in ("agent", "size", "rating", "wheeled", "expelled_by", "shell"):
            values = {row: getattr(kind, field) for row, kind in kinds.items()}
            if any(value is not None for value in values.values()):
                self._merge(field, [values[row] for row in rows])

    def _kind_answered(self, kind: Kind) -> Kind:
        changes: dict[str, object] = {}
        for ask in kind.asks:
            given = settled(self.gathering, ask)
            if given is None:
                continue
            if ask.field == "agent":
                changes["agent"] = given
            elif ask.field == "size" and kind.amount:
                changes["size"] = Quantity(value=kind.amount.value, unit=given)
            elif ask.field == "wheeled":
                changes |= {"wheeled": True} if given == "wheeled" else {"expelled_by": given}
        return _replaced(kind, changes)

    def _ask_kinds(self) -> None:
        """Ask what the kinds leave open, at the end: the row's own columns may have settled whether a cart is a cart."""
        if self._pending is None:
            return
        heading, rows, kinds = self._pending
        self._tell_unknown_kinds(heading, rows, kinds)
        asking = {row for row, kind in kinds.items() if kind.asks}
        if not asking:
            return
        places: dict[tuple[tuple[Key, ...], Ask], list[int]] = {}
        for place, row in enumerate(rows):
            for ask in kinds[row].asks if row in asking else ():
                if ask.field != "wheeled" or self._driven(place) is None:
                    places.setdefault((row, ask), []).append(self.part.numbers[place])
        for (row, ask), numbers in places.items():
            raw = " ".join(text_of(key) for key in row).strip()
            self.gathering.questions.add(ask, sheet=self.part.sheet, column=heading, rows=numbers, raw=raw)

    def _tell_unknown_kinds(self, heading: str, rows: list[tuple[Key, ...]], kinds: Mapping[tuple[Key, ...], Kind]) -> None:
        """A word for the kind that nobody knows is a problem, not silence."""
        unknown = {
            row for row, kind in kinds.items() if kind.agent is None and not kind.unsure and not kind.asks and _WORD.search(kind.left)
        }
        agents = self.facts.get("agent")
        for place, row in enumerate(rows) if unknown else ():
            if row in unknown and (agents is None or agents[place] is None):
                raw = " ".join(text_of(key) for key in row).strip()
                why = f"no kind of agent is known by “{kinds[row].left[:40]}”"
                problem(self.gathering, self.part.sheet, self.part.numbers[place], heading, raw, Flaw("unreadable", why))

    def _driven(self, place: int) -> object:
        """Whether the row says elsewhere that it has wheels, or what drives it."""
        known = [self.facts[name][place] for name in ("wheeled", "expelled_by") if name in self.facts]
        return next((value for value in known if value is not None), None)

    def _dates(self, orders: dict[int, str | None]) -> None:
        for field in DATE_FIELDS:
            found = []
            for column in self.part.columns_of(field):
                if column.year is not None:
                    continue
                order = orders.get(column.index)
                context = context_of(self.gathering, self.part, column, order)
                values, latest = read_column(self.gathering, self.part, column, context, order)
                found.append(values)
                if latest is not None and field != "manufactured":
                    self.latest_readings[field] = latest
            if found:
                self.facts[field] = fold_latest(found)
        years = read_year_columns(self.gathering, self.part)
        if years is not None:
            field, values = years
            known = self.facts.get(field)
            self.facts[field] = fold_latest([cast("Sequence[PartialDate | None]", known), values]) if known is not None else values
            self.headings.setdefault(field, "years")

    def _remarks(self) -> None:
        """Remarks: kept as notes; a recharge, a removal and the like are read out of them."""
        order = self.gathering.list_order or self.gathering.given_order
        context = DateContext(order=order, latest_year=self.gathering.latest_year, as_of=self.gathering.as_of)
        texts: list[list[str | None]] = []
        for column in [*self.part.columns_of("notes"), *self.part.columns_of("status")]:
            keys = self.part.keys[column.index]
            remarks = read_each(keys, lambda key: read_remark(text_of(key), context) if text_of(key) else NOTHING)
            speaking = {key for key, remark in remarks.items() if remark.deeds or remark.removed or remark.elsewhere or remark.wheeled}
            for place, key in enumerate(keys) if speaking else ():
                if key in speaking:
                    self._remark(place, column.heading, text_of(key), remarks[key])
            if column.field == "notes":
                names = {key: text_of(key).strip() or None for key in keys.different()}
                texts.append([names[key] for key in keys])
        if texts:
            self.facts["notes"] = (
                texts[0] if len(texts) == 1 else ["; ".join(filter(None, row)) or None for row in zip(*texts, strict=True)]
            )

    def _remark(self, place: int, heading: str, raw: str, remark: Remark) -> None:
        row = self.part.numbers[place]
        for field, when in remark.deeds:
            values = cast("list[object]", self.facts.setdefault(field, [None] * self.size))
            if values[place] is None and not self._has_cell(field, place):
                values[place] = when
        if remark.wheeled:
            wheels = cast("list[object]", self.facts.setdefault("wheeled", [None] * self.size))
            wheels[place] = True if wheels[place] is None else wheels[place]
        if remark.removed:
            problem(self.gathering, self.part.sheet, row, heading, raw, Flaw("removed", "the remark says that the unit is gone"))
        if remark.elsewhere:
            problem(
                self.gathering,
                self.part.sheet,
                row,
                heading,
                raw,
                Flaw("counted-elsewhere", "the remark says that these stand elsewhere too"),
            )

    def _has_cell(self, field: str, place: int) -> bool:
        return any(text_of(self.part.keys[column.index][place]).strip() for column in self.part.columns_of(field))


def _replaced(kind: Kind, changes: dict[str, object]) -> Kind:
    if not changes:
        return kind
    names = ("agent", "unsure", "amount", "size", "rating", "wheeled", "expelled_by", "shell", "asks", "left")
    return Kind(**{name: changes.get(name, getattr(kind, name)) for name in names})  # type: ignore[arg-type]


def column_orders(gathering: Gathering, part: Part, *, other_language: bool) -> dict[int, str | None]:
    """The order of day and month that each date column proves by itself."""
    context = DateContext(latest_year=gathering.latest_year)
    found: dict[int, str | None] = {}
    for column in part.table.columns:
        if column.field in DATE_FIELDS and column.year is None:
            texts = [key for key in part.keys[column.index].different() if isinstance(key, str) and key]
            found[column.index] = order_of(texts, context, other_language=other_language) or _shown_order(part.keys[column.index], context)
    return found


def _shown_order(keys: Sequence[Key], context: DateContext) -> str | None:
    """The order in which a workbook shows its real dates; it decides nothing about typed ones beside them."""
    shown = {key for key in keys if isinstance(key, Marked) and key.mark.day is not None and key.mark.day.day}
    evidence = []
    for key in shown:
        possible = triple_orders(key.text, context) or {}
        orders = frozenset(order for order, when in possible.items() if when == key.mark.day and order != "YMD")
        evidence += [orders] if orders else []
    order = decide_order(evidence)
    return order if order in ORDERS else None
