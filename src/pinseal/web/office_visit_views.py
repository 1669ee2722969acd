"""What the template of a visit is given, and how the other pages name one."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.office_views import UnitHead
from pinseal.web.views import Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitLink:
    """A visit in a list: where, when, how many units, and the address of its report."""

    site: str
    when: str
    units: int
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitException:
    """Units with the same trouble. `shape` names the shape of a state, `units` the first of them, `more` counts the others."""

    shape: str
    result: str
    units: tuple[UnitHead, ...]
    more: int
    because: tuple[str, ...]
    todo: str
    by: str
    decide: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitUnit:
    """One unit of a visit."""

    unit: UnitHead
    place: str
    was: str
    kind: str
    done: str
    shape: str
    result: str
    duty: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPicture:
    """A photo of a visit under its address."""

    href: str
    unit: str
    shows: str
    when: str
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPage:
    """The report of a visit on the screen. `where` and `left` are the sums: what, and how many."""

    frame: Frame
    site: str
    site_href: str
    when: str
    people: str
    line: str
    where: tuple[tuple[str, int], ...]
    left: tuple[tuple[str, int], ...]
    listed: int
    added: int
    exceptions: tuple[VisitException, ...]
    months: tuple[tuple[str, str], ...]
    units: tuple[VisitUnit, ...]
    photos: tuple[VisitPicture, ...]
    handed: tuple[str, ...]
    records: int
    hash: tuple[str, ...]
    pdf_href: str
    json_href: str
    proof_href: str
    invoice_href: str


TEMPLATES: dict[type[object], str] = {VisitPage: "office_visit.html"}
