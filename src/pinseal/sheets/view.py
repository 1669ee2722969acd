"""The sheet in plain values: for programs, for the pages, and for paper."""

from __future__ import annotations

from typing import Any

from pinseal.sheets.decision import DECISIONS, Decision, decide
from pinseal.sheets.gates import gates_of
from pinseal.sheets.job import Job
from pinseal.sheets.limits import limits_of
from pinseal.sheets.model import ACTIONS, Answer, Step, Want
from pinseal.sheets.taking import NOT_DONE, begin
from pinseal.sheets.working import Working


def _want_json(want: Want) -> dict[str, Any]:
    return {
        "label": want.label, "quantity": want.quantity, "instrument": want.instrument or None, "optional": want.optional,
        "only_with": list(want.only_with),
    }  # fmt: skip


def _answer_json(job: Job, answer: Answer) -> dict[str, Any]:
    finding = job.findings[answer.finding] if answer.finding else None
    return {
        "code": answer.code, "says": answer.says, "good": answer.good,
        "finding": finding.id if finding else None, "forces": ACTIONS[finding.action] if finding else None,
    }  # fmt: skip


def step_json(work: Working, step: Step, *, system: str = "si") -> dict[str, Any]:
    """One step with its gates as they stand now, its limits and its answers."""
    job = work.job
    limits: dict[str, list[dict[str, Any]]] = {}
    for limit in limits_of(job, step, shell_k=work.picture.charging_k):
        limits.setdefault(limit.reading, []).append(limit.as_json(system))
    return {
        "id": step.id, "stage": step.stage, "effect": step.effect, "title": step.title, "do": step.do, "why": step.why,
        "caution": step.caution or None, "proves": step.proves or None,
        "wants": {want.name: _want_json(want) for want in step.wants},
        "limits": limits,
        "gate": [gate.as_json() for gate in gates_of(work, step)],
        "answers": [_answer_json(job, answer) for answer in (*step.answers, NOT_DONE)],
        "group": step.group or None, "when": step.when, "parts": list(step.parts), "minutes": step.minutes,
        "works": [each for each in step.works if each in job.works],
        "source": step.source.text, "checked": step.source.checked,
    }  # fmt: skip


def sheet_json(work: Working, unit: dict[str, Any], *, system: str = "si") -> dict[str, Any]:
    """The whole sheet as it stands."""
    job = work.job
    wanted = [step for step in job.steps if work.is_wanted(step)]
    return {
        "unit": unit,
        "kind": {"id": job.type.id, "title": job.type.title, "cautions": list(job.type.cautions)},
        "on": job.on.isoformat(),
        "duties": list(job.works),
        "because": list(job.dues),
        "packs": list(job.packs),
        "minutes": round(sum(step.minutes for step in wanted), 1),
        "steps": [step_json(work, step, system=system) for step in job.steps],
        "outcome_rules": outcome_rules(job),
        "notes": notes(job),
    }


def notes(job: Job) -> list[str]:
    """What is odd about the nameplate, and what stands beside the whole sheet."""
    found = [f"on the nameplate, {odd} cannot be read as a figure" for odd in job.plate.unreadable]
    found += job.left_out
    if job.by_step:
        found.append(f"each step is answered by itself: {job.by_step}")
    return found


def outcome_rules(job: Job) -> list[dict[str, Any]]:
    """What each finding of this sheet would force, and to which decision that leads."""
    codes = list(dict.fromkeys(answer.finding for step in job.steps for answer in step.answers if answer.finding))
    for step in job.steps:
        if step.judge:
            codes += [each for each in (step.judge.fail, step.judge.below, step.judge.above) if each and each not in codes]
    work = begin(job)
    made = []
    for code in codes:
        finding = job.findings[code]
        action, rule = work.forced(finding.action)
        source = rule or finding.source
        made.append({"finding": code, "title": finding.title, "forces": action, "words": finding.words, **source.as_json()})
    return made


def verdicts_json(work: Working) -> list[dict[str, Any]]:
    return [{"step": step, **judged.as_json()} for step, judged in work.judgements.items()]


def finished_json(work: Working, decision: Decision, outcome: str) -> dict[str, Any]:
    """What a finished sheet adds: verdicts, findings, overrides, confirmations, the outcome."""
    return {
        "verdicts": verdicts_json(work),
        "deficiencies": [found.as_json() | {"open": not work.is_settled(found)} for found in work.findings],
        "overrides": [{"gate": gate, "step": step, "by": words} for (gate, step), words in work.overrides.items()],
        "confirmations": [each.as_json() for each in work.confirmations],
        "flags": list(work.flags),
        "outcome": {"code": outcome, "words": DECISIONS.get(outcome, outcome), **decision.as_json()},
    }


def progress_json(work: Working) -> dict[str, Any]:
    """Where a sheet under work stands: what is answered, what is next, what is open, the decision so far."""
    left = work.next_steps()
    return {
        "answered": list(work.answers),
        "next": [step.id for step in left],
        "open": [found.as_json() for found in work.open_stops()],
        "state": dict(work.state()),
        "decision": decide(work).as_json(),
        "minutes_left": round(sum(step.minutes for step in left), 1),
    }
