"""The unit as the entries of a sheet show it: pressure, boundary, shell, agent, supply. Nothing here is believed without an entry.

Every token carries the cycle in which it was told. `charged` begins the next cycle: whatever proved the unit empty before
proves nothing after gas was let in.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from pinseal.measures import GaugePa
from pinseal.reasons import Refusal
from pinseal.rules.gauging import COVERAGE, PLAIN_GAUGE_U_PA
from pinseal.rules.no_pressure import EVENTS, Emptying, Proof, prove
from pinseal.sheets.instruments_used import scale_u_kg
from pinseal.sheets.job import Job
from pinseal.sheets.model import TOKENS
from pinseal.sheets.readings import Reading

_OPENS, _CLOSES = ("valve-off", "cap-off"), ("closed",)
_LETS_OUT = (
    "left-then-ended", "still-leaving", "nothing-from-start", "relieved-by-makers-method", "cartridge-out", "cylinder-shut", "line-vented",
    "chamber-vented", "valve-off", "cap-off",
)  # fmt: skip
_UNFIT = ("shell-unfit", "never-tested", "test-failed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One token, the step that told it, and the cycle."""

    token: str
    step: str
    cycle: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """One reading with the step that wanted it, and the cycle."""

    reading: Reading
    step: str
    stage: str
    cycle: int


@dataclass(slots=True)
class Picture:
    """What is told and read, in the order of time."""

    job: Job
    told: list[Told] = field(default_factory=list)
    reads: list[Read] = field(default_factory=list)

    @property
    def cycle(self) -> int:
        return sum(each.token == "charged" for each in self.told)

    def tell(self, step: str, tokens: Iterable[str]) -> None:
        """Take what a step tells. Answered again within one cycle, it takes the place of what the step told before."""
        cycle = self.cycle
        self.told = [each for each in self.told if each.step != step or each.cycle != cycle or each.token == "charged"]
        for token in tokens:
            self.told.append(Told(token=token, step=step, cycle=self.cycle))

    def read(self, step: str, stage: str, readings: Iterable[Reading]) -> None:
        """Take what was read at a step; of one cycle and step the last reading counts."""
        cycle = self.cycle
        self.reads = [each for each in self.reads if each.step != step or each.cycle != cycle]
        self.reads += [Read(reading=each, step=step, stage=stage, cycle=cycle) for each in readings]

    # -- what follows

    def has(self, *tokens: str) -> bool:
        return any(each.token in tokens for each in self.told)

    def last(self, tokens: Sequence[str], *, this_cycle: bool = False) -> str | None:
        """The last of some tokens, or None."""
        cycle = self.cycle
        return next((e.token for e in reversed(self.told) if e.token in tokens and (not this_cycle or e.cycle == cycle)), None)

    def place_of(self, *tokens: str) -> int:
        """Where in the order of time one of some tokens was told last; -1 where none was."""
        return max((place for place, each in enumerate(self.told) if each.token in tokens), default=-1)

    def reading(self, name: str, *, stage: str | None = None, this_cycle: bool = True) -> Reading | None:
        """The last reading of that name in this cycle, perhaps of one stage."""
        cycle = self.cycle
        fits = (
            e.reading
            for e in reversed(self.reads)
            if e.reading.name == name and (not this_cycle or e.cycle == cycle) and stage in (None, e.stage)
        )
        return next(fits, None)

    @property
    def charging_k(self) -> float | None:
        """The shell's temperature as read when the supply was made ready [K]."""
        found = self.reading("temperature", stage="charge")
        return found.measure.si if found else None

    def _kg(self, name: str) -> Fraction | None:
        found = self.reading(name)
        return found.measure.exact if found else None

    @property
    def proof(self) -> Proof:
        """Whether the unit is proved empty of pressure, by the way in which it is expelled. Weights that cannot be prove nothing."""
        try:
            return self._proof()
        except Refusal as refused:
            return Proof(state="not-yet", because=(f"{refused.what}: {refused.rule}",), missing=(refused.do,))

    def _proof(self) -> Proof:
        gauge, gross = self.reading("gauge"), self.reading("gross")
        plate = self.job.plate
        return prove(
            Emptying(
                expelled_by=self.job.unit.nameplate.expelled_by,
                seen=tuple(each.token for each in self.told if each.token in EVENTS),
                gross_kg=self._kg("gross"),
                full_gross_kg=plate.gross_kg,
                net_kg=plate.net_kg,
                empty_gross_kg=plate.empty_kg,
                scale_u_kg=scale_u_kg(self.job, gross.instrument if gross else None),
                gauge_gauge_pa=None if gauge is None else GaugePa(float(gauge.measure.gauge_pa())),
                gauge_zero_u_pa=COVERAGE * PLAIN_GAUGE_U_PA,
            )
        )

    @property
    def is_blocked(self) -> bool:
        return self.proof.state == "blocked"

    @property
    def is_open(self) -> bool:
        return self.last((*_OPENS, *_CLOSES)) in _OPENS

    @property
    def valve_was_off(self) -> bool:
        return self.has("valve-off")

    @property
    def source_is_away(self) -> bool:
        """A cartridge is out and capped, a gas cylinder shut; a unit without such a source has none to take away."""
        wanted = {"cartridge": ("cartridge-out", "cartridge-capped"), "cylinder": ("cylinder-shut",)}
        needed = wanted.get(self.job.unit.nameplate.expelled_by or "", ())
        return all(self.last((token,), this_cycle=True) for token in needed)

    def charged_up(self) -> tuple[bool, str]:
        """Closed, its agent in it, its pressure or its pressure source back since it was let out or taken away."""
        if self.is_open:
            return False, "the shell is open"
        if self.agent_is_out:
            return False, "the agent is out"
        if self.job.type.id == "pump-tank":
            return True, "it is closed"
        let_out = self.place_of(*_LETS_OUT)
        if let_out > self.place_of("charged"):
            return False, f"not charged since: {TOKENS[self.told[let_out].token]}"
        return True, "it is closed and charged"

    def whole(self) -> tuple[bool, str]:
        """Could the unit be used as it stands: charged up, and found tight where that was looked at."""
        if self.last(("leaks", "leak-free")) == "leaks":
            return False, "it leaks, and no leak check has come out well since"
        return self.charged_up()

    @property
    def agent_is_out(self) -> bool:
        """The agent was taken out on this sheet, and none went in since."""
        return self.last(("agent-out", "filled" if self.job.can_tell("filled") else "charged")) == "agent-out"

    def bears_gas(self) -> tuple[bool, str]:
        """May gas be let in, if only to blow the last powder out: nothing known speaks against the shell so far."""
        told = [each.token for each in self.told]
        if self.job.condemned or any(token in told for token in _UNFIT):
            return False, "the shell is unfit: no gas goes in"
        if "shell-doubtful" in told and "test-passed" not in told:
            return False, "the shell has damage that no pressure test has judged: no gas goes in"
        return True, "nothing speaks against the shell so far"

    def shell(self) -> tuple[bool, str]:
        """May the shell be charged, and why not."""
        told = [each.token for each in self.told]
        if self.job.condemned:
            return False, f"the shell is condemned: {self.job.condemned}"
        if self.job.type.id in ("nonrechargeable", "obsolete"):
            return False, f"{self.job.type.title.lower()}: never charged"
        if unfit := next((token for token in told if token in _UNFIT), None):
            return False, f"{_WORDS[unfit]}: it is never charged again"
        tested = "test-passed" in told
        if "hydrostatic-test" in self.job.works and not tested:
            return False, "the pressure test of this sheet is not passed yet"
        if "shell-doubtful" in told and not tested:
            return False, "the shell has damage, and no pressure test has passed since"
        if "shell-sound" not in told and not tested:
            return False, "nobody has looked at the shell and found it sound on this sheet"
        return True, "the shell was looked at and found sound"

    @property
    def must_dry(self) -> bool:
        """Water was in the shell, and the agent does not bear it."""
        return not self.job.is_water_like and self.place_of("test-passed", "test-failed") > self.place_of("dried")


_WORDS = {
    "shell-unfit": "the shell is unfit",
    "never-tested": "something bars the shell from being tested",
    "test-failed": "the shell failed its pressure test",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What a judge sees: the job, the picture so far, and the readings of the step that is judged, by their names."""

    job: Job
    picture: Picture
    readings: dict[str, Reading]
