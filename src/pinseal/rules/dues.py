"""All duties of a fleet on a day: each pack's own due, the due that governs, and the state.

A single unit is a fleet of one. The shapes and the exact rules of the states are in docs/contract.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pinseal.rules.clocks import Basis
from pinseal.rules.columns import Fleet, profiles
from pinseal.rules.matching import Voice, plans_for
from pinseal.rules.result import DEFAULT_HORIZON_DAYS, Evaluation
from pinseal.rules.slices import Run
from pinseal.standards.model import Chosen, Provision


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


def evaluate(
    fleet: Fleet,
    chosen: Sequence[Chosen],
    on: date,
    *,
    horizon_days: int = DEFAULT_HORIZON_DAYS,
    basis: Basis | None = None,
    known_until: date | None = None,
) -> Evaluation:
    """Evaluate every duty of every unit of a fleet on a day, by the chosen packs. Never asks what day it is.

    Facts dated wholly after `known_until` (the day itself unless said) are not counted: that work has not happened.
    """
    voices, provisions = voices_of(chosen, on)
    nameplates = profiles(fleet)
    plans = [{duty: plans_for(ps, duty, nameplates) for duty, ps in found.items()} for found in provisions]
    evaluation = Evaluation(
        on=on,
        known_until=known_until or on,
        horizon_days=horizon_days,
        basis=basis or Basis(),
        fleet=fleet,
        voices=tuple(voices),
        profiles=nameplates,
        plans=plans,
    )
    Run(evaluation).all()
    return evaluation
