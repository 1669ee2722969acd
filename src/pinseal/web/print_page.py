"""The print page put together: of a job sheet its marks, of a unit or a site its labels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from pinseal.catalogue import gettext as _
from pinseal.catalogue import ngettext
from pinseal.records.unit import UnitState
from pinseal.service.marks import NOT_YET_COUNTED, OfferedMark
from pinseal.standards.marks import PRINTED
from pinseal.standards.stocks import Stock
from pinseal.web.office_common import Sight
from pinseal.web.office_views import Link
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame
from pinseal.web.print_doors import Ready
from pinseal.web.print_views import NotPrinted, PrintPage
from pinseal.web.refusals import capital
from pinseal.web.views import Choice

LABELS = ("code-label", "place-label")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a person chose on the page: the mark, the stock ("" for the first that fits), the first free cell."""

    mark: str
    stock: str = ""
    start: int = 1

    def query(self, **more: str) -> str:
        said = {**more, "mark": self.mark, "stock": self.stock, "start": str(self.start) if self.start != 1 else ""}
        return urlencode({name: text for name, text in said.items() if text})


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of it: what may be printed, or in words why not; and the stocks on which it could go."""

    ready: Ready | None
    trouble: str
    stocks: tuple[Stock, ...]


def name_of(mark: str) -> str:
    return capital(_(PRINTED[mark]))


def sheet_print_page(seen: Sight, uid: str, unit: UnitState, offered: Sequence[OfferedMark], wanted: Wanted, came: Outcome) -> PrintPage:
    """The marks of one job sheet."""
    here = f"/sheets/{uid}/marks"
    may = [each.mark for each in offered if not each.why]
    return _page(
        seen,
        _("Marks of the job sheet"),
        unit=unit,
        back=Link(text=_("Back to the job sheet"), href=f"/sheets/{uid}"),
        marks=may,
        here=here,
        kept={},
        wanted=wanted,
        came=came,
        not_printed=tuple(NotPrinted(name=name_of(each.mark), why=each.why) for each in offered if each.why),
    )


def labels_page(seen: Sight, unit: UnitState | None, site: str, back: str, wanted: Wanted, came: Outcome) -> PrintPage:
    """The labels of one unit, or of every unit of a site."""
    kept = {"unit": unit.uid or ""} if unit else {"site": site}
    return _page(
        seen,
        _("Labels") if unit else _("Labels of %(site)s", site=site),
        unit=unit,
        back=Link(text=_("Back to the unit") if unit else _("Back to the site"), href=back),
        marks=LABELS,
        here="/labels",
        kept=kept,
        wanted=wanted,
        came=came,
    )


def _page(
    seen: Sight,
    title: str,
    *,
    unit: UnitState | None,
    back: Link,
    marks: Sequence[str],
    here: str,
    kept: Mapping[str, str],
    wanted: Wanted,
    came: Outcome,
    not_printed: tuple[NotPrinted, ...] = (),
) -> PrintPage:
    ready = came.ready
    query = wanted.query(**kept)
    notes = tuple(note for note in ready.notes if note != NOT_YET_COUNTED) if ready else ()
    return PrintPage(
        frame=frame(seen.about, title=title, here="/sites" if kept else "/sheets"),
        title=title,
        unit=unit_head(unit) if unit else None,
        back=back,
        tabs=tuple(Link(text=name_of(mark), href=f"{here}?{Wanted(mark=mark).query(**kept)}", on=mark == wanted.mark) for mark in marks),
        name=name_of(wanted.mark) if wanted.mark else "",
        counted=_counted(ready) if ready else "",
        stock=ready.stock.title if ready else "",
        notes=notes,
        trouble=came.trouble,
        here=here,
        hidden=(*kept.items(), ("mark", wanted.mark)),
        stocks=tuple(
            Choice(value=each.id, label=each.title, chosen=each.id == (ready.stock.id if ready else wanted.stock)) for each in came.stocks
        ),
        start=wanted.start,
        cells=ready.stock.cells if ready else max((each.cells for each in came.stocks), default=1),
        preview=f"{here}.png?{query}" if ready else "",
        pdf=f"{here}.pdf?{query}" if ready else "",
        not_printed=not_printed,
        sheet_is_open=bool(ready and NOT_YET_COUNTED in ready.notes),
    )


def _counted(ready: Ready) -> str:
    count = len(ready.marks) or len(ready.labels)
    return ngettext("%(n)s piece", "%(n)s pieces", count)
