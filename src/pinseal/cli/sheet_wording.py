"""Job sheets in words: the sheet on paper, what became of it, and the list of those that are kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby
from textwrap import wrap
from typing import Any

from pinseal.cli.options import say
from pinseal.records.record_kinds import KINDS
from pinseal.sheets.compose import duty_words
from pinseal.sheets.decision import decide
from pinseal.sheets.gates import gates_of
from pinseal.sheets.judgement import joined
from pinseal.sheets.limits import limits_of
from pinseal.sheets.model import ACTIONS, STAGES, Step
from pinseal.sheets.view import progress_json, verdicts_json
from pinseal.sheets.view import sheet_json as view_json
from pinseal.sheets.working import Working

WIDTH = 100
CAUTION = "Pressurised vessels can kill. Nameplate, maker's manual and local rules come first; licensed people do this work."


def say_block(text: str, indent: int = 4, first: str | None = None) -> None:
    """A paragraph that fits the page; `first` stands before its first line."""
    lead = " " * indent if first is None else first
    for number, line in enumerate(wrap(text, WIDTH - indent) or [""]):
        say(f"{lead if number == 0 else ' ' * indent}{line}")


def sheet_json(made: Any, system: str) -> dict[str, Any]:
    return {"sheet": made.uid, **view_json(made.work, dict(made.unit), system=system), "others_open": list(made.others)}


def unit_line(unit: Mapping[str, Any], work: Working) -> str:
    plate = work.job.unit.nameplate
    names = " / ".join(str(n) for n in (unit.get("id"), unit.get("serial")) if n) or str(unit.get("uid"))
    size = f"{plate.size.for_people()} " if plate.size else ""
    where = ", ".join(p for p in (work.job.unit.site, work.job.unit.place) if p)
    return f"{names}  {size}{work.job.type.title}{f'  ({where})' if where else ''}"


def say_sheet(made: Any) -> None:
    """The sheet as it goes along on paper."""
    work: Working = made.work
    job = work.job
    say(unit_line(made.unit, work))
    say(f"Job sheet for {job.on.isoformat()}: {', '.join(map(duty_words, job.works))}; by {', '.join(job.packs)}")
    wanted = [step for step in job.steps if work.is_wanted(step)]
    say(f"{len(wanted)} steps, {_minutes(sum(step.minutes for step in wanted))} (common practice, no source)")
    say(CAUTION)
    for text in (*job.type.cautions, *(f"Note: {note}" for note in _notes(made))):
        say_block(text, 0)
    for due in job.dues:
        say_block(due, 4)
    for stage, steps in groupby(job.steps, key=lambda step: step.stage):
        say()
        say(STAGES[stage].upper())
        for step in steps:
            say_step(work, step)


def _minutes(minutes: float) -> str:
    return f"about {minutes:.0f} minutes" if minutes >= 1.5 else f"about {minutes * 60:.0f} seconds"


def _notes(made: Any) -> list[str]:
    from pinseal.sheets.view import notes

    return [*notes(made.work.job), *made.others, *(f"set aside: {each}" for each in made.work.set_aside)]


def say_step(work: Working, step: Step, *, whole: bool = False) -> None:
    """One step: what to do, caution, what is read within which limits, answers, gates that are shut."""
    mark = {"returned": " (if it goes back into service)", "leaving": " (if it does not go back into service)"}.get(step.when, "")
    say(f"  [ ] {step.title}{mark}   {step.id}")
    say_block(step.do, 6)
    if step.caution:
        say_block(f"Caution: {step.caution}", 6)
    if whole:
        say_block(f"Why: {step.why}", 6)
        if step.proves:
            say_block(f"Done when: {step.proves}", 6)
    limits = limits_of(work.job, step, shell_k=work.picture.charging_k)
    for want in step.wants:
        own = [limit for limit in limits if limit.reading == want.name]
        words = "; ".join(
            f"{limit.words} ({limit.source.text}, {limit.source.checked})" if not limit.missing else limit.words for limit in own
        )
        say_block(f"{want.name}: {want.label}{' (may be left out)' if want.optional else ''}{f': {words}' if words else ''}", 8, "      _ ")
    if len(step.answers) > 1 or whole:
        say_block(
            "answers: "
            + "; ".join(
                f"{a.code} = {a.says}" + (f" -> {ACTIONS[work.job.findings[a.finding].action]}" if a.finding else "") for a in step.answers
            ),
            6,
        )
    shut = [gate.because for gate in gates_of(work, step) if not gate.open] if whole else []
    for because in shut:
        say_block(f"Shut: {because}", 6)
    say_block(f"Source: {step.source.text} ({step.source.checked})", 6)


def empty_form(made: Any) -> dict[str, Any]:
    """A form to fill: an entry for each step that is wanted, its answer open, its readings open."""
    work: Working = made.work
    entries = [
        {"step": step.id, "answer": None}
        | ({"readings": {want.name: None for want in step.wants if not want.only_with}} if step.wants else {})
        for step in work.job.steps
        if work.is_wanted(step)
    ]
    return {"unit": dict(made.unit), "on": work.job.on.isoformat(), "duties": list(work.job.works), "entries": entries}


def say_decision(decision: Any) -> None:
    """The decision, why not less, why not more, and what would change it."""
    say(f"Decision: {decision.words}")
    for head, lines in (("because", decision.because), ("not less", decision.why_not_less), ("not more", decision.why_not_more),
                        ("would change it", decision.settle)):  # fmt: skip
        for line in lines:
            say_block(f"{head}: {line}", 6, "    ")


def say_decided(found: Any) -> None:
    """The decision by the facts so far, with the verdicts that it rests on."""
    say(unit_line(found.unit, found.work))
    for step, judged in found.work.judgements.items():
        say_block(f"{judged.verdict}: {step}: {joined(judged.because)}", 6, "    ")
    say_decision(decide(found.work))


def decided_json(found: Any) -> dict[str, Any]:
    return {"unit": dict(found.unit), "verdicts": verdicts_json(found.work), **progress_json(found.work)}


def say_finished(done: Any) -> None:
    """What became of a sheet: verdicts, findings, decision, records."""
    work: Working = done.sheet.work
    say(unit_line(done.sheet.unit, work))
    say(f"Sheet {done.sheet.uid} {'would be' if done.dry_run else 'is'} closed: {done.closed.outcome}; {done.closed.state_words}.")
    for step, judged in work.judgements.items():
        say_block(f"{judged.verdict}: {step}: {joined(judged.because)}", 6, "    ")
    for flag in work.flags:
        say_block(f"flag: {flag}", 6, "    ")
    for each in work.confirmations:
        if each.quick:
            words = f"{len(each.steps)} items in {each.seconds} s; a trained hand takes about {each.expected_seconds} s"
            say_block(f"quick: {each.group}: {words}: a supervisor may check it as a sample", 6, "    ")
    for found in work.findings:
        state = "settled" if work.is_settled(found) else ACTIONS[found.action]
        say_block(f"found: {found.title} ({state})", 6, "    ")
    say_decision(done.closed.decision)
    for other in done.sheet.others:
        say_block(f"Note: {other}", 0)
    kinds = [KINDS[each.kind].label for each in (done.records or done.closed.made)]
    say(f"{'Would record' if done.dry_run else 'Recorded'}: {_counted(kinds)}")
    for each in done.moved:
        say(f"  {duty_words(each.duty)}: {each.before} -> {each.after}")


def _counted(kinds: Iterable[str]) -> str:
    counts: dict[str, int] = {}
    for kind in kinds:
        counts[kind] = counts.get(kind, 0) + 1
    return ", ".join(kind if count == 1 else f"{kind} ({count})" for kind, count in counts.items())


def kept_json(kept: Any) -> dict[str, Any]:
    return {
        "sheet": kept.uid, "unit": kept.unit, "on": kept.on_day.isoformat(), "duties": list(kept.works), "person": kept.person,
        "writer": kept.writer, "entries": len(kept.entries), "closed": kept.entries[-1].entry.get("closed") if kept.closed else None,
    }  # fmt: skip


def say_kept(found: Iterable[Any]) -> None:
    listed = list(found)
    for kept in listed:
        state = f"closed: {kept.entries[-1].entry.get('closed')}" if kept.closed else f"open, {len(kept.entries)} entries"
        say(f"{kept.on_day.isoformat()}  {kept.uid}  {state:<24} {kept.person}: {', '.join(map(duty_words, kept.works))}")
    if not listed:
        say("No job sheet is kept.")
