"""Facts among the remarks: a recharge, a unit that is gone, a row counted elsewhere. What is only due is not read."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from pinseal.dates import PartialDate
from pinseal.intake.date_cells import DUE, read_date
from pinseal.intake.date_words import MONTH_PATTERN, DateContext
from pinseal.intake.details import cut_wheeled
from pinseal.intake.findings import REMARK_READ_MAX, Ask
from pinseal.intake.words import plain

_WHEN = (
    rf"((?:{MONTH_PATTERN})\.? ?'?\d{{2,4}}|\d{{1,4}}[/.\-]\d{{1,2}}(?:[/.\-]\d{{2,4}})?|\d{{1,2}}[/.\-]\d{{4}}|(?:19|20)\d{{2}}"
    rf"|'\d{{2}})(?![\d/])"
)
_LINK = r"(?: ?(?:on|in|at|am|im|el|en|il|le|:|=|-|,|was|done|date|again))* ?"
_DEEDS: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (field, re.compile(rf"(?<!not )\b(?:{words}){_LINK}{_WHEN}"))
    for field, words in (
        ("last_recharge", r"re-?charged?|re-?filled|refill|recargado|recarga|rellenado|ricaricat[oa]|ricarica|nachgefullt|neu gefullt"
            r"|neufullung|wiederbefullt"
         r"|recharge|rechargee?"),
        ("last_hydrostatic_test", r"hydro(?:'?d|ed|tested|static(?: test)?| test| tested)?|ht|pressure tested|retimbrado|collaudat[oa]"
            r"|druckgepruft|reeprouve"),
        ("last_internal_examination", r"(?:six|6)[- ]?y(?:ea)?r(?: done)?|internal(?: exam\w*)?|torn down|opened(?: up)?"),
    )
)  # fmt: skip
_REMOVED = re.compile(
    r"\b(?:removed|scrapped|scrap|stolen|condemned|retired|disposed|discarded|junked|destroyed|out of service|taken out|lost|no longer "
    r"(?:here|there|in use)|decommissioned"
    r"|retirado|retirada|baja|dado de baja|robado|robada|desguazado|achatarrado|chatarra|eliminado|desaparecido"
    r"|verschrottet|ausgesondert|ausgemustert|entsorgt|gestohlen|entfernt|ausser betrieb|abgebaut|weg"
    r"|dismesso|rottamato|rubato|rimosso|eliminato|fuori servizio|reforme|vole|supprime|retire|hors service|mis au rebut)\b"
)
_NO_WHEELS = re.compile(
    r"\b(?:no|not|nicht|ohne|sin|non|senza|sans|pas)\b[^.]{0,20}(?:wheel|fahrbar|ruedas|carrell|ruote|roues)|wheels? (?:off|broken"
    r"|missing)|castor"
)
_STAYS = re.compile(
    r"\b(?:not|never|no|nicht|non|pas|to be|should be|will be|until|pin|tag|seal|sticker|bracket|label|sign)\W+(?:\w+\W+)?$"
)
_ELSEWHERE = re.compile(
    r"do not count|don'?t count|counted (?:in|elsewhere|with|under|at|already|twice)|already counted|count(?:ed)? twice|same ones"
    r"|double counted"
    r"|no contar|ya contad|doppelt gezahlt|bereits gezahlt|nicht zahlen|gia contat|deja compte|listed (?:elsewhere|twice|also)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """What a remark says about a unit. `deeds` are dates of work done, by fact."""

    deeds: tuple[tuple[str, PartialDate], ...] = ()
    asks: tuple[Ask, ...] = ()
    removed: bool = False
    wheeled: bool = False
    elsewhere: bool = False


NOTHING = Remark()


def read_remark(text: str, context: DateContext) -> Remark:
    """Read one remark.

    >>> read_remark("recharged 2/19 after grease fire", DateContext(order="MDY")).deeds
    (('last_recharge', PartialDate(year=2019, month=2, day=None)),)
    >>> read_remark("HYDRO DUE 6/26", DateContext()).deeds, read_remark("stolen 7/2020, not replaced", DateContext()).removed
    ((), True)
    """
    low = plain(text[:REMARK_READ_MAX])
    deeds: list[tuple[str, PartialDate]] = []
    asks: list[Ask] = []
    for field, pattern in _DEEDS:
        match = pattern.search(low)
        if match and not DUE.search(low[: match.end()].rpartition(".")[2].rpartition(";")[2]):
            found = read_date(match[1], replace(context, field=field, days=False))
            if found.value is not None and found.flaw is None:
                deeds.append((field, found.value))
            if found.ask is not None:
                asks.append(found.ask)
    gone = _REMOVED.search(low)
    removed = gone is not None and not _STAYS.search(low[: gone.start()])
    wheeled, _ = cut_wheeled(low)
    return Remark(
        deeds=tuple(deeds),
        asks=tuple(asks),
        removed=removed,
        wheeled=bool(wheeled) and not _NO_WHEELS.search(low),
        elsewhere=bool(_ELSEWHERE.search(low)),
    )
