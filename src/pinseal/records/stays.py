"""Where a unit belonged over the years: each stay at a site, from the record that brought it to the one that took it away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pinseal.records.corrections import Fact
from pinseal.records.fold import Building, take

# The kinds that can bring a unit to a site, or take it out of the fleet, beside any record that names a site.
_MOVING = frozenset({"registered", "returned", "removed", "condemned", "matched"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A unit in the fleet of a site. `until` is the first day on which it is not there any more; None while it is there.

    `before` is the site that it came from and `after` the one that it went to (empty: none). `back` says that it had been out of
    the fleet. `removed` is why it left the fleet, `condemned` whether its shell may not be charged again.
    """

    site: str
    since: date
    came: Fact
    until: date | None = None
    went: Fact | None = None
    before: str = ""
    after: str = ""
    back: bool = False
    removed: str = ""
    condemned: bool = False

    def covers(self, day: date) -> bool:
        """Whether the unit was there at the end of a day."""
        return self.since <= day and (self.until is None or day < self.until)

    def meets(self, first: date, last: date) -> bool:
        """Whether the unit was there on any day from the first to the last; the day on which it left counts."""
        return self.since <= last and (self.until is None or first <= self.until)


def stays_of(facts: Sequence[Fact]) -> tuple[Stay, ...]:
    """The stays of one unit, the first one first. `facts` are those that count, in their order (`Unit.facts`).

    A unit is at a site from the day of the record that says so: what a list says of the years before it is no stay.
    """
    building, found = Building(), list[Stay]()
    site, out = "", ""
    since: tuple[date, Fact, str, bool] | None = None
    for fact in facts:
        if fact.kind not in _MOVING and "site" not in fact.fields:
            continue
        take(building, fact, None)
        now, gone = building.said.get("site", ""), building.said.get("removed", "")
        if (now, gone) == (site, out):
            continue
        if since is not None and (gone or now != site):
            found += _ended(site, since, fact, after="" if gone else now, removed=gone, condemned=building.condemned is not None)
            since = None
        if now and not gone and since is None:
            since = (fact.done.earliest, fact, site if site != now else "", bool(out))
        site, out = now, gone
    if since is not None:
        found.append(Stay(site=site, since=since[0], came=since[1], before=since[2], back=since[3]))
    return tuple(found)


def _ended(site: str, since: tuple[date, Fact, str, bool], fact: Fact, *, after: str, removed: str, condemned: bool) -> list[Stay]:
    """A stay with its end; none where it began and ended on one day."""
    first, came, before, back = since
    until = fact.done.earliest
    if until <= first:
        return []
    return [
        Stay(
            site=site,
            since=first,
            came=came,
            until=until,
            went=fact,
            before=before,
            after=after,
            back=back,
            removed=removed,
            condemned=condemned,
        )
    ]
