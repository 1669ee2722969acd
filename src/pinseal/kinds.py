"""The codes of the trade and their labels: agents, expelling means, shells, hoses, test methods, duties.

One table for each kind of code. Everything that people read takes its label from here, and everything that
programs exchange uses the codes. Which combinations are plausible is `common practice, no source`: it only
bounds what an unsaid nameplate fact can be, and never overrules what a nameplate says.
"""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.reasons import Refusal

_DRY_SHELLS = ("mild-steel", "stainless-steel", "aluminium", "brazed-brass")
_HIGH_PRESSURE_SHELLS = ("mild-steel", "aluminium")
_WET_SHELLS = ("mild-steel", "stainless-steel", "aluminium", "brass", "glass-fibre")
_OLD_SHELLS = ("mild-steel", "stainless-steel", "brass", "brazed-brass", "soldered-brass")
_DRIVEN = ("stored-pressure", "cartridge", "cylinder")


@dataclass(frozen=True, slots=True, kw_only=True)
class Agent:
    """One extinguishing agent: its label, its family, and what it is commonly expelled by and held in.

    `family` names agents that may be compared for mixing; None means the base is not said, so that the agent is
    never the same family as anything.
    """

    code: str
    label: str
    family: str | None
    expelled_by: tuple[str, ...]
    shells: tuple[str, ...]
    specific: bool = True


def _agent(
    code: str, label: str, family: str | None, expelled_by: tuple[str, ...], shells: tuple[str, ...], *, specific: bool = True
) -> Agent:
    return Agent(code=code, label=label, family=family, expelled_by=expelled_by, shells=shells, specific=specific)


AGENTS: dict[str, Agent] = {
    agent.code: agent
    for agent in (
        _agent("abc", "ABC dry chemical", "acid-powder", _DRIVEN, _DRY_SHELLS),
        _agent("sodium-bicarbonate", "sodium bicarbonate dry chemical", "sodium-bicarbonate", _DRIVEN, _DRY_SHELLS),
        _agent("potassium-bicarbonate", "potassium bicarbonate dry chemical", "potassium-bicarbonate", _DRIVEN, _DRY_SHELLS),
        _agent("urea-potassium-bicarbonate", "urea-potassium bicarbonate dry chemical", "urea-potassium-bicarbonate", _DRIVEN, _DRY_SHELLS),
        _agent("potassium-chloride", "potassium chloride dry chemical", "potassium-chloride", _DRIVEN, _DRY_SHELLS),
        _agent("dry-chemical", "dry chemical, base not said", None, _DRIVEN, _DRY_SHELLS, specific=False),
        _agent("class-d", "class D powder, kind not said", None, _DRIVEN, ("mild-steel",), specific=False),
        _agent("class-d-sodium-chloride", "class D powder, sodium chloride", "class-d-sodium-chloride", _DRIVEN, ("mild-steel",)),
        _agent("class-d-copper", "class D powder, copper", "class-d-copper", _DRIVEN, ("mild-steel",)),
        _agent("class-d-graphite", "class D powder, graphite", "class-d-graphite", _DRIVEN, ("mild-steel",)),
        _agent("co2", "carbon dioxide", "co2", ("self-expelling",), _HIGH_PRESSURE_SHELLS),
        _agent("halon-1211", "Halon 1211", "halon-1211", ("stored-pressure",), _DRY_SHELLS),
        _agent("halon-1301", "Halon 1301", "halon-1301", ("stored-pressure", "self-expelling"), _DRY_SHELLS),
        _agent("halocarbon", "halocarbon, kind not said", None, ("stored-pressure",), _DRY_SHELLS, specific=False),
        _agent("halocarbon-hfc-227ea", "HFC-227ea", "halocarbon-hfc-227ea", ("stored-pressure",), _DRY_SHELLS),
        _agent("halocarbon-hfc-236fa", "HFC-236fa", "halocarbon-hfc-236fa", ("stored-pressure",), _DRY_SHELLS),
        _agent("halocarbon-fk-5-1-12", "FK-5-1-12", "halocarbon-fk-5-1-12", ("stored-pressure",), _DRY_SHELLS),
        _agent("halocarbon-hcfc", "HCFC halocarbon", "halocarbon-hcfc", ("stored-pressure",), _DRY_SHELLS),
        _agent("water", "water", "water", ("stored-pressure", "cartridge", "pump"), _WET_SHELLS),
        _agent("antifreeze", "water with antifreeze", "antifreeze", ("stored-pressure", "cartridge", "pump"), _WET_SHELLS),
        _agent("loaded-stream", "loaded stream", "loaded-stream", ("stored-pressure", "cartridge"), _WET_SHELLS),
        _agent("wetting-agent", "wetting agent", "wetting-agent", ("stored-pressure", "cartridge"), _WET_SHELLS),
        _agent("afff", "AFFF foam", "afff", _DRIVEN, _WET_SHELLS),
        _agent("fffp", "FFFP foam", "fffp", _DRIVEN, _WET_SHELLS),
        _agent("fluorine-free-foam", "fluorine-free foam", "fluorine-free-foam", _DRIVEN, _WET_SHELLS),
        _agent("wet-chemical", "wet chemical", "wet-chemical", ("stored-pressure", "cartridge"), _WET_SHELLS),
        _agent("water-mist", "water mist", "water-mist", ("stored-pressure",), ("stainless-steel",)),
        _agent("soda-acid", "soda-acid", "soda-acid", ("self-expelling",), _OLD_SHELLS),
        _agent("chemical-foam", "chemical foam", "chemical-foam", ("self-expelling",), _OLD_SHELLS),
        _agent("vaporising-liquid", "vaporising liquid", "vaporising-liquid", ("stored-pressure", "pump"), _OLD_SHELLS),
    )
}

# Names for groups of agents, so that a provision can say "all dry chemical" as its document does.
AGENT_GROUPS: dict[str, tuple[str, ...]] = {
    "all-dry-chemical": (
        "abc", "sodium-bicarbonate", "potassium-bicarbonate", "urea-potassium-bicarbonate", "potassium-chloride", "dry-chemical",
    ),
    "all-class-d": ("class-d", "class-d-sodium-chloride", "class-d-copper", "class-d-graphite"),
    "all-halon": ("halon-1211", "halon-1301"),
    "all-halocarbon": ("halocarbon", "halocarbon-hfc-227ea", "halocarbon-hfc-236fa", "halocarbon-fk-5-1-12", "halocarbon-hcfc"),
    "all-foam": ("afff", "fffp", "fluorine-free-foam"),
    "all-water": ("water", "antifreeze", "loaded-stream", "wetting-agent"),
}  # fmt: skip

AGENT_GROUP_LABELS: dict[str, str] = {
    "all-dry-chemical": "dry chemical",
    "all-class-d": "class D powder",
    "all-halon": "halon",
    "all-halocarbon": "other halocarbons",
    "all-foam": "foam",
    "all-water": "water types",
}

EXPELLED_BY: dict[str, str] = {
    "stored-pressure": "stored pressure",
    "cartridge": "gas cartridge",
    "cylinder": "separate gas cylinder",
    "self-expelling": "its own vapour or reaction (self-expelling)",
    "pump": "hand pump",
}

SHELLS: dict[str, str] = {
    "mild-steel": "mild steel",
    "stainless-steel": "stainless steel",
    "aluminium": "aluminium",
    "brass": "brass",
    "brazed-brass": "brazed brass",
    "soldered-brass": "soldered brass",
    "glass-fibre": "glass fibre",
}

HOSES: dict[str, str] = {"none": "no hose", "plain": "plain hose", "shut-off": "hose with a shut-off nozzle at its end"}

# 49 CFR 180.209(j) turns on a water capacity of 12 lb; no other document here asks for a capacity.
WATER_CAPACITIES: dict[str, str] = {"up-to-12-lb": "water capacity of 12 lb or less", "over-12-lb": "water capacity over 12 lb"}

YES_NO: dict[str, str] = {"yes": "yes", "no": "no"}

TEST_METHODS: dict[str, str] = {"proof-pressure": "proof pressure", "water-jacket": "water jacket (volumetric)"}

DUTIES: dict[str, str] = {
    "inspection": "inspection",
    "maintenance": "maintenance",
    "internal-examination": "internal examination",
    "hydrostatic-test": "hydrostatic test",
    "hose-test": "hose test",
    "conductivity-test": "hose conductivity test",
    "agent-renewal": "agent renewal",
    "expellant-cylinder-test": "expellant cylinder test",
    "regulator-test": "regulator test",
    "retirement": "retirement",
}

# How the trade says that a duty is due, for sentences that start with it.
DUTY_TITLES: dict[str, str] = {code: label.capitalize() for code, label in DUTIES.items()}

# The dated facts that clocks are counted from. `recharge-opened` is a recharge that is known to have included the
# inside work; `recharge-maybe-opened` is the latest recharge that may have.
FACTS: dict[str, str] = {
    "manufactured": "manufacture",
    "placed-in-service": "placing in service",
    "sold-and-tagged": "sale and first tag",
    "inspection": "last inspection",
    "maintenance": "last maintenance",
    "internal-examination": "last internal examination",
    "hydrostatic-test": "last hydrostatic test",
    "recharge": "last recharge",
    "recharge-opened": "last recharge with the inside work",
    "recharge-maybe-opened": "last recharge, perhaps with the inside work",
    "hose-test": "last hose test",
    "conductivity-test": "last hose conductivity test",
    "agent-renewal": "last agent renewal",
    "expellant-cylinder-test": "last expellant cylinder test",
    "regulator-test": "last regulator test",
}

STATES: dict[str, str] = {
    "withdraw": "withdraw",
    "overdue": "overdue",
    "may be overdue": "may be overdue",
    "due": "due",
    "ahead": "ahead",
    "unknown": "unknown",
}

MAINTENANCE_BASES: dict[str, str] = {
    "anniversary": "due on the same day of the next year, as the provision says",
    "tag-month": "due by the end of the same month of the next year, as tags are punched",
    "strict-365": "due 365 days later, as some contracts say",
}

CHECKED: dict[str, str] = {
    "public copy": "read in a public copy of the text",
    "second-hand": "read in a second-hand summary",
    "memory": "from memory, fairly sure",
    "unsure": "from memory, unsure: shown, never governs",
    "practice": "common practice, no source",
}

# What a stored-pressure unit is charged with; a nameplate names one.
GASES: dict[str, str] = {"nitrogen": "nitrogen", "argon": "argon", "air": "dry air", "helium": "helium"}

VERDICTS: dict[str, str] = {"pass": "pass", "fail": "fail", "too-close": "too close to tell", "unknown": "unknown"}

# What a person fixes to a unit as a sign of the work.
MARKS: dict[str, str] = {
    "tag": "service tag",
    "collar": "collar of the inside work",
    "six-year-label": "six-year label",
    "test-label": "test label",
    "hose-label": "hose test label",
    "red-tag": "red tag: out of order",
}

# Who is told of an impaired unit.
TOLD: dict[str, str] = {
    "owner": "the owner, in writing",
    "authority": "the local authority",
    "authority-copy": "the local authority: a copy of the notice to the owner",
    "authority-clearance": "the local authority: that it was cleared",
}

# Where agent goes that was taken out, and where a unit goes that was taken away.
AGENT_WAYS: dict[str, str] = {
    "recovered": "recovered here",
    "discarded": "discarded",
    "sent-for-recovery": "sent for recovery",
    "returned-to-unit": "put back into the unit",
}
# Where a batch of agent comes from, where it is sent, and what a charge is: the first of a unit, or one after use.
AGENT_ORIGINS: dict[str, str] = {"virgin": "bought virgin", "recycled": "bought recycled", "unknown": "not known"}
BATCH_WAYS: dict[str, str] = {
    "recycling": "sent for recycling",
    "destruction": "sent for destruction",
    "supplier": "returned to the supplier",
    "sold": "sold",
}
FILLS: dict[str, str] = {"first": "first fill", "service": "after use or service"}
AWAY_TO: dict[str, str] = {"bench": "the bench", "van": "the van", "maker": "the maker", "scrap": "scrap", "other": "another place"}

INSTRUMENTS: dict[str, str] = {
    "scale": "scale",
    "regulator": "pressure regulator",
    "test-gauge": "test gauge",
    "master-gauge": "master gauge or dead-weight tester",
    "thermometer": "thermometer",
    "test-jacket": "water jacket",
    "calibrated-cylinder": "calibrated cylinder",
    "recovery-machine": "recovery machine",
    "conductivity-tester": "conductivity tester",
    "torque-wrench": "torque wrench",
    "hygrometer": "hygrometer",
}

ROLES: dict[str, str] = {"technician": "technician", "bench": "bench worker", "supervisor": "supervisor", "helper": "helper"}

# Specifications of transportable cylinders (49 CFR part 178) and how requalification treats them as a group.
CYLINDER_SPECIFICATIONS: tuple[str, ...] = (
    "3", "3A", "3AA", "3AX", "3AAX", "3AL", "3E", "3HT", "4B", "4BA", "4BW", "4B240ET", "4D", "4DA", "4DS", "4E", "39", "none",
)  # fmt: skip


def require(code: str, table: dict[str, Agent] | dict[str, str], *, what: str) -> str:
    """Return `code` if the table knows it; else refuse with the codes that are known."""
    if code in table:
        return code
    raise Refusal(
        what=f"unknown {what}",
        rule=f"{what} is one of: {', '.join(table)}",
        got=code,
        do=f"use one of the listed codes for {what}",
    )


def agent_label(code: str | None) -> str:
    """The label of an agent for people; `agent not said` for None."""
    return AGENTS[code].label if code else "agent not said"
