"""Where packs differ: for each kind of unit and duty, the intervals that they give, side by side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from pinseal import kinds
from pinseal.rules.columns import Profile
from pinseal.rules.dues import voices_of
from pinseal.rules.matching import plan
from pinseal.standards.model import ATTRIBUTES, Chosen, Clock


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One duty for which packs give different intervals. `units` names the kinds of unit, `intervals` maps pack to interval."""

    duty: str
    units: tuple[str, ...]
    intervals: Mapping[str, str]


def clock_words(clock: Clock) -> str:
    """A clock in a few words: `12 years, then 7 years, end-of-month`."""
    then = clock.interval
    first = clock.first[0].interval if clock.first else None
    if clock.join:
        return f"with the {clock.join} of that year"
    span = f"{first}, then {then}" if first and then and first != then else str(then or first)
    how = "" if clock.convention in ("anniversary", "days") else f", {clock.convention}"
    return f"{span}{how}" + (f", {clock.tolerance_months} month either way" if clock.tolerance_months else "")


_OBSOLETE = frozenset({"soda-acid", "chemical-foam", "vaporising-liquid"})


def _kinds() -> Iterator[tuple[str, str, Profile]]:
    """Full nameplates over the agents, expelling means and shells that are plausible together, and the words for each."""
    for agent in kinds.AGENTS.values():
        if not agent.specific or agent.code in _OBSOLETE:
            continue
        for expelled_by in agent.expelled_by:
            for shell in agent.shells[:2]:
                plate = {"agent": agent.code, "expelled_by": expelled_by, "shell": shell, "wheeled": "no", "rechargeable": "yes"}
                words = f"{kinds.EXPELLED_BY[expelled_by]}, {kinds.SHELLS[shell]}"
                yield agent.code, words, {**dict.fromkeys(ATTRIBUTES), **plate, "hose": "shut-off", "specification": "none"}


def _collapsed(agents: Sequence[str]) -> list[str]:
    """The labels of some agents, a whole group by its own name."""
    left, labels = set(agents), []
    for group, members in kinds.AGENT_GROUPS.items():
        known = {m for m in members if kinds.AGENTS[m].specific}
        if known <= left:
            labels.append(kinds.AGENT_GROUP_LABELS[group])
            left -= known
    return labels + [kinds.AGENTS[a].label for a in agents if a in left]


def _units(found: Mapping[str, Sequence[str]], every: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """The kinds of unit of one difference: agents that differ in all their forms first, the others with the forms meant."""
    if found == every:
        return ("every unit",)
    forms: dict[tuple[str, ...], list[str]] = {}
    for agent, words in found.items():
        forms.setdefault(() if words == every[agent] else tuple(words), []).append(agent)
    return tuple(
        ", ".join(_collapsed(agents)) + (f" ({'; '.join(words)})" if words else "")
        for words, agents in sorted(forms.items(), key=lambda item: len(item[0]))
    )


def differences(chosen: Sequence[Chosen], on: date) -> list[Difference]:
    """Every duty and kind of unit for which at least two packs give a clock and the clocks differ."""
    voices, provisions = voices_of(chosen, on)
    every: dict[str, list[str]] = {}
    found: dict[tuple[str, tuple[tuple[str, str], ...]], dict[str, list[str]]] = {}
    for agent, words, profile in _kinds():
        every.setdefault(agent, []).append(words)
        for duty in kinds.DUTIES:
            said = {}
            for voice, by_duty in zip(voices, provisions, strict=True):
                clocks = plan(by_duty.get(duty, ()), profile, duty).clocks if voice.governs else ()
                if clocks and clocks[0].clock:
                    said[voice.pack] = clock_words(clocks[0].clock)
            if len(set(said.values())) > 1:
                found.setdefault((duty, tuple(said.items())), {}).setdefault(agent, []).append(words)
    order = list(kinds.DUTIES)
    pairs = sorted(found.items(), key=lambda item: order.index(item[0][0]))
    return [Difference(duty=duty, units=_units(agents, every), intervals=dict(said)) for (duty, said), agents in pairs]
