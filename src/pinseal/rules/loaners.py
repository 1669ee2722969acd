"""May this unit stand in for that one, and by when must the owner's own unit be back.

Sources stand in `standards/loaners.toml`. That a kitchen spot takes wet chemical alone, and that a metal fire takes its own powder alone,
is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from pinseal.kinds import AGENT_GROUPS, AGENTS, DUTIES, agent_label
from pinseal.reasons import Refusal
from pinseal.records.unit import Nameplate
from pinseal.rules.ratings import Rating, at_least, parse_rating
from pinseal.standards.loaners import loan_data
from pinseal.standards.pressure_tests import Source

HAZARDS = "ABCDKF"
UNPROTECTED = "keep the unit or fetch a wet chemical one; the spot stands unprotected"
_DAYS_MOST = 3650


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaner:
    """A unit that may stand in: its nameplate and how it stands. None is not said.

    `overdue` and `perhaps_overdue` are the duties (codes) that it owes itself; `overdue` None means that nobody worked them out.
    `removed`, `withdrawn` and `away` say in words why it is not to be had.
    """

    plate: Nameplate
    overdue: tuple[str, ...] | None
    perhaps_overdue: tuple[str, ...] = ()
    removed: str | None = None
    withdrawn: str | None = None
    away: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanerVerdict:
    """pass, fail or unknown, why, what would settle an unknown, and the rules that ask for it."""

    verdict: str
    because: tuple[str, ...]
    would_settle: tuple[str, ...]
    sources: tuple[Source, ...]


class _Case:
    """What speaks against, what is open and what speaks for it; the worst of them is the verdict."""

    def __init__(self) -> None:
        self.against: list[str] = []
        self.open: list[str] = []
        self.settle: list[str] = []
        self.good: list[str] = []

    def unsure(self, words: str, settle: str) -> None:
        self.open.append(words)
        self.settle.append(settle)

    def verdict(self) -> LoanerVerdict:
        state = "fail" if self.against else "unknown" if self.open else "pass"
        because = (*self.against, *self.open, *([] if self.against else self.good))
        settle = () if self.against else tuple(dict.fromkeys(self.settle))
        return LoanerVerdict(
            verdict=state, because=because, would_settle=settle, sources=tuple(rule.source for rule in loan_data().rules.values())
        )


def _hazard(hazard: str | None) -> str:
    """The letters of a hazard. Raises `Refusal`."""
    letters = "".join(each for each in (hazard or "").upper() if each not in " :/,;-")
    if any(letter not in HAZARDS for letter in letters):
        raise Refusal(
            what="this is not a hazard",
            rule=f"letters of {', '.join(HAZARDS)}",
            got=str(hazard)[:40],
            do="write the classes, as in A:B or K",
        )
    return letters


def _rating(text: str | None, whose: str, case: _Case) -> Rating | None:
    """A rating that is said; one that cannot be read leaves the question open."""
    if text is None or not text.strip():
        return None
    try:
        return parse_rating(text)
    except Refusal as refusal:
        case.unsure(
            f"the rating of {whose} cannot be read: {refusal.rule} (it says {refusal.got})", f"the rating of {whose}, from its nameplate"
        )
        return None


def _standing(loaner: Loaner, case: _Case) -> None:
    """A loaner must itself be fit to hang."""
    for words, why in (("is no longer in use", loaner.removed), ("is withdrawn", loaner.withdrawn), ("is itself away", loaner.away)):
        if why is not None:
            case.against.append(f"the loaner {words}: {why}" if why else f"the loaner {words}")
    if loaner.overdue is None:
        case.unsure("nobody worked out whether the loaner's own duties are overdue", "the loaner's own dues on the day")
    elif loaner.overdue:
        case.against.append(f"the loaner is overdue for its own {_duties(loaner.overdue)}")
    if loaner.perhaps_overdue:
        case.unsure(
            f"the loaner may be overdue for its own {_duties(loaner.perhaps_overdue)}", "the exact dates of the loaner's own service"
        )


def _duties(codes: Iterable[str]) -> str:
    return ", ".join(DUTIES.get(code, code) for code in codes)


def _kitchen(loaner: Nameplate, case: _Case) -> None:
    if loaner.agent is None:
        case.unsure("a kitchen spot takes wet chemical alone, and the agent of the loaner is not said", "the agent of the loaner")
    elif loaner.agent != "wet-chemical":
        case.against.append(f"no valid cover: a kitchen spot takes wet chemical alone, not {agent_label(loaner.agent)}; {UNPROTECTED}")


def _metal(loaner: Nameplate, original: Nameplate, case: _Case) -> None:
    """A burning metal takes the powder that was chosen for it, and no other."""
    same = "a class D spot takes the same class D powder alone"
    if loaner.agent is not None and loaner.agent not in AGENT_GROUPS["all-class-d"]:
        case.against.append(f"{same}, not {agent_label(loaner.agent)}")
    elif original.agent not in AGENT_GROUPS["all-class-d"] or not AGENTS[original.agent].specific:
        case.unsure(f"{same}, and it is not said which was chosen for this metal", "the class D powder of the original")
    elif loaner.agent is None or not AGENTS[loaner.agent].specific:
        case.unsure(f"{same}, and it is not said which the loaner holds", "the class D powder of the loaner")
    elif loaner.agent != original.agent:
        case.against.append(f"{same}: this one holds {agent_label(loaner.agent)}, the original {agent_label(original.agent)}")


def _is_smaller(loaner: Nameplate, original: Nameplate) -> bool | None:
    """Whether the loaner holds less; None where a size is not said or mass stands against volume."""
    if loaner.size is None or original.size is None or loaner.size.dimension != original.size.dimension:
        return None
    return loaner.size.si < original.size.si


def _by_size(loaner: Nameplate, original: Nameplate, case: _Case) -> None:
    """The original's rating is not said: only the same agent in at least the same size is surely no worse."""
    same = loaner.agent is not None and loaner.agent == original.agent and AGENTS[loaner.agent].specific
    if same and _is_smaller(loaner, original) is False:
        case.good.append(
            f"the rating of the original is not said; this rests on size alone: the same agent, {loaner.size} against {original.size}"
        )
        return
    case.unsure(
        "the rating of the original is not said, and the loaner is not surely the same agent in at least the same size",
        "the rating of the original, from its nameplate",
    )


def _by_rating(mine: Rating | None, loaner: Nameplate, theirs: Rating, original: Nameplate, case: _Case) -> None:
    if mine is None:
        case.unsure("the rating of the loaner is not said", "the rating of the loaner, from its nameplate")
        return
    found = at_least(mine, theirs)
    if found.verdict == "unknown":
        case.unsure(found.because[0], "a loaner that is rated by the scale of the original")
    else:
        (case.good if found.verdict == "yes" else case.against).extend(found.because)
    unnumbered = not any((theirs.a, theirs.b, theirs.f))
    if found.verdict == "yes" and unnumbered and _is_smaller(loaner, original):
        case.good.append(f"mind: this rating has no number, and the loaner is smaller, {loaner.size} against {original.size}")


def _for_hazard(mine: Rating | None, hazard: str, case: _Case) -> None:
    """The loaner must carry the letters of the hazard. A kitchen fire is K on one scale and F on the other."""
    if mine is None:
        if set(hazard) - set("DKF"):  # those three are settled by the agent
            case.unsure("the hazard is said, and the rating of the loaner is not", "the rating of the loaner, from its nameplate")
        return
    for letter in hazard:
        carried = set("KF") & set(mine.letters) if letter in "KF" else letter in mine.letters
        if not carried:
            case.against.append(f"the loaner is not rated for the hazard: {mine.for_people()} does not carry {letter}")


def may_stand_in(loaner: Loaner, original: Nameplate, *, hazard: str | None = None) -> LoanerVerdict:
    """Whether a unit may hang in the place of another while that is away.

    `hazard`: the classes of fire at the spot, as in `A:B` or `K`; None where it is not said, then the original's own letters stand for it.
    Raises `Refusal` for a hazard that is none.
    """
    case, letters = _Case(), _hazard(hazard)
    _standing(loaner, case)
    theirs = _rating(original.rating, "the original", case)
    mine = _rating(loaner.plate.rating, "the loaner", case)
    spot = set(letters) | set("" if theirs is None else theirs.letters)
    if spot & set("KF") or original.agent == "wet-chemical":
        _kitchen(loaner.plate, case)
    if "D" in spot or original.agent in AGENT_GROUPS["all-class-d"]:
        _metal(loaner.plate, original, case)
    if theirs is not None:
        _by_rating(mine, loaner.plate, theirs, original, case)
    elif original.rating is None or not original.rating.strip():
        _by_size(loaner.plate, original, case)
    _for_hazard(mine, letters, case)
    if loaner.plate.agent is not None and original.agent is not None and loaner.plate.agent != original.agent:
        words = f"mind: it holds {agent_label(loaner.plate.agent)}, the original {agent_label(original.agent)}"
        case.good.append(f"{words}; see that what stands there can bear it (common practice, no source)")
    return case.verdict()


@dataclass(frozen=True, slots=True, kw_only=True)
class BackBy:
    """The last day by which the owner's own unit is back, None where nothing sets one; why; the rule's source where a rule set it."""

    on: date | None
    because: str
    source: Source | None = None


def back_by(*, taken_on: date, packs: Iterable[str], contract_days: int | None = None) -> BackBy:
    """When a unit that was taken away must be back: the rule's calendar days, or the contract's where those are fewer.

    `packs`: the rule packs that the shop works by, an edition after @ or not. Raises `Refusal` for days that cannot be.
    """
    if contract_days is not None and not 0 <= contract_days <= _DAYS_MOST:
        raise Refusal(
            what="these are no days of a contract",
            rule=f"0 to {_DAYS_MOST} whole days",
            got=str(contract_days),
            do="read the contract again",
        )
    chosen = {pack.partition("@")[0] for pack in packs}
    rules = [rule for rule in loan_data().back if rule.pack in chosen and rule.source.holds_on(taken_on)]
    rule = min(rules, key=lambda each: each.days, default=None)
    if contract_days is not None and (rule is None or contract_days < rule.days):
        return BackBy(on=_after(taken_on, contract_days), because=f"the contract gives {contract_days} days")
    if rule is None:
        return BackBy(
            on=None, because="none of the packs chosen sets a day, and no contract was said; the spot must be covered all the while"
        )
    words = f"the owner's own unit is back within {rule.days} calendar days ({rule.source.for_people()})"
    if contract_days is not None:
        words += f"; the contract gives {contract_days}"
    return BackBy(on=_after(taken_on, rule.days), because=words, source=rule.source)


def _after(day: date, days: int) -> date:
    try:
        return day + timedelta(days=days)
    except OverflowError as mistake:
        raise Refusal(
            what="this date cannot be counted on from", rule="years run to 9999", got=day.isoformat(), do="check the date"
        ) from mistake
