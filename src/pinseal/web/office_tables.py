"""The lists that people take away as files: the due list, the inventory of a site, deficiencies. Rows are made while they are written.

Programs read these files too, so their heads and codes say English in every language.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from pinseal import kinds
from pinseal.catalogue import SOURCE, spoken
from pinseal.dates import PartialDate
from pinseal.documents.tables import Cell, Column, Table
from pinseal.records.unit import UnitState
from pinseal.service.books import STAGES, Deficiency
from pinseal.service.duelist import DueList
from pinseal.sheets.model import ACTIONS
from pinseal.web.listing import Lines, built, natural
from pinseal.web.office_common import Sight
from pinseal.web.office_standing import standing
from pinseal.web.words import kind_words, size_words, unit_name

_CHUNK = 1_000
_NUMBERS = (Column(head="id", width=12), Column(head="serial", width=16), Column(head="site", width=24), Column(head="place", width=30))


def _numbers(state: UnitState) -> tuple[Cell, ...]:
    return state.id, state.serial, state.site, state.place


def _kind(state: UnitState) -> str:
    with spoken(SOURCE):
        return kind_words(state.nameplate)


# -- dues

_DUES = (
    Column(head="state", width=15), Column(head="first day", width=12), Column(head="last day", width=12), Column(head="duty", width=24),
    *_NUMBERS,
    Column(head="kind", width=30), Column(head="pack", width=14), Column(head="document", width=20), Column(head="clause", width=18),
    Column(head="because", width=60), Column(head="would settle it", width=30), Column(head="unit uid", width=38),
)  # fmt: skip


def dues_table(dues: DueList, lines: Lines) -> Table:
    """The rows of the due list in the order given, with the rule and the reasons of each."""
    return Table(title="Dues", columns=_DUES, rows=_due_rows(dues, lines))


def _due_rows(dues: DueList, lines: Lines) -> Iterator[Sequence[Cell]]:
    for due in (due for start in range(0, len(lines), _CHUNK) for due in built(dues, lines[start : start + _CHUNK])):
        state, cited = dues.states[due.index], due.governing
        yield (
            due.state,
            due.earliest,
            due.latest,
            kinds.DUTIES[due.duty],
            *_numbers(state),
            _kind(state),
            cited.pack if cited else "",
            cited.document if cited else "",
            cited.clause if cited else "",
            " ".join(due.because),
            ", ".join(due.missing),
            state.uid,
        )


# -- the inventory

_LAST = ("manufactured", "inspection", "maintenance", "internal-examination", "recharge", "hydrostatic-test")
_INVENTORY = (
    *_NUMBERS,
    Column(head="agent", width=24), Column(head="size", width=10), Column(head="wheeled", width=9), Column(head="rating", width=12),
    Column(head="model", width=16), Column(head="expelled by", width=18), Column(head="shell", width=14),
    *(Column(head=kinds.FACTS[fact], width=14) for fact in _LAST),
    Column(head="how it stands", width=15), Column(head="next due", width=12), Column(head="open deficiencies", width=12),
    Column(head="away", width=14), Column(head="out of the fleet", width=24), Column(head="unit uid", width=38),
)  # fmt: skip


def inventory_table(seen: Sight, site: str) -> Table:
    """Every unit of a site (of all sites where none is named) by its place, with its nameplate, its last deeds and how it stands."""
    return Table(title=f"Inventory {site}".strip(), columns=_INVENTORY, rows=_inventory_rows(seen, site))


def _inventory_rows(seen: Sight, site: str) -> Iterator[Sequence[Cell]]:
    states = seen.dues.states
    places = [i for i, state in enumerate(states) if not site or state.site == site]
    places.sort(key=lambda i: (natural(states[i].site or ""), natural(states[i].place or ""), natural(unit_name(states[i]))))
    how = standing(seen.dues)
    away = {each.unit: kinds.AWAY_TO.get(each.taken_to, "place not said") for each in seen.books.away}
    wrong: dict[str, int] = {}
    for each in seen.books.deficiencies:
        wrong[each.unit] = wrong.get(each.unit, 0) + each.is_open
    for index in places:
        state, plate = states[index], states[index].nameplate
        yield (
            *_numbers(state),
            kinds.agent_label(plate.agent),
            size_words(plate.size) if plate.size else "",
            {True: "yes", False: "no", None: ""}[plate.wheeled],
            plate.rating,
            plate.model,
            kinds.EXPELLED_BY.get(plate.expelled_by or "", ""),
            kinds.SHELLS.get(plate.shell or "", ""),
            *(state.dates.get(fact) for fact in _LAST),
            how.state(index),
            how.day(index),
            wrong.get(state.uid or "", 0) or None,
            away.get(state.uid or "", ""),
            state.removed,
            state.uid,
        )


# -- deficiencies

_DEFICIENCIES = (
    Column(head="how far", width=22), Column(head="found", width=12), Column(head="days open", width=9), *_NUMBERS,
    Column(head="kind", width=30), Column(head="what", width=50), Column(head="clause", width=24), Column(head="what it forces", width=24),
    Column(head="found by", width=18), Column(head="quoted on", width=12), Column(head="quoted by", width=18),
    Column(head="price", width=12), Column(head="currency", width=9), Column(head="work", width=30), Column(head="paper", width=12),
    Column(head="holds until", width=12), Column(head="answer", width=10), Column(head="answered on", width=12),
    Column(head="answered by", width=18), Column(head="put right on", width=12), Column(head="how", width=40),
    Column(head="put right by", width=18), Column(head="unit uid", width=38), Column(head="record", width=38),
)  # fmt: skip


def deficiencies_table(seen: Sight, found: Sequence[Deficiency]) -> Table:
    """Deficiencies in the order given, each with its way. Prices only for who may see them."""
    rows = (_deficiency_row(seen, each) for each in found)
    return Table(title="Deficiencies", columns=_DEFICIENCIES, rows=rows)


def _deficiency_row(seen: Sight, each: Deficiency) -> Sequence[Cell]:
    state, quote = seen.state(each.unit), each.quote
    assert state is not None, "only deficiencies of units that are seen are listed"
    price = quote.price if quote and seen.prices else None
    return (
        "left the fleet" if each.is_open and state.removed else STAGES[each.stage],
        each.found,
        _days(each.found, each.remedied.latest if each.remedied else seen.about.today),
        *_numbers(state),
        _kind(state),
        each.words,
        each.clause,
        ACTIONS.get(each.action, each.action),
        each.person,
        quote.on if quote else None,
        quote.person if quote else "",
        price,
        price.currency if price else "",
        quote.work if quote else "",
        quote.number if quote else "",
        quote.valid_until if quote else None,
        quote.answer if quote else "",
        quote.answered if quote else None,
        quote.answered_by if quote else "",
        each.remedied,
        each.how,
        each.remedied_by,
        each.unit,
        each.record,
    )


def _days(first: PartialDate, last: date) -> int | None:
    """Whole days, where the first is known to the day."""
    return max(0, (last - first.earliest).days) if first.precision == "day" else None
