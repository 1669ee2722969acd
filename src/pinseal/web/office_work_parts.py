"""A sheet under work in words: its steps, readings, limits, findings and decision, as the pages show them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import groupby

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, ngettext
from pinseal.measures import for_people
from pinseal.records.unit import UnitState
from pinseal.sheets.compose import duty_words
from pinseal.sheets.decision import Decision, decide
from pinseal.sheets.gates import OVERRIDABLE, shut_gates
from pinseal.sheets.judgement import joined
from pinseal.sheets.limits import Limit, limits_of
from pinseal.sheets.model import ACTIONS, ON_THE_SPOT, STAGES, Answer, Source, Step, Want
from pinseal.sheets.readings import GASES
from pinseal.sheets.working import Open, Working
from pinseal.web.office_views import (
    AnswerView,
    DecisionView,
    FindingView,
    GateView,
    LimitView,
    SheetStep,
    Stage,
    StepView,
    UnitHead,
    WantView,
)
from pinseal.web.views import Choice, Fact
from pinseal.web.words import kind_words, place_words, unit_name

NOT_DONE = "not-done"
# The units that a number pad offers for a quantity, those of the shop first.
_UNITS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "us": {
        "pressure": ("psi", "bar", "kPa"),
        "temperature": ("F", "C"),
        "mass": ("lb", "oz", "kg", "g"),
        "volume": ("mL", "L", "gal"),
        "length": ("in", "mm"),
    },
    "metric": {
        "pressure": ("bar", "kPa", "psi"),
        "temperature": ("C", "F"),
        "mass": ("kg", "g", "lb", "oz"),
        "volume": ("mL", "L", "gal"),
        "length": ("mm", "in"),
    },
}
_SUFFIX = {"seconds": marked("seconds"), "percent": "%", "count": ""}


def unit_head(state: UnitState) -> UnitHead:
    return UnitHead(
        name=unit_name(state),
        href=f"/units/{state.uid}" if state.uid else "",
        kind=_("only counted on a list") if state.placeholder else kind_words(state.nameplate),
        place=place_words(state),
    )


def source_words(source: Source) -> str:
    return _("%(source)s: %(checked)s", source=source.text, checked=_(kinds.CHECKED[source.checked]))


def works_words(works: tuple[str, ...]) -> str:
    return ", ".join(_(duty_words(work)) for work in works)


def minutes_words(minutes: float) -> str:
    """How long a trained hand takes (common practice, no source)."""
    is_long = minutes >= 1.5
    count = round(minutes) if is_long else round(minutes * 60)
    return _("about %(n)s min", n=count) if is_long else _("about %(n)s s", n=count)


def _system(work: Working) -> str:
    return "metric" if work.job.system == "metric" else "us"


# -- a step to work on


def step_view(work: Working, step: Step) -> StepView:
    """One step with its gates as they stand now, its readings, limits and answers."""
    given = work.answers.get(step.id)
    limits = limits_of(work.job, step, shell_k=work.picture.charging_k)
    return StepView(
        id=step.id,
        stage=_(STAGES[step.stage]),
        title=_(step.title),
        do=_(step.do),
        why=_(step.why),
        proves=_(step.proves),
        caution=_(step.caution),
        source=source_words(step.source),
        answered=_says(step, given.answer) if given and work.is_answered(step) else "",
        gates=tuple(
            GateView(code=gate.code, because=gate.because, can_override=gate.code in OVERRIDABLE) for gate in shut_gates(work, step)
        ),
        wants=tuple(_want(work, step, want, limits) for want in step.wants),
        answers=tuple(_answer(work, answer) for answer in step.answers),
        parts=tuple(map(_, step.parts)),
    )


def _says(step: Step, code: str) -> str:
    found = step.answer(code)
    return _(found.says) if found else _("Not done")


def _answer(work: Working, answer: Answer) -> AnswerView:
    finding = work.job.findings[answer.finding] if answer.finding else None
    forces = _(ACTIONS[work.forced(finding.action)[0]]) if finding else ""
    return AnswerView(code=answer.code, says=_(answer.says), good=answer.good, forces=forces)


def _want(work: Working, step: Step, want: Want, limits: tuple[Limit, ...]) -> WantView:
    units = _UNITS[_system(work)].get(want.quantity, ())
    choices = _choices(want.quantity)
    is_number = bool(units) or want.quantity in _SUFFIX
    only_with = ", ".join(_says(step, code) for code in want.only_with)
    known = [each for each in work.job.instruments.values() if each.what == want.instrument and each.withdrawn is None]
    return WantView(
        name=want.name,
        label=_(want.label),
        kind="choice" if choices else "number" if is_number else "text",
        optional=want.optional,
        only_with=only_with,
        value="",
        units=tuple(Choice(value=unit, label=unit) for unit in units),
        suffix=_(_SUFFIX.get(want.quantity, "")),
        choices=choices,
        instruments=tuple(Choice(value=each.id, label=each.id, chosen=each.id == _last_used(work, want)) for each in known),
        instrument_label=_(want.instrument.replace("-", " ")),
        limits=tuple(_limit(work, limit) for limit in limits if limit.reading == want.name),
    )


def _last_used(work: Working, want: Want) -> str:
    """The instrument of this kind that was used last on this sheet."""
    known = {each.id for each in work.job.instruments.values() if each.what == want.instrument}
    used = [each for entry in work.entries for each in entry.instruments.values() if each in known]
    return used[-1] if used else ""


def _choices(quantity: str) -> tuple[Choice, ...]:
    if quantity == "agent":
        return tuple(Choice(value=code, label=_(agent.label)) for code, agent in kinds.AGENTS.items())
    if quantity == "gas":
        return tuple(Choice(value=gas, label=_(gas)) for gas in GASES)
    if quantity == "yes-no":
        return (Choice(value="yes", label=_("yes")), Choice(value="no", label=_("no")))
    return ()


def _limit(work: Working, limit: Limit) -> LimitView:
    """A limit in words; one over the temperature becomes a small table instead of a long sentence."""
    source = "" if limit.missing else source_words(limit.source)
    if not limit.table:
        return LimitView(words=limit.words, source=source)
    system = _system(work)
    rows = tuple(
        (for_people(t_k, "temperature", system=system, digits=0), for_people(aim, limit.dimension, system=system, digits=0))
        for t_k, aim, _ in limit.table
    )
    words = _("Target, by the temperature of the shell")
    if limit.reading == "gauge":
        words = _("A full unit shows, by the temperature of its shell")
    return LimitView(words=words, source=source, rows=rows)


# -- what was found, and what follows


def can_fix(work: Working, found: Open) -> bool:
    """Whether putting it right on this sheet may settle it; the engine still judges each fix."""
    return not found.fixed and (
        found.action in ON_THE_SPOT
        or found.action == "internal-maintenance"
        or (found.action == "maintenance" and work.is_part("maintenance"))
    )


def finding_view(work: Working, found: Open) -> FindingView:
    settled = _("settled by the work") if work.is_settled(found) else ""
    if found.fixed:
        settled = _("put right: %(how)s", how=found.fixed)
    return FindingView(
        code=found.finding,
        step=found.step,
        title=_(found.title),
        words=_(found.words),
        because=joined(found.because[:2]),
        forces=_(ACTIONS[found.action]),
        source=source_words(found.source),
        settled="" if found.action == "note" else settled,
        can_fix=can_fix(work, found),
    )


def decision_view(decision: Decision) -> DecisionView:
    return DecisionView(
        words=_(decision.words),
        code=decision.code,
        because=decision.because,
        not_less=decision.why_not_less,
        not_more=decision.why_not_more,
        settle=decision.settle,
    )


def decided(work: Working) -> DecisionView:
    found = decide(work)
    return replace(decision_view(found), words=decision_words(work, found))


def decision_words(work: Working, found: Decision) -> str:
    """A decision in words. Nobody reads that a unit is to be tagged as long as there are steps that may still speak against it."""
    left = len(work.next_steps())
    if found.code != "tag" or not left:
        return _(found.words)
    return ngettext("nothing against it so far, %(n)s step is left", "nothing against it so far, %(n)s steps are left", left)


# -- the whole sheet


def stages(work: Working, here: str, *, leaving: bool = True) -> tuple[Stage, ...]:
    """Every step by its stage. `here` is the address at which a step is worked on; empty where it cannot be any more."""
    steps = [step for step in work.job.steps if leaving or step.when != "leaving" or step.id in work.answers]
    return tuple(
        Stage(title=_(STAGES[stage]), steps=tuple(_sheet_step(work, step, here) for step in some))
        for stage, some in groupby(steps, key=lambda step: step.stage)
    )


def _sheet_step(work: Working, step: Step, here: str) -> SheetStep:
    given, judged = work.answers.get(step.id), work.judgements.get(step.id)
    return SheetStep(
        title=_(step.title),
        href=f"{here}?step={step.id}" if here else "",
        state=_state(work, step),
        answer=_says(step, given.answer) if given else "",
        verdict=judged.verdict if judged else "",
        because=joined(judged.because) if judged else "",
        read=tuple(_read(work, step)),
        note=given.note if given else "",
        person=given.person if given else "",
        do=_(step.do),
        limits=tuple(limit.words for limit in limits_of(work.job, step, shell_k=work.picture.charging_k) if limit.words),
        open_gates=not shut_gates(work, step),
    )


def _state(work: Working, step: Step) -> str:
    given = work.answers.get(step.id)
    if given is None:
        return marked("open") if work.is_wanted(step) else marked("if it is taken away") if step.when == "leaving" else marked("if needed")
    answer = step.answer(given.answer)
    if not work.is_answered(step):
        return marked("open again")
    if given.answer == NOT_DONE:
        return marked("not done")
    return marked("as it should be") if answer and answer.good else marked("found")


def _read(work: Working, step: Step) -> Iterator[Fact]:
    for each in work.picture.reads:
        if each.step == step.id:
            want = next((want for want in step.wants if want.name == each.reading.name), None)
            yield Fact(name=_(want.label) if want else each.reading.name, value=each.reading.text, note=each.reading.instrument or "")
