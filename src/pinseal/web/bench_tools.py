"""The instruments of the test bench as they stand today, and whether a test gauge fits a test pressure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction

from pinseal.catalogue import gettext as _
from pinseal.records.registers import Instrument
from pinseal.rules.bench_instruments import gauge_findings
from pinseal.service.registry import ListedInstrument
from pinseal.sheets.instruments_used import test_gauge
from pinseal.web.bench_views import Tool
from pinseal.web.office_registers_page import instrument_row
from pinseal.web.views import Choice

TEST_TOOLS = ("test-gauge", "test-jacket", "calibrated-cylinder", "master-gauge")


def misfits(instrument: Instrument, test_pa: Fraction | None, on: date) -> tuple[str, ...]:
    """What speaks against a test gauge at a test pressure above the air [Pa]. Its calibration is told by its standing."""
    if instrument.what != "test-gauge" or test_pa is None:
        return ()
    found = gauge_findings(test_gauge(instrument, on), test_pa=test_pa, tested_on=None)
    return tuple(f"{each.text} ({each.source.for_people()})" for each in found if not each.met)


def tools(listed: Sequence[ListedInstrument], whats: Iterable[str], on: date, test_pa: Fraction | None = None) -> tuple[Tool, ...]:
    """The instruments of some kinds that are in use, those that may be used first."""
    wanted = tuple(whats)
    order = {"none": 0, "flags": 1, "blocks": 2}
    found = [each for each in listed if each.instrument.what in wanted and each.instrument.withdrawn is None]
    found.sort(key=lambda e: (wanted.index(e.instrument.what or ""), order[e.standing.effect], e.instrument.id))
    return tuple(_tool(each, on, test_pa) for each in found)


def _tool(each: ListedInstrument, on: date, test_pa: Fraction | None) -> Tool:
    row = instrument_row(each)
    good = _("good until %(date)s", date=row.good_until) if each.standing.code == "good" and row.good_until else row.standing
    if each.instrument.what == "test-jacket":
        good = _("checked today") if each.standing.code == "good" else _("not checked today") if each.standing.code == "lapsed" else good
    return Tool(
        name=row.name,
        href=row.href,
        what=row.what,
        state=row.state,
        standing=good,
        because=row.because,
        misfit=misfits(each.instrument, test_pa, on),
    )


def choices(listed: Sequence[ListedInstrument], what: str, chosen: str = "") -> tuple[Choice, ...]:
    """The instruments of one kind to choose from, each with how it stands."""
    found = [each for each in listed if each.instrument.what == what and each.instrument.withdrawn is None and each.instrument.id]
    return tuple(
        Choice(value=each.instrument.id, label=_label(each), chosen=each.instrument.id.casefold() == chosen.casefold()) for each in found
    )


def _label(each: ListedInstrument) -> str:
    name = each.instrument.id
    if each.instrument.what == "calibrated-cylinder" and each.instrument.range_text:
        name += f" ({each.instrument.range_text})"
    return name if each.standing.effect == "none" else f"{name}: {instrument_row(each).standing}"
