"""The entries that answer no single step: a confirmation of several, a fix, an override, more work, the end of a sheet."""

from __future__ import annotations

from dataclasses import replace

from pinseal.reasons import Refusal
from pinseal.sheets.asking import find_step, paper_flags, person_of
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import OVERRIDABLE, gates_of, shut_gates
from pinseal.sheets.model import ON_THE_SPOT, Step
from pinseal.sheets.parts import known_parts
from pinseal.sheets.working import Confirmed, Given, Working


def take_confirm(work: Working, entry: Entry) -> None:
    if work.job.by_step and "maintenance" in work.job.works:
        raise Refusal(
            what="no confirmation covers several steps here", rule=work.job.by_step, got=entry.subject, do="answer each step by itself"
        )
    group = [step for step in work.job.steps if step.group == entry.subject]
    if not group:
        known = ", ".join(dict.fromkeys(step.group for step in work.job.steps if step.group))
        raise Refusal(
            what="there is no such confirmation",
            rule=f"it is one of {known or 'none on this sheet'}",
            got=entry.subject,
            do="check the name",
        )
    covered: list[Step] = []
    number = len(work.entries) + 1
    for step in group:
        # Each is looked at in its turn: what the confirmation itself answers may open the next one, such as the tag.
        if work.is_answered(step) or len(step.good_answers) != 1 or not work.is_wanted(step) or shut_gates(work, step):
            continue
        good = step.good_answers[0]
        work.answers[step.id] = Given(
            step=step.id, answer=good.code, number=number, cycle=work.picture.cycle, person=entry.person, covered_by=entry.subject
        )
        work.picture.tell(step.id, good.sets)
        work.flags += paper_flags(work, step)
        covered.append(step)
    if not covered:
        raise Refusal(
            what="nothing is left for this confirmation",
            rule="it covers steps of its group that stand open and are not answered",
            got=entry.subject,
            do="answer the remaining steps by themselves",
        )
    work.confirmations.append(
        Confirmed(
            group=entry.subject,
            steps=tuple(step.id for step in covered),
            seconds=entry.seconds,
            expected_seconds=work.seconds_expected(covered),
            person=entry.person,
        )
    )


def take_fix(work: Working, entry: Entry) -> None:
    fits = [
        found
        for found in work.findings
        if found.finding == entry.subject and entry.said.get("step", found.step) == found.step and not found.fixed
    ]
    open_now = ", ".join(found.finding for found in work.open_stops()) or "none is open"
    if not fits:
        raise Refusal(
            what="there is no such open finding",
            rule="a fix names a finding of this sheet",
            got=entry.subject,
            do=f"see the findings of the sheet: {open_now}",
        )
    found = fits[0]
    fixable = (
        found.action in ON_THE_SPOT
        or found.action == "internal-maintenance"
        or (found.action == "maintenance" and work.is_part("maintenance"))
    )
    if not fixable:
        raise Refusal(
            what=f"{found.title}: a fix does not settle this",
            rule=f"it asks for more: {found.words}",
            got=found.action,
            do="do the work that it forces, or take the unit away",
        )
    if found.action == "internal-maintenance" and not (work.picture.is_open or work.picture.proof.state == "proved"):
        raise Refusal(
            what=f"{found.title}: the unit is not proved empty",
            rule="what holds pressure is mended with the pressure out",
            got=found.finding,
            do="empty it first",
        )
    mended = replace(
        found,
        fixed=entry.said["how"],
        part=entry.said.get("part", ""),
        part_number=entry.said.get("number", ""),
        part_count=entry.said.get("count", ""),
    )
    work.findings = [mended if each is found else each for each in work.findings]


def take_override(work: Working, entry: Entry) -> None:
    step = find_step(work, entry.said["step"])
    gate = next((each for each in gates_of(work, step) if each.code == entry.subject), None)
    if gate is None or gate.open:
        raise Refusal(
            what=f"{step.title}: no such gate is shut",
            rule="an override opens a gate that is shut",
            got=entry.subject,
            do="see the gates of the step",
        )
    if entry.subject not in OVERRIDABLE:
        raise Refusal(
            what=f"{step.title}: nobody may override this gate",
            rule=gate.because,
            got=entry.subject,
            do="do what is missing, or take the unit away",
        )
    supervisor = person_of(work.job, entry.said["supervisor"])
    if supervisor is None or supervisor.role != "supervisor":
        raise Refusal(
            what="only a supervisor may override a gate",
            rule="the supervisor is registered in this shop",
            got=entry.said["supervisor"],
            do="pinseal people add NAME --role supervisor",
        )
    if len(entry.said["reason"].strip()) < 8:
        raise Refusal(
            what="an override without a reason", rule="the reason is recorded and printed", got=entry.said["reason"], do="say why, in words"
        )
    work.overrides[entry.subject, step.id] = f"{supervisor.name}: {entry.said['reason'].strip()}"


def take_extend(work: Working, entry: Entry) -> None:
    """More work than the sheet was begun for. The job was composed with it already; here it is only noted."""
    if not work.is_part(entry.subject):
        raise Refusal(
            what="this work cannot be added",
            rule=f"the works of this sheet are {', '.join(work.job.works)}",
            got=entry.subject,
            do="name a duty, or recharge",
        )


def take_laid_out(work: Working, entry: Entry) -> None:
    """A part that lies ready for the work, or does not any more. It tells nothing of the unit."""
    known = {part.casefold(): part for part in known_parts(work.job)}
    part = known.get(entry.subject.strip().casefold())
    if part is None:
        raise Refusal(
            what="no step and no finding of this sheet speaks of such a part",
            rule=f"the parts are {', '.join(known.values()) or 'none'}",
            got=entry.subject,
            do="check the name",
        )
    if entry.said["have"] not in ("yes", "no"):
        raise Refusal(what=f"{part}: does it lie ready or not", rule="have is yes or no", got=entry.said["have"], do="say yes or no")
    work.laid_out[part] = entry.said["have"] == "yes"


def take_abandon(work: Working, entry: Entry) -> None:
    if not entry.subject.strip() or not entry.said["left"].strip():
        raise Refusal(
            what="an abandoned sheet says more",
            rule="why it ends, and in which state the unit is left",
            got="nothing",
            do="say both, for example: open and empty, on the bench",
        )
    work.abandoned = entry
