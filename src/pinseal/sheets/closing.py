"""How a sheet ends: returned to service, taken away, blocked, or abandoned; and what is missing before it may end."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.reasons import Refusal
from pinseal.sheets.decision import Decision, decide
from pinseal.sheets.records_made import Made, records_of
from pinseal.sheets.working import Working


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """A sheet that may be closed: its outcome, the decision behind it, and the records that it makes."""

    outcome: str
    decision: Decision
    made: tuple[Made, ...]
    state_words: str


def state_words(work: Working) -> str:
    """In which state the unit is, in words."""
    picture = work.picture
    if picture.is_blocked:
        return "blocked and under pressure"
    if not picture.told:
        return "as it was found"
    words = ["open" if picture.is_open else "closed", "empty of agent" if picture.agent_is_out else "agent in it"]
    if picture.proof.state == "proved":
        words.append("proved empty of pressure")
    else:
        words.append("charged" if picture.charged_up()[0] else "pressure not proved gone")
    return ", ".join(words)


def close(work: Working, *, sheet: str) -> Closed:
    """End the sheet. Raises `Refusal` that says what is missing for each way in which it can end."""
    decision = decide(work)
    outcome = _outcome(work, decision)
    words = work.abandoned.said["left"] if work.abandoned else state_words(work)
    return Closed(
        outcome=outcome,
        decision=decision,
        made=records_of(work, sheet=sheet, outcome=outcome, decision=decision, left=words),
        state_words=words,
    )


def _outcome(work: Working, decision: Decision) -> str:
    if work.abandoned:
        return "abandoned"
    if decision.code == "blocked":
        return "blocked"
    left = work.next_steps()
    whole, why = work.picture.whole()
    if work.job.works == ("retirement",) and decision.returns and whole and not work.picture.has("away"):
        return "stays"
    if not left and decision.returns and not whole:
        raise Refusal(
            what="the unit cannot be used as it stands",
            rule="a sheet ends with the tag when the unit is closed and charged",
            got=why,
            do="put it back into order; or take it away; or abandon the sheet and say in which state it is left",
        )
    if not left and decision.returns and not work.open_stops():
        return decision.code
    if work.job.only_inspection and not left and not decision.returns:
        return decision.code
    if work.picture.has("away", "unusable") and not work.picture.has("returned"):
        _check_proof(work, decision)
        return "taken-away" if decision.returns else decision.code
    raise _not_finished(work, decision, [step.title for step in left])


def _check_proof(work: Working, decision: Decision) -> None:
    """A condemned shell leaves with a proof and with the owner told. Raises `Refusal`."""
    if decision.code != "condemn":
        return
    missing = [name for name in ("proof", "told") if work.picture.reading(name, this_cycle=False) is None]
    if missing:
        raise Refusal(
            what="condemning asks for more",
            rule="a photo or a witness of what condemns the shell, and who was told in writing",
            got=f"no {' and no '.join(missing)}",
            do="answer owner-told with both readings; see `pinseal shell` for how it is made unusable",
        )


def _not_finished(work: Working, decision: Decision, left: list[str]) -> Refusal:
    rule = (
        "a sheet ends when every step is answered and nothing is open, when the unit is taken away, or when it is abandoned with its state"
    )
    if left and decision.returns and not work.open_stops():
        got = f"not answered: {', '.join(left[:6])}{' …' if len(left) > 6 else ''}"
        do = "answer these; or abandon the sheet and say in which state the unit is left"
    else:
        got = f"open: {'; '.join(stop.title for stop in work.open_stops())}"
        ways = ", ".join(step.id for step in work.job.steps if step.when == "leaving")
        do = f"mend what is open; or take the unit away ({ways}); or abandon the sheet"
    return Refusal(what=f"the sheet is not finished: {decision.words}", rule=rule, got=got, do=do)
