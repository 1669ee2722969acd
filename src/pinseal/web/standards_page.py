"""The rule packs in words: what the shop works by, what each provision says, what was only remembered."""

from __future__ import annotations

from collections.abc import Sequence

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.standards.model import Chosen, Pack, Provision
from pinseal.web.date_words import day_date
from pinseal.web.doors import About
from pinseal.web.pages import frame
from pinseal.web.views import PackPart, Rule, StandardsPage

REMEMBERED = ("memory", "unsure")


def standards_page(about: About, packs: Sequence[Pack], chosen: Sequence[Chosen]) -> StandardsPage:
    """Every pack held; those in use first, in the order chosen."""
    editions = {each.pack.id: each.edition for each in chosen}
    order = {code: place for place, code in enumerate(editions)}
    shown = sorted(packs, key=lambda pack: (order.get(pack.id, len(order)), pack.id))
    return StandardsPage(
        frame=frame(about, title=_("Standards"), here="/standards"),
        packs=tuple(_part(pack, editions.get(pack.id, "")) for pack in shown),
        none_chosen=not editions,
    )


def _part(pack: Pack, edition: str) -> PackPart:
    rules = tuple(_rule(provision, pack) for provision in pack.provisions)
    return PackPart(
        id=pack.id,
        title=pack.title,
        document=pack.document,
        jurisdiction=pack.jurisdiction,
        edition=edition,
        editions=tuple(each.id for each in pack.editions),
        notes=pack.notes,
        rules=rules,
        unread=sum(1 for provision in pack.provisions if provision.checked in REMEMBERED),
    )


def _rule(provision: Provision, pack: Pack) -> Rule:
    since = day_date(provision.in_force_from)
    until = day_date(provision.in_force_to) if provision.in_force_to else ""
    every = len(provision.editions) == len(pack.editions)
    return Rule(
        title=provision.title,
        duty=_(kinds.DUTIES[provision.duty]),
        clause=provision.clause,
        editions="" if every else ", ".join(provision.editions),
        force=_("from %(first)s to %(last)s", first=since, last=until) if until else _("from %(first)s", first=since),
        by=provision.by,
        checked=_(kinds.CHECKED[provision.checked]),
        read=provision.checked not in REMEMBERED,
        governs=provision.governs,
        note=provision.note,
    )
