"""Units away with what stands in for them, and instruments, in words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.dates import PartialDate
from pinseal.records.registers import InstrumentCheck
from pinseal.service.books import Away
from pinseal.service.registry import Doubted, ListedInstrument
from pinseal.web.date_words import date_words, day_date
from pinseal.web.office_common import Sight
from pinseal.web.office_list_views import (
    AwayRow,
    DoubtRow,
    InstrumentPage,
    InstrumentRow,
    InstrumentsPage,
    LoanersPage,
)
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame
from pinseal.web.views import Fact
from pinseal.web.words import length_words, until_words

DOUBTS_SHOWN = 200
_SOON_DAYS = 7  # a unit that must be back within a week is due (our own choice)


# -- away


def lateness(back_by: PartialDate | None, today: date) -> tuple[str, str]:
    """The state of a unit that must be back, and what that means in words."""
    if back_by is None:
        return "unknown", _("nobody said by when")
    if today > back_by.latest:
        return "overdue", _("%(length)s late", length=length_words((today - back_by.latest).days))
    days = (back_by.earliest - today).days
    return ("due" if days <= _SOON_DAYS else "ahead"), until_words(max(days, 0))


def away_row(seen: Sight, each: Away) -> AwayRow:
    state, loaner = seen.state(each.unit), seen.state(each.loaner)
    assert state is not None, "only units that are seen are shown"
    late, note = lateness(each.back_by, seen.about.today)
    bare = _("nothing stands in: the place is bare") if each.loaner == "none" else _("it is not said what stands in")
    return AwayRow(
        unit=unit_head(state),
        where=_(kinds.AWAY_TO.get(each.taken_to, marked("not said"))),
        since=date_words(each.since),
        back_by=date_words(each.back_by) if each.back_by else "",
        late=late,
        note=note,
        stands_in=unit_head(loaner) if loaner else None,
        bare="" if loaner else bare,
        why="; ".join(part for part in (each.reason, each.state) if part),
    )


def away_now(seen: Sight) -> list[Away]:
    """The units of the fleet that are away, the one that must be back first at the top."""
    return [each for each in seen.books.away if (state := seen.state(each.unit)) is not None and not state.removed]


def loaners_page(seen: Sight) -> LoanersPage:
    rows = tuple(away_row(seen, each) for each in away_now(seen))
    return LoanersPage(frame=frame(seen.about, title=_("Loaners"), here="/loaners"), rows=rows, bare=sum(bool(row.bare) for row in rows))


# -- instruments

_EFFECT_STATES = {"none": "ahead", "flags": "may be overdue", "blocks": "overdue"}
_STANDINGS = {
    "good": marked("good"),
    "lapsed": marked("its check has lapsed"),
    "bad": marked("found bad"),
    "never-checked": marked("never checked"),
    "unknown-instrument": marked("not in the register"),
    "withdrawn": marked("withdrawn"),
}


def instrument_row(each: ListedInstrument) -> InstrumentRow:
    found, standing = each.instrument, each.standing
    until = day_date(standing.good_until) if standing.good_until else ""
    gone = found.withdrawn
    return InstrumentRow(
        name=found.id or _("not registered yet"),
        href=f"/instruments/{found.uid}",
        what=_(kinds.INSTRUMENTS.get(found.what or "", found.what or marked("not said"))),
        serial=found.serial or "",
        range=found.range_text or "",
        last_check=date_words(each.last_good.done) if each.last_good else _("never"),
        good_until=until,
        state=_EFFECT_STATES[standing.effect],
        standing=_(_STANDINGS.get(standing.code, standing.code)),
        because=standing.because,
        withdrawn=_("since %(day)s: %(why)s", day=date_words(gone.since), why=gone.reason) if gone else "",
    )


def instruments_page(seen: Sight, listed: Sequence[ListedInstrument]) -> InstrumentsPage:
    """Every instrument; those that may not be used stand first, withdrawn ones last."""
    order = {"blocks": 0, "flags": 1, "none": 2}
    used = sorted((each for each in listed if each.instrument.withdrawn is None), key=lambda e: (order[e.standing.effect], e.instrument.id))
    return InstrumentsPage(
        frame=frame(seen.about, title=_("Instruments"), here="/instruments"),
        rows=tuple(instrument_row(each) for each in used),
        gone=tuple(instrument_row(each) for each in listed if each.instrument.withdrawn is not None),
    )


def _check_words(check: InstrumentCheck) -> str:
    against = _("against %(what)s", what=check.against) if check.against else ""
    return "; ".join(part for part in (against, check.certificate, check.value) if part)


def instrument_page(seen: Sight, each: ListedInstrument, doubted: Doubted) -> InstrumentPage:
    """One instrument with its checks, the latest first, and the readings that it puts in doubt."""
    found = each.instrument
    said = (
        (_("serial"), found.serial),
        (_("range"), found.range_text),
        (_("smallest step"), found.resolution),
        (_("uncertainty"), found.uncertainty),
    )
    return InstrumentPage(
        frame=frame(seen.about, title=found.id or _("Instrument"), here="/instruments"),
        row=instrument_row(each),
        facts=tuple(Fact(name=name, value=value) for name, value in said if value),
        source=each.standing.source.for_people() if each.standing.source else "",
        checks=tuple(
            (
                date_words(check.done),
                _check_words(check),
                day_date(check.until) if check.until else "",
                check.good,
            )
            for check in reversed(found.checks)
        ),
        marks=tuple(mark.text for mark in found.marks),
        readings=doubted.readings,
        doubts=tuple(
            DoubtRow(
                unit=unit_head(state) if state else None,
                done=date_words(doubt.reading.done),
                what=f"{_(doubt.reading.quantity)}: {doubt.reading.value}",
                because=doubt.because,
            )
            for state, doubt in doubted.found[:DOUBTS_SHOWN]
        ),
        doubt_count=len(doubted.found),
    )
