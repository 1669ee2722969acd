"""The state of a sheet under work: answers, verdicts, findings, overrides, and the picture of the unit that they make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pinseal.records.registers import Person
from pinseal.sheets.entries import Entry
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.model import ACTIONS, ON_THE_SPOT, Source, Step
from pinseal.sheets.picture import Picture

_OF_INSPECTION = Source(
    text="NFPA 10 7.2.3, told by a trade page: a deficiency found at an inspection asks for maintenance", checked="second-hand"
)
# What takes a unit out of use for good.
ENDS_USE = ("withdraw", "recover", "replace-unit", "condemn")
# What can be done on a unit that is never opened or charged again; anything else becomes its replacement.
_BORNE_BY_DISPOSABLE = ("note", "correct", "clean", "read-again", *ENDS_USE)
_OF_DISPOSABLE = Source(text="NFPA 10 7.2.3", checked="memory")
_OF_HALOGENATED = Source(text="19 CCR 575.1(b) exception", checked="public copy")


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """The answer of one step: its place among the entries, the cycle of the unit, and the confirmation that covered it, if one did."""

    step: str
    answer: str
    number: int
    cycle: int
    person: str
    covered_by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """A finding of this sheet: where it was found, what it forces here, and by which rule. `number` is that of the entry."""

    finding: str
    step: str
    title: str
    words: str
    action: str
    source: Source
    number: int
    because: tuple[str, ...] = ()
    fixed: str = ""
    part: str = ""
    part_number: str = ""
    part_count: str = ""

    def as_json(self) -> dict[str, Any]:
        return {
            "finding": self.finding, "step": self.step, "title": self.title, "words": self.words, "action": self.action,
            "action_words": ACTIONS[self.action], "because": list(self.because), "fixed": self.fixed or None, **self.source.as_json(),
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """One confirmation: what it covers, how long it took, and whether that was too quick to have looked."""

    group: str
    steps: tuple[str, ...]
    seconds: int | None
    expected_seconds: int
    person: str

    @property
    def quick(self) -> bool:
        """Less than a quarter of the time that a trained hand takes (common practice, no source)."""
        return self.seconds is not None and self.seconds * 4 < self.expected_seconds

    def as_json(self) -> dict[str, Any]:
        return {"group": self.group, "covers": list(self.steps), "seconds": self.seconds, "expected_seconds": self.expected_seconds,
                "person": self.person, "quick": self.quick}  # fmt: skip


@dataclass(slots=True)
class Working:
    """A sheet under work.

    `overrides` maps (gate, step) to who opened it and why; `who` is the person of the entry that is being taken. `past` holds
    what was found wrong and found right when the step was done once more. `set_aside` says which kept entries do not fit any
    more, because the record of the unit changed under the sheet. `laid_out` says of a part whether it lies ready.
    """

    job: Job
    picture: Picture
    entries: list[Entry] = field(default_factory=list)
    answers: dict[str, Given] = field(default_factory=dict)
    judgements: dict[str, Judgement] = field(default_factory=dict)
    findings: list[Open] = field(default_factory=list)
    past: list[Open] = field(default_factory=list)
    confirmations: list[Confirmed] = field(default_factory=list)
    overrides: dict[tuple[str, str], str] = field(default_factory=dict)
    flags: list[str] = field(default_factory=list)
    set_aside: list[str] = field(default_factory=list)
    laid_out: dict[str, bool] = field(default_factory=dict)
    abandoned: Entry | None = None
    who: Person | None = None

    def is_part(self, work: str) -> bool:
        return work in self.job.works

    def is_answered(self, step: Step) -> bool:
        """Whether a step is answered. What was seen of a charge says nothing of the next one."""
        given = self.answers.get(step.id)
        return given is not None and (step.effect != "after-charge" or given.cycle == self.picture.cycle)

    def is_wanted(self, step: Step) -> bool:
        """Whether the unit cannot go back into service without this step."""
        return step.when != "leaving" and not step.skippable

    @property
    def has_supply_step(self) -> bool:
        return any(step.effect == "supply" for step in self.job.steps)

    def is_settled(self, found: Open) -> bool:
        """Whether what a finding forces was done after it was found."""
        if found.action in ENDS_USE:
            return False
        if found.action == "note":
            return True
        if found.action in ON_THE_SPOT or (found.action == "maintenance" and self.is_part("maintenance")):
            return bool(found.fixed)
        if found.action == "pressure-test":
            return self._told_since(found, "test-passed")
        if found.finding == "overcharged":
            return self._is_let_down(found) and self._settled_since(found)
        if found.action == "recharge":
            return self._is_filled_since(found) and self._told_since(found, "charged") and self._is_tight(found)
        if found.action == "internal-maintenance":
            return bool(found.fixed) and self._told_since(found, "valve-off", "cap-off") and self._is_tight(found)
        return False  # read-again: the step is answered anew, which takes the finding away

    def _is_let_down(self, found: Open) -> bool:
        """A gas that was stopped too high was let out since, and stopped right; a settled figure that was too high is read again."""
        step = self.job.step(found.step)
        if step is None or step.judge is None or step.judge.by != "stopped":
            return True
        right = found.step in self.judgements and self.judgements[found.step].verdict == "pass"
        return right and self._told_since(found, "left-then-ended", "still-leaving")

    def _settled_since(self, found: Open) -> bool:
        """The pressure was read again after the finding, and it is right."""
        steps = [step for step in self.job.steps if step.judge and step.judge.by == "settled" and self.is_answered(step)]
        return any(
            self.judgements[s.id].verdict == "pass" and self.answers[s.id].number > found.number for s in steps if s.id in self.judgements
        )

    def _is_filled_since(self, found: Open) -> bool:
        """Agent went in after the finding, where a step of this sheet tells so; a cartridge put back is no recharge."""
        return self.is_part("recharge") and (not self.job.can_tell("filled") or self._told_since(found, "filled"))

    def _is_tight(self, found: Open) -> bool:
        """The leak check came out well after the finding; a kind without one is closed."""
        return self._told_since(found, "leak-free" if self.job.can_tell("leak-free") else "closed")

    def _told_since(self, found: Open, *tokens: str) -> bool:
        steps = {each.step for each in self.picture.told if each.token in tokens}
        return any(self.answers[step].number > found.number for step in steps if step in self.answers)

    def open_findings(self) -> list[Open]:
        return [found for found in self.findings if not self.is_settled(found)]

    def open_stops(self) -> list[Open]:
        """What keeps the tag off."""
        return [found for found in self.open_findings() if found.action != "note"]

    def forced(self, action: str) -> tuple[str, Source | None]:
        """What an action becomes on this sheet, and the rule that changes it, if any."""
        if self.job.type.id == "nonrechargeable" and action not in _BORNE_BY_DISPOSABLE:
            halogenated = (self.job.agent or "").startswith("hal")
            return ("recover", _OF_HALOGENATED) if halogenated else ("replace-unit", _OF_DISPOSABLE)
        if self.job.only_inspection and action in ("clean", "repair", "replace-part", "refinish"):
            return "maintenance", _OF_INSPECTION
        return action, None

    def next_steps(self) -> list[Step]:
        """Steps that are wanted and not answered, in order."""
        return [step for step in self.job.steps if self.is_wanted(step) and not self.is_answered(step)]

    def seconds_expected(self, steps: list[Step]) -> int:
        return round(sum(step.minutes for step in steps) * 60)

    def state(self) -> Mapping[str, Any]:
        """What state the unit is in, by the entries."""
        picture = self.picture
        return {
            "pressure": picture.proof.state if not picture.cycle or picture.proof.state != "not-yet" else "charged",
            "open": picture.is_open,
            "agent": "out" if picture.agent_is_out else "in",
            "blocked": picture.is_blocked,
        }
