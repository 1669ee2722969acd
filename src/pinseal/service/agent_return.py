"""The figures of a year for each halogenated agent: what was there, came, went and is left, and which entries do not fit.

The account is that of the shop's own stock. Units lie outside of it: what is recovered from them comes in, what is charged into them goes
out. A loss is what the stock lacks; its doubt is that of the scales, judged as by `pinseal balance`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.records.batches import AgentBatch
from pinseal.records.corrections import Fact
from pinseal.records.record_kinds import FACT_OF_FIELD, KINDS
from pinseal.rules.agent_account import WEIGHED, Stretch, book_kg
from pinseal.rules.sums_of_mass import Balance, judge_short
from pinseal.service.agent_ledger import Movement, kg_of
from pinseal.service.batches import Assigned, BatchAccount, account_of, assigned, stretch_json
from pinseal.standards.halocarbon import ACCOUNTED, HalocarbonRule, halocarbon_rules

# Code: (label, +1 comes in, -1 goes out, 0 stands beside the account). The order is that of the paper.
LINES: Mapping[str, tuple[str, int]] = {
    "start": ("in stock at the start", 1),
    "bought-virgin": ("bought, virgin", 1),
    "bought-recycled": ("bought, recycled", 1),
    "bought-unknown": ("came in, origin not known", 1),
    "recovered": ("recovered from units on record", 1),
    "recovered-elsewhere": ("recovered from units not on record", 1),
    "charged-first": ("charged into units, first fill", -1),
    "charged-service": ("charged into units, service", -1),
    "charged-unsaid": ("charged into units, not said which", -1),
    "sent-recycling": ("sent for recycling", -1),
    "sent-destruction": ("sent for destruction", -1),
    "sent-supplier": ("returned to the supplier", -1),
    "sent-sold": ("sold", -1),
    "left": ("left at the end", -1),
    "lost": ("lost: what the stock lacks", 0),
    "discarded": ("taken out of units and discarded", 0),
}
_WAYS_IN = ("", "recovered", "returned-to-unit", "sent-for-recovery")
_USE = frozenset(("placed-in-service", "sold-and-tagged", "agent-taken-out"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """An entry that does not fit, in words. `unit` is the uid of an extinguisher, `batch` the name of a batch; either may be empty."""

    record: str
    done: PartialDate
    words: str
    unit: str = ""
    batch: str = ""

    def as_json(self) -> dict[str, str]:
        return {"record": self.record, "date": str(self.done), "unit": self.unit, "batch": self.batch, "words": self.words}


@dataclass(frozen=True, slots=True, kw_only=True)
class AgentYear:
    """One agent in one year. `lines` are masses [kg] by the codes of `LINES`; None is unknown. `balance` is None where `why` says so.

    `flags` are rules that an entry of the year stands against, each with words.
    """

    agent: str
    lines: Mapping[str, Fraction | None]
    balance: Balance | None
    why: tuple[str, ...]
    misfits: tuple[Misfit, ...]
    flags: tuple[tuple[HalocarbonRule, str], ...]
    accounts: tuple[BatchAccount, ...]

    @property
    def verdict(self) -> str:
        return self.balance.verdict if self.balance else "unknown"

    def as_json(self) -> dict[str, Any]:
        return {
            "agent": self.agent,
            "lines": {code: None if kg is None else round(float(kg), 6) for code, kg in self.lines.items()},
            "unit": "kg",
            "doubt_kg": round(float(self.balance.uncertainty_kg), 6) if self.balance else None,
            "verdict": self.verdict,
            "because": list(self.balance.because) if self.balance else list(self.why),
            "misfits": [each.as_json() for each in self.misfits],
            "stands_against": [{"rule": rule.id, "words": words, "source": rule.source.as_json()} for rule, words in self.flags],
            "batches": [
                {"id": each.batch.id, "uid": each.batch.uid, "account": [stretch_json(one) for one in each.stretches]}
                for each in self.accounts
            ],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class YearReturn:
    """The figures of a year. `scale` names the scale whose doubt was taken, `scale_kg` is that doubt (k = 2) [kg]."""

    year: int
    until: date
    agents: tuple[AgentYear, ...]
    scale_kg: Fraction | None
    scale: str
    rules: tuple[HalocarbonRule, ...]

    @property
    def due(self) -> date | None:
        """The day on which the return is due; None where no rule that holds here names one."""
        return next((day for rule in self.rules if (day := rule.due_after(self.year))), None)

    @property
    def so_far(self) -> bool:
        return self.until < date(self.year, 12, 31)

    def as_json(self) -> dict[str, Any]:
        return {
            "year": self.year,
            "until": self.until.isoformat(),
            "due": self.due.isoformat() if self.due else None,
            "scale": {"id": self.scale, "doubt_kg": None if self.scale_kg is None else round(float(self.scale_kg), 6)},
            "agents": [each.as_json() for each in self.agents],
            "rules": [{"id": rule.id, "words": rule.words, "source": rule.source.as_json()} for rule in self.rules],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How far one weighing may be wrong (k = 2) [kg], and which scale that is."""

    kg: Fraction | None
    name: str = ""


def was_in_use(facts: Sequence[Fact], record: str) -> bool:
    """Whether a unit is known to have been in use before a record of it: it was worked on, placed, emptied, or its list says so."""
    place = next((i for i, fact in enumerate(facts) if fact.uid == record), len(facts))
    for fact in facts[:place]:
        listed = any(name in FACT_OF_FIELD and FACT_OF_FIELD[name] != "manufactured" for name in fact.fields)
        if fact.kind in _USE or (fact.kind in KINDS and KINDS[fact.kind].work) or (fact.kind == "registered" and listed):
            return True
    return False


def year_return(
    year: int, *, today: date, batches: Sequence[AgentBatch], moved: Sequence[Movement], facts: Mapping[str, Sequence[Fact]], scale: Scale
) -> YearReturn:
    """The figures of a year. `moved` are all movements of the shop; `facts` those of the units that were charged in the year."""
    end = date(year, 12, 31)
    ours = [each for each in moved if each.agent in ACCOUNTED and each.done.latest <= end]
    held = [each for each in batches if each.agent in ACCOUNTED and each.began is not None and each.began.earliest <= end]
    named = {each.agent for each in ours if each.done.year == year} | {each.agent for each in held if _is_of(each, year)}
    agents = tuple(
        _agent_year(agent, year, [b for b in held if b.agent == agent], [m for m in ours if m.agent == agent], facts, scale)
        for agent in ACCOUNTED
        if agent in named
    )
    rules = tuple(rule for rule in halocarbon_rules().values() if any(rule.holds_for(each.agent, end) for each in agents))
    return YearReturn(year=year, until=min(today, end), agents=agents, scale_kg=scale.kg, scale=scale.name, rules=rules)


def _is_of(batch: AgentBatch, year: int) -> bool:
    """It lay there in that year, or something was recorded of it then."""
    return batch.used_up is None or batch.used_up.since.latest.year >= year


def _agent_year(
    agent: str, year: int, batches: Sequence[AgentBatch], moved: Sequence[Movement], facts: Mapping[str, Sequence[Fact]], scale: Scale
) -> AgentYear:
    before, end = date(year - 1, 12, 31), date(year, 12, 31)
    given = assigned(batches, [each for each in moved if each.went_to in _WAYS_IN and not _straight(each)])
    accounts = tuple(account_of(each, given.by_batch.get(each.uid, ()), scale_kg=scale.kg, on=end) for each in batches)
    this_year = [each for each in moved if each.done.year == year]
    starts = [book_kg(each.entries, before) for each in accounts if each.batch.began and each.batch.began.latest <= before]
    ends = [each.left_kg for each in accounts]
    lines: dict[str, Fraction | None] = dict.fromkeys(LINES, Fraction(0))
    lines["start"] = _sum(starts) if starts else None
    lines["left"] = _sum(ends) if ends else None
    _add_store(lines, batches, year)
    _add_units(lines, this_year, facts)
    misfits = tuple(sorted((*_misfits(given, this_year, year), *_of_accounts(accounts, year)), key=lambda each: each.done.latest))
    why = tuple(_why_unknown(lines, starts, this_year, accounts, year, scale))
    lines["lost"] = None if any(lines[code] is None for code, (_, sign) in LINES.items() if sign) else _lost(lines)
    balance = None
    if not why and lines["lost"] is not None and scale.kg is not None:
        balance = judge_short(short_kg=lines["lost"], weighings=_weighings(this_year, accounts, starts, year), scale_kg=scale.kg)
    flags = tuple(_flags(agent, given, this_year, facts, batches, end))
    return AgentYear(agent=agent, lines=lines, balance=balance, why=why, misfits=misfits, flags=flags, accounts=accounts)


def _straight(each: Movement) -> bool:
    """It went from the unit to somebody else, and never lay here."""
    return each.went_to == "sent-for-recovery"


def _sum(masses: Sequence[Fraction | None]) -> Fraction | None:
    known = [each for each in masses if each is not None]
    return sum(known, Fraction(0)) if len(known) == len(masses) else None


def _lost(lines: Mapping[str, Fraction | None]) -> Fraction:
    return sum((sign * (lines[code] or Fraction(0)) for code, (_, sign) in LINES.items()), Fraction(0))


def _raise(lines: dict[str, Fraction | None], code: str, kg: Fraction | None) -> None:
    """Add to a line; one entry without a mass leaves it unknown."""
    known = lines[code]
    lines[code] = None if known is None or kg is None else known + kg


def _add_store(lines: dict[str, Fraction | None], batches: Sequence[AgentBatch], year: int) -> None:
    for batch in batches:
        for each in batch.entries:
            if each.done.year != year:
                continue
            if each.kind == "batch-received":
                _raise(lines, f"bought-{batch.origin if batch.origin in kinds.AGENT_ORIGINS else 'unknown'}", kg_of(each.mass))
            elif each.kind == "batch-recovered":
                _raise(lines, "recovered-elsewhere", kg_of(each.mass))
            elif each.kind == "batch-sent":
                _raise(lines, f"sent-{each.sent_for}", kg_of(each.mass))


def _add_units(lines: dict[str, Fraction | None], moved: Sequence[Movement], facts: Mapping[str, Sequence[Fact]]) -> None:
    for each in moved:
        if each.into:
            _raise(lines, f"charged-{fill_of(each, facts) or 'unsaid'}", each.mass_kg)
        elif each.went_to == "discarded":
            _raise(lines, "discarded", each.mass_kg)
        else:
            _raise(lines, "recovered", each.mass_kg)
            if _straight(each):
                _raise(lines, "sent-recycling", each.mass_kg)


def fill_of(each: Movement, facts: Mapping[str, Sequence[Fact]]) -> str:
    """What a charge is (a key of `kinds.FILLS`): as its record says, or service where the unit was in use before; empty where unknown."""
    return each.fill or ("service" if was_in_use(facts.get(each.unit, ()), each.record) else "")


def _weighings(moved: Sequence[Movement], accounts: Sequence[BatchAccount], starts: Sequence[object], year: int) -> int:
    """How many weighings stand behind the loss: each movement, and each batch at the start and at the end."""
    store = sum(entry.done.year == year and entry.what in ("bought", "sent") for each in accounts for entry in each.entries)
    return store + len(moved) + len(starts) + len(accounts)


# -- what does not fit


def _misfits(given: Assigned, moved: Sequence[Movement], year: int) -> list[Misfit]:
    """Movements of units that belong to no batch, or have no mass; each once, with all that is wrong with it."""
    loose = {each.record: why for each, why in given.loose if each.done.year == year}
    found = []
    for each in moved:
        words = []
        if each.record in loose:
            deed = "charged into a unit" if each.into else "recovered from a unit"
            words.append(f"{deed}, and belongs to no batch: {loose[each.record]}")
        if each.mass_kg is None:
            words.append("it has no mass that can be read")
        if words:
            found.append(Misfit(record=each.record, done=each.done, unit=each.unit, words="; ".join(words)))
    return found


def _of_accounts(accounts: Sequence[BatchAccount], year: int) -> list[Misfit]:
    found = []
    for each in accounts:
        for stretch in each.stretches:
            if stretch.until.year == year and stretch.balance is not None and stretch.balance.verdict != "pass":
                found += _of_stretch(each, stretch)
    return found


def _of_stretch(account: BatchAccount, stretch: Stretch) -> list[Misfit]:
    assert stretch.balance is not None, "only a stretch that was judged does not fit"
    since = f"since {stretch.since.for_people()}" if stretch.since else "since it began"
    words = f"this weighing does not fit what is on record {since}: {stretch.balance.because[0]}"
    name = account.batch.id
    found = [Misfit(record=stretch.record, done=stretch.until, batch=name, words=words.rstrip("."))]
    for each in stretch.suspects:
        hint = f"look at this entry: {each.words} (a hint, common practice, no source)"
        found.append(Misfit(record=each.entry.record, done=each.entry.done, unit=each.entry.unit, batch=name, words=hint))
    return found


def _why_unknown(
    lines: Mapping[str, Fraction | None],
    starts: Sequence[Fraction | None],
    moved: Sequence[Movement],
    accounts: Sequence[BatchAccount],
    year: int,
    scale: Scale,
) -> list[str]:
    why = []
    if not starts:
        why.append("no stock is on record before the year begins; what lay there then is not known")
    elif lines["start"] is None:
        why.append("what lay there at the start cannot be told: an entry before has no mass")
    if lines["left"] is None and accounts:
        why.append("what is left cannot be told: an entry has no mass, and nothing was weighed since")
    if not accounts:
        why.append("no batch of this agent is on record, so there is no stock to hold the entries against")
    unweighed = sum(each.mass_kg is None for each in moved)
    if unweighed:
        why.append(f"{unweighed} entr{'y of a unit has' if unweighed == 1 else 'ies of units have'} no mass")
    by_book = [each.batch.id for each in accounts if _by_book(each, year)]
    if by_book:
        why.append(f"nobody weighed what is left of {', '.join(by_book)} after its last entry of the year: a loss of it cannot be seen")
    if scale.kg is None:
        why.append("no scale of the register says its step, so how far the weighings may be wrong is not known; say --scale")
    return why


def _by_book(account: BatchAccount, year: int) -> bool:
    """Something came or went in the year, and it was not weighed after that."""
    entries = [each for each in account.entries if each.done.year == year]
    moves = [each.done.latest for each in entries if each.what not in (WEIGHED, "bought") and each.kg != 0]
    weighed = [each.done.latest for each in entries if each.what == WEIGHED]
    return bool(moves) and (not weighed or max(weighed) < max(moves))


def _flags(
    agent: str,
    given: Assigned,
    moved: Sequence[Movement],
    facts: Mapping[str, Sequence[Fact]],
    batches: Sequence[AgentBatch],
    end: date,
) -> list[tuple[HalocarbonRule, str]]:
    rules = halocarbon_rules()
    origin = {each.record: batch for batch in batches for each in given.by_batch.get(batch.uid, ())}
    found = []
    for fill, name in (("service", "recycled-for-service"), ("first", "recycled-for-first-fill")):
        charged = [
            each
            for each in moved
            if each.into
            and rules[name].holds_for(agent, each.done.earliest)
            and fill_of(each, facts) == fill
            and each.record in origin
            and not origin[each.record].is_recycled
            and origin[each.record].origin == "virgin"
        ]
        if charged:
            found.append((rules[name], f"{len(charged)} charge{'' if len(charged) == 1 else 's'} came from agent bought virgin"))
    thrown = [each for each in moved if each.went_to == "discarded"]
    for name in ("halon", "recover"):
        if thrown and rules[name].holds_for(agent, end):
            found.append((rules[name], f"{len(thrown)} time{'' if len(thrown) == 1 else 's'} agent was taken out and discarded"))
    return found
