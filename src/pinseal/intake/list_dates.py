"""The day a list was made, out of its title and notes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from pinseal.intake.date_cells import DUE, read_date
from pinseal.intake.date_words import MONTH_PATTERN, DateContext
from pinseal.intake.findings import REMARK_READ_MAX
from pinseal.intake.words import plain

_MADE = re.compile(
    r"\b(?:as of|as at|as on|printed|print date|updated?|dated?|stand|gone round|walked|list(?:ed)?|export(?:ed)?|a fecha|fecha"
    r"|actualiza\w*|al|aggiornat\w*"
    r"|data|datum|mis a jour|edite|le|revised|rev|status|run|report|compiled|vom|erstellt|gedruckt|impreso|stampat\w*|imprime|checked"
    r"|a dia)\b"
)
_FULL = re.compile(
    rf"\d{{4}}-\d{{1,2}}-\d{{1,2}}|\d{{1,2}}[/.\-]\d{{1,2}}[/.\-]\d{{2,4}}|(?:{MONTH_PATTERN})\.? \d{{1,2}}(?:st|nd|rd|th)?,? \d{{4}}"
    rf"|\d{{1,2}}\.? (?:de )?(?:{MONTH_PATTERN})\.? (?:de |del )?\d{{4}}"
)


def full_dates(lines: Iterable[str]) -> list[str]:
    """The whole dates in lines of text that say when the list was made."""
    found = []
    for line in lines:
        low = plain(line[:REMARK_READ_MAX])
        if DUE.search(low):
            continue
        hits = _FULL.findall(low)
        if hits and (_MADE.search(low) or len(low.split()) <= 2):
            found += hits
    return found


def as_of(texts: Iterable[str], order: str | None, latest_year: int) -> date | None:
    """The latest such date that can be read for certain.

    >>> as_of(full_dates(["list as of 2/12/2024"]), "MDY", 2026)
    datetime.date(2024, 2, 12)
    """
    context = DateContext(field="as_of", order=order, days=True, latest_year=latest_year)
    days = [
        found.value.earliest
        for text in texts
        if (found := read_date(text, context)).value is not None and found.value.day and not found.ask
    ]
    return max(days, default=None)
