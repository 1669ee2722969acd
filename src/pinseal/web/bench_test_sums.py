"""One pressure test of a unit: which there are, what each needs, and what the shop's judge says of readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.measures import FACTORS
from pinseal.physics.expansion import CM3, TOTAL_LEAST_M3, TOTAL_MOST_M3
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import psi
from pinseal.rules.pressure_tests import ExpansionVerdict, least_test_pa, limit_of
from pinseal.rules.proof_tests import BY_VOLUME_ALONE, Required, holds_of, required_pressure
from pinseal.sheets.job import Job
from pinseal.sheets.model import Answer, Step
from pinseal.sheets.readings import Reading, read
from pinseal.sheets.verdicts_tests import asked_proof, judged_expansion, shell_kind
from pinseal.sheets.working import Working
from pinseal.web.office_common import one
from pinseal.web.office_entries import INSTRUMENT, READING, Form, reading_text
from pinseal.web.refusals import unreadable

JACKET, PROOF = "jacket", "proof"
KINDS: Mapping[str, str] = {PROOF: marked("Proof pressure"), JACKET: marked("Water jacket")}
_JUDGES = {"shell-proof": PROOF, "water-jacket": JACKET}
_ANY_PA = Fraction(10**6)  # what is needed does not turn on what was held


def test_steps(work: Working) -> dict[str, Step]:
    """The tests of the shell on a sheet, by kind: `proof`, `jacket`; the one that is answered, else the one that fits the stamp."""
    tests = [step for step in work.job.steps if step.judge and step.judge.by in _JUDGES]
    stamped = "no" if work.job.plate.marking is None else "yes"
    tests.sort(key=lambda step: (work.is_answered(step), stamped in step.applies.get("stamped", (stamped,))))
    return {_JUDGES[step.judge.by]: step for step in tests if step.judge}


def usual_kind(work: Working, steps: Mapping[str, Step]) -> str:
    """The test that is made of this unit: the one that is answered, else the one that the stamp asks for."""
    if done := next((kind for kind, step in steps.items() if work.is_answered(step)), ""):
        return done
    marking = work.job.plate.marking
    if JACKET in steps and marking is not None and marking.code in BY_VOLUME_ALONE:
        return JACKET
    return PROOF if PROOF in steps else next(iter(steps), "")


def needed(job: Job, kind: str) -> Required:
    """The test pressure, from nameplate or stamp; never derived from a charge. Raises `Refusal` for a stamp that is never tested."""
    if kind == PROOF:
        return required_pressure(asked_proof(job, shell_kind(job), test_pa=_ANY_PA))
    if job.plate.marking is None:
        return Required(pa=None, because=_("the stamped specification is not on record, so neither limit nor test pressure is known"))
    least, source = least_test_pa(job.plate.marking, job.on)
    if least is None:
        return Required(pa=None, because=_("the stamp %(stamp)s shows no service pressure", stamp=job.plate.marking.text))
    because = _(
        "%(stamp)s needs at least %(pressure)s (%(source)s)", stamp=job.plate.marking.text, pressure=psi(least), source=source.for_people()
    )
    return Required(pa=least, because=because)


def hold_s(job: Job, kind: str) -> int | None:
    """The longest reading of how long the pressure is held [s]; None where the step alone says it."""
    if kind != PROOF:
        return None
    return max((each.hold_s for each in holds_of(asked_proof(job, shell_kind(job), test_pa=_ANY_PA))), default=None)


def limit_percent(job: Job) -> tuple[Fraction, str] | None:
    """The permanent expansion that is allowed [percent of the total], with its source; None where no stamp says it. Raises `Refusal`."""
    if job.plate.marking is None:
        return None
    found = limit_of(job.plate.marking, job.on)
    return found.percent, found.source.for_people()


def total_range() -> tuple[str, str]:
    """The total expansions that can be judged [cm3], as exact ratios."""
    return str(TOTAL_LEAST_M3 / CM3), str(TOTAL_MOST_M3 / CM3)


def factors_of(quantity: str) -> Mapping[str, str]:
    """The cm3 in each unit of a volume, as exact ratios; nothing for other quantities."""
    return {unit: str(factor / CM3) for unit, factor in FACTORS["volume"].items()} if quantity == "volume" else {}


def leasts_of(quantity: str, least_pa: Fraction | None) -> Mapping[str, str]:
    """The least test pressure in each unit, as exact ratios."""
    if quantity != "pressure" or least_pa is None:
        return {}
    return {unit: str(least_pa / factor) for unit, factor in FACTORS["pressure"].items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """The readings of a form: those that can be read, and what is wrong with the others, by name."""

    readings: dict[str, Reading] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)


def read_form(step: Step, form: Form, answer: Answer | None) -> Typed:
    """Every reading of a form, each by itself: one that cannot be read does not hide the next."""
    found = Typed()
    for want in step.wants:
        text = reading_text(form, want.name)
        if not text:
            missing = not want.optional and (answer.code in want.only_with if answer and want.only_with else answer is None or answer.good)
            if missing:
                found.wrong[want.name] = _("%(what)s is missing: read it and enter it", what=_(want.label))
            continue
        try:
            found.readings[want.name] = read(want, text, step=step, instrument=one(form, INSTRUMENT + want.name) or None)
        except Refusal as refused:
            found.wrong[want.name] = unreadable(_(want.label), refused)
    return found


def has_readings(form: Form) -> bool:
    return any(name.startswith(READING) and one(form, name) for name in form)


def expansion_of(job: Job, readings: Mapping[str, Reading]) -> ExpansionVerdict | None:
    """The expansion test for its picture; None where there is nothing to draw."""
    if job.plate.marking is None or not {"total", "permanent", "pressure"} <= set(readings):
        return None
    try:
        return judged_expansion(readings, marking=job.plate.marking, on=job.on)
    except Refusal:
        return None


def kept_readings(work: Working, step: Step) -> dict[str, Reading]:
    """The readings of the answer that stands on the sheet."""
    given = work.answers.get(step.id)
    entered = work.entries[given.number - 1].readings if given and 0 < given.number <= len(work.entries) else {}
    found = {each.reading.name: each.reading for each in work.picture.reads if each.step == step.id}
    return {name: reading for name, reading in found.items() if name in entered}


def texts_of(readings: Mapping[str, Reading]) -> Sequence[tuple[str, str]]:
    """Readings as the pairs of an address."""
    return [(READING + name, each.text) for name, each in readings.items()]
