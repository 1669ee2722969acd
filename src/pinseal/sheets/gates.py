"""The gates: what must be true before a step that changes the unit opens. Each follows from what the step does, never from data.

A gate that is shut says what is missing. A supervisor may open only those in `OVERRIDABLE`: never pressure, test date, ceiling,
regulator, gas and moisture, agent family, shell, order of work, collar or tag.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pinseal.dates import PartialDate
from pinseal.rules.charge_refusals import is_past_test_date, mixing_reason
from pinseal.rules.papers import person_standing
from pinseal.sheets.judgement import joined
from pinseal.sheets.model import STAGES, Step
from pinseal.sheets.working import ENDS_USE, Working


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """One gate of a step as it stands: open or shut, and the sentence that says why."""

    code: str
    open: bool
    because: str
    physical: bool

    def as_json(self) -> dict[str, Any]:
        return {"gate": self.code, "open": self.open, "because": self.because, "override": not self.physical}


# What each effect waits for, in the order in which a person wants to hear it.
GATES_OF_EFFECT: Mapping[str, tuple[str, ...]] = {
    "look": (),
    "touch": ("not-blocked",),
    "disarm": ("not-blocked",),
    "lever": ("not-blocked", "source-away"),
    "empty": ("not-blocked", "goes-out", "earlier-stages", "source-away", "bears-gas"),
    "open": ("not-blocked", "goes-out", "earlier-stages", "no-pressure"),
    "hose-off": ("not-blocked", "no-pressure"),
    "inside": ("not-blocked", "no-pressure", "boundary-open"),
    "test": ("not-blocked", "earlier-stages", "no-pressure", "boundary-open", "may-be-tested"),
    "dry": ("not-blocked", "no-pressure", "boundary-open"),
    "fill": ("not-blocked", "earlier-stages", "no-pressure", "shell-verdict", "test-date", "dry-shell"),
    "close": ("not-blocked", "no-pressure"),
    "supply": ("not-blocked",),
    "charge": ("not-blocked", "earlier-stages", "closed", "shell-verdict", "test-date", "agent-right", "supply-ready"),
    "arm": ("not-blocked", "earlier-stages", "closed", "shell-verdict", "test-date", "agent-right"),
    "after-charge": ("not-blocked", "charged"),
    "collar": ("valve-was-off",),
    "label": ("work-passed",),
    "tag": ("not-blocked", "earlier-steps", "whole", "no-open-stops", "person-licensed"),
    "return": ("not-blocked", "earlier-steps", "whole", "no-open-stops"),
    "leave": ("stand-in",),
}
OVERRIDABLE = ("stand-in",)


def _blocked(work: Working, step: Step) -> tuple[bool, str]:
    proof = work.picture.proof
    if proof.state != "blocked" or _relieves(step):
        return True, "nothing is blocked"
    return False, "blocked and under pressure: " + joined((*proof.because, *proof.missing))


def _relieves(step: Step) -> bool:
    return any("relieved-by-makers-method" in answer.sets for answer in step.answers)


def _earlier(work: Working, before: list[Step]) -> tuple[bool, str]:
    left = [step.title for step in before if work.is_wanted(step) and not work.is_answered(step)]
    return not left, f"first: {', '.join(left)}" if left else "every earlier step is answered"


def _earlier_stages(work: Working, step: Step) -> tuple[bool, str]:
    order = list(STAGES)
    return _earlier(work, [each for each in work.job.steps if order.index(each.stage) < order.index(step.stage)])


def _earlier_steps(work: Working, step: Step) -> tuple[bool, str]:
    steps = list(work.job.steps)
    return _earlier(work, steps[: steps.index(step)])


def _no_pressure(work: Working, step: Step) -> tuple[bool, str]:
    proof = work.picture.proof
    if proof.state == "proved":
        return True, joined(proof.because)
    return False, "not proved empty of pressure: " + joined((*proof.because, *proof.missing))


def _source_away(work: Working, step: Step) -> tuple[bool, str]:
    if work.picture.source_is_away:
        return True, "the pressure source is away"
    is_cartridge = work.job.unit.nameplate.expelled_by == "cartridge"
    return False, "the cartridge is not out and capped yet" if is_cartridge else "the gas cylinder is not shut yet"


def _boundary_open(work: Working, step: Step) -> tuple[bool, str]:
    return work.picture.is_open, "the shell is open" if work.picture.is_open else "the shell is not opened yet: valve or fill cap off first"


def _closed(work: Working, step: Step) -> tuple[bool, str]:
    return not work.picture.is_open, "the shell is open: close it first" if work.picture.is_open else "the shell is closed"


def _may_be_tested(work: Working, step: Step) -> tuple[bool, str]:
    picture = work.picture
    barred = next((each for each in picture.told if each.token in ("never-tested", "shell-unfit", "test-failed")), None)
    if barred:
        return False, "something bars the shell from being tested: it is taken out of service (29 CFR 1910.157(f)(2), (f)(14))"
    if work.job.plate.marking is None and work.job.plate.test_pa is None:
        return (
            False,
            "the factory test pressure is not on record, and it is never derived: read it off the nameplate "
            "(pinseal record registered UNIT --test-pressure …)",
        )
    return True, "nothing bars the test"


def _shell_verdict(work: Working, step: Step) -> tuple[bool, str]:
    return work.picture.shell()


def _test_date(work: Working, step: Step) -> tuple[bool, str]:
    test = work.job.test_date
    if work.picture.has("test-passed"):
        return True, "the pressure test was passed today"
    if test.owed == "no":
        return True, "no pressure test is owed"
    if test.owed == "unknown" or test.last_day is None:
        return False, f"it is not known when its pressure test is due: {test.because}"
    if is_past_test_date(test.last_day, work.job.on):
        return (
            False,
            f"its pressure test was due {test.words or test.last_day.for_people()} and it is {PartialDate.of(work.job.on).for_people()}: "
            "never charged past it",
        )
    return True, f"its pressure test is due {test.words or test.last_day.for_people()}"


def _dry_shell(work: Working, step: Step) -> tuple[bool, str]:
    return not work.picture.must_dry, "water was in the shell and it is not dried since" if work.picture.must_dry else "the shell is dry"


def _agent_right(work: Working, step: Step) -> tuple[bool, str]:
    """What was in it and what went in is the nameplate's agent, and it is in."""
    job = work.job
    if job.agent and job.last_agent and job.last_agent != job.agent:
        reason = mixing_reason(job.agent, job.last_agent, None)
        if reason:
            return False, reason
    if wrong := next((found for found in work.findings if found.finding == "agent-wrong"), None):
        return False, f"another agent was found: {joined(wrong.because)}"
    if work.picture.agent_is_out and any(each.effect == "fill" for each in job.steps):
        return False, "the agent is out: fill it first"
    for each in job.steps:
        if each.effect != "fill" or each.judge is None or each.judge.by != "agent-in":
            continue
        found = work.judgements.get(each.id)
        if found is None and (work.is_part("recharge") or each.id in work.answers) and work.is_wanted(each):
            return False, f"{each.title}: not judged yet"
        if found is not None and found.verdict != "pass":
            return False, f"{each.title}: {joined(found.because)}"
    return True, "the nameplate's agent is in it"


def _whole(work: Working, step: Step) -> tuple[bool, str]:
    return work.picture.whole()


def _bears_gas(work: Working, step: Step) -> tuple[bool, str]:
    if not any("charged" in answer.sets for answer in step.answers):
        return True, "no gas is let in here"
    return work.picture.bears_gas()


def _goes_out(work: Working, step: Step) -> tuple[bool, str]:
    """On a sheet for retirement alone nothing is emptied or opened before something says that the unit goes."""
    if work.job.works != ("retirement",):
        return True, "the work of this sheet asks for it"
    goes = any(found.action in ENDS_USE for found in work.findings)
    return goes, "the unit goes out of use" if goes else "nothing says yet that the unit goes out of use"


def _supply_ready(work: Working, step: Step) -> tuple[bool, str]:
    picture = work.picture
    if picture.last(("supply-ready", "supply-wrong"), this_cycle=True) == "supply-ready" or not work.has_supply_step:
        return True, "gas and regulator are right"
    judged = next((work.judgements[each.id] for each in work.job.steps if each.effect == "supply" and each.id in work.judgements), None)
    return False, joined(judged.because) if judged else "gas, dew point and regulator are not judged yet for this charge"


def _charged(work: Working, step: Step) -> tuple[bool, str]:
    is_charged = work.picture.cycle > 0 and work.picture.charged_up()[0]
    return is_charged, "it is charged" if is_charged else "it is not charged yet"


def _valve_was_off(work: Working, step: Step) -> tuple[bool, str]:
    if work.picture.valve_was_off:
        return True, "the valve was off on this sheet"
    return False, "the valve was not off on this sheet: a collar without that is a false mark"


def _no_open_stops(work: Working, step: Step) -> tuple[bool, str]:
    stops = work.open_stops()
    return not stops, "open: " + "; ".join(stop.title for stop in stops) if stops else "no stop is open"


def _person_licensed(work: Working, step: Step) -> tuple[bool, str]:
    found = person_standing(work.who, on=work.job.on, packs=work.job.packs, mark=True)
    return found.effect != "blocks", found.because


def _stand_in(work: Working, step: Step) -> tuple[bool, str]:
    if not any("away" in answer.sets for answer in step.answers):
        return True, "it does not leave its place here"
    if work.picture.last(("stand-in", "no-stand-in")) == "stand-in":
        return True, "an equal unit stands in its place"
    return False, "nothing of equal worth stands in its place yet"


_CHECKS: Mapping[str, Callable[[Working, Step], tuple[bool, str]]] = {
    "not-blocked": _blocked,
    "earlier-stages": _earlier_stages,
    "earlier-steps": _earlier_steps,
    "source-away": _source_away,
    "no-pressure": _no_pressure,
    "boundary-open": _boundary_open,
    "closed": _closed,
    "whole": _whole,
    "bears-gas": _bears_gas,
    "goes-out": _goes_out,
    "may-be-tested": _may_be_tested,
    "shell-verdict": _shell_verdict,
    "test-date": _test_date,
    "dry-shell": _dry_shell,
    "agent-right": _agent_right,
    "supply-ready": _supply_ready,
    "charged": _charged,
    "valve-was-off": _valve_was_off,
    "work-passed": _shell_verdict,
    "no-open-stops": _no_open_stops,
    "person-licensed": _person_licensed,
    "stand-in": _stand_in,
}
GATE_CODES = tuple(_CHECKS)


def gates_of(work: Working, step: Step) -> tuple[Gate, ...]:
    """Every gate of a step as it stands now."""
    found = []
    for code in GATES_OF_EFFECT[step.effect]:
        is_open, because = _CHECKS[code](work, step)
        if not is_open and (code, step.id) in work.overrides:
            is_open, because = True, f"overridden: {work.overrides[code, step.id]}"
        found.append(Gate(code=code, open=is_open, because=because, physical=code not in OVERRIDABLE))
    if _relieves(step):
        blocked = work.picture.is_blocked
        found.append(
            Gate(
                code="is-blocked",
                open=blocked,
                because="the unit is blocked" if blocked else "only for a unit that is blocked and under pressure",
                physical=True,
            )
        )
    return tuple(found)


def shut_gates(work: Working, step: Step) -> tuple[Gate, ...]:
    """The gates that keep a step shut."""
    return tuple(gate for gate in gates_of(work, step) if not gate.open)
