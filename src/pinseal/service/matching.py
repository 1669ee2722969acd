"""Next year's list of the same owner against the known units: who is who, by serial, by number and place, by likeness.

Never silently: a pair that a careful person would look at twice is asked about. Until it is answered neither half is
taken for new or gone. How alike two units must be to be asked about is `common practice, no source`.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from typing import Any

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState, letters_and_figures
from pinseal.service.taking_in import ImportPlan, Line, Unsure, changes_between, name_of

_ALIKE = 3  # of agent, size, date of manufacture, place: so many must agree for a pair to be asked about
_SAME, _OTHER = "same", "new"


def _by_serial(state: UnitState) -> Hashable | None:
    return letters_and_figures(state.serial) or None


def _by_number_and_site(state: UnitState) -> Hashable | None:
    return (letters_and_figures(state.id), letters_and_figures(state.site)) if letters_and_figures(state.id) else None


def _by_number(state: UnitState) -> Hashable | None:
    return letters_and_figures(state.id) or None


Key = Callable[[UnitState], Hashable | None]


class _Pairing:
    """The units that are still looking for their other half, on both sides."""

    def __init__(self, known: Sequence[UnitState], listed: Sequence[UnitState]) -> None:
        self.known = dict(enumerate(known))
        self.listed = dict(enumerate(listed))
        self.pairs: list[tuple[UnitState, UnitState]] = []

    def pair(self, known: int, listed: int) -> None:
        self.pairs.append((self.known.pop(known), self.listed.pop(listed)))

    def set_aside(self, known: Iterable[int], listed: Iterable[int]) -> None:
        """Units that wait for an answer are neither new nor gone."""
        for place in known:
            self.known.pop(place, None)
        for place in listed:
            self.listed.pop(place, None)

    def by(self, key: Key, *, fits: Callable[[UnitState, UnitState], bool]) -> None:
        """Pair what has a key of its own on both sides, where nothing speaks against it."""
        ours, theirs = _index(self.known, key), _index(self.listed, key)
        for value, places in theirs.items():
            others = ours.get(value, [])
            if len(places) == len(others) == 1 and fits(self.known[others[0]], self.listed[places[0]]):
                self.pair(others[0], places[0])


def _index(states: Mapping[int, UnitState], key: Key) -> dict[Hashable, list[int]]:
    found: dict[Hashable, list[int]] = defaultdict(list)
    for index, state in states.items():
        value = key(state)
        if value is not None:
            found[value].append(index)
    return found


def _agree(a: object, b: object) -> bool | None:
    """Whether two facts agree; None where one is not said."""
    return None if a in (None, "") or b in (None, "") else a == b


def _agents_agree(known: UnitState, listed: UnitState) -> bool | None:
    """An agent of which the base is not said contradicts no other."""
    ours, theirs = known.nameplate.agent, listed.nameplate.agent
    same = _agree(ours, theirs)
    vague = same is False and not (kinds.AGENTS[ours or ""].specific and kinds.AGENTS[theirs or ""].specific)
    return None if vague else same


def _makes_agree(known: UnitState, listed: UnitState) -> bool | None:
    """Dates of manufacture agree as far as they are known: 2014 and June 2014 do."""
    ours, theirs = known.dates.get("manufactured"), listed.dates.get("manufactured")
    return None if ours is None or theirs is None else ours.earliest <= theirs.latest and theirs.earliest <= ours.latest


def _answers(known: UnitState, listed: UnitState) -> tuple[bool | None, ...]:
    """Do agent, size, date of manufacture and place agree?"""
    ours, theirs = known.nameplate, listed.nameplate
    size = _agree(round(ours.size.si, 6) if ours.size else None, round(theirs.size.si, 6) if theirs.size else None)
    where = _agree(*(letters_and_figures((unit.site or "") + (unit.place or "")) for unit in (known, listed)))
    return (_agents_agree(known, listed), size, _makes_agree(known, listed), where)


def _serials_differ(known: UnitState, listed: UnitState) -> bool:
    return _agree(letters_and_figures(known.serial), letters_and_figures(listed.serial)) is False


def _nothing_against(known: UnitState, listed: UnitState) -> bool:
    """Agent, size and date of manufacture do not contradict each other; another place is a move."""
    return False not in _answers(known, listed)[:3]


def _alike(known: UnitState, listed: UnitState) -> bool:
    """Alike in most that is known. Another number at another place is another unit, however many were bought of that kind."""
    answers = _answers(known, listed)
    if answers[3] is not True and _agree(letters_and_figures(known.id), letters_and_figures(listed.id)) is False:
        return False
    return not _serials_differ(known, listed) and _nothing_against(known, listed) and sum(a is True for a in answers) >= _ALIKE


def _doubt(known: UnitState, listed: UnitState, answers: Mapping[str, str]) -> tuple[Unsure, str | None]:
    """The question about one pair, and its answer. The id depends on what the two say, not on where they stand. Raises `Refusal`."""
    mark = hashlib.sha256(f"{known.uid}|{listed.id}|{listed.serial}|{listed.site}|{listed.place}".encode()).hexdigest()[:10]
    ask = Unsure(id=f"same-unit-{mark}", words=f"Is {name_of(listed)} the known unit {name_of(known)}?", readings=(_SAME, _OTHER))
    answer = answers.get(ask.id)
    if answer not in (None, "unknown", *ask.readings):
        raise Refusal(
            what=f"the answer to {ask.id} is none of its readings", rule=f"it can be {_SAME} or {_OTHER}", got=answer or "", do="choose one"
        )
    return ask, None if answer == "unknown" else answer


def _candidates(pairing: _Pairing) -> Iterable[tuple[int, int]]:
    """Pairs that may be one unit: the same number or serial with something against it, else alike in most that is known."""
    for key in (_by_serial, _by_number_and_site, _by_number):
        ours = _index(pairing.known, key)
        for value, places in _index(pairing.listed, key).items():
            yield from ((known, listed) for listed in places for known in ours.get(value, ()))
    rough = _index(pairing.known, _by_kind)
    for listed, state in pairing.listed.items():
        yield from ((known, listed) for known in rough.get(_by_kind(state), ()) if _alike(pairing.known[known], state))


def _by_kind(state: UnitState) -> Hashable:
    return state.nameplate.agent, letters_and_figures(state.site)


def _ask(pairing: _Pairing, answers: Mapping[str, str]) -> list[Unsure]:
    """Settle doubtful pairs by their answers; what is not answered is asked, once for each listed unit, and waits."""
    asked: list[Unsure] = []
    waiting_known: set[int] = set()
    waiting_listed: set[int] = set()
    for known, listed in list(_candidates(pairing)):
        if known not in pairing.known or listed not in pairing.listed or listed in waiting_listed:
            continue
        ask, answer = _doubt(pairing.known[known], pairing.listed[listed], answers)
        if answer == _SAME:
            pairing.pair(known, listed)
        elif answer is None:
            asked.append(ask)
            waiting_listed.add(listed)
            waiting_known.add(known)
    pairing.set_aside(waiting_known, waiting_listed)
    return asked


def plan_of(
    register: Any,
    *,
    known: Sequence[UnitState],
    listed: Sequence[UnitState],
    counted: Sequence[UnitState],
    answers: Mapping[str, str],
    name: str,
    content: bytes,
) -> ImportPlan:
    """What taking a list in would change, against the units of the shop that are not removed and have been seen."""
    pairing = _Pairing([s for s in known if not s.removed and not s.placeholder], listed)
    pairing.by(_by_serial, fits=_nothing_against)
    pairing.by(_by_number_and_site, fits=lambda k, n: not _serials_differ(k, n) and _nothing_against(k, n))
    pairing.by(_by_number, fits=lambda k, n: not _serials_differ(k, n) and _nothing_against(k, n))
    uncertain = _ask(pairing, answers)
    matched = tuple(Line(name=name_of(new), known=old, listed=new, changes=changes_between(old, new)) for old, new in pairing.pairs)
    sites = {letters_and_figures(s.site) for s in listed}
    gone = [s for s in pairing.known.values() if letters_and_figures(s.site) in sites]
    return ImportPlan(
        register=register,
        matched=matched,
        changed=tuple(line for line in matched if line.changes),
        new=tuple(Line(name=name_of(s), listed=s) for s in pairing.listed.values()),
        vanished=tuple(Line(name=name_of(s), known=s) for s in gone),
        counted=_still_counted(counted, known),
        uncertain=tuple(uncertain),
        name=name,
        content_sha256=hashlib.sha256(content).hexdigest(),
        size=len(content),
        answers=dict(answers),
    )


def _still_counted(counted: Sequence[UnitState], known: Sequence[UnitState]) -> tuple[UnitState, ...]:
    """The counted units that the shop does not hold as placeholders already: a list read twice doubles nothing."""
    left: dict[Hashable, int] = defaultdict(int)
    for state in known:
        if state.placeholder and not state.removed:
            left[_counted_key(state)] += 1
    fresh = []
    for state in counted:
        key = _counted_key(state)
        if left[key]:
            left[key] -= 1
        else:
            fresh.append(state)
    return tuple(fresh)


def _counted_key(state: UnitState) -> Hashable:
    size = state.nameplate.size
    return letters_and_figures(state.site), letters_and_figures(state.place), state.nameplate.agent, str(size) if size else ""
