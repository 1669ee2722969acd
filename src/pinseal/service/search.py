"""Finding a unit by anything half-known: part of a number, a model, a year, a place, what it holds.

Every word that any unit has stands in one list, made once; a question only walks that list. A word that no unit has is said
and left out, never a reason to find nothing.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np
from rapidfuzz import fuzz, process

from pinseal import kinds
from pinseal.records.unit import UnitState

HITS_MAX = 50
_YEARS = ("manufactured", "placed-in-service", "hydrostatic-test", "internal-examination")
_SMALL = frozenset(
    ("a", "an", "and", "at", "beside", "by", "close", "from", "in", "is", "near", "next", "of", "on", "or", "the", "to", "with")
)
# Words of the trade for what an agent is (common use, no source), beside the labels of `kinds`.
_OTHER_WORDS: Mapping[str, str] = {
    "abc": "multipurpose powder",
    "co2": "carbon dioxide gas",
    "wet-chemical": "kitchen",
    "water-mist": "mist",
    **dict.fromkeys((*kinds.AGENT_GROUPS["all-dry-chemical"][1:], *kinds.AGENT_GROUPS["all-class-d"]), "powder"),
    **dict.fromkeys((*kinds.AGENT_GROUPS["all-halon"], *kinds.AGENT_GROUPS["all-halocarbon"]), "clean agent gas"),
}
_AGENT_TEXTS = {code: f"{code} {agent.label} {_OTHER_WORDS.get(code, '')}" for code, agent in kinds.AGENTS.items()}
_WORD = re.compile(r"[^\s,;:()/|\"“”]+")
_SIZE = re.compile(r"\b(\d+(?:\.\d+)?)\s+(lb|kg|l|gal|oz)\b")
_EXACT, _START, _INSIDE, _LIKE = 4.0, 2.5, 1.0, 0.8
_PART_FROM, _LETTERS_FROM, _LIKE_FROM, _LIKE_WORDS_MAX = 3, 4, 4, 3
_LIKENESS = 80.0
_LIKE_MAX = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """One unit that fits: its place in the states, and how many of the words it has."""

    index: int
    words: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a question found. `asked` are its words, `unknown` those that no unit has, `near` those read as a word that is like it."""

    hits: tuple[Hit, ...]
    asked: tuple[str, ...]
    unknown: tuple[str, ...] = ()
    near: tuple[tuple[str, str], ...] = ()
    more: int = 0


def _plain(text: str) -> str:
    return _SIZE.sub(r"\1\2", text.casefold())


def words_asked(text: str) -> tuple[str, ...]:
    """The words of a question; small words are left out unless there are no others.

    >>> words_asked("red, near the boiler, 10 lb")
    ('red', 'boiler', '10lb')
    """
    found = tuple(dict.fromkeys(_WORD.findall(_plain(text))))
    return tuple(word for word in found if word not in _SMALL) or found


def _said(state: UnitState, names: Iterable[str]) -> Iterator[str]:
    plate = state.nameplate
    for number in {number.casefold() for number in (state.id, state.serial, plate.model, plate.lot, *names) if number}:
        yield number
        yield "".join(filter(str.isalnum, number))
    yield from (text for text in (state.site, state.place, plate.rating) if text)
    yield _AGENT_TEXTS.get(plate.agent or "", "")
    if plate.size:
        yield f"{plate.size.value:g}{plate.size.unit}"
    yield "wheeled" if plate.wheeled else ""
    yield kinds.EXPELLED_BY.get(plate.expelled_by or "", "")
    yield from (str(state.dates[fact].earliest.year) for fact in _YEARS if fact in state.dates)


def _words_of(state: UnitState, names: Iterable[str]) -> frozenset[str]:
    return frozenset(_WORD.findall(" ".join(_said(state, names)).casefold()))


class UnitIndex:
    """Units ready to be searched. `names` gives the other numbers of a unit by its uid: tags, and what it was called before.

    The words stand in one text, each with the places of its units in one array. What has changed since stands beside them:
    `_own` holds the places of a word whose units have changed; one that nobody has any more has none.
    """

    def __init__(self, states: Sequence[UnitState], names: Mapping[str, Sequence[str]] | None = None) -> None:
        self.states: Sequence[UnitState] = states
        self._names = dict(names or {})
        postings: dict[str, list[int]] = {}
        for index, state in enumerate(states):
            for word in _words_of(state, self._names.get(state.uid or "", ())):
                postings.setdefault(word, []).append(index)
        self._words: list[str | None] = list(postings)
        self._units = np.array([unit for units in postings.values() for unit in units], np.int64)
        sizes = np.array([len(units) for units in postings.values()], np.int64)
        self._ends = np.concatenate((np.zeros(1, np.int64), np.cumsum(sizes)))
        self._text = "\n" + "\n".join(postings) + "\n"
        starts = np.cumsum(np.array([0] + [len(word) + 1 for word in postings], np.int64))[:-1] + 1
        self._starts: list[int] = starts.tolist() if postings else []
        self._own: dict[int, np.ndarray] = {}

    def with_changes(self, changed: Iterable[UnitState], names: Mapping[str, Sequence[str]]) -> UnitIndex:
        """The index with some units as they are now; new ones stand at the end. `names` are those of the changed units."""
        found = copy(self)
        found.states, found._names, found._own = list(self.states), dict(self._names), dict(self._own)
        found._words, found._starts = list(self._words), list(self._starts)
        places = {state.uid: place for place, state in enumerate(self.states)}
        for state in changed:
            uid = state.uid or ""
            place = places.get(uid, len(found.states))
            before = _words_of(found.states[place], found._names.get(uid, ())) if uid in places else frozenset[str]()
            found.states[place : place + 1] = [state]
            found._names[uid] = tuple(names.get(uid, ()))
            now = _words_of(state, found._names[uid])
            for word in before - now:
                found._drop(word, place)
            for word in now - before:
                found._add(word, place)
        return found

    def _place_of(self, word: str) -> int | None:
        at = self._text.find(f"\n{word}\n")
        return None if at < 0 else bisect_right(self._starts, at + 1) - 1

    def _having(self, word_place: int) -> np.ndarray:
        """The places of the units that have a word."""
        own = self._own.get(word_place)
        return self._units[self._ends[word_place] : self._ends[word_place + 1]] if own is None else own

    def _drop(self, word: str, place: int) -> None:
        at = self._place_of(word)
        assert at is not None, "a word that a unit had is in the list"
        left = self._having(at)
        self._own[at] = left[left != place]
        if not len(self._own[at]):
            self._words[at] = None

    def _add(self, word: str, place: int) -> None:
        at = self._place_of(word)
        if at is None:
            at = len(self._words)
            self._starts.append(len(self._text))
            self._text += f"{word}\n"
            self._own[at] = np.array([place], np.int64)
            self._words.append(word)
            return
        self._own[at] = np.append(self._having(at), place)
        self._words[at] = word

    def find(self, text: str, *, only: frozenset[str] | None = None, most: int = HITS_MAX) -> Found:
        """The units that have most of the words, the best first; removed units last.

        `only` names the sites that may be looked at. Everything that is answered then follows from their units alone, as if
        there were no others: which words nobody has and what they were read as, how rare a word is, how many more there are.
        """
        asked, seen = words_asked(text), self._seen(only)
        score, count = np.zeros(len(self.states)), np.zeros(len(self.states), np.int64)
        unknown, near = list[str](), list[tuple[str, str]]()
        for word in asked:
            found = self._with_units(self._matches(word), seen)
            if not found and len(near) + len(unknown) < _LIKE_WORDS_MAX:
                found, like = self._like(word, seen)
                near += [(word, like)] if like else []
            if not found:
                unknown.append(word)
                continue
            worth = self._worth(found, seen)
            score += worth
            count += worth > 0
        hits = self._ranked(score, count)
        return Found(hits=tuple(hits[:most]), asked=asked, unknown=tuple(unknown), near=tuple(near), more=max(0, len(hits) - most))

    def _seen(self, only: frozenset[str] | None) -> np.ndarray | None:
        """Which units may be looked at; None for all of them."""
        return None if only is None else np.fromiter((state.site in only for state in self.states), np.bool_, len(self.states))

    def _having_seen(self, word_place: int, seen: np.ndarray | None) -> np.ndarray:
        having = self._having(word_place)
        return having if seen is None else having[seen[having]]

    def _with_units(self, found: dict[int, float], seen: np.ndarray | None) -> dict[int, float]:
        """Those words that a unit has which may be looked at."""
        return found if seen is None else {place: how for place, how in found.items() if len(self._having_seen(place, seen))}

    def _matches(self, word: str) -> dict[int, float]:
        """The places in the list of words that a word fits, with how well."""
        found: dict[int, float] = {}
        # A letter alone is looked for as a whole word, a short word as the start of one, a part of a number or a longer word anywhere.
        anywhere = len(word) >= (_PART_FROM if any(each.isdigit() for each in word) else _LETTERS_FROM)
        lead = "" if anywhere else "\n"
        sought = f"{lead}{word}" + ("\n" if len(word) == 1 else "")
        at = self._text.find(sought)
        while at >= 0:
            begin = at + len(lead)
            place = bisect_right(self._starts, begin) - 1
            first, last = self._text[begin - 1] == "\n", self._text[begin + len(word)] == "\n"
            how = _EXACT if first and last else _START if first else _INSIDE
            if self._words[place] is not None:
                found[place] = max(found.get(place, 0.0), how)
            at = self._text.find(sought, at + 1)
        return found

    def _like(self, word: str, seen: np.ndarray | None) -> tuple[dict[int, float], str]:
        """Words that are spelt almost so."""
        if len(word) < _LIKE_FROM:
            return {}, ""
        every = process.extract(word, self._words, scorer=fuzz.ratio, score_cutoff=_LIKENESS, limit=None)
        every = [each for each in every if seen is None or len(self._having_seen(each[2], seen))]
        close = sorted(every, key=lambda found: (-found[1], found[0]))[:_LIKE_MAX]  # by the words, not by where they stand
        return {place: _LIKE * likeness / 100 for _, likeness, place in close}, close[0][0] if close else ""

    def _worth(self, found: Mapping[int, float], seen: np.ndarray | None) -> np.ndarray:
        """What one word is worth to each unit: how well it fits, times how rare it is."""
        worth = np.zeros(len(self.states))
        for place, how in sorted(found.items(), key=lambda pair: pair[1]):
            worth[self._having_seen(place, seen)] = how
        having, units = int((worth > 0).sum()), len(self.states) if seen is None else int(seen.sum())
        return worth * math.log1p(units / max(1, having))

    def _ranked(self, score: np.ndarray, count: np.ndarray) -> list[Hit]:
        if not len(count) or not count.max():
            return []
        best = int(count.max())
        fits: list[int] = np.flatnonzero(count == best).tolist()
        # The uid last, so that the order hangs on nothing but the units.
        fits.sort(key=lambda i: (bool((s := self.states[i]).removed), -score[i], s.id or s.serial or "", s.uid or ""))
        return [Hit(index=i, words=int(count[i])) for i in fits]
