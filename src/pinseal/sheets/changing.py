"""What may be answered anew, and what may not: nothing that the unit's safety already rests on is unsaid.

The entry that was made last may be mended at once, but for a failed shell test, which stays. What came before it and others
rest on stays too: such a sheet is abandoned, and a new one begun.
"""

from __future__ import annotations

from pinseal.reasons import Refusal
from pinseal.sheets.model import Answer, Step
from pinseal.sheets.working import Working

_REST_ON = ("open", "inside", "test", "dry", "fill", "close", "charge", "arm")
# These are done once more where a charge must be topped up or a seal mended.
_GO_ROUND = ("close", "fill", "supply", "charge")
_FLOW = ("left-then-ended", "still-leaving", "nothing-from-start", "relieved-by-makers-method")
_UNFIT = ("shell-unfit", "never-tested")


def check_changeable(work: Working, step: Step, answer: Answer) -> None:
    """Refuse to answer a step anew where that would unsay what later work rests on. Raises `Refusal`."""
    given = work.answers.get(step.id)
    if given is None:
        return
    cycle = work.picture.cycle
    seen = [(each.step, each.cycle) for each in work.picture.told] + [(each.step, each.cycle) for each in work.picture.reads]
    was_done = (step.id, cycle) in seen
    if answer.code in ("not-done", "not-fitted") and was_done:
        raise _stays(step, "it was done", "what was seen and read is not unsaid by leaving the step out")
    told = {each.token for each in work.picture.told if each.step == step.id and each.cycle == work.picture.cycle}
    if any(each.token == "test-failed" for each in work.picture.told if each.step == step.id):
        raise _stays(
            step,
            "the shell failed its pressure test",
            "a failed shell is not tested until it passes; a failure of the equipment is said on a new sheet",
        )
    if step.effect == "empty" and told & set(_FLOW) and not set(answer.sets) & set(_FLOW):
        raise _stays(step, "it was seen what leaves", "what was seen is not unsaid by an answer that saw nothing")
    if given.number == len(work.entries):
        return
    if "leaks" in told:
        raise _stays(step, "it leaks", "a leak is mended with the pressure out: empty it, mend it, charge it, and look again")
    if told & set(_UNFIT):
        raise _stays(step, "the shell was found unfit", "a slip is mended at once, before the next entry")
    if step.effect == "empty" and work.picture.last(_FLOW) == "still-leaving":
        return  # pressure was met after all: emptying goes on
    later = [each for each in work.job.steps if each.effect in _REST_ON and _after(work, each, step)]
    if told and later and step.effect not in _GO_ROUND and step.effect not in ("look", "touch", "after-charge"):
        raise _stays(step, "a later step rests on this answer", f"{', '.join(each.title.lower() for each in later)} came after it")


def _after(work: Working, later: Step, step: Step) -> bool:
    """Whether the later step was answered after this one, in the present cycle."""
    given = work.answers.get(later.id)
    return given is not None and given.number > work.answers[step.id].number and given.cycle == work.picture.cycle


def _stays(step: Step, what: str, rule: str) -> Refusal:
    return Refusal(
        what=f"{step.title}: this answer stays: {what}",
        rule=rule,
        got=step.id,
        do="or abandon this sheet, say in which state the unit is left, and begin a new one",
    )
