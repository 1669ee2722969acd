"""Which function judges what: the one table from the judge that a step names to the sum that decides."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pinseal.reasons import Refusal
from pinseal.sheets import verdicts_mass as mass
from pinseal.sheets import verdicts_pressure as pressure
from pinseal.sheets import verdicts_tests as tests
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.model import Step
from pinseal.sheets.picture import Bench, Picture
from pinseal.sheets.readings import Reading
from pinseal.sheets.vocabulary import JUDGES

Judging = Callable[[Bench], Judgement]
_JUDGING: Mapping[str, Judging] = {
    "gauge": pressure.gauge,
    "gross-weight": mass.gross_weight,
    "weight-loss": mass.weight_loss,
    "cartridge-weight": mass.cartridge_weight,
    "expellant-pressure": pressure.expellant_pressure,
    "regulator": pressure.regulator,
    "dent": tests.dent,
    "pit": tests.pit,
    "shell-proof": tests.shell_proof,
    "water-jacket": tests.water_jacket,
    "hose-proof": tests.hose_proof,
    "blow-out": pressure.blow_out,
    "agent-in": mass.agent_in,
    "co2-in": tests.co2_in,
    "supply": pressure.supply,
    "stopped": pressure.stopped,
    "settled": pressure.settled,
    "mass-balance": mass.mass_balance,
    "stand-in": tests.stand_in,
}
assert set(_JUDGING) == set(JUDGES), "each judge has its function"


def judge(job: Job, picture: Picture, step: Step, readings: dict[str, Reading]) -> Judgement | None:
    """The verdict on what was read at a step; None where nothing of it is judged. Raises `Refusal` for figures that cannot be."""
    if step.judge is None or not readings:
        return None
    needed = JUDGES[step.judge.by]
    if any(name not in readings for name in needed):
        return None
    try:
        return _JUDGING[step.judge.by](Bench(job=job, picture=picture, readings=readings))
    except Refusal as refused:
        raise Refusal(what=f"{step.title}: {refused.what}", rule=refused.rule, got=refused.got, do=refused.do) from refused
