"""Which provisions fit a nameplate, and what a fact that is not said leaves open.

A nameplate fact that is not said is tried with every code that is plausible for the rest of the nameplate
(`kinds`, common practice). The plan then holds every clock that may govern, and names the facts that would settle it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.rules.columns import Profile, Profiles
from pinseal.standards.model import ATTRIBUTES, Chosen, Provision

# A nameplate rarely says these two; a list that leaves them out means "as usual", so they are read as such and named.
_TAKEN_AS_SAID: Mapping[str, str | None] = {"rechargeable": "yes", "specification": None}

# Duties of a part that a unit may lack. They are claimed only where the unit is known well enough to have that part.
COMPONENT_DUTIES = frozenset({"hose-test", "conductivity-test", "agent-renewal", "expellant-cylinder-test", "regulator-test"})
_MAY_BE_LEFT_OPEN = frozenset({"hose", "wheeled", "shell", "rechargeable"})

# Every unit owes these, whether or not a chosen pack speaks of them.
UNIVERSAL_DUTIES = ("inspection", "maintenance", "hydrostatic-test")
_NEVER_TESTED = frozenset({"soda-acid", "chemical-foam", "vaporising-liquid"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """One chosen pack as it speaks in an evaluation: what governs, or (`governs` false) what is shown and never governs."""

    chosen: Chosen
    governs: bool

    @property
    def pack(self) -> str:
        return self.chosen.pack.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What one voice says about one duty of one nameplate.

    `clocks`: the provisions that may set a date, one for each distinct clock. `gaps` and `exempt`: provisions that say
    that there is none, for some reading of the nameplate. `may_not_apply`: in some reading the voice owes nothing.
    `faint`: so open that the voice claims no row of its own; its clocks still count beside a voice that speaks.
    `missing`: the nameplate facts that would settle it. `withdraw`: reasons to take the unit out of use, of which those in
    `perhaps` hold only in some readings.
    """

    clocks: tuple[Provision, ...] = ()
    withdraw: tuple[Provision, ...] = ()
    perhaps: tuple[Provision, ...] = ()
    gaps: tuple[Provision, ...] = ()
    exempt: tuple[Provision, ...] = ()
    may_not_apply: bool = False
    faint: bool = False
    missing: tuple[str, ...] = ()

    @property
    def speaks(self) -> bool:
        return not self.faint and bool(self.clocks or self.gaps or self.withdraw)


SILENT = Plan()


def fits(provision: Provision, profile: Profile) -> bool:
    """Does a fully known nameplate fit the provision?"""
    return all(profile[attribute] in codes for attribute, codes in provision.applies.items())


def _plausible(attribute: str, agent: str | None) -> Sequence[str]:
    if agent is None or attribute not in ("expelled_by", "shell"):
        return ATTRIBUTES[attribute]
    known = kinds.AGENTS[agent]
    return known.expelled_by if attribute == "expelled_by" else known.shells


def _readings(profile: Profile, asked: Sequence[str]) -> Iterator[dict[str, str | None]]:
    """Every full reading of a nameplate over the attributes that are asked about and not said."""
    taken = {name: code if code is not None else _TAKEN_AS_SAID.get(name) for name, code in profile.items()}
    agents = ATTRIBUTES["agent"] if profile["agent"] is None and "agent" in asked else (profile["agent"],)
    open_names = [a for a in asked if a != "agent" and profile[a] is None and a not in _TAKEN_AS_SAID]
    for agent in agents:
        for codes in product(*(_plausible(name, agent) for name in open_names)):
            yield {**taken, "agent": agent, **dict(zip(open_names, codes, strict=True))}


_Outcome = tuple[object, ...]


def _outcome(found: Sequence[Provision]) -> _Outcome:
    """What distinguishes two answers: the clock, not the clause that gives it."""
    return tuple(p.clock if p.effect == "clock" else p.effect for p in found if p.effect != "exempt")


def _distinguishing(readings: Sequence[Mapping[str, str | None]], outcomes: Sequence[_Outcome], names: Sequence[str]) -> list[str]:
    """The attributes of which a change alone changes the outcome."""
    found = []
    for name in names:
        groups: dict[tuple[object, ...], set[_Outcome]] = defaultdict(set)
        for reading, outcome in zip(readings, outcomes, strict=True):
            groups[tuple(v for k, v in reading.items() if k != name)].add(outcome)
        if any(len(group) > 1 for group in groups.values()):
            found.append(name)
    return found


def _missing(
    profile: Profile, provisions: Sequence[Provision], readings: Sequence[dict[str, str | None]], outcomes: Sequence[_Outcome]
) -> list[str]:
    asked = [a for a in ATTRIBUTES if profile[a] is None and any(a in p.applies for p in provisions)]
    names = _distinguishing(readings, outcomes, [a for a in asked if a not in _TAKEN_AS_SAID])
    if "rechargeable" in asked:
        other = [_outcome([p for p in provisions if fits(p, {**reading, "rechargeable": "no"})]) for reading in readings]
        if list(outcomes) != other:
            names.append("rechargeable")
    return [a for a in ATTRIBUTES if a in names]


def _hose_is_unlikely(profile: Profile) -> bool:
    """A shut-off nozzle at the hose end belongs to wheeled, cartridge and cylinder units (common practice, no source)."""
    return profile["hose"] is None and profile["wheeled"] != "yes" and profile["expelled_by"] not in ("cartridge", "cylinder")


def _too_uncertain(duty: str, profile: Profile, missing: Sequence[str]) -> bool:
    """Is it so open whether the unit owes this duty at all, that a row for it alone would be noise?"""
    if duty not in COMPONENT_DUTIES:
        return False
    return not set(missing) <= _MAY_BE_LEFT_OPEN or (duty == "hose-test" and _hose_is_unlikely(profile))


def plan(voice_provisions: Sequence[Provision], profile: Profile, duty: str) -> Plan:
    """Match the provisions of one voice and one duty against one nameplate."""
    asked = [a for a in ATTRIBUTES if any(a in p.applies for p in voice_provisions)]
    readings = list(_readings(profile, asked))
    matches = [[p for p in voice_provisions if fits(p, reading)] for reading in readings]
    if not any(matches):
        return SILENT
    outcomes = [_outcome(found) for found in matches]
    missing = _missing(profile, voice_provisions, readings, outcomes)
    may_not_apply = not all(outcomes) and any(outcomes)
    if duty == "retirement":
        return _retirement_plan(matches, profile)
    every = list(dict.fromkeys(p for found in matches for p in found))
    clocks = tuple({p.clock: p for p in reversed([p for p in every if p.effect == "clock"])}.values())[::-1]
    if may_not_apply and _too_uncertain(duty, profile, missing):
        return Plan(clocks=clocks, may_not_apply=True, faint=True, missing=tuple(missing)) if clocks else SILENT
    return Plan(
        clocks=clocks,
        gaps=tuple(p for p in every if p.effect == "gap"),
        exempt=tuple(p for p in every if p.effect == "exempt"),
        may_not_apply=may_not_apply,
        missing=tuple(missing),
    )


def _left_open(provision: Provision, profile: Profile) -> frozenset[str]:
    return frozenset(a for a in provision.applies if profile[a] is None and a not in _TAKEN_AS_SAID)


def _may_be_escaped(provision: Provision, profile: Profile) -> bool:
    """One fact alone is not said: whether old dry chemical is wheeled, or how a unit with an obsolete shell is driven."""
    if provision.at_next:
        return _left_open(provision, profile) == {"wheeled"}
    return "shell" in provision.applies and _left_open(provision, profile) == {"expelled_by"}


def _retirement_plan(matches: Sequence[Sequence[Provision]], profile: Profile) -> Plan:
    """A unit is withdrawn only for reasons that hold in every reading; one that it may escape by a single fact stays open."""
    certain = [p for p in matches[0] if all(p in found for found in matches)]
    fitting = dict.fromkeys(p for found in matches for p in found)
    perhaps = [p for p in fitting if p not in certain and _may_be_escaped(p, profile)]
    every = certain + perhaps
    if not every:
        return SILENT
    return Plan(
        clocks=tuple(p for p in every if p.effect == "clock" and not p.at_next),
        withdraw=tuple(p for p in every if p.effect == "withdraw" or p.at_next),
        perhaps=tuple(perhaps),
        may_not_apply=bool(perhaps),
        missing=tuple(a for a in ATTRIBUTES if any(a in _left_open(p, profile) for p in perhaps)),
    )


@dataclass(frozen=True, slots=True)
class Plans:
    """The distinct plans of one voice and duty, and for each nameplate of the fleet the number of its own."""

    distinct: tuple[Plan, ...]
    index: NDArray[np.int32]

    def __getitem__(self, profile: int) -> Plan:
        return self.distinct[int(self.index[profile])]

    def where(self, test: Callable[[Plan], bool]) -> NDArray[np.bool_]:
        """For each nameplate, whether its plan passes the test."""
        return np.array([test(p) for p in self.distinct], np.bool_)[self.index]


@cache
def _plan_for(provisions: tuple[Provision, ...], duty: str, known: tuple[tuple[str, str | None], ...]) -> Plan:
    return plan(provisions, {**dict.fromkeys(ATTRIBUTES), **dict(known)}, duty)


def plans_for(provisions: tuple[Provision, ...], duty: str, nameplates: Profiles) -> Plans:
    """Match every nameplate of a fleet, once for each combination of the attributes that these provisions ask about."""
    asked = {a for p in provisions for a in p.applies} | {"agent", "expelled_by"} | ({"wheeled"} if duty == "hose-test" else set())
    distinct, index = nameplates.project([a for a in ATTRIBUTES if a in asked])
    return Plans(tuple(_plan_for(provisions, duty, tuple(p.items())) for p in distinct), index)


def owed_anyway(duty: str, nameplates: Profiles) -> NDArray[np.bool_]:
    """For each nameplate, whether it owes the duty whichever documents are chosen."""
    distinct, index = nameplates.project(["agent", "expelled_by", "shell", "rechargeable"])
    return np.array([owes_anyway(duty, p) for p in distinct], np.bool_)[index]


def owes_anyway(duty: str, profile: Profile) -> bool:
    """Does every unit of this kind owe the duty, whichever documents are chosen?"""
    if duty not in UNIVERSAL_DUTIES:
        return False
    if duty != "hydrostatic-test":
        return True
    tested = profile["rechargeable"] != "no" and profile["expelled_by"] != "pump" and profile["shell"] != "soldered-brass"
    return tested and profile["agent"] not in _NEVER_TESTED
