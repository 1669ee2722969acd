"""The shapes of a procedure: kinds of unit, steps with what they want and what they open, findings with what they force.

The words are data (`procedures/*.toml`); what a step does to the pressure boundary is one of `EFFECTS`, and the gates that
follow from it stand in `gates`, so that no data file can leave a gate out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pinseal import kinds

RECHARGE = "recharge"
# What a sheet can be asked for: every duty, and the recharge that no clock asks for.
WORKS: Mapping[str, str] = {**kinds.DUTIES, RECHARGE: "recharge"}

# In the safe order: what opens, fills or charges waits until every step of the stages before it is answered.
STAGES: Mapping[str, str] = {
    "arrive": "At the place",
    "look": "Outside",
    "weigh": "Weight and pressure",
    "empty": "Emptying",
    "open": "Opening",
    "inside": "Inside",
    "test": "Pressure test",
    "dry": "Cleaning and drying",
    "fill": "Filling",
    "close": "Closing",
    "charge": "Charging",
    "leak": "Leak check",
    "mark": "Marks",
    "return": "Return",
    "leave": "Taking it away",
}

EFFECTS: Mapping[str, str] = {
    "look": "looks and reads, touches nothing that holds pressure",
    "touch": "handles parts outside the pressure boundary",
    "disarm": "takes the pressure source away: cartridge out, cylinder shut",
    "lever": "works the lever or the shut-off of a driven unit",
    "empty": "lets agent and pressure out",
    "open": "opens the pressure boundary",
    "inside": "works in the open shell",
    "test": "pressurises the shell with water",
    "hose-off": "parts the hose from the unit",
    "dry": "cleans and dries the open shell",
    "fill": "puts agent in",
    "close": "closes the pressure boundary",
    "supply": "makes the gas supply ready",
    "charge": "lets gas in",
    "arm": "puts the pressure source back",
    "after-charge": "looks at the charged unit",
    "collar": "puts the collar on",
    "label": "puts a label of inside work or of a test on",
    "tag": "puts the service tag on",
    "return": "puts it back to its place",
    "leave": "takes it out of use or away",
}

# What an answer can tell about the unit; the engine's picture of it is made of these and of nothing else.
TOKENS: Mapping[str, str] = {
    "left-then-ended": "pressure was seen leaving, and then it ended",
    "still-leaving": "something still comes out",
    "nothing-from-start": "nothing came out from the start",
    "cartridge-out": "the cartridge is out",
    "cartridge-capped": "the cartridge is capped",
    "cylinder-shut": "the gas cylinder is shut",
    "line-vented": "regulator and hose are vented",
    "chamber-vented": "the chamber is vented",
    "relieved-by-makers-method": "the pressure was relieved by the maker's method",
    "charged": "pressure is in it again",
    "valve-off": "the valve is off",
    "cap-off": "the fill cap is off",
    "closed": "the pressure boundary is closed",
    "agent-out": "the agent is out",
    "hose-off": "the hose is off",
    "hose-on": "the hose is on",
    "shell-sound": "the shell was looked at and found sound",
    "shell-doubtful": "the shell has damage that a pressure test must judge",
    "shell-unfit": "the shell may never be charged again",
    "never-tested": "something bars the shell from being tested",
    "test-passed": "the pressure test was passed",
    "test-failed": "the pressure test was failed",
    "dried": "the shell is dry",
    "filled": "the agent is in",
    "supply-ready": "gas and regulator are right",
    "supply-wrong": "gas or regulator is not right",
    "leak-free": "no leak was found",
    "leaks": "it leaks",
    "off-supply": "it is off the supply",
    "collar-on": "the collar is on",
    "label-on": "the label is on",
    "hose-label-on": "the label is on the hose",
    "tag-on": "the tag is on",
    "returned": "it is back at its place",
    "stand-in": "an equal unit stands in its place",
    "no-stand-in": "nothing stands in its place",
    "away": "it was taken away",
    "unusable": "the shell was made unusable",
}

# What can be read, and how it is typed. Texts are kept as they are.
QUANTITIES: Mapping[str, str] = {
    "pressure": "psi, bar or kPa, gauge",
    "temperature": "F or C",
    "mass": "lb and oz, or kg",
    "volume": "mL, cm3, L or gal",
    "length": "mm or in",
    "seconds": "seconds",
    "count": "a whole number",
    "percent": "percent",
    "agent": "the code of an agent",
    "gas": "nitrogen, argon, air or helium",
    "date": "YYYY-MM-DD",
    "text": "words",
    "unit": "the id of a unit of this shop",
    "yes-no": "yes or no",
}

# What a finding forces, least first; the number is its weight in the decision, where it stays open.
ACTIONS: Mapping[str, str] = {
    "note": "note it",
    "correct": "put it right at once",
    "clean": "clean it",
    "read-again": "read again with a better instrument or at room temperature",
    "repair": "repair it",
    "replace-part": "replace the part",
    "refinish": "refinish it",
    "maintenance": "maintenance by a technician",
    "recharge": "recharge",
    "internal-maintenance": "empty it and do the inside work",
    "pressure-test": "pressure test, unless something bars it",
    "replace-unit": "replace the unit",
    "withdraw": "take it out of use",
    "recover": "take it out of use without discharging it; the agent goes to recovery",
    "condemn": "condemn the shell",
}
ON_THE_SPOT = ("correct", "clean", "repair", "replace-part", "refinish")


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a fact comes from and how it was checked (a key of `kinds.CHECKED`)."""

    text: str
    checked: str

    def as_json(self) -> dict[str, str]:
        return {"source": self.text, "checked": self.checked}


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """One reading that a step wants: its name, quantity, instrument ("" for none), and whether it may be left out.

    `only_with` lists the answers with which it is wanted; empty means with every good answer.
    """

    name: str
    label: str
    quantity: str
    instrument: str = ""
    optional: bool = False
    only_with: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One possible answer: what it says, what it tells about the unit, and the finding that it is, if any."""

    code: str
    says: str
    sets: tuple[str, ...] = ()
    finding: str | None = None

    @property
    def good(self) -> bool:
        return self.finding is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Judge:
    """How a step's readings are judged: the name of the judge, and the finding for each way in which it can fail."""

    by: str
    fail: str
    below: str = ""
    above: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a procedure. `works` and `types` say where it belongs, `applies` on which nameplates.

    `group` names the confirmation that covers it together with others; `when` is "returned" for steps that only a unit
    takes that goes back into service, "leaving" for one that does not, else "always". `minutes` is what it takes a trained
    hand (common practice, no source).
    """

    id: str
    stage: str
    effect: str
    title: str
    do: str
    why: str
    source: Source
    works: tuple[str, ...]
    types: tuple[str, ...]
    caution: str = ""
    proves: str = ""
    minutes: float = 0.5
    group: str = ""
    when: str = "always"
    applies: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    wants: tuple[Want, ...] = ()
    answers: tuple[Answer, ...] = ()
    judge: Judge | None = None
    parts: tuple[str, ...] = ()
    skippable: bool = False
    file: str = ""

    def answer(self, code: str) -> Answer | None:
        return next((each for each in self.answers if each.code == code), None)

    @property
    def good_answers(self) -> tuple[Answer, ...]:
        return tuple(each for each in self.answers if each.good)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something found wrong: what it forces, by which rule, and the parts that commonly put it right."""

    id: str
    title: str
    action: str
    words: str
    source: Source
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitType:
    """One kind of unit that has procedures of its own. `match` maps nameplate attributes to codes; the first that fits counts.

    `does_not_apply` says for a work why this kind has no procedure for it.
    """

    id: str
    title: str
    match: Mapping[str, tuple[str, ...]]
    does_not_apply: Mapping[str, str]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedures:
    """All that is held: kinds of unit in order of matching, steps in safe order, findings by id."""

    types: tuple[UnitType, ...]
    steps: tuple[Step, ...]
    findings: Mapping[str, Finding]

    def type(self, code: str) -> UnitType:
        return next(each for each in self.types if each.id == code)

    def steps_of(self, type_id: str, work: str) -> tuple[Step, ...]:
        return tuple(step for step in self.steps if type_id in step.types and work in step.works)
