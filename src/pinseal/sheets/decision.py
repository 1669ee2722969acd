"""The decision at the hook: how much this unit needs, why not less, why not more, and the one fact that would change it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pinseal.sheets.judgement import joined
from pinseal.sheets.model import ACTIONS, WORKS
from pinseal.sheets.working import Open, Working

# Least first. Every decision holds what the ones before it would do.
DECISIONS: Mapping[str, str] = {
    "tag": "tag it",
    "correct": "put it right at once",
    "minor-part": "a part at the hook, then tag it",
    "read-again": "not decided: read again",
    "maintenance": "maintenance by a technician",
    "recharge": "recharge",
    "teardown": "empty it and do the inside work",
    "pressure-test": "pressure test",
    "replace": "replace the unit",
    "withdraw": "take it out of use",
    "condemn": "condemn the shell",
    "blocked": "blocked and under pressure: stop",
}
_ORDER = tuple(DECISIONS)
_OF_ACTION: Mapping[str, str] = {
    "note": "tag",
    "correct": "correct",
    "clean": "correct",
    "refinish": "minor-part",
    "repair": "minor-part",
    "replace-part": "minor-part",
    "read-again": "read-again",
    "maintenance": "maintenance",
    "recharge": "recharge",
    "internal-maintenance": "teardown",
    "pressure-test": "pressure-test",
    "replace-unit": "replace",
    "recover": "withdraw",
    "withdraw": "withdraw",
    "condemn": "condemn",
}
assert set(_OF_ACTION) == set(ACTIONS), "every action leads to a decision"
_DONE_BY_WORK: Mapping[str, str] = {"hydrostatic-test": "pressure-test", "internal-examination": "teardown", "recharge": "recharge"}
_CHARGE_JUDGES = ("gauge", "gross-weight", "weight-loss", "cartridge-weight", "expellant-pressure")


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What the unit needs by what is known now."""

    code: str
    because: tuple[str, ...]
    why_not_less: tuple[str, ...]
    why_not_more: tuple[str, ...]
    settle: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        return DECISIONS[self.code]

    @property
    def returns(self) -> bool:
        """The unit goes back into service."""
        return self.code in ("tag", "minor-part")

    def as_json(self) -> dict[str, Any]:
        return {
            "decision": self.code,
            "words": self.words,
            "because": list(self.because),
            "why_not_less": list(self.why_not_less),
            "why_not_more": list(self.why_not_more),
            "settle": list(self.settle),
        }


def decide(work: Working) -> Decision:
    """The decision by everything that is entered so far. Fewer facts make it less sure, and it says which are missing."""
    if work.picture.is_blocked:
        proof = work.picture.proof
        return Decision(
            code="blocked",
            because=proof.because,
            why_not_less=("nothing may be touched while it is under pressure and blocked",),
            why_not_more=(),
            settle=proof.missing,
        )
    opened = work.open_findings()
    code = max((_OF_ACTION[found.action] for found in opened), key=_ORDER.index, default="tag")
    fixed = [found for found in work.findings if found.fixed and _OF_ACTION[found.action] == "minor-part"]
    if code == "tag" and fixed:
        code = "minor-part"
    deciding = [found for found in opened if _OF_ACTION[found.action] == code]
    return Decision(
        code=code,
        because=tuple(_finding_words(found) for found in deciding) or _nothing_found(work, fixed),
        why_not_less=tuple(f"{found.words} ({found.source.text})" for found in deciding) or _why_not_less(fixed),
        why_not_more=_why_not_more(work, code),
        settle=_settle(work, deciding),
    )


def _finding_words(found: Open) -> str:
    return f"{found.title}: {joined(found.because)}" if found.because else found.title


def _nothing_found(work: Working, fixed: Sequence[Open]) -> tuple[str, ...]:
    left = work.next_steps()
    if left:
        return (f"nothing is found wrong so far; {len(left)} of {sum(map(work.is_wanted, work.job.steps))} steps are not answered yet",)
    return ("every step is answered, and nothing that was found is open", *(f"{found.title}: {found.fixed}" for found in fixed))


def _why_not_less(fixed: Sequence[Open]) -> tuple[str, ...]:
    return tuple(f"{found.title.lower()}: a part was needed ({found.source.text})" for found in fixed)


def _why_not_more(work: Working, code: str) -> tuple[str, ...]:
    """For each heavier decision, what was looked at and speaks against it, or that nobody has looked yet."""
    heavier = [each for each in ("recharge", "teardown", "pressure-test", "condemn") if _ORDER.index(each) > _ORDER.index(code)]
    done = {_DONE_BY_WORK[each] for each in work.job.works if each in _DONE_BY_WORK}
    words = {"recharge": _no_recharge, "teardown": _no_teardown, "pressure-test": _no_test, "condemn": _no_condemning}
    return tuple(words[each](work) for each in heavier if each not in done)


def _no_recharge(work: Working) -> str:
    judged = {step.judge.by: work.judgements[step.id] for step in work.job.steps if step.judge and step.id in work.judgements}
    good = [by for by in _CHARGE_JUDGES if by in judged and judged[by].verdict == "pass"]
    if good:
        return f"no recharge: {' and '.join(by.replace('-', ' ') for by in good)} passed"
    return "whether it needs a recharge is not known yet: neither pressure nor weight is judged"


def _no_teardown(work: Working) -> str:
    lately = work.job.dues
    told = next((line for line in lately if line.startswith("internal examination")), "")
    return f"no teardown: nothing was found that asks for it{f'; {told}' if told else ''}"


def _no_test(work: Working) -> str:
    test = work.job.test_date
    when = {"no": "none is owed", "unknown": f"when it is due is not known ({test.because})"}.get(test.owed)
    if when is None:
        when = f"it is due {test.words or test.last_day.for_people()}" if test.last_day else "its day is not known"
    return f"no pressure test: {when}, and {'the shell was found sound' if work.picture.has('shell-sound') else 'no damage was found'}"


def _no_condemning(_: Working) -> str:
    return "not condemned: nothing on the list of what is never tested or condemned was found"


def _settle(work: Working, deciding: Sequence[Open]) -> tuple[str, ...]:
    """The one fact for each open finding that would change the decision."""
    found = [work.judgements[each.step].settle for each in deciding if each.step in work.judgements]
    return tuple(dict.fromkeys(each for each in found if each))


def works_asked(decision: Decision) -> tuple[str, ...]:
    """The works to put on the next sheet for this decision."""
    wanted = {
        "maintenance": ("maintenance",),
        "recharge": ("recharge",),
        "teardown": ("internal-examination",),
        "pressure-test": ("hydrostatic-test",),
        "withdraw": ("retirement",),
        "condemn": ("retirement",),
        "replace": ("retirement",),
    }
    return tuple(work for work in WORKS if work in wanted.get(decision.code, ()))
