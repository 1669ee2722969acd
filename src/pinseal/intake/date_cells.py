"""One cell of a date column: one date, several dates, or the reason why there is none. Nothing is guessed."""

from __future__ import annotations

import re

from pinseal.dates import PartialDate
from pinseal.intake.date_shapes import (
    When,
    read_named,
    read_pair,
    read_part_of_year,
    read_range,
    read_serial,
    read_stamp,
    read_torn,
    read_triple,
    read_year,
)
from pinseal.intake.date_words import MONTH_PATTERN, UNREADABLE_WORDS, DateContext
from pinseal.intake.findings import CELL_READ_MAX, Ask, Flaw, Read, is_absent
from pinseal.intake.words import plain

_READERS = (read_triple, read_serial, read_pair, read_year, read_named, read_part_of_year, read_stamp, read_torn, read_range)
_LEAD = re.compile(
    r"^(?:bj|baujahr|mfg|mfd|mfr|made|dom|born|built|tested|test|hydro|hydro'd|ht|ok|done|passed|pass|on|in|am|vom|im|le|el|il|en|del"
    r"|de|year|jahr|ano|anno|"
    r"annee|since|seit|dated?|gepruft|gew|fab|rev|last|letzte|ult|ultima|ultimo|approved|checked|ph|prova|collaudo|retimbrado|punched"
    r"|stamped|tag)\b[.: ]*"
)
_TAIL = re.compile(r"[ ,;]*(?:\b(?:ok|pass|passed|done|good|gut|bien)\b|\([^()?]*\)|[✓✔√*])\.?$")
_ABOUT = re.compile(
    r"^(?:c\.|ca\.?|circa|approx\.?|about|abt\.?|around|~|um|etwa|aprox\.?|hacia|verso|vers|env\.?|prob\.?|maybe|probably)\s*|\s*\(?\?\)?$"
)
DUE = re.compile(r"\b(?:due|next|until|expires?|fallig|bis|nachste\w*|vence|prox\w*|pross\w*|scad\w*|echeance|prochaine?)\b")
_SPLIT = re.compile(r"\s*(?:[+&;|,→>]|\band\b|\bund\b|\by\b|\be\b|\bet\b|\bthen\b| / )\s*")
_LOOKS_LIKE = re.compile(
    rf"(?<![\w/.-])(?:\d{{1,4}}[/.\-]\d{{1,2}}[/.\-]\d{{2,4}}|\d{{1,2}}[/.\-]\d{{2,4}}|(?:19|20)\d{{2}}|(?:{MONTH_PATTERN})\.? "
    rf"?'?\d{{2,4}})(?![\w/-])"
)
_HAS_FIGURE = re.compile(r"\d")


def read_date(text: str, context: DateContext) -> When:
    """Read one cell. The latest of several dates counts; a date that is only due is not read.

    >>> mdy = DateContext(order="MDY", latest_year=2024)
    >>> [str(read_date(cell, mdy).value) for cell in ("6/14", "'14", "8/16 + 8/21", "3/21/24", "5 [K412] 18", "spring 2016", "see tag")]
    ['2014-06', '2014', '2021-08', '2024-03-21', '2018-05', '2016', 'None']
    """
    if len(text) > CELL_READ_MAX:
        return _unreadable(text)
    whole = plain(text)
    low = whole.strip(" .,;")
    if is_absent(whole) or is_absent(low):
        return Read()
    found = _one(low, context)
    if found is not None:
        return found
    if DUE.search(low) and _HAS_FIGURE.search(low):
        return Read(flaw=Flaw("due-date", "a date that is only due is no date of work done"))
    return _several(low, context) or _among_words(low, context) or _unreadable(low)


def _one(low: str, context: DateContext) -> When | None:
    for reader in _READERS:
        found = reader(low, context)
        if found is not None:
            return found
    shorter = _LEAD.sub("", low)
    shorter = _TAIL.sub("", shorter).strip(" .,;:")
    if shorter and shorter != low:
        return _one(shorter, context)
    return _about(low, context)


def _about(low: str, context: DateContext) -> When | None:
    """A date that the writer was not sure of: it stands in the question, and the fact stays open."""
    shorter = _ABOUT.sub("", low).strip()
    if not shorter or shorter == low:
        return None
    found = _one(shorter, context)
    if found is None or found.value is None:
        return found
    ask = Ask(context.field, f"{context.field} {low}", (str(found.value), "unknown"), f"Is {low} certain?")
    return Read(None, Flaw("unreadable", "the writer was not sure"), found.ask or ask)


def _several(low: str, context: DateContext) -> When | None:
    parts = [part for part in _SPLIT.split(low) if part]
    if len(parts) == 1:
        parts = low.split("/") if re.fullmatch(r"\d{4}(?:/\d{4})+", low) else low.split()
    if not 2 <= len(parts) <= 8:
        return None
    found = [_one(part, context) for part in parts if not is_absent(part)]
    if not found or any(each is None for each in found):
        return None
    return latest([each for each in found if each is not None])


def latest(found: list[When]) -> When:
    """The latest of several dates; one that cannot be told leaves the fact open."""
    unsure = [each for each in found if each.value is None]
    if unsure:
        return unsure[0]
    return max(found, key=lambda each: _sort_key(each.value))


def _sort_key(when: PartialDate | None) -> tuple[int, int, int]:
    return (when.year, when.month or 0, when.day or 0) if when else (0, 0, 0)


def _among_words(low: str, context: DateContext) -> When | None:
    hits = _LOOKS_LIKE.findall(low)
    if len(hits) != 1 or "?" in low or any(word in low for word in UNREADABLE_WORDS):
        return None
    found = _one(hits[0], context)
    if found is None or found.value is None or found.flaw:
        return found
    return Read(found.value, Flaw("words-beside", "the words beside the date were not read"), found.ask)


def _unreadable(low: str) -> When:
    if not low.strip("?_ "):
        return Read(flaw=Flaw("unreadable", "the list gives no date here"))
    return Read(flaw=Flaw("unreadable", "no date could be read"))
