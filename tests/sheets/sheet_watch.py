"""A second, plain opinion on what may happen to a unit, written from the trade's rules and not from the program's gates.

`Watch` is told every entry that the program took, and says what of it should never have been taken. It knows the steps only
by their effect, their answers and what was typed, and keeps a small model of its own: gas, boundary, shell, agent, supply.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from pinseal.sheets.entries import Entry
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.model import Answer, Step

BARE = ("not-done", "not-fitted")
FLOW = ("left-then-ended", "still-leaving", "nothing-from-start", "relieved-by-makers-method")
NEEDS_PROOF = ("open", "inside", "test", "dry", "fill", "close", "hose-off")
UNFIT = ("shell-unfit", "never-tested", "test-failed")
TAKEN_APART = (*FLOW, "cartridge-out", "cylinder-shut", "line-vented", "chamber-vented", "valve-off", "cap-off", "agent-out")
WATER_LIKE = (
    "water", "antifreeze", "loaded-stream", "wetting-agent", "afff", "fffp", "fluorine-free-foam", "wet-chemical", "water-mist",
)  # fmt: skip
NEVER_SETTLED = ("withdraw", "recover", "replace-unit", "condemn", "read-again")
ON_THE_SPOT = ("correct", "clean", "repair", "replace-part", "refinish")
SUPERVISORS_ONLY = "relieved-by-makers-method"


def pounds(text: str | None) -> float | None:
    """A weight as this module's tests write it: pounds and ounces."""
    found = re.fullmatch(r"(?:([\d.]+) lb)?\s*(?:([\d.]+) oz)?", text or "")
    if not text or not found:
        return None
    return float(found[1] or 0) + float(found[2] or 0) / 16


def psi(text: str | None) -> float | None:
    found = re.fullmatch(r"([\d.]+) psi", text or "")
    return float(found[1]) if found else None


def fahrenheit(text: str | None) -> float | None:
    found = re.fullmatch(r"(-?[\d.]+) F", text or "")
    return float(found[1]) if found else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One token at the number of the entry that told it."""

    token: str
    number: int


@dataclass(slots=True)
class Watch:
    """What one sheet did to its unit so far. `wrong` gathers what should not have been taken."""

    job: Job
    events: list[Event] = field(default_factory=list)
    last: dict[str, tuple[str, int]] = field(default_factory=dict)
    tells: dict[str, tuple[str, ...]] = field(default_factory=dict)
    done: dict[str, int] = field(default_factory=dict)
    reads: dict[str, tuple[str, int]] = field(default_factory=dict)
    of_step: dict[str, Mapping[str, str]] = field(default_factory=dict)
    found: dict[str, list[tuple[str, str, int]]] = field(default_factory=dict)
    fixed: dict[str, int] = field(default_factory=dict)
    verdicts: dict[str, str] = field(default_factory=dict)
    overridden: set[tuple[str, str]] = field(default_factory=set)
    wrong: list[str] = field(default_factory=list)
    number: int = 0
    stood_at: float = 0.0
    stood_number: int = 0
    counts: dict[str, int] = field(default_factory=dict)

    # -- what is known

    def at(self, *tokens: str) -> int:
        """The number of the last entry that told one of these; 0 for never."""
        return max((each.number for each in self.events if each.token in tokens), default=0)

    def since_gas(self) -> list[str]:
        gas = self.at("charged")
        return [each.token for each in self.events if each.number > gas]

    def _read_since_gas(self, name: str) -> str | None:
        text, number = self.reads.get(name, ("", 0))
        return text if number > self.at("charged") else None

    def _spent_mark(self) -> float | None:
        plate = self.job.unit.nameplate
        marks = [pounds(plate.empty_weight)]
        full, net = pounds(plate.gross_weight), self._net()
        if full is not None and net is not None:
            marks.append(full - net)
        said = [each for each in marks if each is not None]
        return min(said) if said else None

    def _net(self) -> float | None:
        return None if self.job.plate.net_kg is None else float(self.job.plate.net_kg) / 0.45359237

    def weight_says(self) -> str | None:
        kg, mark = pounds(self._read_since_gas("gross")), self._spent_mark()
        if kg is None or mark is None:
            return None
        return "charged" if kg > mark + 0.3 else "spent"

    def gauge_says(self) -> str | None:
        at = psi(self._read_since_gas("gauge"))
        return None if at is None else "charged" if at > 40 else "spent"

    def pressure_is_gone(self) -> bool:
        """By this kind's own proof, since gas was last let in."""
        seen, way = self.since_gas(), self.job.unit.nameplate.expelled_by
        if way == "pump":
            return True
        if way == "cartridge":
            return _in_order(seen, "cartridge-out", "chamber-vented") and _in_order(seen, "cartridge-capped", "chamber-vented")
        if way == "cylinder":
            return _in_order(seen, "cylinder-shut", "chamber-vented") and _in_order(seen, "cylinder-shut", "line-vented")
        if way not in ("stored-pressure", "self-expelling"):
            return False
        flow = [token for token in seen if token in FLOW]
        ended = bool(flow) and _has_ended(flow, weight=self.weight_says(), gauge=self.gauge_says())
        return ended and (way == "stored-pressure" or self.weight_says() == "spent")

    def is_open(self) -> bool:
        """Opened since it was closed; a closing step that is answered anew with a fault did not close it."""
        closed = [self.done[step] for step, tokens in self.tells.items() if "closed" in tokens]
        return self.at("valve-off", "cap-off") > max(closed, default=0)

    def told_now(self) -> set[str]:
        return {token for tokens in self.tells.values() for token in tokens}

    def may_hold_pressure(self) -> str:
        """Why the shell may not take gas; empty where it may."""
        told = self.told_now()
        if self.job.condemned:
            return "it is condemned"
        if any(token in told for token in UNFIT) or self.at("test-failed"):
            return "it is unfit"
        tested = self.at("test-passed")
        if "hydrostatic-test" in self.job.works and not tested:
            return "its test is not passed"
        if "shell-doubtful" in told and not tested:
            return "it is doubtful and not tested"
        return "" if tested or "shell-sound" in told else "nobody looked at it"

    # -- what is entered

    def step(self, step: Step, entry: Entry, judged: Judgement | None) -> None:
        self.number += 1
        code = entry.said["answer"]
        answer = step.answer(code)
        if answer is not None and code not in BARE:
            self._check(step, answer, entry, judged)
        self._take(step, answer, entry, judged)

    def confirm(self, steps: Iterable[Step]) -> None:
        self.number += 1
        for step in steps:
            answer = step.good_answers[0]
            entry = Entry(kind="step", subject=step.id, said={"answer": answer.code})
            self._check(step, answer, entry, None)
            self._take(step, answer, entry, None)

    def fix(self, finding: str) -> None:
        self.number += 1
        self.fixed[finding] = self.number

    def override(self, gate: str, step: str) -> None:
        self.number += 1
        self.overridden.add((gate, step))
        if gate != "stand-in":
            self.wrong.append(f"a supervisor opened {gate}")

    def _say(self, step: Step, words: str) -> None:
        self.wrong.append(f"{self.number} {step.id} ({step.effect}): {words}")

    def _check(self, step: Step, answer: Answer, entry: Entry, judged: Judgement | None) -> None:
        effect = step.effect
        self.counts[effect] = self.counts.get(effect, 0) + 1
        if effect in NEEDS_PROOF and not self.pressure_is_gone():
            self._say(step, f"pressure is not proved gone; seen since gas: {self.since_gas()}")
        if effect in ("inside", "test", "dry") and not self.is_open():
            self._say(step, "the shell is not open")
        if effect == "lever":
            self._check_lever(step)
        if effect in ("charge", "arm"):
            self._check_gas(step)
        if effect == "charge":
            self._check_supply(step)
        if effect == "empty" and "charged" in answer.sets:
            self._check_blow_out(step, entry)
        if effect == "test" and self.told_now() & set(UNFIT):
            self._say(step, "an unfit shell is tested")
        if effect == "fill" and (words := self.may_hold_pressure()):
            self._say(step, f"filled, and {words}")
        if effect == "fill" and self._needs_drying():
            self._say(step, "filled while the shell is wet")
        if effect == "collar" and not self.at("valve-off"):
            self._say(step, "a collar without the valve off")
        if effect in ("tag", "return") and (stops := self.stops()):
            self._say(step, f"marked with open stops {stops}")
        if "unusable" in answer.sets and not (self.pressure_is_gone() and self.is_open()) and self.job.type.id != "pump-tank":
            self._say(step, "drilled while it is not open and proved empty")
        if "away" in answer.sets and "stand-in" not in self.told_now() and ("stand-in", step.id) not in self.overridden:
            self._say(step, "taken away with nothing in its place")
        if SUPERVISORS_ONLY in answer.sets:
            person = self.job.people.get(entry.person.casefold())
            if person is None or person.role != "supervisor":
                self._say(step, "relieved by somebody who is no supervisor")

    def _check_lever(self, step: Step) -> None:
        seen = self.since_gas()
        way = self.job.unit.nameplate.expelled_by
        if way == "cartridge" and not {"cartridge-out", "cartridge-capped"} <= set(seen):
            self._say(step, "the lever before the cartridge is out and capped")
        if way == "cylinder" and "cylinder-shut" not in seen:
            self._say(step, "the lever before the gas cylinder is shut")

    def _check_gas(self, step: Step) -> None:
        """Gas, or what drives the unit, goes in."""
        if words := self.may_hold_pressure():
            self._say(step, f"gas goes in, and {words}")
        if self.is_open():
            self._say(step, "gas goes in while the shell is open")
        test = self.job.test_date
        late = test.owed == "unknown" or (test.owed == "yes" and (test.last_day is None or _is_past(test.last_day.for_people(), self.job)))
        if late and not self.at("test-passed"):
            self._say(step, "gas goes in past the test date, or with the date unknown")
        self._check_agent(step)
        stopped = self._stopped_above()
        if stopped and not any(self.at(token) > stopped for token in ("left-then-ended", "still-leaving")):
            self._say(step, "gas goes in after an overcharge that nobody let down")
        if self._was_overstressed():
            self._say(step, "gas goes in after the shell stood at its test pressure, and nobody tested it since")

    def _check_agent(self, step: Step) -> None:
        fills = [each for each in self.job.steps if each.effect == "fill" and each.id in self.of_step]
        wrong = [each.id for each in fills if self.of_step[each.id].get("agent") not in (None, self.job.agent)]
        if wrong:
            self._say(step, f"gas goes in over the wrong agent ({wrong})")
        if any(finding == "agent-wrong" for found in self.found.values() for finding, _, _ in found):
            self._say(step, "gas goes in while the wrong agent was seen")
        if self.job.last_agent not in (None, self.job.agent):
            self._say(step, "gas goes in where another agent was before")
        if self.agent_is_out() and self._has_fill_step():
            self._say(step, "gas goes in and the agent is out")

    def _has_fill_step(self) -> bool:
        return any(each.effect == "fill" for each in self.job.steps)

    def agent_is_out(self) -> bool:
        """Carbon dioxide goes in with the charge itself; everything else has a step that fills it."""
        return self.at("agent-out") > self.at("filled" if self._has_fill_step() else "charged")

    def _stopped_above(self) -> int:
        """The entry of the last charge that went above the ceiling; 0 where none did."""
        text, number = self.reads.get("stopped", ("", 0))
        at, most = psi(text), psi(self.job.unit.nameplate.service_pressure)
        return number if at is not None and most is not None and at > most + 25.001 else 0

    def _was_overstressed(self) -> bool:
        """The gas once stood at the test pressure, and no test was passed since."""
        most = psi(self.job.unit.nameplate.test_pressure)
        return most is not None and self.stood_at >= most and self.at("test-passed") <= self.stood_number

    def _check_supply(self, step: Step) -> None:
        if not any(each.judge and each.judge.by == "supply" for each in self.job.steps):
            return
        supply = next(each for each in self.job.steps if each.judge and each.judge.by == "supply")
        code, number = self.last.get(supply.id, ("", 0))
        said, most = self.of_step.get(supply.id, {}), psi(self.job.unit.nameplate.service_pressure)
        if number <= self.at("charged") or code in BARE:
            self._say(step, "the supply was not looked at for this charge")
            return
        if (setting := psi(said.get("regulator"))) is None or most is None or setting > most + 25.001:
            self._say(step, f"the regulator stands at {said.get('regulator')}")
        wet = self.job.agent in WATER_LIKE
        if said.get("gas") not in (("nitrogen", "air") if wet else ("nitrogen",)):
            self._say(step, f"charged with {said.get('gas')}")
        dew, limit = fahrenheit(said.get("dew-point")), -70 if self.job.unit.nameplate.wheeled else -60
        if not wet and (dew is None or dew > limit + 0.001):
            self._say(step, f"charged with a dew point of {said.get('dew-point')}")

    def _check_blow_out(self, step: Step, entry: Entry) -> None:
        told = self.told_now()
        if told & {*UNFIT, "shell-doubtful"} or self.job.condemned:
            self._say(step, "gas blown through a shell that is unfit or doubtful")

    def _needs_drying(self) -> bool:
        return self.job.agent not in WATER_LIKE and self.at("test-passed", "test-failed") > self.at("dried")

    def _take(self, step: Step, answer: Answer | None, entry: Entry, judged: Judgement | None) -> None:
        code = entry.said["answer"]
        self.last[step.id] = (code, self.number)
        if code in BARE:
            self.found[step.id] = [("not-done", "read-again", self.number)] if code == "not-done" else []
            return
        assert answer is not None
        tokens = (*answer.sets, *_judged_tokens(step, answer, judged))
        self.tells[step.id], self.done[step.id] = tokens, self.number
        self.events += [Event(token=token, number=self.number) for token in tokens]
        self.of_step[step.id] = dict(entry.readings)
        self.reads |= {name: (text, self.number) for name, text in entry.readings.items()}
        if (at := psi(entry.readings.get("stopped"))) is not None and at > self.stood_at:
            self.stood_at, self.stood_number = at, self.number
        self.verdicts[step.id] = judged.verdict if judged else ""
        self.found[step.id] = [(code, self._forced(code), self.number) for code in _findings(step, answer, judged)]

    # -- what is open

    def _forced(self, finding: str) -> str:
        action = self.job.findings[finding].action
        mild = ("note", "correct", "clean", "read-again", "withdraw", "recover", "condemn", "replace-unit")
        if self.job.type.id == "nonrechargeable" and action not in mild:
            return "replace-unit"
        if self.job.works == ("inspection",) and action in ("clean", "repair", "replace-part", "refinish"):
            return "maintenance"
        return action

    def stops(self) -> list[str]:
        return [f"{step}: {finding}" for step, found in self.found.items() for finding, action, number in found
                if not self._is_settled(finding, action, number)]  # fmt: skip

    def _is_settled(self, finding: str, action: str, number: int) -> bool:
        if action == "note":
            return True
        if action in NEVER_SETTLED:
            return False
        fixed = self.fixed.get(finding, 0) > 0
        if action in ON_THE_SPOT:
            return fixed
        if action == "maintenance":
            return fixed and "maintenance" in self.job.works
        if action == "pressure-test":
            return self.at("test-passed") > number
        if action == "internal-maintenance":
            return fixed and self.at("valve-off", "cap-off") > number
        return self.at("charged") > number and (not self._has_fill_step() or self.at("filled") > number)

    # -- how it ends

    def ends_with_a_tag(self) -> list[str]:
        """What speaks against the tag at the end."""
        against = list(self.stops())
        for step in self.job.steps:
            if step.when != "leaving" and not step.skippable and self.last.get(step.id, ("not-done", 0))[0] == "not-done":
                against.append(f"{step.id} is not answered")
        if self.is_open():
            against.append("it is open")
        apart, gas = self.at(*TAKEN_APART), self.at("charged")
        if apart > gas and self.job.type.id not in ("pump-tank",):
            against.append("it was emptied or taken apart after gas was last let in")
        if self.agent_is_out():
            against.append("its agent is out")
        if self.at("test-failed") or self.told_now() & set(UNFIT):
            against.append("its shell is unfit")
        if self.at("leaks") > self.at("leak-free"):
            against.append("it leaks")
        looks = any("leak-free" in answer.sets for step in self.job.steps for answer in step.answers)
        if gas and looks and self.at("leak-free") <= gas:
            against.append("no leak check since the charge")
        if self._stopped_above():
            against.append("the gas was stopped above the ceiling")
        if self._was_overstressed():
            against.append("the shell stood at its test pressure, and nobody tested it since")
        return against


def _in_order(seen: list[str], first: str, then: str) -> bool:
    return first in seen and then in seen[seen.index(first) :]


def _has_ended(flow: list[str], *, weight: str | None, gauge: str | None) -> bool:
    """What was seen of the way out, oldest first: did it end? Nothing that came at all says so only with weight and gauge."""
    after = flow[len(flow) - flow[::-1].index(SUPERVISORS_ONLY) :] if SUPERVISORS_ONLY in flow else flow
    if "nothing-from-start" in after and "charged" in (weight, gauge):
        return False
    while len(flow) > 1 and flow[-1] == "nothing-from-start" and flow[-2] != "still-leaving":
        flow = flow[:-1]
    if flow[-1] == "nothing-from-start":
        return weight == "spent" and (gauge == "spent" or gauge is None)
    return flow[-1] in ("left-then-ended", SUPERVISORS_ONLY)


def _is_past(last_day: str, job: Job) -> bool:
    assert job.test_date.last_day is not None
    return job.on > job.test_date.last_day.latest


def _judged_tokens(step: Step, answer: Answer, judged: Judgement | None) -> tuple[str, ...]:
    if judged is None or step.judge is None:
        return ()
    by, good = step.judge.by, judged.verdict == "pass" and answer.good
    if by in ("shell-proof", "water-jacket"):
        return ("test-passed",) if good else ("test-failed",) if judged.verdict == "fail" else ()
    if by == "stand-in":
        return ("stand-in",) if good else ()
    if by in ("dent", "pit"):
        return ("shell-unfit",) if judged.verdict == "fail" else ()
    return ()


def _findings(step: Step, answer: Answer, judged: Judgement | None) -> list[str]:
    found = [answer.finding] if answer.finding else []
    if judged is None or step.judge is None or judged.verdict == "pass":
        return found
    if judged.finding:
        return [*found, judged.finding]
    if judged.verdict == "fail":
        side = {"below": step.judge.below, "above": step.judge.above}.get(judged.side, "")
        return [*found, side or step.judge.fail]
    return [*found, "too-close" if judged.verdict == "too-close" else "not-judged"]
