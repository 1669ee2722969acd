"""Next year's list of the same owner: which rows are units that are already known, which are new, which are gone.

Identity is the serial, then the owner's number at its site. What only looks alike (agent, size, year, place) is asked about
and never joined silently. How alike two places must be to ask is `common practice, no source`.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz, process

from pinseal.dates import PartialDate
from pinseal.intake.findings import Ask
from pinseal.intake.questions import Question, Questions
from pinseal.intake.register import Register, RegisterUnit
from pinseal.kinds import AGENTS
from pinseal.units import Quantity

ALIKE_MIN = 80.0
CANDIDATES_MAX = 4
NEW = "new"
COMPARED = ("id", "serial", "site", "place", "agent", "size", "manufactured")
_LOOSE = frozenset(("site", "place"))


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownUnit:
    """A unit as the shop knows it."""

    uid: str
    id: str | None = None
    serial: str | None = None
    site: str | None = None
    place: str | None = None
    agent: str | None = None
    size: Quantity | None = None
    manufactured: PartialDate | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A row that is a known unit, and by what that was told: `serial`, `id and site`, or `answer`."""

    known: KnownUnit
    unit: RegisterUnit
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A fact of a known unit that the list now gives otherwise. `before` is None where it was not known."""

    known: KnownUnit
    unit: RegisterUnit
    field: str
    before: object
    after: object


@dataclass(frozen=True, slots=True, kw_only=True)
class Matching:
    """`same` holds all pairs, `changed` what is different in them. Units in `questions` are in none of the other groups."""

    same: tuple[Pair, ...]
    changed: tuple[Change, ...]
    new: tuple[RegisterUnit, ...]
    vanished: tuple[KnownUnit, ...]
    questions: tuple[Question, ...]


def match(known: Sequence[KnownUnit], register: Register, answers: Mapping[str, str] | None = None) -> Matching:
    """Match a list with what is known. `answers` settle questions by id: the uid of the known unit, or `new`.

    Raises `Refusal` for an answer that is none of a question's readings.
    """
    work = _Work(known, list(register.units), answers or {})
    work.join("serial", _serial_key, _serial_key)
    work.join("id and site", _place_key, _place_key)
    work.look_alikes()
    return work.result()


class _Work:
    def __init__(self, known: Sequence[KnownUnit], units: Sequence[RegisterUnit], answers: Mapping[str, str]) -> None:
        self.known: dict[str, KnownUnit] = {each.uid: each for each in known}
        self.units: dict[int, RegisterUnit] = dict(enumerate(units))
        self.questions = Questions(answers)
        self.pairs: list[Pair] = []
        self.fresh: list[RegisterUnit] = []
        self.kept_open: set[str] = set()

    def join(self, by: str, known_key: Callable[[KnownUnit], Hashable], unit_key: Callable[[RegisterUnit], Hashable]) -> None:
        """Pair what has the same key once on each side; ask where it is there twice, or where the rest speaks against it."""
        left, right = _grouped(self.known.items(), known_key), _grouped(self.units.items(), unit_key)
        for key, places in right.items():
            uids = left.get(key, [])
            if not uids:
                continue
            if len(uids) == len(places) == 1 and not _against(self.known[uids[0]], self.units[places[0]]):
                self._pair(uids[0], places[0], by)
                continue
            for place in places:
                self._ask(place, uids, f"The {by} fits, but it is not the only one, or the rest does not fit.")

    def look_alikes(self) -> None:
        """Ask about rows that have no number in common with any known unit but look like one that is left."""
        blocks: dict[tuple[object, object], list[KnownUnit]] = defaultdict(list)
        for each in self.known.values():
            blocks[each.agent, _size(each.size)].append(each)
        for place, unit in list(self.units.items()):
            block = [each for each in blocks.get((unit.agent, _size(unit.size)), []) if each.uid in self.known and not _against(each, unit)]
            names = [_words(each.site, each.place) for each in block]
            found = process.extract(
                _words(unit.site, unit.place), names, scorer=fuzz.token_sort_ratio, score_cutoff=ALIKE_MIN, limit=CANDIDATES_MAX
            )
            if found:
                self._ask(
                    place, [block[at].uid for _, _, at in found], "It has no number in common with a known unit, but it looks like one."
                )

    def _pair(self, uid: str, place: int, by: str) -> None:
        self.pairs.append(Pair(known=self.known.pop(uid), unit=self.units.pop(place), by=by))

    def _ask(self, place: int, uids: Sequence[str], why: str) -> None:
        unit = self.units[place]
        name = unit.serial or unit.id or _words(unit.site, unit.place) or f"row {unit.row}"
        ask = Ask("", f"same {name} {unit.row}", (*uids, NEW), f"{why} Which unit is it?")
        given = self.questions.answer(ask)
        if given == NEW:
            self.fresh.append(self.units.pop(place))
        elif given is not None and given in self.known:
            self._pair(given, place, "answer")
        else:
            self.questions.add(ask, sheet=unit.sheet, column=None, rows=[unit.row], raw=str(name))
            self.units.pop(place)
            self.kept_open |= set(uids)

    def result(self) -> Matching:
        changes = tuple(change for pair in self.pairs for change in _changes(pair))
        gone = tuple(each for uid, each in self.known.items() if uid not in self.kept_open)
        new = (*self.fresh, *self.units.values())
        return Matching(same=tuple(self.pairs), changed=changes, new=new, vanished=gone, questions=self.questions.asked())


def _grouped(pairs: Iterable[tuple[object, object]], key: Callable[..., Hashable]) -> dict[Hashable, list]:  # type: ignore[type-arg]
    groups: dict[Hashable, list] = defaultdict(list)  # type: ignore[type-arg]
    for name, value in pairs:
        found = key(value)
        if found:
            groups[found].append(name)
    return groups


def _folded(text: str | None) -> str:
    return re.sub(r"[\W_]+", "", text or "").casefold()


def _words(*parts: str | None) -> str:
    return " ".join(part for part in parts if part).casefold()


def _serial_key(unit: KnownUnit | RegisterUnit) -> str:
    return _folded(unit.serial)


def _place_key(unit: KnownUnit | RegisterUnit) -> tuple[str, str] | None:
    return (_folded(unit.id), _folded(unit.site)) if unit.id else None


def _size(size: Quantity | None) -> tuple[str, float] | None:
    return (size.unit, round(size.value, 3)) if size else None


def _against(known: KnownUnit, unit: RegisterUnit) -> bool:
    """Whether something fixed on the nameplate speaks against the two being one: serial, agent or year."""
    if known.serial and unit.serial and _folded(known.serial) != _folded(unit.serial):
        return True
    if known.agent and unit.agent and known.agent != unit.agent and AGENTS[known.agent].specific and AGENTS[unit.agent].specific:
        return True
    return bool(known.manufactured and unit.manufactured and not _overlap(known.manufactured, unit.manufactured))


def _overlap(first: PartialDate, second: PartialDate) -> bool:
    return first.earliest <= second.latest and second.earliest <= first.latest


def _changes(pair: Pair) -> Iterable[Change]:
    for field in COMPARED:
        before, after = getattr(pair.known, field), getattr(pair.unit, field)
        if after is None or before == after or (field in _LOOSE and _folded(before) == _folded(after)):
            continue
        if isinstance(before, PartialDate) and isinstance(after, PartialDate) and _overlap(before, after) and _is_wider(after, before):
            continue  # the list only says the same less exactly
        yield Change(known=pair.known, unit=pair.unit, field=field, before=before, after=after)


def _is_wider(first: PartialDate, second: PartialDate) -> bool:
    return first.earliest <= second.earliest and second.latest <= first.latest
