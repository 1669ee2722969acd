"""Lists of a shop as files for a spreadsheet: the same tables as on the pages."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.owner_files import OwnerFiles
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.documents.tables import Table
    from pinseal.web.office_common import Sight

_ENDINGS = (".xlsx", ".csv")


@dataclass(frozen=True, slots=True, kw_only=True)
class TableAsked:
    """Which table, and how it is narrowed. `month` and `duty` are of the dues, `show` of deficiencies, `year` of months."""

    what: str
    site: str = ""
    duty: str = ""
    month: str = ""
    show: str = "open"
    year: str = ""


class Tables(OwnerFiles):
    """Lists as files."""

    def write_table(self, path: Path, file: Path, **asked: str) -> int:
        """Write a table to a new file, `.xlsx` or `.csv`; `asked` are fields of `TableAsked`. Returns the rows. Raises `Refusal`."""
        from pinseal.app.office_pages import ShopRooms
        from pinseal.web.office_common import sight_of

        check_ending(file)
        rooms = ShopRooms(self, path)  # type: ignore[arg-type]  # the app is made of this desk and the others
        wanted = TableAsked(**asked)
        table = self._months(path, wanted) if wanted.what == "months" else _table(sight_of(rooms, None), wanted)
        return new_file(file, table, rooms.about().date_style)

    def _months(self, path: Path, asked: TableAsked) -> Table:
        """The monthly record of a site. Raises `Refusal`."""
        from pinseal.web.owner_page import months_table

        if not asked.site:
            raise Refusal(what="no site is named", rule="a monthly record is of one site", got="nothing", do='say --site "Town Hall"')
        if asked.year and not (asked.year.isascii() and asked.year.isdigit()):
            raise Refusal(what="this is no year", rule="a year has four figures", got=asked.year, do="write it as in 2025")
        return months_table(self.owner_file(path, asked.site, year=int(asked.year) if asked.year else None))


def _table(seen: Sight, asked: TableAsked) -> Table:
    from pinseal.web.office_deficiencies_page import SHOWN, DeficienciesAsked, asked_for
    from pinseal.web.office_months_page import MonthAsked, fitting
    from pinseal.web.office_tables import deficiencies_table, dues_table, inventory_table

    sites = {state.site for state in seen.dues.states if state.site}
    if asked.site and asked.site not in sites:
        raise Refusal(what="no unit is at this site", rule=f"the sites are {', '.join(sorted(sites))}", got=asked.site, do="check the name")
    if asked.what == "inventory":
        return inventory_table(seen, asked.site)
    if asked.what == "deficiencies":
        wanted = DeficienciesAsked(show=asked.show, site=asked.site)
        if not wanted.known:
            raise Refusal(what="this cannot be asked for", rule=f"one of {', '.join(SHOWN)}", got=asked.show, do="use one of these")
        return deficiencies_table(seen, asked_for(seen, wanted))
    months = MonthAsked(site=asked.site, duty=asked.duty, month=asked.month)
    if not months.known:
        rule = "a month is written as in 2026-12, or late, or none"
        raise Refusal(what="this is no month", rule=rule, got=asked.month, do="write it so")
    return dues_table(seen.dues, fitting(seen.dues, months))


def check_ending(file: Path) -> None:
    """Raises `Refusal` for a file that is neither a workbook nor CSV."""
    if file.suffix.lower() not in _ENDINGS:
        raise Refusal(
            what="this form of file is not known",
            rule="a table ends in .xlsx or .csv",
            got=file.name,
            do="name the file so that it does",
        )


def new_file(file: Path, table: Table, date_style: str) -> int:
    """Write the whole file or none; one that is there already is left alone. Raises `Refusal`."""
    from pinseal.documents.tables import write_csv, write_xlsx

    if file.exists():
        raise Refusal(what="there is a file of this name", rule="nothing is written over", got=str(file), do="name another file")
    part = file.with_name(f"{file.name}.part")
    try:
        rows = write_xlsx(table, part, date_style=date_style) if file.suffix.lower() == ".xlsx" else write_csv(table, part)
        part.rename(file)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise Refusal(
            what="the table cannot be written",
            rule=f"the system says: {error.strerror or error}",
            got=str(file),
            do="choose a folder on a disk that has room and can be written to; nothing was left behind",
        ) from error
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return rows
