"""The page of a sheet under work: which step, which group, or the end, and everything that stands beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from urllib.parse import urlencode

from pinseal.catalogue import gettext as _
from pinseal.catalogue import ngettext
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.sheets.decision import decide, works_asked
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import shut_gates
from pinseal.sheets.model import ACTIONS, STAGES, WORKS, Step
from pinseal.sheets.taking import covered_by
from pinseal.sheets.view import notes
from pinseal.sheets.working import Working
from pinseal.web.doors import About
from pinseal.web.office_entries import INSTRUMENT, READING, UNIT
from pinseal.web.office_views import GroupItem, GroupView, LastEntry, StepView, WorkPage
from pinseal.web.office_work_parts import decided, finding_view, minutes_words, stages, step_view, unit_head
from pinseal.web.pages import frame
from pinseal.web.views import Choice, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What the address asks for: a step by its id, a group one by one, or the steps for a unit that is taken away."""

    step: str = ""
    each: str = ""
    leaving: bool = False

    def href(self, here: str, **changes: str | bool) -> str:
        asked = replace(self, **({"step": ""} | changes))  # type: ignore[arg-type]
        pairs = [(name, value) for name, value in (("step", asked.step), ("each", asked.each)) if value]
        pairs += [("leaving", "1")] if asked.leaving else []
        return here + (f"?{urlencode(pairs)}" if pairs else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A form that was refused: what is wrong, and what was typed, by the names of its fields."""

    troubles: tuple[Trouble, ...] = ()
    typed: Mapping[str, list[str]] = field(default_factory=dict)


def next_step(work: Working, looked: Looked) -> Step | None:
    """The step that is asked for; else the next one whose gates are open, of the leaving ones where the unit is taken away."""
    if looked.step:
        return work.job.step(looked.step)
    if looked.leaving:
        leaving = (step for step in work.job.steps if step.when == "leaving" and not work.is_answered(step))
        return next((step for step in leaving if not shut_gates(work, step)), None)
    return next((step for step in work.next_steps() if not shut_gates(work, step)), None)


def work_page(about: About, sheet: OpenedSheet, looked: Looked, *, shown: int, sent: Sent = Sent()) -> WorkPage:
    """The sheet as it stands now. `shown` [s] is the moment, by which the next entry is timed."""
    work, here = sheet.work, f"/sheets/{sheet.uid}/work"
    step = None if work.abandoned else next_step(work, looked)
    group = _group(work, step, looked, here) if step and not looked.step else None
    head = unit_head(work.job.unit)
    left = work.next_steps()
    wanted = [each for each in work.job.steps if work.is_wanted(each)]
    done = len(wanted) - len(left)
    return WorkPage(
        frame=frame(about, title=_("%(unit)s: job sheet", unit=head.name), here="/sheets"),
        unit=head,
        here=here,
        sheet_href=f"/sheets/{sheet.uid}",
        expect=sheet.next_number,
        shown=shown,
        leaving=looked.leaving,
        each=looked.each,
        progress=_progress(left, done, len(wanted)),
        done_share=round(100 * done / len(wanted)) if wanted else 100,
        decision=decided(work),
        cautions=tuple(map(_, work.job.type.cautions)),
        notes=(*notes(work.job), *sheet.others, *(_("Set aside: %(what)s", what=each) for each in work.set_aside)),
        last=_last(work, looked, here),
        step=typed_step(step_view(work, step), sent) if step and group is None else None,
        group=group,
        end=step is None,
        shut=_shut(work, left) if step is None else (),
        findings=tuple(finding_view(work, found) for found in work.open_stops()),
        stages=stages(work, here),
        more_works=_more_works(work),
        leaving_href=looked.href(here, leaving=not looked.leaving),
        gone=bool(work.job.gone),
        troubles=sent.troubles,
        typed={name: values[-1] for name, values in sent.typed.items()},
    )  # fmt: skip


def _shut(work: Working, left: Sequence[Step]) -> tuple[str, ...]:
    """Why the first few of the steps that are left cannot be worked on."""
    gates = ((each, gate) for each in left[:3] for gate in shut_gates(work, each))
    return tuple(_("%(step)s is shut: %(why)s", step=_(each.title), why=gate.because) for each, gate in gates)


def _progress(left: Sequence[Step], done: int, wanted: int) -> str:
    if not left:
        return ngettext("all %(n)s step answered", "all %(n)s steps answered", wanted)
    time = minutes_words(sum(each.minutes for each in left))
    return ngettext(
        "%(done)s of %(n)s step answered, %(time)s left", "%(done)s of %(n)s steps answered, %(time)s left", wanted, done=done, time=time
    )


def _group(work: Working, step: Step, looked: Looked, here: str) -> GroupView | None:
    """What one confirmation would cover now, where it would cover more than one step and nobody asked for them one by one."""
    if not step.group or step.group == looked.each or looked.leaving:
        return None
    steps = covered_by(work, step.group)
    if len(steps) < 2:
        return None
    items = tuple(
        GroupItem(
            title=_(each.title),
            says=_(each.good_answers[0].says),
            do=_(each.do),
            caution=_(each.caution),
            href=looked.href(here, step=each.id),
        )
        for each in steps
    )
    return GroupView(
        group=step.group,
        stage=_(STAGES[steps[0].stage]),
        time=minutes_words(sum(each.minutes for each in steps)),
        items=items,
        each_href=looked.href(here, each=step.group),
    )


def _more_works(work: Working) -> tuple[Choice, ...]:
    """The works that may be added; what the decision asks for stands first and is chosen."""
    asked = works_asked(decide(work))
    fits = [each for each in WORKS if each not in work.job.works and each not in work.job.type.does_not_apply]
    first = [each for each in fits if each in asked]
    return tuple(Choice(value=each, label=_(WORKS[each]), chosen=each in asked) for each in (*first, *(e for e in fits if e not in asked)))


def _last(work: Working, looked: Looked, here: str) -> LastEntry | None:
    """The entry that was kept last, with what it led to."""
    if not work.entries:
        return None
    entry, number = work.entries[-1], len(work.entries)
    judged = work.judgements.get(entry.subject) if entry.kind == "step" else None
    found = tuple(f"{_(each.title)}. {_(each.words)} ({_(ACTIONS[each.action])})" for each in work.findings if each.number == number)
    return LastEntry(
        words=_entry_words(work, entry),
        verdict=judged.verdict if judged else "",
        because=judged.because + judged.flags if judged else (),
        settle=judged.settle if judged else "",
        found=found,
        again_href=looked.href(here, step=entry.subject) if entry.kind == "step" else "",
    )


def _entry_words(work: Working, entry: Entry) -> str:
    step = work.job.step(entry.subject)
    if entry.kind == "step" and step:
        answer = step.answer(entry.said["answer"])
        read = ", ".join(entry.readings.values())
        said = f"{_(step.title)}: {_(answer.says) if answer else _('not done')}"
        return f"{said} ({read})" if read else said
    if entry.kind == "confirm":
        covered = work.confirmations[-1].steps if work.confirmations else ()
        return ngettext("%(n)s item confirmed together", "%(n)s items confirmed together", len(covered))
    return {
        "fix": _("Put right: %(how)s", how=entry.said.get("how", "")),
        "override": _("Gate overridden by %(name)s", name=entry.said.get("supervisor", "")),
        "extend": _("Work added: %(work)s", work=_(WORKS.get(entry.subject, entry.subject))),
        "laid-out": _("%(part)s lies ready", part=entry.subject)
        if entry.said.get("have") == "yes"
        else _("%(part)s does not lie ready", part=entry.subject),
        "abandon": _("Broken off: %(why)s", why=entry.subject),
    }.get(entry.kind, entry.kind)


def typed_step(view: StepView, sent: Sent) -> StepView:
    """The step with what was typed before it was refused."""
    if not sent.typed:
        return view
    said = {name: values[-1] for name, values in sent.typed.items()}
    wants = [
        replace(
            want,
            value=said.get(READING + want.name, ""),
            units=tuple(replace(each, chosen=each.value == said.get(UNIT + want.name)) for each in want.units),
            choices=tuple(replace(each, chosen=each.value == said.get(READING + want.name)) for each in want.choices),
            instruments=tuple(replace(each, chosen=each.value == said.get(INSTRUMENT + want.name)) for each in want.instruments),
        )
        for want in view.wants
    ]
    return replace(view, wants=tuple(wants))
