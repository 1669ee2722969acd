"""What stands against charging a unit, each with its code and its reason. Nothing here computes a pressure.

Facts: 49 CFR and nameplates bind the test date; NFPA 10 clause 7.8.4 (from memory) the regulator at most 25 psi above the
operating pressure, no unregulated source, dry gas of a dew point of -60 F; -70 F for wheeled units, no conversion of one agent
into another by habit, and acid powder never with alkaline powder: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from pinseal.dates import PartialDate
from pinseal.kinds import AGENT_GROUPS, AGENTS, agent_label
from pinseal.measures import PSI_PA, for_people
from pinseal.physics.agent_densities import AGENT_DENSITIES

CEILING_ABOVE_PA = 25 * float(PSI_PA)
DEW_POINT_K_MAX = 222.03888888888889  # -60 F
DEW_POINT_WHEELED_K_MAX = 216.48333333333332  # -70 F
# Two readings of one number may differ in the last bit; nobody reads a millipascal.
_SLACK_PA, _SLACK_K = 1e-3, 1e-6

# Liquids that air may expel: the moisture of air does no harm where there is water already.
WATER_LIKE = ("water", "antifreeze", "loaded-stream", "wetting-agent", "water-mist", "afff", "fffp", "fluorine-free-foam", "wet-chemical")
INERT_GASES = ("nitrogen", "argon", "helium")
_ACID = ("abc",)
_ALKALINE = ("sodium-bicarbonate", "potassium-bicarbonate", "urea-potassium-bicarbonate", "potassium-chloride")
_OWN_PRESSURE = ("co2", "soda-acid", "chemical-foam", "vaporising-liquid")
_VAPOUR = (*AGENT_GROUPS["all-halon"], *AGENT_GROUPS["all-halocarbon"])

REFUSAL_CODES = (
    "past-test-date", "above-ceiling", "condemned", "nonrechargeable", "no-regulator", "wrong-gas", "moist-gas", "agent-family",
    "overfilled", "not-by-pressure", "no-density",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeRefusal:
    """One thing that stands against the charge."""

    code: str
    because: str

    def __post_init__(self) -> None:
        assert self.code in REFUSAL_CODES, "a refusal has a code of the contract"

    def as_json(self) -> dict[str, str]:
        return {"code": self.code, "because": self.because}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeAsked:
    """What is known of the unit, the gas and the supply. None means not said; pressures are gauge [Pa].

    `pressure_gauge_pa` is the nameplate's at 70 F, `shell_k` the shell's temperature now. `regulator_gauge_pa` is its setting;
    `has_regulator` is False for a bare bottle. `maker_permits` names the maker's document that permits a change of agent.
    """

    agent: str
    agent_kg: float
    water_capacity_m3: float
    pressure_gauge_pa: float
    shell_k: float
    on: date
    gas: str = "nitrogen"
    wheeled: bool = False
    last_agent: str | None = None
    has_regulator: bool | None = None
    regulator_gauge_pa: float | None = None
    dew_point_k: float | None = None
    test_due: PartialDate | None = None
    nonrechargeable: bool = False
    condemned: bool = False
    nameplate_gas: str | None = None
    nameplate_dew_point_k: float | None = None
    nameplate_ceiling_gauge_pa: float | None = None
    maker_permits: str | None = None
    density_kg_m3: float | None = None

    @property
    def ceiling_gauge_pa(self) -> float:
        """The highest regulator setting: 25 psi above the nameplate pressure, or the nameplate's own where that is lower."""
        rule = self.pressure_gauge_pa + CEILING_ABOVE_PA
        return rule if self.nameplate_ceiling_gauge_pa is None else min(rule, self.nameplate_ceiling_gauge_pa)

    @property
    def needs_dry_gas(self) -> bool:
        return self.agent not in WATER_LIKE

    @property
    def dew_point_k_max(self) -> float:
        """The stricter of the nameplate and -60 F, or -70 F for a wheeled unit."""
        rule = DEW_POINT_WHEELED_K_MAX if self.wheeled else DEW_POINT_K_MAX
        return rule if self.nameplate_dew_point_k is None else min(rule, self.nameplate_dew_point_k)


def missing_facts(asked: ChargeAsked) -> tuple[str, ...]:
    """What must be known before gas may flow and was not said."""
    wanted = (
        ("last agent", asked.last_agent is None),
        ("regulator", asked.has_regulator is None),
        ("dew point", asked.dew_point_k is None and asked.needs_dry_gas),
        ("test due", asked.test_due is None),
    )
    return tuple(name for name, absent in wanted if absent)


def _no(code: str, because: str) -> ChargeRefusal:
    return ChargeRefusal(code=code, because=because)


def is_past_test_date(test_due: PartialDate, on: date) -> bool:
    """On the last permitted day itself a unit is not past its date; a date known only to the month or year counts from its first day."""
    return on > test_due.latest if test_due.precision == "day" else on >= test_due.earliest


def mixing_reason(agent: str, last_agent: str, maker_permits: str | None) -> str | None:
    """Why `agent` may not go where `last_agent` was, or None where it may."""
    new, old = agent_label(agent), agent_label(last_agent)
    pair = {agent, last_agent}
    if pair & set(_ACID) and pair & set(_ALKALINE):
        return f"{new} after {old}: acid and alkaline powder make gas and a dangerous rise of pressure; no permission makes that safe"
    if agent == last_agent and AGENTS[agent].family is not None:
        return None
    if maker_permits:
        return None
    if agent == last_agent:
        return f"{new}: the kind is not said, so it is not known to be what was in it before; read the nameplate and say which it is"
    return f"{new} after {old}: different agents are never mixed; only the maker's recorded permission would allow the change"


def _shell(asked: ChargeAsked) -> Iterator[ChargeRefusal]:
    if asked.condemned:
        yield _no("condemned", "The shell is condemned: it is made unusable and never charged again.")
    if asked.nonrechargeable:
        yield _no("nonrechargeable", "The unit is marked nonrechargeable: it is replaced, never charged.")
    if asked.test_due is not None and is_past_test_date(asked.test_due, asked.on):
        known = "" if asked.test_due.precision == "day" else f" (known only to the {asked.test_due.precision}, so its first day counts)"
        yield _no(
            "past-test-date",
            f"The pressure test was due {asked.test_due.for_people()}{known} and it is {PartialDate.of(asked.on).for_people()}: "
            "test the shell before it is charged.",
        )


def _allowed_gases(asked: ChargeAsked) -> tuple[str, ...]:
    if asked.nameplate_gas in INERT_GASES:
        return (asked.nameplate_gas,)
    return ("nitrogen", "air") if asked.agent in WATER_LIKE else ("nitrogen",)


def _gas(asked: ChargeAsked) -> Iterator[ChargeRefusal]:
    allowed = _allowed_gases(asked)
    if asked.gas not in allowed:
        yield _no(
            "wrong-gas",
            f"{asked.gas[0].upper()}{asked.gas[1:]} is not the gas for {agent_label(asked.agent)}: use {' or '.join(allowed)}; another "
            "inert gas only where the nameplate says so. Oxygen and fuel gases can explode.",
        )
    if asked.dew_point_k is not None and asked.needs_dry_gas and asked.dew_point_k > asked.dew_point_k_max + _SLACK_K:
        yield _no(
            "moist-gas",
            f"The gas has a dew point of {for_people(asked.dew_point_k, 'temperature')}; it must be "
            f"{for_people(asked.dew_point_k_max, 'temperature')} or lower{', as the unit is wheeled' if asked.wheeled else ''}: "
            "damp powder cakes.",
        )


def _supply(asked: ChargeAsked) -> Iterator[ChargeRefusal]:
    ceiling = asked.ceiling_gauge_pa
    if asked.has_regulator is False:
        yield _no("no-regulator", "No regulator: a supply bottle holds many times what the shell can bear. Never charge without one.")
    if asked.regulator_gauge_pa is not None and asked.regulator_gauge_pa > ceiling + _SLACK_PA:
        yield _no(
            "above-ceiling",
            f"The regulator is set to {for_people(asked.regulator_gauge_pa, 'pressure')}, above the ceiling of "
            f"{for_people(ceiling, 'pressure')}: turn it down first.",
        )


def _agent(asked: ChargeAsked) -> Iterator[ChargeRefusal]:
    label = agent_label(asked.agent)
    if asked.last_agent is not None:
        reason = mixing_reason(asked.agent, asked.last_agent, asked.maker_permits)
        if reason:
            yield _no("agent-family", reason[0].upper() + reason[1:] + ".")
    if asked.agent in _OWN_PRESSURE:
        how = "it is filled by weight" if asked.agent == "co2" else "the type is obsolete and goes out of use"
        yield _no("not-by-pressure", f"{label[0].upper()}{label[1:]} is never charged by pressure: {how}.")
    elif asked.agent in _VAPOUR:
        yield _no(
            "no-density",
            f"No density holds for {label} while nitrogen dissolves in it: fill by weight, then follow the maker's "
            "temperature-pressure chart, agitate, and top up until it is steady.",
        )
    elif asked.agent not in AGENT_DENSITIES and asked.density_kg_m3 is None:
        yield _no("no-density", f"No true density is held for {label}: say which it is, or give the maker's with --density.")


def refusals_before_sums(asked: ChargeAsked) -> tuple[ChargeRefusal, ...]:
    """Everything that stands against the charge before any pressure is worked out."""
    return (*_shell(asked), *_supply(asked), *_gas(asked), *_agent(asked))
