"""What the templates of a unit, of sites and of the search are given."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.office_views import DisagreementRow, Link, PhotoForm, PhotoView, UnitHead
from pinseal.web.office_visit_views import VisitLink
from pinseal.web.views import Deed, Frame, Paging, StateCount, Trouble, UnitPage

# -- a unit


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeMark:
    """A word on the line from birth to today, in percent of it; `row` says in which row it stands, `anchor` which end it is set by."""

    text: str
    at: float
    row: int
    anchor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeDeed:
    """One or more records of a kind on the line of a life: what, when, what was said. `days` lists the days where they are several."""

    shape: str
    what: str
    when: str
    deed: Deed
    days: tuple[str, ...] = ()
    photo: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeYear:
    """The deeds of one year, the latest first."""

    year: str
    deeds: tuple[LifeDeed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakView:
    """What the readings say about a leak, with its picture."""

    href: str
    verdict: str
    words: str
    because: tuple[str, ...]
    would_change: str
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenWrong:
    """One open deficiency of a unit, with how far it is on its way."""

    href: str
    what: str
    found: str
    forces: str
    stage: str
    clock: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OfficeUnitPage:
    """One unit from birth to scrap: the plain page's parts, and beside them its next job, its sheets, its deficiencies, its readings."""

    frame: Frame
    base: UnitPage
    sheet_href: str
    share_href: str
    worth_href: str
    next_job: str
    next_because: str
    open_sheets: tuple[Link, ...]
    sheets: tuple[Link, ...]
    deficiencies: tuple[OpenWrong, ...]
    stands_in: str
    stands_in_href: str
    marks: tuple[LifeMark, ...]
    life: tuple[LifeYear, ...]
    leak: LeakView | None
    photos: tuple[PhotoView, ...]
    photo_form: PhotoForm | None
    disagreements: tuple[DisagreementRow, ...]
    settle_href: str
    condemned_href: str
    settle_trouble: str
    papers: tuple[Link, ...]
    site_href: str
    labels_href: str


# -- sites and search


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow:
    """One unit in a list: how it stands worst, and its first due day."""

    unit: UnitHead
    place: str
    state: str
    by: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteRow:
    """One site: its units counted by how they stand worst."""

    name: str
    href: str
    units: int
    states: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SitesPage:
    """Every site of the shop."""

    frame: Frame
    sites: tuple[SiteRow, ...]
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SitePage:
    """One site: its units by place, in groups of one part of the site."""

    frame: Frame
    name: str
    units: int
    states: tuple[StateCount, ...]
    dues_href: str
    csv_href: str
    xlsx_href: str
    file_href: str
    groups: tuple[tuple[str, tuple[UnitRow, ...]], ...]
    paging: Paging
    labels_href: str
    owner: str
    owner_name: str
    owner_address: str
    here: str
    troubles: tuple[Trouble, ...] = ()
    visits: tuple[VisitLink, ...] = ()
    quote_href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchPage:
    """What a question found, and what was not understood of it."""

    frame: Frame
    text: str
    rows: tuple[UnitRow, ...]
    told: tuple[str, ...]
    more: int


TEMPLATES: dict[type[object], str] = {
    OfficeUnitPage: "office_unit.html",
    SitesPage: "office_sites.html",
    SitePage: "office_site.html",
    SearchPage: "office_search.html",
}
