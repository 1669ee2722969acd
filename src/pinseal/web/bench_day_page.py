"""The tests of a day: the instruments as they stand, the daily check of the jacket, the units whose sheets hold a test."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.measures import parse_measure, parse_pressure
from pinseal.reasons import Refusal
from pinseal.records.registers import Instrument
from pinseal.rules.bench_instruments import daily_check, daily_limit
from pinseal.rules.cautions import STAND_CLEAR
from pinseal.service.registry import ListedInstrument
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.sheets.gates import shut_gates
from pinseal.web.bench_test_sums import KINDS, needed, test_steps, usual_kind
from pinseal.web.bench_tools import TEST_TOOLS, choices, tools
from pinseal.web.bench_views import TestDayPage, TestRow
from pinseal.web.office_common import Sight
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame
from pinseal.web.refusals import unreadable
from pinseal.web.views import Trouble

CHECK_FIELDS = ("jacket", "cylinder", "at", "certified", "read", "permanent")
_MAY_LACK = frozenset({"permanent"})
_LABELS = {
    "jacket": marked("the jacket"),
    "cylinder": marked("the calibrated cylinder"),
    "at": marked("the pressure"),
    "certified": marked("the expansion on its certificate"),
    "read": marked("the expansion that was read"),
    "permanent": marked("the expansion that stayed"),
}
_SAVED = {
    "good": marked("The check is recorded: the jacket may be used today."),
    "bad": marked("The check is recorded: the jacket reads wrong and may not be used. Every test since its last good check is in doubt."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """The form of the daily check: as typed, what is wrong with it by field, and what it records where nothing is."""

    said: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)
    jacket: Instrument | None = None
    fields: Mapping[str, str] | None = None

    def refused(self, words: str) -> Check:
        return replace(self, wrong={"jacket": words}, fields=None)


def read_check(said: Mapping[str, str], listed: Sequence[ListedInstrument]) -> Check:
    """A daily check from its form; every field is looked at, so that all that is wrong is told at once."""
    wrong = {
        name: _("%(what)s is not said", what=_(_LABELS[name])) for name in CHECK_FIELDS if not said.get(name) and name not in _MAY_LACK
    }
    known = {each.instrument.id: each for each in listed if each.instrument.withdrawn is None}
    for name, what in (("jacket", "test-jacket"), ("cylinder", "calibrated-cylinder")):
        found = known.get(said.get(name, ""))
        if name not in wrong and (found is None or found.instrument.what != what):
            wrong[name] = _("%(what)s is none of the register", what=_(_LABELS[name]))
        elif found is not None and name == "cylinder" and found.standing.code in ("bad", "lapsed", "never-checked"):
            wrong[name] = _("the calibrated cylinder vouches for nothing: %(why)s", why=_(found.standing.because))
    volumes: dict[str, Fraction] = {}
    for name in ("certified", "read", "permanent", "at"):
        if name in wrong or not said.get(name):
            continue
        try:
            exact = parse_pressure(said[name]).exact if name == "at" else parse_measure("volume", _cm3(said[name])).exact
            volumes[name] = exact
        except Refusal as refused:
            wrong[name] = unreadable(_(_LABELS[name]), refused)
    if wrong:
        return Check(said=said, wrong=wrong)
    try:
        found_out = daily_check(
            certified_m3=volumes["certified"], read_m3=volumes["read"], permanent_m3=volumes.get("permanent", Fraction(0))
        )
    except Refusal as refused:
        return Check(
            said=said, wrong={"read": _("%(what)s: %(rule)s; %(do)s", what=_(refused.what), rule=_(refused.rule), do=_(refused.do))}
        )
    fields = {
        "check": "good" if found_out.met else "bad",
        "against": said["cylinder"],
        "value": f"at {said['at']}: {found_out.text}",
        "check-pressure": said["at"],
        "certified-expansion": _cm3(said["certified"]),
        "total-expansion": _cm3(said["read"]),
    }
    if said.get("permanent"):
        fields["permanent-expansion"] = _cm3(said["permanent"])
    return Check(said=said, jacket=known[said["jacket"]].instrument, fields=fields)


def _cm3(text: str) -> str:
    """A bare number is in cm3, as a burette is marked."""
    return text if any(each.isalpha() for each in text) else f"{text} cm3"


def test_day_page(
    seen: Sight, sheets: Mapping[str, OpenedSheet], listed: Sequence[ListedInstrument], check: Check, *, may_check: bool, saved: str
) -> TestDayPage:
    """The day as it stands, with the daily check as typed."""
    percent, source = daily_limit()
    open_now = [(line.uid, sheets[line.uid]) for line in seen.books.sheets if line.uid in sheets and seen.sees(line.unit)]
    return TestDayPage(
        frame=frame(seen.about, title=_("Pressure tests today"), here="/bench"),
        tools=tools(listed, TEST_TOOLS, seen.about.today),
        jackets=choices(listed, "test-jacket", check.said.get("jacket", "")),
        cylinders=choices(listed, "calibrated-cylinder", check.said.get("cylinder", "")),
        limit=str(percent),
        limit_source=source,
        may_check=may_check,
        saved=_(_SAVED.get(saved, "")),
        said=check.said,
        wrong=check.wrong,
        rows=tuple(_row(uid, sheet) for uid, sheet in open_now if test_steps(sheet.work)),
        safety=tuple(map(_, STAND_CLEAR)),
        troubles=tuple(Trouble(text=f"{words[:1].upper()}{words[1:]}.", at=f"r-{name}") for name, words in check.wrong.items()),
    )


def _row(uid: str, sheet: OpenedSheet) -> TestRow:
    work, steps = sheet.work, test_steps(sheet.work)
    kind = usual_kind(work, steps)
    step = steps[kind]
    judged, shut = work.judgements.get(step.id), shut_gates(work, step)
    try:
        least = needed(work.job, kind)
        pressure = least.because
    except Refusal as refused:
        pressure = refused.rule
    waits = _("waits: %(what)s", what=_(shut[0].because)) if shut else _("the test may be made")
    return TestRow(
        unit=unit_head(work.job.unit),
        href=f"/bench/test/{work.job.unit.uid}?by={kind}",
        sheet_href=f"/sheets/{uid}/work",
        pressure=f"{_(KINDS[kind])}: {_(pressure)}",
        verdict=judged.verdict if judged else "",
        state=(judged.because[0] if judged.because else "") if judged else _("answered") if work.is_answered(step) else waits,
    )
