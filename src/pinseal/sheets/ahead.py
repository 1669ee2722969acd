"""A mark that is needed before its sheet closes: is the sheet finished for it, and what would closing put on record.

Nothing is decided here a second time: the entries are taken again on a copy, what is left of the marks is answered well there
by the same engine, and the copy is closed. A gate that would keep the mark's step shut keeps the mark from being printed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.reasons import Refusal
from pinseal.sheets.closing import Closed, close, state_words
from pinseal.sheets.decision import decide
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import shut_gates
from pinseal.sheets.model import STAGES, Step
from pinseal.sheets.records_made import records_of
from pinseal.sheets.taking import replay, take
from pinseal.sheets.working import Working

_MARK_EFFECTS = ("collar", "label", "tag", "return")
_HOSE_LABEL = "hose-label-on"
_NEED = "a mark is printed before its sheet closes only when everything is done but the marks themselves and the way back"
_STEP_OF = {"tag": "tag", "recharge-tag": "tag", "collar": "collar"}
_LABEL_OF_WORK = {"six-year-label": "internal-examination", "test-label": "hydrostatic-test"}
# The ring goes over the neck while the valve is off: what must be done by then lies before the closing of the shell.
_BEFORE_COLLAR = tuple(STAGES)[: tuple(STAGES).index("dry") + 1]
_UNDECIDED = ("correct", "read-again")
_UNREAD = "printed"  # what a dry run enters where a mark's step asks what stands on it


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """A sheet that is open, as it would be put on record by what is entered so far. `person` is whose entry was the last."""

    closed: Closed
    person: str


def ahead_of(work: Working, mark: str, *, sheet: str) -> Ahead:
    """What an open sheet that is finished for a mark (a key of `standards.marks.PRINTED`) would put on record.

    The sheet itself is left as it is. Raises `Refusal` that names what is missing, or the gate that is shut.
    """
    if work.abandoned is not None:
        raise _not_yet(mark, "this sheet was abandoned: nothing on it can be stated", "begin a new sheet")
    trial = replay(work.job, work.entries)
    made = {"red-tag": _of_red_tag, "collar": _of_collar}.get(mark, _of_work)(trial, mark, sheet)
    return Ahead(closed=made, person=work.entries[-1].person if work.entries else "")


def _of_work(trial: Working, mark: str, sheet: str) -> Closed:
    """Of a unit that goes back: every step but the marks is answered, and the copy is closed as the person would close it."""
    marks = _mark_steps(trial)
    _check_answered(mark, [step for step in trial.next_steps() if step not in marks])
    own = _own_step(trial, mark)
    if own is not None and trial.is_answered(own):
        _check_gates(trial, mark, own)
    for step in marks:
        if trial.is_wanted(step) and not trial.is_answered(step):
            _check_gates(trial, mark, step)
            _answer_well(trial, step, mark)
    return close(trial, sheet=sheet)


def _of_collar(trial: Working, mark: str, sheet: str) -> Closed:
    """The valve was off, and all is done that is done before the shell is closed: a ring that is printed later cannot be put on."""
    own = _own_step(trial, mark)
    if own is None:
        raise _not_yet(mark, "this sheet has no collar", "print the marks that this sheet asks for")
    _check_gates(trial, mark, own)
    _check_answered(mark, [step for step in trial.next_steps() if step.stage in _BEFORE_COLLAR])
    is_sound, why = trial.picture.shell()
    if not is_sound:
        raise _not_yet(mark, f"work-passed: {why}", "look at the shell, inside and outside, and answer what was seen")
    if stops := trial.open_stops():
        raise _not_yet(mark, f"open: {'; '.join(stop.title for stop in stops)}", "mend what is open first")
    if not trial.is_answered(own):
        _answer_well(trial, own, mark)
    return _as_it_stands(trial, sheet, outcome="open")


def _of_red_tag(trial: Working, mark: str, sheet: str) -> Closed:
    """The decision of the sheet is that the unit does not go back as it stands."""
    decision = decide(trial)
    if decision.returns or decision.code in _UNDECIDED:
        raise _not_yet(mark, f"the decision of the sheet so far: {decision.words}", "enter what is wrong with the unit; a red tag names it")
    own = next((step for step in trial.job.steps if step.id == mark), None)
    if own is not None:
        _check_gates(trial, mark, own)
    return _as_it_stands(trial, sheet, outcome=decision.code)


def _as_it_stands(trial: Working, sheet: str, *, outcome: str) -> Closed:
    decision, words = decide(trial), state_words(trial)
    made = records_of(trial, sheet=sheet, outcome=outcome, decision=decision, left=words)
    return Closed(outcome=outcome, decision=decision, made=made, state_words=words)


def _mark_steps(work: Working) -> list[Step]:
    """The marks of a sheet, the way back, and what comes after the tag; in the order of the sheet."""
    steps = [step for step in work.job.steps if step.when != "leaving"]
    tag = next((place for place, step in enumerate(steps) if step.effect == "tag"), len(steps))
    return [step for place, step in enumerate(steps) if place > tag or step.effect in _MARK_EFFECTS or _is_hose_label(step)]


def _is_hose_label(step: Step) -> bool:
    return any(_HOSE_LABEL in answer.sets for answer in step.answers)


def _own_step(work: Working, mark: str) -> Step | None:
    """The step at which a mark is fixed. A mark without a step of its own waits for what the tag waits for."""
    steps = work.job.steps
    if mark == "hose-label" and (own := next((step for step in steps if _is_hose_label(step)), None)):
        return own
    if wanted := _LABEL_OF_WORK.get(mark):
        return next((step for step in steps if step.effect == "label" and wanted in step.works), None)
    return next((step for step in steps if step.effect == _STEP_OF.get(mark, "tag")), None)


def _answer_well(trial: Working, step: Step, mark: str) -> None:
    """Answer a mark's step on the copy as somebody does who has fixed it. Raises `Refusal`."""
    answers = step.good_answers
    answer = next((each for each in answers if each.code == mark), answers[0])
    wanted = [w for w in step.wants if not w.optional and (answer.code in w.only_with if w.only_with else True)]
    if any(want.quantity != "text" for want in wanted):
        raise _not_yet(mark, f"not answered: {step.title}", "answer it first")
    person = trial.entries[-1].person if trial.entries else ""
    readings = {want.name: _UNREAD for want in wanted}
    take(trial, Entry(kind="step", subject=step.id, said={"answer": answer.code}, readings=readings, person=person))


def _check_answered(mark: str, left: Sequence[Step]) -> None:
    if left:
        names = ", ".join(step.title for step in left[:6])
        raise _not_yet(
            mark, f"not answered: {names}{' …' if len(left) > 6 else ''}", "answer these; then print the mark, fix it, and answer that"
        )


def _check_gates(trial: Working, mark: str, step: Step) -> None:
    shut = shut_gates(trial, step)
    if shut:
        raise _not_yet(mark, f"{step.title}: {'; '.join(f'{gate.code}: {gate.because}' for gate in shut)}", "do what is missing first")


def _not_yet(mark: str, got: str, do: str) -> Refusal:
    return Refusal(what=f"the open sheet is not finished for its {mark.replace('-', ' ')}", rule=_NEED, got=got, do=do)
