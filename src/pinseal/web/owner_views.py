"""What the page of the owner's file is given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pinseal.web.people_views import Handed
from pinseal.web.views import Choice, Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperLink:
    """One paper to take away. `part` is 0 for the front or the whole; `units` how many it lists."""

    href: str
    part: int
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedRow:
    """One address of the calendar that was given."""

    uid: str
    name: str
    until: str
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """A line of a sum: what, the sign before it (`+`, `−` or none), the number."""

    what: str
    sign: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneRow:
    """Work of one kind in the year."""

    what: str
    times: int
    units: int
    failed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerFilePage:
    """The owner's file of a site for a year: its sums, and everything to take away."""

    frame: Frame
    site: str
    site_href: str
    here: str
    year: int
    since: str
    until: str
    whole: bool
    years: tuple[Choice, ...]
    units: int
    late: int
    gaps: int
    fleet: tuple[Sum, ...]
    condemned: int
    replaced: int
    done: tuple[DoneRow, ...]
    wrong: tuple[Sum, ...]
    papers: tuple[PaperLink, ...]
    json_href: str
    months_csv: str
    months_xlsx: str
    inventory_csv: str
    inventory_xlsx: str
    deficiencies_csv: str
    deficiencies_xlsx: str
    calendar_href: str
    may_feed: bool
    feeds: tuple[FeedRow, ...]
    days: str = "365"
    troubles: tuple[Trouble, ...] = ()
    handed: Handed | None = None


TEMPLATES: dict[type[Any], str] = {OwnerFilePage: "owner_file.html"}
