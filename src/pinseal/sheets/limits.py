"""The limits of every reading, worked out before the work begins, so that a page far from the office only compares.

A limit is a number, or a table over the shell's temperature. Where the nameplate fact is not on record there is none, and the
sheet says which fact is missing. Each limit names where it comes from and how sure that is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pinseal.measures import as_json, for_people, kelvin_of_f
from pinseal.physics.weighing import least_water_kg
from pinseal.reasons import Refusal
from pinseal.rules.charge_refusals import CEILING_ABOVE_PA, DEW_POINT_K_MAX, DEW_POINT_WHEELED_K_MAX, ChargeAsked
from pinseal.rules.charging import plan_charge
from pinseal.rules.co2_fill import fill_limit
from pinseal.rules.gauging import judge_gauge
from pinseal.rules.pressure_tests import least_test_pa, limit_of
from pinseal.rules.proof_tests import ProofTest, holds_of, required_pressure
from pinseal.sheets.job import Job
from pinseal.sheets.model import Source, Step
from pinseal.sheets.verdicts_mass import CO2_LOSS_LIMIT_PERCENT
from pinseal.sheets.verdicts_pressure import BLOW_OUT_PA_MAX, gauge_asked, target

PLATE = Source(text="the nameplate, as recorded", checked="public copy")
_NFPA_CHARGE = Source(text="NFPA 10 7.8.4", checked="memory")
_PRACTICE = Source(text="common practice, no source", checked="practice")
_GAS_LAW = Source(text="the nameplate pressure and the real gas law", checked="public copy")
_TABLE_F = range(-40, 121, 20)
_CHARGE_TABLE_F = range(40, 101, 10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What one reading is held against: ends and aim in SI, or a table over temperature. `missing` names the fact that is not known."""

    reading: str
    dimension: str
    low: float | None = None
    high: float | None = None
    aim: float | None = None
    table: tuple[tuple[float, float, float], ...] = ()
    missing: str = ""
    words: str = ""
    source: Source = PLATE

    def as_json(self, system: str = "si") -> dict[str, Any]:
        kind = "gauge" if self.dimension == "pressure" else None

        def shape(value: float | None) -> Any:
            return value if self.dimension in ("seconds", "percent") else as_json(value, self.dimension, system=system, kind=kind)

        made: dict[str, Any] = {
            "low": shape(self.low),
            "high": shape(self.high),
            "aim": shape(self.aim),
            "words": self.words,
            "missing": self.missing or None,
            **self.source.as_json(),
        }
        if self.table:
            made["table"] = [
                {
                    "temperature": as_json(t_k, "temperature", system=system),
                    "expected": shape(aim),
                    "doubt": as_json(doubt, self.dimension, system=system),
                }
                for t_k, aim, doubt in self.table
            ]
        return made


def _words(job: Job, low: float | None, high: float | None, dimension: str, aim: float | None = None) -> str:
    def say(value: float) -> str:
        return for_people(value, dimension, system=job.system, digits=2 if dimension == "mass" else 1)

    ends = ""
    if low is not None and high is not None:
        ends = f"{say(low)} to {say(high)}"
    elif high is not None:
        ends = f"at most {say(high)}"
    elif low is not None:
        ends = f"at least {say(low)}"
    return "; ".join(each for each in (say(aim) if aim is not None else "", ends) if each)


def _limit(
    job: Job,
    reading: str,
    dimension: str,
    *,
    low: Fraction | float | None = None,
    high: Fraction | float | None = None,
    aim: Fraction | float | None = None,
    source: Source = PLATE,
    more: str = "",
) -> Limit:
    ends = [None if each is None else float(each) for each in (low, high, aim)]
    words = _words(job, ends[0], ends[1], dimension, ends[2])
    return Limit(
        reading=reading,
        dimension=dimension,
        low=ends[0],
        high=ends[1],
        aim=ends[2],
        words=f"{words}{f' ({more})' if more else ''}",
        source=source,
    )


def _not_on_record(reading: str, dimension: str, fact: str) -> Limit:
    return Limit(reading=reading, dimension=dimension, missing=fact, words=f"unknown: {fact} is not on record")


def _pair_words(job: Job, t_k: float, pa: float) -> str:
    at = for_people(t_k, "temperature", system=job.system, digits=0)
    return f"{at}: {for_people(pa, 'pressure', system=job.system, digits=0)}"


def _gauge(job: Job) -> list[Limit]:
    if job.plate.charge_pa is None:
        return [_not_on_record("gauge", "pressure", "service pressure")]
    table, words = [], []
    for degrees in _TABLE_F:
        try:
            found = judge_gauge(gauge_asked(job, float(job.plate.charge_pa), kelvin_of_f(degrees)), system=job.system)
        except Refusal:
            continue
        if found.expected_gauge_pa is not None and found.uncertainty_pa is not None:
            table.append((kelvin_of_f(degrees), found.expected_gauge_pa, found.uncertainty_pa))
            words.append(_pair_words(job, kelvin_of_f(degrees), found.expected_gauge_pa))
    if not table:
        return [
            Limit(
                reading="gauge",
                dimension="pressure",
                missing="a model of this agent, or its fill density",
                words="unknown: by the maker's chart",
            )
        ]
    found_limits = [
        Limit(reading="gauge", dimension="pressure", table=tuple(table), words="a full unit shows " + ", ".join(words), source=_GAS_LAW)
    ]
    if job.plate.gauge_low_pa is not None and job.plate.gauge_high_pa is not None:
        found_limits.append(
            _limit(job, "gauge", "pressure", low=job.plate.gauge_low_pa, high=job.plate.gauge_high_pa, more="the printed band")
        )
    return found_limits


def _gross(job: Job) -> list[Limit]:
    plate = job.plate
    if plate.gross_low_kg is not None and plate.gross_high_kg is not None:
        return [_limit(job, "gross", "mass", low=plate.gross_low_kg, high=plate.gross_high_kg)]
    if plate.gross_kg is None:
        return [_not_on_record("gross", "mass", "gross weight")]
    return [_limit(job, "gross", "mass", aim=plate.gross_kg, more="the full mark; the band is not on record")]


def _loss(job: Job) -> list[Limit]:
    plate = job.plate
    if plate.gross_kg is None or plate.net_kg is None:
        return [_not_on_record("gross", "mass", "gross weight" if plate.gross_kg is None else "size")]
    least = plate.gross_kg - plate.net_kg * CO2_LOSS_LIMIT_PERCENT / 100
    return [
        _limit(
            job,
            "gross",
            "mass",
            low=least,
            high=plate.gross_high_kg or plate.gross_kg,
            source=Source(text="46 CFR 107.235: 10 % of the net charge", checked="public copy"),
        )
    ]


def _cartridge(job: Job) -> list[Limit]:
    if job.plate.cartridge_kg is None:
        return [_not_on_record("cartridge", "mass", "cartridge weight")]
    return [_limit(job, "cartridge", "mass", low=job.plate.cartridge_low_kg, aim=job.plate.cartridge_kg)]


def _plain(reading: str, field: str, fact: str) -> Callable[[Job], list[Limit]]:
    def found(job: Job) -> list[Limit]:
        value = getattr(job.plate, field)
        return [_limit(job, reading, "pressure", aim=value)] if value is not None else [_not_on_record(reading, "pressure", fact)]

    return found


def _proof(kind: str) -> Callable[[Job], list[Limit]]:
    def found(job: Job) -> list[Limit]:
        chosen = kind or ("cylinder" if job.plate.marking is not None else "shell")
        chosen = "co2-hose" if chosen == "hose" and job.agent == "co2" else "powder-hose" if chosen == "hose" else chosen
        test = ProofTest(
            kind=chosen,
            test_pa=Fraction(10**6),
            on=job.on,
            factory_pa=job.plate.test_pa,
            service_pa=job.plate.charge_pa,
            marking=job.plate.marking,
        )
        needed = required_pressure(test)
        hold = max((each.hold_s for each in holds_of(test)), default=0)
        limits = (
            [_not_on_record("pressure", "pressure", "test pressure")]
            if needed.pa is None
            else [_limit(job, "pressure", "pressure", low=needed.pa)]
        )
        source = Source(text=needed.because, checked="public copy")
        return [*limits, Limit(reading="held", dimension="seconds", low=float(hold), words=f"at least {hold} s", source=source)]

    return found


def _jacket(job: Job) -> list[Limit]:
    if job.plate.marking is None:
        return [_not_on_record("pressure", "pressure", "cylinder specification")]
    least, source = least_test_pa(job.plate.marking, job.on)
    most = limit_of(job.plate.marking, job.on)
    of_table = Source(text=source.for_people(), checked="public copy")
    first = [] if least is None else [_limit(job, "pressure", "pressure", low=least, source=of_table)]
    return [
        *first,
        Limit(
            reading="permanent",
            dimension="percent",
            high=float(most.percent),
            words=f"at most {float(most.percent):g} % of the total expansion",
            source=Source(text=most.source.for_people(), checked="second-hand"),
        ),
    ]


def _agent_in(job: Job) -> list[Limit]:
    if job.plate.net_kg is None:
        return [_not_on_record("mass", "mass", "size")] if job.unit.nameplate.size is None else []
    return [_limit(job, "mass", "mass", aim=job.plate.net_kg)]


def _co2_in(job: Job) -> list[Limit]:
    plate = job.plate
    if plate.marking is None or plate.water_kg is None:
        return [_not_on_record("mass", "mass", "cylinder specification" if plate.marking is None else "water capacity")]
    most = fill_limit(plate.marking, job.on)
    if most is None:
        return [_not_on_record("mass", "mass", "a filling limit for this stamp")]
    # The water that one kilogram of agent asks for turns the capacity into the most that may go in.
    high = plate.water_kg / least_water_kg(charge_kg=Fraction(1), filling_percent=most.percent)
    return [_limit(job, "mass", "mass", high=high, aim=plate.net_kg, source=Source(text="49 CFR 173.304a", checked="public copy"))]


def _ceiling(reading: str) -> Callable[[Job], list[Limit]]:
    def found(job: Job) -> list[Limit]:
        if job.plate.charge_pa is None:
            return [_not_on_record(reading, "pressure", "service pressure")]
        return [
            _limit(
                job,
                reading,
                "pressure",
                high=float(job.plate.charge_pa) + CEILING_ABOVE_PA,
                source=_NFPA_CHARGE,
                more="25 psi over the nameplate pressure",
            )
        ]

    return found


def where_to_stop(job: Job, shell_k: float) -> tuple[Limit, ...]:
    """The target at the shell's temperature of today, and where to stop the gas so that it settles there, as the charging rules plan it."""
    aim = target(job, shell_k)
    if aim is None:
        return ()
    at = for_people(shell_k, "temperature", system=job.system, digits=0)
    words = f"the target at {at} is {for_people(aim[0], 'pressure', system=job.system)}"
    stop = _planned_stop(job, shell_k)
    if stop is not None:
        words += f"; stop the gas at {for_people(stop, 'pressure', system=job.system)}, it settles as the shell cools"
    return (Limit(reading="stopped", dimension="pressure", aim=stop or aim[0], words=words, source=_GAS_LAW),)


def _planned_stop(job: Job, shell_k: float) -> float | None:
    """Where a fast fill is stopped [Pa gauge]; None where the water capacity is not on record or a charge is refused."""
    plate = job.plate
    if plate.charge_pa is None or plate.net_kg is None or plate.water_m3 is None or job.agent is None:
        return None
    asked = ChargeAsked(
        agent=job.agent,
        agent_kg=float(plate.net_kg),
        water_capacity_m3=plate.water_m3,
        pressure_gauge_pa=float(plate.charge_pa),
        shell_k=shell_k,
        on=job.on,
        gas=plate.gas or "nitrogen",
        wheeled=bool(job.unit.nameplate.wheeled),
        last_agent=job.agent,
        has_regulator=True,
        nameplate_gas=plate.gas,
    )
    return plan_charge(asked, system=job.system).stop_at_gauge_pa


def _supply(job: Job) -> list[Limit]:
    limits = _ceiling("regulator")(job)
    if not job.is_water_like:
        wheeled = bool(job.unit.nameplate.wheeled)
        high = DEW_POINT_WHEELED_K_MAX if wheeled else DEW_POINT_K_MAX
        limits.append(_limit(job, "dew-point", "temperature", high=high, source=_PRACTICE if wheeled else _NFPA_CHARGE))
    return limits


def _settled(job: Job) -> list[Limit]:
    table, words = [], []
    for degrees in _CHARGE_TABLE_F:
        try:
            aim = target(job, kelvin_of_f(degrees))
        except Refusal:
            continue
        if aim is not None:
            table.append((kelvin_of_f(degrees), *aim))
            words.append(_pair_words(job, kelvin_of_f(degrees), aim[0]))
    if not table:
        return [_not_on_record("settled", "pressure", "charging pressure, size or water capacity")]
    return [Limit(reading="settled", dimension="pressure", table=tuple(table), words="target at " + ", ".join(words), source=_GAS_LAW)]


def _blow_out(job: Job) -> list[Limit]:
    return [_limit(job, "pressure", "pressure", high=BLOW_OUT_PA_MAX, source=_PRACTICE)]


_LIMITS: Mapping[str, Callable[[Job], list[Limit]]] = {
    "gauge": _gauge,
    "gross-weight": _gross,
    "weight-loss": _loss,
    "cartridge-weight": _cartridge,
    "expellant-pressure": _plain("cylinder", "expellant_pa", "expellant pressure"),
    "regulator": _plain("static", "regulator_pa", "regulator pressure"),
    "shell-proof": _proof(""),
    "hose-proof": _proof("hose"),
    "water-jacket": _jacket,
    "agent-in": _agent_in,
    "co2-in": _co2_in,
    "supply": _supply,
    "stopped": _ceiling("stopped"),
    "settled": _settled,
    "blow-out": _blow_out,
}


def limits_of(job: Job, step: Step, *, shell_k: float | None = None) -> tuple[Limit, ...]:
    """The limits of a step's readings; none where nothing is held against a number. With `shell_k` [K] the charge is planned for it."""
    found = _LIMITS.get(step.judge.by) if step.judge else None
    if found is None or step.judge is None:
        return ()
    planned = where_to_stop(job, shell_k) if step.judge.by == "stopped" and shell_k is not None else ()
    return (*planned, *found(job))
