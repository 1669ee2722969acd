"""Taking an entry: is the sheet open, does the step stand open, can the answer and the readings be read, what is the verdict.

An entry that is refused changes nothing. One that is taken is kept for good; answering the step again adds another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from pinseal.reasons import Refusal
from pinseal.rules.papers import instrument_standing
from pinseal.sheets.asking import check_gates, find_step, open_finding, paper_flags, person_of
from pinseal.sheets.changing import check_changeable
from pinseal.sheets.entries import Entry
from pinseal.sheets.instruments_used import instrument
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.model import Answer, Step, Want
from pinseal.sheets.picture import Picture
from pinseal.sheets.readings import Reading, read
from pinseal.sheets.touches import take_abandon, take_confirm, take_extend, take_fix, take_laid_out, take_override
from pinseal.sheets.verdicts import judge
from pinseal.sheets.vocabulary import JUDGED_TOKENS
from pinseal.sheets.working import Given, Open, Working

NOT_DONE = Answer(code="not-done", says="Not done (say why)", finding="not-done")
_BARE = ("not-done", "not-fitted")


def begin(job: Job) -> Working:
    """A sheet on which nothing is entered yet. An overdue pressure test that is not part of it stands as a finding from the start."""
    work = Working(job=job, picture=Picture(job=job))
    test = job.test_date
    if test.overdue and "maintenance" in job.works and "hydrostatic-test" not in job.works:
        work.findings.append(open_finding(work, job.findings["test-overdue"], "pressure-test-date", (test.because,), 0))
    return work


def replay(job: Job, entries: Iterable[Entry]) -> Working:
    """A sheet with its entries taken in order. Raises `Refusal` for the first that does not fit."""
    work = begin(job)
    for entry in entries:
        take(work, entry)
    return work


def revive(job: Job, entries: Iterable[Entry]) -> Working:
    """A kept sheet with its entries taken in order. Those that do not fit any more, for the record changed, are set aside and named."""
    work = begin(job)
    for number, entry in enumerate(entries, start=1):
        try:
            take(work, entry)
        except Refusal as refused:
            work.set_aside.append(f"entry {number}: {refused.what}")
    return work


def covered_by(work: Working, group: str) -> tuple[Step, ...]:
    """The steps that one confirmation would cover now, those included that it opens itself; none where it would be refused."""
    trial = replay(work.job, work.entries)
    try:
        take(trial, Entry(kind="confirm", subject=group))
    except Refusal:
        return ()
    return tuple(step for step in work.job.steps if step.id in trial.confirmations[-1].steps)


def take(work: Working, entry: Entry) -> Judgement | None:
    """Take one entry; the verdict on its readings, where there is one. Raises `Refusal`, and then nothing is changed."""
    if work.abandoned is not None:
        raise Refusal(what="this sheet was abandoned", rule="nothing is entered after that", got=entry.subject, do="begin a new sheet")
    if work.job.gone and entry.kind != "abandon":
        raise Refusal(
            what="the unit left the fleet while this sheet was open",
            rule="such a sheet can only be abandoned",
            got=work.job.gone,
            do="abandon it, and say in which state the unit is",
        )
    work.who = person_of(work.job, entry.person)
    judged = _TAKE[entry.kind](work, entry)
    work.entries.append(entry)
    return judged


# -- a step


def _take_step(work: Working, entry: Entry) -> Judgement | None:
    step = find_step(work, entry.subject)
    answer = _answer(step, entry)
    check_changeable(work, step, answer)
    if answer.code not in _BARE:
        check_gates(work, step, answer)
        _check_supervisor(work, step, answer)
        _check_destroyed(work, step, answer)
    readings = {} if answer.code in _BARE else _readings(step, answer, entry)
    flags = _check_instruments(work.job, step, readings.values()) + paper_flags(work, step)
    # A reading tells something of the unit whatever it is worth, so the picture takes it before it is judged; a refusal gives it back.
    before = replace(work.picture, told=list(work.picture.told), reads=list(work.picture.reads))
    work.picture.read(step.id, step.stage, readings.values())
    try:
        judged = judge(work.job, work.picture, step, readings)
    except Refusal:
        work.picture.told, work.picture.reads = before.told, before.reads
        raise
    judged = replace(judged, flags=tuple(flags)) if judged else None
    work.flags += flags
    _settle(work, step, answer, judged, entry)
    return judged


def _settle(work: Working, step: Step, answer: Answer, judged: Judgement | None, entry: Entry) -> None:
    number = len(work.entries) + 1
    work.answers[step.id] = Given(
        step=step.id, answer=answer.code, number=number, cycle=0, person=entry.person, note=entry.said.get("note", "")
    )
    dropped = [found for found in work.findings if found.step == step.id and not _stays(work, found)]
    # A slip that is mended at once leaves no trace; a near miss that was put right does.
    work.past += [found for found in dropped if found.action != "read-again" and found.number != len(work.entries)]
    work.findings = [found for found in work.findings if found not in dropped]
    work.judgements.pop(step.id, None)
    if judged:
        work.judgements[step.id] = judged
    for code, because in _found(step, answer, judged, entry):
        work.findings.append(open_finding(work, work.job.findings[code], step.id, because, number))
    work.picture.tell(step.id, _tokens(step, answer, judged))
    work.answers[step.id] = replace(work.answers[step.id], cycle=work.picture.cycle)
    if work.picture.is_blocked and "nothing-from-start" in answer.sets:
        proof = work.picture.proof
        work.findings.append(
            open_finding(work, work.job.findings["blocked-and-pressurised"], step.id, (*proof.because, *proof.missing), number)
        )


def _stays(work: Working, found: Open) -> bool:
    """A leak and an overcharge are not answered away: they stay until the work shows that they are mended."""
    return found.finding in ("overcharged", "overstressed") or (found.action == "internal-maintenance" and work.picture.has("leaks"))


def _tokens(step: Step, answer: Answer, judged: Judgement | None) -> list[str]:
    """What the answer tells, and what the verdict tells. A test that did not count tells nothing, whatever was answered."""
    told = list(answer.sets)
    if step.judge and judged and step.judge.by in JUDGED_TOKENS:
        good, bad = JUDGED_TOKENS[step.judge.by]
        # Nothing certain is said of a unit that stands in, unless it passes: then none stands there.
        if bad and (judged.verdict == "fail" or (bad == "no-stand-in" and judged.verdict != "pass")):
            told.append(bad)
        elif judged.verdict == "pass" and answer.good and good:
            told.append(good)
    return list(dict.fromkeys(told))


def _found(step: Step, answer: Answer, judged: Judgement | None, entry: Entry) -> list[tuple[str, tuple[str, ...]]]:
    found: list[tuple[str, tuple[str, ...]]] = []
    if answer.finding:
        note = entry.said.get("note")
        found.append((answer.finding, tuple(each for each in (answer.says, note) if each)))
    if judged and judged.verdict != "pass" and step.judge:
        by_side = {"below": step.judge.below, "above": step.judge.above}.get(judged.side, "")
        by_verdict = {"fail": by_side or step.judge.fail, "too-close": "too-close", "unknown": "not-judged"}[judged.verdict]
        found.append((judged.finding or by_verdict, judged.because))
    return found


def _answer(step: Step, entry: Entry) -> Answer:
    code = entry.said["answer"]
    answer = NOT_DONE if code == NOT_DONE.code else step.answer(code)
    if answer is None:
        known = ", ".join(each.code for each in (*step.answers, NOT_DONE))
        raise Refusal(what=f"{step.title}: there is no such answer", rule=f"it is one of {known}", got=code, do="use a listed answer")
    if code == NOT_DONE.code and not entry.said.get("note", "").strip():
        raise Refusal(what=f"{step.title}: no reason is said", rule="a step that is left out says why", got="not-done", do="add a note")
    return answer


def _check_destroyed(work: Working, step: Step, answer: Answer) -> None:
    """A shell is drilled, cut or stamped only when it is proved empty and stands open."""
    if "unusable" not in answer.sets or work.job.type.id == "pump-tank":
        return
    proof = work.picture.proof
    if proof.state != "proved" or not work.picture.is_open:
        missing = "; ".join(proof.missing) if proof.state != "proved" else "the valve is not off"
        raise Refusal(
            what=f"{step.title}: the shell is not proved empty and open",
            rule="a shell is never drilled, cut or stamped while pressure may be in it",
            got=missing,
            do="empty it and take the valve off first, or let it go whole to people who destroy it",
        )


def _check_supervisor(work: Working, step: Step, answer: Answer) -> None:
    if "relieved-by-makers-method" not in answer.sets:
        return
    if work.who is None or work.who.role != "supervisor":
        raise Refusal(
            what=f"{step.title}: only a supervisor may enter this",
            rule="a blocked unit is let down by the maker's method alone, under a supervisor",
            got=work.who.name if work.who else "nobody who is registered",
            do="let a registered supervisor enter it: pinseal people add NAME --role supervisor",
        )


# -- readings


def _wanted(want: Want, answer: Answer) -> bool:
    return answer.code in want.only_with if want.only_with else answer.good


def _readings(step: Step, answer: Answer, entry: Entry) -> dict[str, Reading]:
    known = {want.name: want for want in step.wants}
    for name in (*entry.readings, *entry.instruments):
        if name not in known:
            rule = f"its readings are {', '.join(known)}" if known else "this step wants no reading"
            raise Refusal(what=f"{step.title}: there is no such reading", rule=rule, got=name, do="check the name of the reading")
    found = {}
    for name, want in known.items():
        text = entry.readings.get(name, "")
        if text.strip():
            found[name] = read(want, text, step=step, instrument=entry.instruments.get(name))
        elif _wanted(want, answer) and not want.optional:
            raise Refusal(
                what=f"{step.title}: {want.label} is missing",
                rule="the step is done when its readings are taken",
                got="nothing",
                do=f"read it and enter {name}, or answer not-done with the reason",
            )
    return found


def _check_instruments(job: Job, step: Step, readings: Iterable[Reading]) -> list[str]:
    """Flags for instruments that do not stand well; one that blocks, or that is not in the register, is refused."""
    flags = []
    for reading in readings:
        if reading.instrument is None:
            continue
        found = instrument(job, reading.instrument)
        if found is None:
            raise Refusal(
                what=f"{step.title}: there is no such instrument",
                rule="an instrument is named by its id in the register",
                got=reading.instrument,
                do="see `pinseal instruments`, or leave the instrument out",
            )
        standing = instrument_standing(found, on=job.on, packs=job.packs)
        if standing.effect == "blocks":
            raise Refusal(
                what=f"{step.title}: {found.id} may not be used",
                rule=standing.because,
                got=f"{found.id}, {standing.code}",
                do="use an instrument with a good check, or have this one checked first",
            )
        if standing.effect == "flags":
            flags.append(f"{step.id}, {reading.name}: {found.id}: {standing.because}")
    return flags


def _nothing(take_entry: Callable[[Working, Entry], None]) -> Callable[[Working, Entry], Judgement | None]:
    """An entry without readings has no verdict."""

    def taken(work: Working, entry: Entry) -> None:
        take_entry(work, entry)

    return taken


_TAKE: Mapping[str, Callable[[Working, Entry], Judgement | None]] = {
    "step": _take_step,
    "confirm": _nothing(take_confirm),
    "fix": _nothing(take_fix),
    "override": _nothing(take_override),
    "extend": _nothing(take_extend),
    "laid-out": _nothing(take_laid_out),
    "abandon": _nothing(take_abandon),
}
