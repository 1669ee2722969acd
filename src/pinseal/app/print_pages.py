"""The print pages' shop: which marks a sheet earned, what is to be printed, and on which stock it may go."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.app.printing import Printed
    from pinseal.service.marks import OfferedMark, PrintAsked
    from pinseal.standards.stocks import Stock


class ShopPrinting:
    """Answers `web.print_doors.PrintRooms` for one shop's file."""

    def __init__(self, app: Any, path: Path) -> None:
        self.app, self.path = app, path

    def marks_of(self, sheet: str) -> tuple[OfferedMark, ...]:
        found: tuple[OfferedMark, ...] = self.app.marks_of(self.path, sheet)
        return found

    def prepare(self, asked: PrintAsked) -> Printed:
        from pinseal.standards.marks import STATEMENTS
        from pinseal.standards.stocks import shipped_stocks

        if asked.stock is not None and asked.stock not in shipped_stocks():  # a page names no file of the machine
            raise Refusal(
                what="there is no such stock",
                rule="a page prints on the stocks that are held",
                got=asked.stock,
                do="choose one of the list",
            )
        make = self.app.print_marks if asked.mark in STATEMENTS else self.app.print_labels
        found: Printed = make(self.path, asked)
        return found

    def stocks_for(self, mark: str, site: str | None) -> tuple[Stock, ...]:
        from pinseal.rules.marks import rule_of, why_wrong_stock
        from pinseal.standards.marks import STATEMENTS, form_named
        from pinseal.standards.stocks import shipped_stocks

        with self.app._open(self.path, readonly=True) as shop:
            form = shop.settings().form_at(site)
        if form is None and mark in STATEMENTS:
            return ()
        try:
            rule = rule_of(form_named(form or "int"), mark)
        except Refusal:
            return ()
        return tuple(each for each in shipped_stocks().values() if each.marks and not why_wrong_stock(rule, each))
