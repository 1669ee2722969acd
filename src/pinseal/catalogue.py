"""What people read, in the language of the shop: every message is looked up here, and English is the message itself.

Only the rooms at the rim speak (pages, documents, commands); the core says English sentences and codes, and whoever
shows them looks them up. The catalogue `locale/pinseal.pot` is made by `make words`; a language is a folder beside it.
A message that a language lacks is shown in English: never nothing, never a key.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from gettext import GNUTranslations, NullTranslations
from pathlib import Path

SOURCE = "en"
DOMAIN = "pinseal"
_FORMS_MAX = 6  # no language has more
# Letters, digits and operators of the rule, and nothing else: it becomes part of a script.
_RULE = re.compile(r"plural=([n0-9%&|!=<>?:() ]+)")
FOLDER = Path(__file__).parent / "locale"

_LANGUAGE: ContextVar[str] = ContextVar("language", default=SOURCE)


def held_languages() -> tuple[str, ...]:
    """The languages that pages can be shown in: English, and each folder with a catalogue that is ready."""
    return _held(FOLDER)


@cache
def _held(folder: Path) -> tuple[str, ...]:
    return (SOURCE, *sorted(each.parent.name for each in folder.glob(f"*/{DOMAIN}.mo")))


@cache
def _translations(folder: Path, language: str) -> NullTranslations:
    if language not in _held(folder)[1:]:
        return NullTranslations()
    with (folder / language / f"{DOMAIN}.mo").open("rb") as file:
        return GNUTranslations(file)


def language() -> str:
    """The language that is spoken now: a tag of BCP 47, as in `html lang`."""
    return _LANGUAGE.get()


def speak(wanted: str) -> None:
    """Speak a language from here on, for this request only; one that is not held leaves English."""
    _LANGUAGE.set(wanted if wanted in held_languages() else SOURCE)


@contextmanager
def spoken(wanted: str) -> Iterator[None]:
    """Speak a language for a while."""
    before = _LANGUAGE.set(wanted if wanted in held_languages() else SOURCE)
    try:
        yield
    finally:
        _LANGUAGE.reset(before)


def gettext(message: str, /, **values: object) -> str:
    """A message in the language of now. Values fill its named places.

    >>> gettext("%(shop)s is closed", shop="Tolberhaven"), gettext("100 %")
    ('Tolberhaven is closed', '100 %')
    """
    found = _translations(FOLDER, language()).gettext(message) if message else ""
    return found % values if values else found


def ngettext(one: str, many: str, count: int, /, **values: object) -> str:
    """The form of a message that goes with a count; `%(n)s` is the count as people write it.

    >>> ngettext("%(n)s unit", "%(n)s units", 1240), ngettext("%(n)s unit", "%(n)s units", 1)
    ('1,240 units', '1 unit')
    """
    return form_of(one, many, count) % ({"n": number(count)} | values)


def form_of(one: str, many: str, count: int) -> str:
    """The form of a message that goes with a count, its places still open."""
    return _translations(FOLDER, language()).ngettext(one, many, count)


def pgettext(context: str, message: str, /, **values: object) -> str:
    """A message that means different things in different places; the context says which.

    >>> pgettext("month", "May")
    'May'
    """
    found = _translations(FOLDER, language()).pgettext(context, message)
    return found % values if values else found


def marked(message: str, /) -> str:
    """Only marks a message for the catalogue; it is looked up where it is shown."""
    return message


def number(count: int) -> str:
    """A whole number as people write it. Figures with a unit are data and keep their point in every language.

    >>> number(1240)
    '1,240'
    """
    return f"{count:,}".replace(",", pgettext("between thousands", ","))


def forms_of(one: str, many: str | None = None) -> list[str]:
    """Every form of a message in the language of now, in the order of its rule: what a page on a phone takes along."""
    held = _translations(FOLDER, language())
    if many is None:
        return [held.gettext(one)]
    table: dict[object, str] = getattr(held, "_catalog", {})
    forms = [table[one, number] for number in range(_FORMS_MAX) if (one, number) in table]
    return forms or [one, many]


def form_rule() -> str:
    """Which form goes with the count `n`, as the catalogue's header says it: an expression that C and JavaScript read alike."""
    rule = _translations(FOLDER, language()).info().get("plural-forms", "")
    found = _RULE.search(rule)
    return found[1].strip() if found else "n != 1"
