"""What every entry asks first: which step is meant, whether it stands open, who is entering, and what a finding forces here."""

from __future__ import annotations

from pinseal.reasons import Refusal
from pinseal.records.registers import Person
from pinseal.rules.papers import person_standing
from pinseal.sheets.gates import shut_gates
from pinseal.sheets.job import Job
from pinseal.sheets.model import Answer, Finding, Step
from pinseal.sheets.working import Open, Working


def person_of(job: Job, name: str) -> Person | None:
    return job.people.get(name.strip().casefold()) if name else None


def find_step(work: Working, code: str) -> Step:
    step = work.job.step(code)
    if step is None:
        raise Refusal(
            what="there is no such step on this sheet",
            rule="a step is named by its id as the sheet prints it",
            got=code,
            do="see `pinseal sheet UNIT`; the next is " + ", ".join(each.id for each in work.next_steps()[:3]),
        )
    return step


def check_gates(work: Working, step: Step, answer: Answer) -> None:
    """Refuse a step whose gates are shut. Raises `Refusal`. Where an answer says that no gas was let in, none is asked for."""
    shut = [gate for gate in shut_gates(work, step) if gate.code != "bears-gas" or "charged" in answer.sets]
    if shut:
        raise Refusal(
            what=f"{step.title}: the step is shut",
            rule="; ".join(f"{gate.code}: {gate.because}" for gate in shut),
            got=step.id,
            do="do what is missing first"
            if all(gate.physical for gate in shut)
            else "do what is missing, or let a supervisor override it with a reason",
        )


def open_finding(work: Working, finding: Finding, step: str, because: tuple[str, ...], number: int) -> Open:
    action, rule = work.forced(finding.action)
    return Open(
        finding=finding.id,
        step=step,
        title=finding.title,
        words=finding.words,
        action=action,
        source=rule or finding.source,
        number=number,
        because=because,
    )


def paper_flags(work: Working, step: Step) -> list[str]:
    """What is odd about the papers of the person who puts the tag on, where it does not bar it."""
    if step.effect != "tag":
        return []
    standing = person_standing(work.who, on=work.job.on, packs=work.job.packs, mark=True)
    return [f"{step.id}: {standing.because}"] if standing.effect == "flags" else []
