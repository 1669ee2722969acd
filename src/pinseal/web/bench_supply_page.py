"""The supply bottles on a page: contents, certificate, charges for the unit at hand, the order of drawing, what to order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from urllib.parse import urlencode

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import ngettext
from pinseal.measures import for_people
from pinseal.records.bottles import SupplyBottle
from pinseal.records.fold import Unit
from pinseal.rules.rows import Due
from pinseal.rules.supplying import SUPPLY_SAFETY_WORDS, BottleState
from pinseal.service.supplies import Bank, Held, QueueNeed, bank_for, held_bottle, queue_needs
from pinseal.web.bench_views import BottleRow, SupplyPage
from pinseal.web.date_words import date_words
from pinseal.web.office_common import Sight
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame
from pinseal.web.views import Choice, Trouble

Queue = Sequence[tuple[Unit, Sequence[Due]]]


def supply_page(
    seen: Sight,
    bottles: Sequence[SupplyBottle],
    queue: Queue,
    chosen: Unit | None,
    *,
    system: str,
    may_write: bool,
    said: Mapping[str, str],
    trouble: Trouble | None = None,
) -> SupplyPage:
    """Every bottle that is here. `chosen` is the unit at hand, `said` a form that was refused."""
    here = sorted((each for each in bottles if each.returned is None), key=lambda each: (each.id.casefold(), each.uid))
    found = bank_for(chosen, _dues(seen, chosen), seen.about.today, here, system=system) if chosen else ""
    bank = found if isinstance(found, Bank) else None
    states = {each.kept.uid: state for each, state in zip(bank.held, bank.plan.bottles, strict=True)} if bank else {}
    uid = chosen.state.uid if chosen else ""
    return SupplyPage(
        frame=frame(seen.about, title=_("Supply bottles"), here="/bench"),
        units=tuple(Choice(value=u.state.uid or "", label=unit_head(u.state).name, chosen=u.state.uid == uid) for u, _each in queue),
        unit=unit_head(chosen.state) if chosen else None,
        rows=tuple(_row(held_bottle(each), states.get(each.uid), bank, system) for each in here),
        gone=tuple((each.id, f"{date_words(each.returned.since)}: {each.returned.reason}") for each in bottles if each.returned),
        head=_head(bank),
        why_not=found if isinstance(found, str) else "",
        because=bank.plan.because if bank else (),
        picture_href=f"/bench/supply.svg?{urlencode({'unit': uid})}" if bank else "",
        told=bank.plan.because[0] if bank else "",
        order=tuple(_order(seen, here, queue)),
        gases=tuple(Choice(value=code, label=_(label), chosen=code == said.get("gas")) for code, label in kinds.GASES.items()),
        may_write=may_write,
        said=said,
        at=trouble.at if trouble else "",
        safety=tuple(map(_, SUPPLY_SAFETY_WORDS)),
        troubles=(trouble,) if trouble else (),
    )


def _dues(seen: Sight, unit: Unit) -> Sequence[Due]:
    return seen.dues.of_unit(seen.places[unit.state.uid or ""])


def _head(bank: Bank | None) -> str:
    if bank is None:
        return ""
    left = bank.plan.charges_left
    return ngettext("%(n)s charge left for this unit", "%(n)s charges left for this unit", left)


def _row(held: Held, state: BottleState | None, bank: Bank | None, system: str) -> BottleRow:
    kept, bottle, last = held.kept, held.bottle, held.kept.last
    odd = [held.why] if held.why else []
    odd += list(bank.stands_against.get(kept.uid, ())) if bank else []
    paper = (
        (_("dew point"), kept.dew_point),
        (_("purity"), kept.purity and f"{kept.purity} %"),
        (_("certificate"), kept.certificate),
    )
    return BottleRow(
        uid=kept.uid,
        name=kept.id or _("not received yet"),
        gas=_(kinds.GASES.get(kept.gas or "", "")),
        paper=", ".join(f"{name} {value}" for name, value in paper if value) or _("no certificate on record"),
        shows=f"{last.shows}, {last.at_temperature}" if last else "",
        at_70f=for_people(bottle.at_70f_gauge_pa, "pressure", system=system, digits=0) if bottle else "",
        read_on=date_words(last.done) if last else "",
        contents=f"{held.contents_scf:.0f} scf" if held.contents_scf is not None else "",
        usable=f"{state.usable_scf:.0f} scf" if state else "",
        charges=str(state.charges) if state else "",
        turn=str(bank.plan.order.index(state.number) + 1) if bank and state and state.number in bank.plan.order else "",
        swap=_swap(state, system),
        odd=tuple(odd),
    )


def _swap(state: BottleState | None, system: str) -> str:
    if state is None:
        return ""
    if state.swap_now:
        return _("swap it now: no whole charge is left")
    if state.swap_at_gauge_pa is None:
        return ""
    return _("swap it at %(pressure)s", pressure=for_people(state.swap_at_gauge_pa, "pressure", system=system, digits=0))


def _order(seen: Sight, here: Sequence[SupplyBottle], queue: Queue) -> Sequence[str]:
    needs, unknown = queue_needs(queue, seen.about.today, here)
    said = [_need_words(each) for each in needs]
    if unknown:
        said.append(
            ngettext(
                "%(n)s unit of the queue: the gas space is not on record, so not counted",
                "%(n)s units of the queue: the gas space is not on record, so not counted",
                unknown,
            )
        )
    return said


def _need_words(each: QueueNeed) -> str:
    takes, gives = f"{each.takes_scf:.0f} scf", f"{each.usable_scf:.0f} scf"
    words = ngettext(
        "%(gas)s: the %(n)s unit of the queue takes about %(takes)s; the bottles still give %(gives)s",
        "%(gas)s: the %(n)s units of the queue take about %(takes)s; the bottles still give %(gives)s",
        each.units,
        gas=_(each.gas),
        takes=takes,
        gives=gives,
    )
    return _("order %(what)s", what=words) if each.is_short else words
