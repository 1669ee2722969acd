"""The page of one pressure test: what it needs, the instruments of today, the readings with their limits, and the verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from urllib.parse import urlencode

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import psi
from pinseal.rules.cautions import STAND_CLEAR
from pinseal.rules.pressure_tests import ExpansionVerdict
from pinseal.service.registry import ListedInstrument
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.model import Step
from pinseal.sheets.picture import Picture
from pinseal.sheets.readings import Reading
from pinseal.sheets.verdicts import judge
from pinseal.sheets.working import Working
from pinseal.web.bench_test_sums import (
    JACKET,
    KINDS,
    PROOF,
    Typed,
    expansion_of,
    factors_of,
    hold_s,
    kept_readings,
    leasts_of,
    limit_percent,
    needed,
    test_steps,
    texts_of,
    total_range,
    usual_kind,
)
from pinseal.web.bench_tools import choices, misfits, tools
from pinseal.web.bench_views import Figured, Live, Tested, TestPage
from pinseal.web.office_common import Sight
from pinseal.web.office_entries import Form
from pinseal.web.office_views import Link, StepView
from pinseal.web.office_work_page import Sent, typed_step
from pinseal.web.office_work_parts import step_view, unit_head
from pinseal.web.pages import frame
from pinseal.web.views import Fact, Trouble

_TOOLS = {PROOF: ("test-gauge",), JACKET: ("test-gauge", "test-jacket", "calibrated-cylinder")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A unit at the test bench: its open sheet, or one that is not kept (`kept` False); the instruments; the moment [s]."""

    sheet: OpenedSheet
    kept: bool
    listed: Sequence[ListedInstrument]
    shown: int

    @property
    def work(self) -> Working:
        return self.sheet.work

    def address(self) -> str:
        return f"/bench/test/{self.work.job.unit.uid}"

    def kind(self, asked: str) -> str:
        """The kind of test that is asked for, else the usual one; empty where this unit has none."""
        steps = test_steps(self.work)
        return asked if asked in steps else usual_kind(self.work, steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A form that came: its fields, what of them could be read, what is wrong, and the answer that was given."""

    form: Form = field(default_factory=dict)
    typed: Typed = field(default_factory=Typed)
    troubles: tuple[Trouble, ...] = ()

    def all_troubles(self) -> tuple[Trouble, ...]:
        return (*(Trouble(text=f"{words}.", at=f"r-{name}") for name, words in self.typed.wrong.items()), *self.troubles)


def no_test_page(seen: Sight, uid: str, why: str) -> TestPage:
    """A unit that is not tested by pressure, and why not."""
    state = seen.state(uid)
    assert state is not None, "only units that are seen are shown"
    return TestPage(
        frame=frame(seen.about, title=_("Pressure test %(unit)s", unit=unit_head(state).name), here="/bench"), unit=unit_head(state),
        here=f"/bench/test/{uid}", kinds=(), kind="", why_not=why, title="", do="", caution="", source="", step="", sheet_href="",
        begin_href="", expect=0, shown=0, gates=(), needed=(), notes=(), tools=(), wants=(), answers=(), live=None, result=None,
        safety=tuple(map(_, STAND_CLEAR)),
    )  # fmt: skip


def test_page(seen: Sight, bench: Bench, asked: str, filled: Filled) -> TestPage:
    """The test of one kind, with what was typed and what came of it."""
    work, kind = bench.work, bench.kind(asked)
    steps = test_steps(work)
    step, head = steps[kind], unit_head(work.job.unit)
    view = typed_step(step_view(work, step), Sent(typed=filled.form))
    troubles, (facts, notes) = list(filled.all_troubles()), _needed(work, kind)
    least_pa = _least(work, kind)
    return TestPage(
        frame=frame(seen.about, title=_("%(kind)s test of %(unit)s", kind=_(KINDS[kind]), unit=head.name), here="/bench"),
        unit=head,
        here=bench.address(),
        kinds=tuple(Link(text=_(KINDS[each]), href=f"{bench.address()}?by={each}", on=each == kind) for each in KINDS if each in steps),
        kind=kind,
        why_not="",
        title=view.title,
        do=view.do,
        caution=view.caution,
        source=view.source,
        step=step.id,
        sheet_href=f"/sheets/{bench.sheet.uid}/work" if bench.kept else "",
        begin_href="" if bench.kept else f"/units/{work.job.unit.uid}/sheet",
        expect=bench.sheet.next_number,
        shown=bench.shown,
        gates=view.gates if bench.kept else (),
        needed=facts,
        notes=notes,
        tools=tools(bench.listed, _TOOLS[kind], work.job.on, least_pa),
        wants=_wants(bench, step, view, kind, filled.typed),
        answers=view.answers,
        live=_live(work, kind),
        result=_result(bench, step, kind, filled),
        safety=tuple(map(_, STAND_CLEAR)),
        note=filled.form.get("note", [""])[-1],
        troubles=tuple(troubles),
    )


# -- what the test needs


def _needed(work: Working, kind: str) -> tuple[tuple[Fact, ...], tuple[str, ...]]:
    """Figures and sentences; a stamp that is never tested says so instead."""
    try:
        found, limit = needed(work.job, kind), limit_percent(work.job)
    except Refusal as refused:
        return (), (f"{refused.what}: {refused.rule}",)
    facts = [Fact(name=_("test pressure"), value=psi(found.pa) if found.pa is not None else _("not on record"), note=found.because)]
    if kind == JACKET and work.job.plate.test_pa is not None and work.job.plate.test_pa != found.pa:
        facts.append(
            Fact(name=_("on the nameplate"), value=psi(work.job.plate.test_pa), note=_("the nameplate wins where it asks for more"))
        )
    if kind == JACKET:
        words = _("not known without the stamp")
        if limit:
            percent = f"{float(limit[0]):g} %"
            words = _("at most %(percent)s of the total", percent=percent)
        facts.append(Fact(name=_("may stay"), value=words, note=limit[1] if limit else ""))
    elif (seconds := hold_s(work.job, kind)) is not None:
        facts.append(Fact(name=_("hold"), value=f"{seconds} s", note=_("satisfies every reading of the rule that is held here")))
    return tuple(facts), found.cautions


def _least(work: Working, kind: str) -> Fraction | None:
    try:
        return needed(work.job, kind).pa
    except Refusal:
        return None


def _live(work: Working, kind: str) -> Live | None:
    try:
        found = limit_percent(work.job) if kind == JACKET else None
    except Refusal:
        return None
    if found is None:
        return None
    least, most = total_range()
    return Live(limit=str(found[0]), limit_words=f"{float(found[0]):g} %", least=least, most=most)


def _wants(bench: Bench, step: Step, view: StepView, kind: str, typed: Typed) -> tuple[Figured, ...]:
    quantities = {want.name: (want.quantity, want.instrument) for want in step.wants}
    least_pa, hold = _least(bench.work, kind), hold_s(bench.work.job, kind)
    made = []
    for want in view.wants:
        quantity, instrument = quantities[want.name]
        chosen = next((each.value for each in want.instruments if each.chosen), "")
        by_time = quantity == "seconds" and hold is not None
        made.append(
            Figured(
                want=replace(want, instruments=choices(bench.listed, instrument, chosen)) if want.instruments else want,
                factors=factors_of(quantity),
                leasts=leasts_of(quantity, least_pa),
                least=str(hold) if by_time else "",
                least_words=psi(least_pa) if quantity == "pressure" and least_pa is not None else f"{hold} s" if by_time else "",
                trouble=typed.wrong.get(want.name, ""),
            )
        )
    return tuple(made)


# -- the verdict


def _result(bench: Bench, step: Step, kind: str, filled: Filled) -> Tested | None:
    """What the sheet holds, unless a form came that is only judged; nothing while something of it cannot be read."""
    readings = filled.typed.readings
    if filled.typed.wrong or filled.troubles:
        return None
    if readings:
        return _tested(bench, kind, readings, _judged(bench, step, readings), answer="")
    given = bench.work.answers.get(step.id) if bench.kept else None
    if given is None:
        return None
    answer, kept = step.answer(given.answer), kept_readings(bench.work, step)
    judged = bench.work.judgements.get(step.id)
    return _tested(bench, kind, kept, judged, answer=_(answer.says) if answer else _("Not done"), kept=True)


def _judged(bench: Bench, step: Step, readings: Mapping[str, Reading]) -> Judgement | None:
    """The judge of the sheet itself, on a picture of nothing but these readings."""
    try:
        return judge(bench.work.job, Picture(job=bench.work.job), step, dict(readings))
    except Refusal as refused:
        return Judgement(verdict="unknown", because=(f"{refused.what}: {refused.rule}",), settle=refused.do)


def _tested(
    bench: Bench, kind: str, readings: Mapping[str, Reading], judged: Judgement | None, *, answer: str, kept: bool = False
) -> Tested:
    drawn = expansion_of(bench.work.job, readings) if kind == JACKET else None
    labels = {want.name: _(want.label) for step in test_steps(bench.work).values() for want in step.wants}
    return Tested(
        kept=kept,
        verdict=judged.verdict if judged else "",
        answer=answer,
        because=judged.because if judged else (),
        void=_void(bench, readings),
        settle=judged.settle if judged else "",
        read=tuple(Fact(name=labels.get(name, name), value=each.text, note=each.instrument or "") for name, each in readings.items()),
        picture_href=f"{bench.address()}/picture.svg?{urlencode(texts_of(readings))}" if drawn else "",
        told=""
        if drawn is None
        else f"{_('A bar as long as the total expansion, with what stayed at its end.')} {' '.join(drawn.because[:1])}",
    )


def _told(drawn: ExpansionVerdict) -> str:
    """The picture in a sentence, for who does not see it."""
    return " ".join((_("A bar as long as the total expansion, with what stayed at its end."), *drawn.because[:1]))


def _void(bench: Bench, readings: Mapping[str, Reading]) -> tuple[str, ...]:
    """Instruments by which this is no valid test, whatever the figures say."""
    named = {each.instrument.casefold(): name for name, each in readings.items() if each.instrument}
    found = []
    for each in bench.listed:
        if each.instrument.id.casefold() not in named:
            continue
        if each.standing.effect == "blocks":
            found.append(each.standing.because)
        pressure = readings.get("pressure")
        if pressure is not None:
            found += [f"{each.instrument.id}: {words}" for words in misfits(each.instrument, pressure.measure.exact, bench.work.job.on)]
    return tuple(found)
