"""Printing: marks from job sheets, labels of units, the check page of a stock. It gathers, asks the rules, and has it drawn."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from pinseal.app.ground import Asked
from pinseal.app.sheets import Sheets
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.documents.marks import Drawn, UnitLabel
    from pinseal.records.unit import UnitState
    from pinseal.rules.marks import EarnedMark, SheetWork
    from pinseal.service.marks import MarkAsked, OfferedMark, PrintAsked
    from pinseal.service.sheet_shapes import OpenedSheet
    from pinseal.standards.stocks import Stock
    from pinseal.store import Settings, Shop
    from pinseal.store.sheets import KeptSheet

MOST = 2000  # marks or labels in one file


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """What was drawn on which stock; `draw` makes its pages in a form."""

    stock: Stock
    marks: tuple[EarnedMark, ...]
    labels: tuple[UnitLabel, ...]
    mark: str
    start: int
    stamp: Any
    agents: tuple[str | None, ...] = ()
    notes: tuple[str, ...] = ()

    def first_page(self) -> Printed:
        """What stands on the first page alone, for a preview."""
        room = self.stock.cells - self.start + 1
        return replace(self, marks=self.marks[:room], labels=self.labels[:room])

    def draw(self, form: Literal["pdf", "svg", "png"], *, ppi: float = 200) -> Drawn:
        from pinseal.documents.marks import draw_check, draw_labels, draw_marks

        if self.mark == "check":
            return draw_check(self.stock, stamp=self.stamp, form=form, ppi=ppi)
        if self.labels:
            return draw_labels(self.mark, self.labels, self.stock, stamp=self.stamp, start=self.start, form=form, ppi=ppi)
        return draw_marks(self.marks, self.stock, stamp=self.stamp, agents=self.agents, start=self.start, form=form, ppi=ppi)


class Printing(Sheets):
    """What is printed. Nothing is drawn before every mark asked for may be printed."""

    def print_marks(self, path: Path, asked: PrintAsked) -> Printed:
        """Marks that sheets earned, finished or finished for this mark. Raises `Refusal` that names the unit where there are several."""
        from pinseal.service.marks import MarkAsked, stock_for
        from pinseal.standards.stocks import stock_named

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            units = self._units(shop, asked)
            stock = stock_named(asked.stock) if asked.stock else None
            marks: list[EarnedMark] = []
            for unit in units:
                owner = asked.owner or settings.owner_at(unit.site)
                one = MarkAsked(mark=asked.mark, form=_form(asked, settings, unit), stock=stock, years=asked.years, owner=owner)
                stock = stock or stock_for(one)
                marks.append(_naming(unit, len(units), lambda one=one, unit=unit: self._earned(shop, settings, unit, one, asked.sheet)))
        assert stock is not None, "there is at least one unit"
        notes = tuple(dict.fromkeys(doubt for mark in marks for doubt in mark.doubts))
        agents = tuple(unit.nameplate.agent for unit in units)
        return Printed(
            stock=stock, marks=tuple(marks), labels=(), mark=asked.mark, start=asked.start, stamp=self.now(), agents=agents, notes=notes
        )

    def print_labels(self, path: Path, asked: PrintAsked) -> Printed:
        """Code labels or place labels of units, from the register alone."""
        from pinseal.documents.marks import UnitLabel
        from pinseal.rules.marks import check_complete, check_stock, default_stock, rule_of
        from pinseal.service.marks import unit_values
        from pinseal.standards.marks import form_named
        from pinseal.standards.stocks import shipped_stocks, stock_named

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            units = self._units(shop, asked)
            rule = rule_of(form_named(asked.form or settings.form_at(units[0].site) or "int"), asked.mark)
            held = shipped_stocks().values()
            stock = stock_named(asked.stock) if asked.stock else default_stock(rule, held)
            notes = check_stock(rule, stock, held)
            labels = []
            for unit in units:
                said = unit_values(unit)
                _naming(unit, len(units), lambda said=said: check_complete(rule, said, stock))
                address = f"{settings.web_address.rstrip('/')}/u/{unit.uid}" if settings.web_address else ""
                kind = ", ".join(part for part in (said["unit-type"], said["unit-size"]) if part)
                labels.append(
                    UnitLabel(id=said["unit-id"], kind=kind, place=said["unit-place"], address=address, agent=unit.nameplate.agent)
                )
        if asked.mark == "code-label" and not settings.web_address:
            notes = (*notes, "no code for a camera: the shop has no web address (`pinseal settings --web-address URL`)")
        return Printed(stock=stock, marks=(), labels=tuple(labels), mark=asked.mark, start=asked.start, stamp=self.now(), notes=notes)

    def print_check(self, stock: str) -> Printed:
        """The check page of a stock."""
        from pinseal.standards.stocks import stock_named

        return Printed(stock=stock_named(stock), marks=(), labels=(), mark="check", start=1, stamp=self.now())

    def marks_of(self, path: Path, sheet: str) -> tuple[OfferedMark, ...]:
        """Every mark that states something, and whether this sheet earned it, or is finished for it. Raises `Refusal`."""
        from pinseal.standards.marks import STATEMENTS

        with self._open(path, readonly=True) as shop:
            kept = shop.sheet(sheet)
            if kept is None:
                raise _no_sheet(sheet)
            opened = None if kept.closed else self._resumed(shop, kept)
            return tuple(self._offered(shop, kept, mark, opened) for mark in STATEMENTS)

    # -- inside

    def _units(self, shop: Shop, asked: PrintAsked) -> list[UnitState]:
        """The units that are meant: those named, or all of a site that are in use. Raises `Refusal` for none and for too many."""
        from pinseal.service.office import find_one

        found = [find_one(shop.find(text), text, where="in this shop") for text in asked.units]
        if asked.site is not None:
            key = asked.site.strip().casefold()
            here = [each for each in shop.units() if (each.site or "").casefold() == key and not each.removed and not each.placeholder]
            found += sorted(here, key=lambda each: (each.id or each.serial or "", each.uid or ""))
        if not 1 <= len(found) <= MOST:
            raise Refusal(
                what="no unit is meant" if not found else "too many for one file",
                rule=f"one file holds 1 to {MOST}",
                got=asked.site or str(len(found)),
                do="name units, or a site as the register spells it",
            )
        if asked.sheet and len(found) != 1:
            raise Refusal(
                what="a job sheet is of one unit", rule="--sheet goes with one unit", got=str(len(found)), do="name that unit alone"
            )
        return found

    def _earned(self, shop: Shop, settings: Settings, unit: UnitState, asked: MarkAsked, sheet: str | None) -> EarnedMark:
        from pinseal.service.marks import Shown, earned_mark, newest

        sheets = shop.sheets(unit.uid)
        kept = shop.sheet(sheet) if sheet else newest(sheets, unit)
        if kept is None or kept.unit != unit.uid:
            raise _no_sheet(str(sheet))
        with _or_from(next((each for each in reversed(sheets) if each.closed), None) if not sheet else None):
            work, after = self._work_of(shop, kept, asked.mark)
        shown = Shown(
            unit=after,
            firm=settings.firm_in(asked.form),
            packs=settings.packs,
            next_due=self._next_due(shop, settings, after),
            name_of=shop.veils().over,
        )
        return earned_mark(asked, work, shown)

    def _work_of(self, shop: Shop, kept: KeptSheet, mark: str, opened: OpenedSheet | None = None) -> tuple[SheetWork, UnitState]:
        """What a sheet did, and the unit after it; of an open sheet by what closing would record. Raises `Refusal`."""
        from pinseal.records.fold import fold
        from pinseal.service.marks import records_ahead, sheet_work
        from pinseal.sheets.ahead import ahead_of

        records, people = shop.records(kept.unit), shop.people()
        if kept.closed:
            return sheet_work(kept, records, people), fold(records).state
        opened = opened or self._resumed(shop, kept)
        ahead = ahead_of(opened.work, mark, sheet=kept.uid)
        would = [*records, *records_ahead(ahead, opened.work.job, at=self.now())]
        return sheet_work(kept, would, people, ahead_for=mark), fold(would).state

    def _offered(self, shop: Shop, kept: KeptSheet, mark: str, opened: OpenedSheet | None) -> OfferedMark:
        from pinseal.rules.marks import why_not_due
        from pinseal.service.marks import OfferedMark

        try:
            work, unit = self._work_of(shop, kept, mark, opened)
        except Refusal as refused:
            return OfferedMark(mark=mark, why=refused.got)
        return OfferedMark(mark=mark, why=why_not_due(mark, work, unit))

    def _next_due(self, shop: Shop, settings: Settings, unit: UnitState) -> str:
        """The first duty to come with its month; the monthly look is the owner's and does not count."""
        from pinseal.kinds import DUTIES

        if not settings.packs:
            return ""
        rows = self._shop_dues(shop, Asked(), only=[unit]).of_unit(0)
        days = [
            (row.earliest, row.duty) for row in rows if row.earliest and row.duty not in ("inspection", "retirement") and not row.perhaps
        ]
        return f"{min(days)[0]:%b %Y}, {DUTIES[min(days)[1]]}" if days else ""


@contextmanager
def _or_from(finished: KeptSheet | None) -> Iterator[None]:
    """A refusal of the newest sheet, which is still open, names the one that was finished last, where there is one."""
    try:
        yield
    except Refusal as refused:
        if finished is None:
            raise
        other = f"{refused.do}; or print from the sheet that was finished last: --sheet {finished.uid}"
        raise Refusal(what=refused.what, rule=refused.rule, got=refused.got, do=other) from refused


def _no_sheet(got: str) -> Refusal:
    return Refusal(
        what="this unit has no such job sheet", rule="a mark belongs to the unit of its sheet", got=got, do="see `pinseal sheets`"
    )


def _form(asked: PrintAsked, settings: Settings, unit: UnitState) -> str:
    form = asked.form or settings.form_at(unit.site)
    if form is None:
        from pinseal.standards.marks import mark_forms

        raise Refusal(
            what="no form of marks is chosen",
            rule=f"what a mark must say depends on where it hangs; the forms held are {', '.join(mark_forms())}",
            got=unit.site or "no site said",
            do='choose one: `pinseal settings --marks "*=us"`, or say --form',
        )
    return form


def _naming(unit: UnitState, count: int, make: Any) -> Any:
    """Do it; a refusal says of which unit, where there are several."""
    try:
        return make()
    except Refusal as refused:
        if count == 1:
            raise
        name = unit.id or unit.serial or unit.uid
        raise Refusal(what=f"{name}: {refused.what}", rule=refused.rule, got=refused.got, do=refused.do) from refused
