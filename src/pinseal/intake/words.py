"""Folding of words: lower case, no accents, no punctuation, so that lists in several languages meet one vocabulary."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

_BROKEN = re.compile(r"(?<=[a-zäöüß])-\s*\n\s*(?=[a-zäöüß])")
_NUMBER_SIGN = re.compile(r"(?<!\d)#")
_MARKS = str.maketrans({"°": "o ", "№": " no ", "ß": "ss", "&": " ", "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "’": "'", "‘": "'"})
_OTHER = re.compile(r"[^a-z0-9]+")


@lru_cache(maxsize=4096)
def fold(text: str) -> str:
    """Words of a heading in plain lower case.

    >>> fold("Nº de serie"), fold("Prüfung (letzte)"), fold("Tag #"), fold("Inventar-\\nnummer")
    ('no de serie', 'prufung letzte', 'tag no', 'inventarnummer')
    """
    joined = _NUMBER_SIGN.sub(" no ", _BROKEN.sub("", text)).translate(_MARKS)
    plain = unicodedata.normalize("NFKD", joined.casefold())
    return _OTHER.sub(" ", "".join(letter for letter in plain if not unicodedata.combining(letter))).strip()


def plain(text: str) -> str:
    """Lower case without accents, punctuation kept: for the patterns that read cells.

    >>> plain("Botellín EXTERIOR 2½")
    'botellin exterior 2 1/2'
    """
    spaced = text.translate(_FRACTIONS)
    folded = unicodedata.normalize("NFKD", spaced.casefold())
    return " ".join("".join(letter for letter in folded if not unicodedata.combining(letter)).split())


_FRACTIONS = str.maketrans(
    {
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "’": "'",
        "‘": "'",
        "´": "'",
        "`": "'",
        "–": "-",
        "—": "-",
        "×": "x",
        "“": '"',
        "”": '"',
        "−": "-",
        "‑": "-",
    }
)


def word_set(words: str, separator: str | None = None) -> frozenset[str]:
    """A set of words out of one text, so that long vocabularies stay readable.

    >>> sorted(word_set("a b")), sorted(word_set("not yet|never", separator="|"))
    (['a', 'b'], ['never', 'not yet'])
    """
    return frozenset(words.split(separator))


def slug(text: str) -> str:
    """A short name for an id: letters, digits and single dashes.

    >>> slug("Last Annual: 9/17")
    'last-annual-9-17'
    """
    return fold(text.replace("/", " ")).replace(" ", "-")[:48] or "blank"
