"""All duties of a fleet on a day: each pack's own due, the due that governs, and the state.

A single unit is a fleet of one. The shapes and the exact rules of the states are in docs/contract.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache

from pinseal.rules.clocks import Basis
from pinseal.rules.columns import Fleet, Profile, profiles
from pinseal.rules.matching import Plan, Voice, plan
from pinseal.rules.result import DEFAULT_HORIZON_DAYS, Evaluation
from pinseal.rules.slices import Run
from pinseal.standards.model import ATTRIBUTES, Chosen, Provision


def voices_of(chosen: Sequence[Chosen], on: date) -> tuple[list[Voice], list[dict[str, tuple[Provision, ...]]]]:
    """The voices of the chosen packs, and for each the provisions in force on that day, by duty.

    A pack speaks twice where it also holds provisions that were only vaguely remembered: those are shown, and never govern.
    """
    voices, provisions = [], []
    for governs in (True, False):
        for pick in chosen:
            found: dict[str, tuple[Provision, ...]] = {}
            for provision in pick.provisions:
                if provision.governs == governs and provision.in_force(on):
                    found[provision.duty] = (*found.get(provision.duty, ()), provision)
            if found or governs:
                voices.append(Voice(chosen=pick, governs=governs))
                provisions.append(found)
    return voices, provisions


@cache
def _plan_for(provisions: tuple[Provision, ...], duty: str, known: tuple[tuple[str, str | None], ...]) -> Plan:
    return plan(provisions, {**dict.fromkeys(ATTRIBUTES), **dict(known)}, duty)


def _plans(provisions: tuple[Provision, ...], duty: str, profile_list: Sequence[Profile]) -> list[Plan]:
    """Match each nameplate, remembering the answer by the attributes that these provisions ask about."""
    asked = {a for p in provisions for a in p.applies} | {"agent", "expelled_by"} | ({"wheeled"} if duty == "hose-test" else set())
    return [_plan_for(provisions, duty, tuple((a, p[a]) for a in ATTRIBUTES if a in asked)) for p in profile_list]


def evaluate(
    fleet: Fleet, chosen: Sequence[Chosen], on: date, *, horizon_days: int = DEFAULT_HORIZON_DAYS, basis: Basis | None = None
) -> Evaluation:
    """Evaluate every duty of every unit of a fleet on a day, by the chosen packs. Never asks what day it is."""
    voices, provisions = voices_of(chosen, on)
    profile_list, profile = profiles(fleet)
    plans = [{duty: _plans(ps, duty, profile_list) for duty, ps in found.items()} for found in provisions]
    evaluation = Evaluation(
        on=on,
        horizon_days=horizon_days,
        basis=basis or Basis(),
        fleet=fleet,
        voices=tuple(voices),
        profile_list=profile_list,
        profile=profile,
        plans=plans,
    )
    Run(evaluation).all()
    return evaluation
