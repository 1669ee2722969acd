"""Sites with what they owe, the units of one site by place, and what a search found."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from urllib.parse import quote, urlencode

import numpy as np

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.records.site_owner import SiteOwner
from pinseal.records.unit import UnitState
from pinseal.service.search import Found
from pinseal.web.listing import natural, site_in_fleet
from pinseal.web.office_common import Sight
from pinseal.web.office_standing import Standing, standing
from pinseal.web.office_unit_views import SearchPage, SitePage, SiteRow, SitesPage, UnitRow
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame, page_count, paged
from pinseal.web.views import StateCount, Trouble

ROWS_A_PAGE = 200
ROWS_AT_ONCE_MAX = 2_000
NO_SITE = marked("No site on record")
_SHOWN = ("withdraw", "overdue", "may be overdue", "due", "unknown")


def site_href(site: str) -> str:
    return f"/sites/{quote(site, safe='')}"


def _by_site(seen: Sight) -> dict[str, list[int]]:
    """The places in the due list of the live units of each site."""
    return seen.dues.kept.over(site_in_fleet, _grouped)


def _grouped(sites: list[str | None]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for place, site in enumerate(sites):
        if site is not None:
            found.setdefault(site, []).append(place)
    return found


def _walking(state: UnitState) -> tuple[object, ...]:
    """Units of a site in the order of their places; without a place they stand last."""
    return not state.place, natural(state.place or ""), natural(state.id or state.serial or "")


def sites_page(seen: Sight) -> SitesPage:
    """Every site, by name; units without a site stand last."""
    by_site, how = _by_site(seen), standing(seen.dues)
    names = sorted(by_site, key=lambda name: (not name, natural(name)))
    return SitesPage(
        frame=frame(seen.about, title=_("Sites"), here="/sites"),
        sites=tuple(_site_row(name, by_site[name], how) for name in names),
        units=sum(map(len, by_site.values())),
    )


def _site_row(name: str, places: Sequence[int], how: Standing) -> SiteRow:
    rows = np.array(places, np.int64)
    counts = tuple((state, how.count(rows, state)) for state in _SHOWN)
    return SiteRow(
        name=name or _(NO_SITE),
        href=site_href(name) if name else "",
        units=len(places),
        states=tuple((state, count) for state, count in counts if count),
    )


def site_page(
    seen: Sight, site: str, page: int, *, everything: bool, owner: SiteOwner, troubles: tuple[Trouble, ...] = ()
) -> SitePage | None:
    """One site, its units in the order of their places; None where nothing of it is here."""
    places = list(_by_site(seen).get(site, []))
    if not places or not site:
        return None
    how, states = standing(seen.dues), seen.dues.states
    places.sort(key=lambda i: _walking(states[i]))
    page = 1 if everything else min(page, page_count(len(places), ROWS_A_PAGE))
    picked = places[:ROWS_AT_ONCE_MAX] if everything else places[(page - 1) * ROWS_A_PAGE : page * ROWS_A_PAGE]

    def href(*, page: int) -> str:
        return f"{site_href(site)}?page={page}"

    rows = np.array(places, np.int64)
    dues = f"/dues?{urlencode({'site': site})}"
    counts = ((state, how.count(rows, state)) for state in kinds.STATES)
    return SitePage(
        frame=frame(seen.about, title=site, here="/sites"),
        name=site,
        units=len(places),
        states=tuple(StateCount(state=s, count=n, href=f"{dues}&{urlencode({'state': s})}") for s, n in counts),
        dues_href=dues,
        csv_href=f"/inventory.csv?{urlencode({'site': site})}",
        xlsx_href=f"/inventory.xlsx?{urlencode({'site': site})}",
        file_href=f"/owner-file?{urlencode({'site': site})}",
        groups=tuple((part, tuple(unit_row(seen, i, how) for i in some)) for part, some in groupby(picked, key=lambda i: _part(states[i]))),
        paging=paged(len(places), page, href, f"{site_href(site)}?all=1", rows_a_page=ROWS_A_PAGE),
        labels_href=f"/labels?{urlencode({'site': site})}",
        owner=owner.line(site) if not troubles else "",
        owner_name=owner.name,
        owner_address=owner.address,
        here=site_href(site),
        troubles=troubles,
    )


def _part(state: UnitState) -> str:
    """The part of the site: what stands before the first comma of the place."""
    return (state.place or "").split(",")[0].strip() or _("no place on record")


def unit_row(seen: Sight, index: int, how: Standing) -> UnitRow:
    state = seen.dues.states[index]
    away = seen.books.away_of(state.uid)
    note = _("away: %(where)s", where=_(kinds.AWAY_TO.get(away.taken_to, marked("place not said")))) if away else ""
    if state.removed:
        note = _("out of the fleet: %(why)s", why=state.removed)
    return UnitRow(
        unit=unit_head(state),
        place=state.place or _("no place on record"),
        state=how.state(index),
        by=how.by(index),
        note=note,
    )


def search_page(seen: Sight, states: Sequence[UnitState], text: str, found: Found | None) -> SearchPage:
    """The units that a question found, the best first; what no unit has is said."""
    how = standing(seen.dues)
    uids = [states[hit.index].uid or "" for hit in found.hits] if found else []
    told = [_("Read “%(typed)s” as “%(word)s”.", typed=typed, word=word) for typed, word in found.near] if found else []
    told += [_("No unit says “%(word)s”; looked without it.", word=word) for word in found.unknown] if found else []
    return SearchPage(
        frame=frame(seen.about, title=_("Find %(text)s", text=text) if text else _("Find a unit"), here="/search"),
        text=text,
        rows=tuple(unit_row(seen, seen.places[uid], how) for uid in uids if seen.sees(uid)),
        told=tuple(told),
        more=found.more if found else 0,
    )
