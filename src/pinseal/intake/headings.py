"""What a heading means: families of words in five languages, folded to the facts of a unit.

The families are `common practice, no source`: they are the words that owners and firms put over such columns.
A phrase that ends in `*` matches the start of a word. Longer phrases beat shorter ones, strong families beat weak ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import fuzz, process

from pinseal.intake.heading_words import DUE_WORDS, EXACT, PRIORITY, STRONG, WEAK
from pinseal.intake.words import fold, word_set

FUZZY_MIN = 86.0


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a heading can mean, best first; `due` where it holds dates that are still to come; `sure` 0 to 100."""

    fields: tuple[str, ...]
    due: bool = False
    sure: float = 100.0


NOTHING = Meaning((), sure=0.0)


def _index(table: dict[str, str]) -> list[tuple[tuple[str, ...], str]]:
    pairs = [(tuple(phrase.split()), field) for field, phrases in table.items() for phrase in phrases.split(", ")]
    return sorted(((words, field) for words, field in pairs if words), key=lambda pair: -sum(map(len, pair[0])))


_STRONG, _WEAK = _index(STRONG), _index(WEAK)
_FUZZY = {" ".join(words): field for words, field in [*_WEAK, *_STRONG] if sum(map(len, words)) >= 5 and not words[-1].endswith("*")}


def _contains(tokens: tuple[str, ...], words: tuple[str, ...]) -> bool:
    return any(all(_same(tokens[start + step], word) for step, word in enumerate(words)) for start in range(len(tokens) - len(words) + 1))


def _same(token: str, word: str) -> bool:
    return token.startswith(word[:-1]) if word.endswith("*") else token == word


@lru_cache(maxsize=4096)
def meaning_of(heading: str) -> Meaning:
    """Fold a heading to the facts it can stand for.

    >>> meaning_of("S/N").fields[0], meaning_of("Hydro due").due, meaning_of("6 yr").fields, meaning_of("Próximo retimbrado").due
    ('serial', True, ('last_internal_examination',), True)
    """
    folded = fold(heading)
    if not folded or len(folded) > 60:
        return NOTHING
    if folded in EXACT:
        return Meaning((EXACT[folded],))
    tokens = tuple(folded.split())
    if any(_contains(tokens, tuple(word.split())) for word in DUE_WORDS):
        return Meaning(tuple(_found(tokens, _STRONG)), due=True)
    found = _found(tokens, _STRONG)
    weak = _found(tokens, _WEAK)
    if found or weak:
        return Meaning(tuple(dict.fromkeys([*found, *weak])), sure=100.0 if found else 90.0)
    return _fuzzy(folded)


def _found(tokens: tuple[str, ...], index: list[tuple[tuple[str, ...], str]]) -> list[str]:
    hits = [field for words, field in index if _contains(tokens, words)]
    unique = list(dict.fromkeys(hits))
    return sorted(unique, key=lambda field: PRIORITY.get(field, 50))


def _fuzzy(folded: str) -> Meaning:
    if len(folded) < 5:
        return NOTHING
    best = process.extractOne(folded, _FUZZY.keys(), scorer=fuzz.ratio, score_cutoff=FUZZY_MIN)
    return Meaning((_FUZZY[best[0]],), sure=best[1]) if best else NOTHING


def language_of(headings: tuple[str, ...]) -> str | None:
    """`other` where the headings are plainly not English, `en` where they are, None where they do not say.

    >>> language_of(("Nr.", "Gerät", "Standort", "letzte Prüfung")), language_of(("Tag", "Location", "Annual"))
    ('other', 'en')
    """
    foreign = sum(1 for heading in headings if heading and _other_language(heading))
    english = sum(1 for heading in headings if _ENGLISH & set(fold(heading).split()))
    if foreign >= 2 and foreign > english:
        return "other"
    return "en" if english else None


_ENGLISH = word_set(
    "last date type size made serviced location serial rating building room floor notes remarks tag next asset agent hydro annual year "
    "capacity "
    "number where what kind mfg inspected tested test seen looked weight lbs comments extinguisher extinguishers maintenance recharge"
)
_FOREIGN_STEMS = tuple(
    word_set(
        "ubicac ubicaz fabric retimb carga agente planta piso edifici nave observ numero eficac ultim prox matric collaud scaden "
        "revisione controll "
        "reparto pruf baujahr wartung standort halle gebaud losch fullm fullung inventar letzt nachst bemerk fabrik lfd batiment "
        "emplac etage verif "
        "epreuve contenance annee derni prochain remarq raum anno posizione tipo extint estint gerat druckpr"
    )
)


def _other_language(heading: str) -> bool:
    """Letters that English does not write, or words of another language."""
    if any(letter.isalpha() and not letter.isascii() for letter in heading):
        return True
    words = fold(heading).split()
    return any(word.startswith(_FOREIGN_STEMS) for word in words) and not _ENGLISH & set(words)
