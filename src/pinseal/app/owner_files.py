"""The owner's file of a site: gathered, set in parts, and its calendar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from pinseal.app.ground import Asked
from pinseal.app.papers import Papers, dates_as
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.documents.paper import Drawn, Paper
    from pinseal.documents.typeset import Form
    from pinseal.records.record import Record
    from pinseal.service.calendar import SiteCalendar
    from pinseal.service.owner_file import FileUnit, Life, OwnerFile
    from pinseal.store import Settings, Shop

_YEAR_LEAST = 1900
_AT_ONCE = 500
_APART_FROM = 60  # so many units and more are set in a process of their own


@dataclass(frozen=True, slots=True, kw_only=True)
class FilePaper:
    """One paper of an owner's file. `name` is empty for the front, or the whole where it is one; else `part-1` and so on."""

    name: str
    paper: Paper
    units: int

    def draw(self, form: Form = "pdf", *, ppi: float = 144) -> Drawn:
        """Set it; a long one in a process of its own."""
        from pinseal.documents.apart import draw_apart

        return draw_apart(self.paper, form, ppi=ppi) if self.units >= _APART_FROM else self.paper.draw(form, ppi=ppi)


class OwnerFiles(Papers):
    """What the owner of a site keeps."""

    def owner_file(self, path: Path, site: str, *, year: int | None = None) -> OwnerFile:
        """The file of a site for a year, this one unless said. Raises `Refusal` for a site without records, or a year that is to come."""
        with self._open(path, readonly=True) as shop:
            return self._owner_file(shop, site, year)

    def owner_papers(self, path: Path, file: OwnerFile) -> Iterator[FilePaper]:
        """The papers of a file, one after the other, each put together when it is asked for: the front first, then its parts."""
        from pinseal.service.owner_file_words import parts_of

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
        parts = parts_of(file.units)
        yield self._front(settings, file, parts)
        for number in range(1, len(parts) + 1) if len(parts) > 1 else ():
            yield self._part(settings, file, parts, number)

    def draw_owner_papers(self, path: Path, file: OwnerFile, form: Form = "pdf", *, ppi: float = 144) -> Iterator[tuple[FilePaper, Drawn]]:
        """Every paper of a file with its pages. While one is set, the next is put together."""
        from concurrent.futures import ThreadPoolExecutor

        with ThreadPoolExecutor(max_workers=1) as setting:
            waiting = None
            for paper in self.owner_papers(path, file):
                begun = (paper, setting.submit(paper.draw, form, ppi=ppi))
                if waiting is not None:
                    yield waiting[0], waiting[1].result()
                waiting = begun
            assert waiting is not None, "a file has a front"
            yield waiting[0], waiting[1].result()

    def owner_paper(self, path: Path, file: OwnerFile, part: int) -> FilePaper:
        """One paper of a file: 0 is the front. Raises `Refusal` where there is no such part."""
        for number, paper in enumerate(self.owner_papers(path, file)):
            if number == part:
                return paper
        raise Refusal(
            what="there is no such part", rule="the front of the file says how many it has", got=str(part), do="choose one of these"
        )

    def _front(self, settings: Settings, file: OwnerFile, parts: Sequence[Sequence[FileUnit]]) -> FilePaper:
        from pinseal.service.owner_file_words import front_data, part_data

        with dates_as(settings):
            data = front_data(file, parts)
            whole = part_data(file, parts[0]) if len(parts) == 1 else {}
            return self._paper(settings, file, {**data, **whole}, name="", units=len(parts[0]) if whole else 0)

    def _part(self, settings: Settings, file: OwnerFile, parts: Sequence[Sequence[FileUnit]], number: int) -> FilePaper:
        from pinseal.service.owner_file_words import part_data

        units = parts[number - 1]
        with dates_as(settings):
            of = f"part {number} of {len(parts)}"
            return self._paper(settings, file, part_data(file, units), name=f"part-{number}", units=len(units), of=of)

    def _paper(self, settings: Settings, file: OwnerFile, data: dict[str, object], *, name: str, units: int, of: str = "") -> FilePaper:
        from pinseal.documents.paper import Paper
        from pinseal.service.owner_file_words import OWNER_WORDS, period

        packs = "; ".join(f"{each.pack.id} {each.edition}" for each in file.dues.chosen)
        head = self._head(
            settings,
            title=", ".join(part for part in (f"{file.site}, {file.year}", of) if part),
            kind="Owner’s file",
            form=settings.form_at(file.site) or "",
            right=[*([owner] if (owner := settings.owner_at(file.site)) else []), period(file), *([of] if of else [])],
            foot=[f"packs: {packs or 'none'}"],
        )
        return FilePaper(name=name, units=units, paper=Paper(template="owner_file", head=head, data={**data, "words": OWNER_WORDS}))

    # -- the calendar

    def site_calendar(self, path: Path, site: str, *, duties: Sequence[str] = ()) -> SiteCalendar:
        """The dues of the units of a site today, as days. Raises `Refusal` for a site without records."""
        from pinseal.service.calendar import site_calendar
        from pinseal.store.looking import changes_of_settings, units_ever_at, written_of_units

        with self._open(path, readonly=True) as shop:
            if not units_ever_at(shop, site):
                raise _no_site(shop, site)
            settings = shop.settings()
            states = [state for state in shop.units() if state.site == site and not state.removed]
            with dates_as(settings):
                return site_calendar(
                    site,
                    self._shop_dues(shop, Asked(), only=states),
                    written=written_of_units(shop, [state.uid or "" for state in states]),
                    shop_written=changes_of_settings(shop),
                    duties=duties,
                    web_address=settings.web_address,
                )

    def calendar_bytes(self, found: SiteCalendar) -> bytes:
        """The calendar as an iCalendar file."""
        from pinseal.documents.calendar import WholeDay, calendar_file

        about = "The last days allowed for the fire extinguishers of this site. An uncertain date stands on its early end."
        days = (
            WholeDay(
                uid=each.uid,
                day=each.day,
                title=each.title,
                text="\n".join(each.lines),
                where=each.where,
                category=each.duty,
                sequence=each.sequence,
                changed=each.changed,
                address=each.address,
            )
            for each in found.entries
        )
        return calendar_file(f"Extinguishers: {found.name}", about, days, changed=found.changed)

    # -- gathering

    def _owner_file(self, shop: Shop, site: str, year: int | None) -> OwnerFile:
        from pinseal.rules.months import twelve_months
        from pinseal.service.books import BOOK_KINDS, make_books
        from pinseal.service.day import walking_order
        from pinseal.service.impairments import IMPAIRMENT_KINDS, impairments
        from pinseal.service.owner_file import life_of, owner_file
        from pinseal.store.looking import records_of_units, units_ever_at

        wanted = frozenset((*BOOK_KINDS, *IMPAIRMENT_KINDS))
        settings = shop.settings()
        today = settings.today(self.now())
        asked, last = _year_of(year, today)
        veils, named = shop.veils(), _named_with(settings, site)
        found: dict[str, Life] = {}
        kept: list[Record] = []
        uids = units_ever_at(shop, site)
        for start in range(0, len(uids), _AT_ONCE):  # so that the records of a great site are never held at once
            for uid, some in records_of_units(shop, uids[start : start + _AT_ONCE]).items():
                records = [veils.over_record(record) for record in some]
                if (life := life_of(records, site, last, named=named)) is not None:
                    found[uid] = life
                    kept += [record for record in records if record.kind in wanted]
        if not found:
            raise _no_site(shop, site)
        states = sorted((life.state for life in found.values() if life.at(last)), key=walking_order)
        told = impairments(
            [record for record in kept if record.kind in IMPAIRMENT_KINDS], now=self.now(), zone=ZoneInfo(settings.time_zone)
        )
        return owner_file(
            site=site,
            year=asked,
            today=today,
            found=found,
            dues=self._shop_dues(shop, Asked(on=last), only=states),
            months=twelve_months(last),
            books=make_books(record for record in kept if record.kind in BOOK_KINDS),
            impairments=[each for each in told if each.is_open],
        )


def _named_with(settings: Settings, site: str) -> frozenset[str]:
    """The sites that the file of a site may name: those of the same owner, as the address book says."""
    from pinseal.records.site_owner import SiteOwner

    owners = {name: SiteOwner.read(text).name for name, text in settings.sites.items()}
    own = owners.get(site, "")
    return frozenset({site, *(name for name, owner in owners.items() if own and owner == own)})


def _year_of(year: int | None, today: date) -> tuple[int, date]:
    """The year, and the last day that the file tells of: today, or the end of a year that is over. Raises `Refusal`."""
    asked = today.year if year is None else year
    if not _YEAR_LEAST <= asked <= today.year:
        rule = f"a file is of a year from {_YEAR_LEAST} to this one, {today.year}"
        raise Refusal(what="there is no file of this year", rule=rule, got=str(asked), do="ask for a year that has begun")
    return asked, min(today, date(asked, 12, 31))


def _no_site(shop: Shop, site: str) -> Refusal:
    from difflib import get_close_matches

    sites = sorted({state.site for state in shop.units() if state.site})
    near = get_close_matches(site, sites, n=3, cutoff=0.5) or sites[:8]
    rule = (
        f"a file is of a site that has had a unit by that day, for example {', '.join(near)}" if near else "no unit of this shop has a site"
    )
    return Refusal(what="no unit is on record at this site", rule=rule, got=site, do="check the name, letter by letter, and the year")
