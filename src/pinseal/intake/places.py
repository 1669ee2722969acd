"""Names of sites and places out of titles, sections and sheet names."""

from __future__ import annotations

import re

from pinseal.intake.headings import meaning_of
from pinseal.intake.words import fold, plain, word_set

_DECORATION = " \t*-=_#~·•<>:;.|+–—"
_CONTINUED = re.compile(
    r"\s*[(\[]?\b(?:continued|cont'?d|cont\.|forts\.|fortsetzung|continuacion|segue|suite)\b\.?[)\]]?\s*$", re.IGNORECASE
)
_TALLY = re.compile(
    r"\s*[-(–:,]?\s*\(?\b\d{1,4}\s*(?:units?|extinguishers?|pcs|bottles|extintores|uds?|stück|löscher|estintori|extincteurs)\)?\s*$",
    re.IGNORECASE,
)
_LABEL = re.compile(r"^([^:=]{2,24})[:=]\s*(.+)$")
_FLOOR = re.compile(
    r"^(?:\d{1,2}(?:st|nd|rd|th)?\.? ?(?:floor|fl|level|og|ug|obergeschoss|etage|piso|planta|piano|stock)|(?:floor|fl|level|piso"
    r"|planta|etage|piano|niveau)\.? ?\w{1,8}"
    r"|(?:ground|first|second|third|fourth|fifth|upper|lower|top|main) (?:floor|level)|basement|bsmt|attic|cellar|roof|mezzanine|eg|og"
    r"|ug|keller|erdgeschoss"
    r"|untergeschoss|obergeschoss|dachgeschoss|sotano|planta baja|bajo|piano terra|seminterrato|rez-de-chaussee|sous-sol)$"
)
_LIST_WORDS = word_set(
    "card cards fire extinguisher extinguishers bottle bottles list lists register registers inventory log record records all offices "
    "office master current report equipment sheet tabelle hoja foglio feuil data export copy units portable annual "
    "inspection maintenance schedule status yearly monthly of the for at in and extintor extintores listado lista "
    "inventario relacion registro incendios contra de del la el los las control revision equipos feuerloscher feuerlocher "
    "loscher verzeichnis liste bestand bestandsliste bestandsverzeichnis prufliste ubersicht kartei aller der die das "
    "estintore estintori elenco antincendio presidi dei degli di extincteur extincteurs registre inventaire parc des les "
    "du a y und et e blatt page main total totals building buildings by site sites overview summary new old stand"
)
_GENERIC_SHEET = re.compile(r"^(?:sheet|tabelle|hoja|foglio|feuil|blatt|page|list|data|export)? ?\d*(?: ?\(\d+\))?$")


def section_name(text: str) -> str:
    """A section's name without its decoration.

    >>> section_name("*** MAIN BUILDING ***"), section_name("North yard (continued)"), section_name("Depot - 12 units")
    ('MAIN BUILDING', 'North yard', 'Depot')
    """
    name = text.strip(_DECORATION)
    name = _TALLY.sub("", _CONTINUED.sub("", name)).strip(_DECORATION)
    return name or text.strip()


def floor_like(name: str) -> bool:
    """Whether a section names a floor, which is a place inside a site.

    >>> floor_like("2nd floor"), floor_like("Main building")
    (True, False)
    """
    return bool(_FLOOR.fullmatch(plain(name)))


def label_value(cells: list[str]) -> str | None:
    """The site out of `Site: North yard`, in one cell or two; None where the row is no such label."""
    if len(cells) == 1:
        match = _LABEL.match(cells[0])
        if match and meaning_of(match[1]).fields[:1] == ("site",):
            return section_name(match[2])
        return None
    if len(cells) == 2 and cells[0].rstrip().endswith(":") and meaning_of(cells[0]).fields[:1] in (("site",), ("place",)):
        return section_name(cells[1])
    return None


def site_of_sheet(name: str | None) -> str | None:
    """A sheet's name where it can be a place's name; None for Sheet1, List, 2024 and the like."""
    if name is None or _GENERIC_SHEET.fullmatch(plain(name)):
        return None
    words = [word for word in fold(name).split() if not word.isdigit() and word not in _LIST_WORDS]
    return name.strip() if words else None


def site_of_title(title: str | None) -> str | None:
    """The place that a title names, without the words that only say it is a list of extinguishers.

    >>> site_of_title("Pelmarsh grain store - fire bottles"), site_of_title("FIRE EXTINGUISHER LIST")
    ('Pelmarsh grain store', None)
    """
    if title is None:
        return None
    best, best_share = None, 0.0
    for part in re.split(r"\s+[-–—|]\s+|[:;|]|\s—|—\s|\(|,\s", title):
        words = fold(part).split()
        own = [word for word in words if not word.isdigit() and word not in _LIST_WORDS]
        if own and len(own) * 2 >= len(words) - 2 and len(own) / len(words) > best_share:
            best, best_share = _without_list_words(part.strip(_DECORATION)), len(own) / len(words)
    return best


def _without_list_words(part: str) -> str:
    """Cut the words that only say what the list is, at both ends; a name keeps words such as `main` and `office`."""
    words = part.split()
    while words and (_is_list_word(words[-1]) or fold(words[-1]).isdigit()):
        words.pop()
    head, listed = list(words), False
    while head and (_is_list_word(head[0]) or (listed and fold(head[0]) in _ARTICLES)):
        listed = True
        head.pop(0)
    return " ".join(head if listed and head else words) or part


_OF_NAMES = word_set(
    "main building buildings office offices old new site sites the la el los las de del der die das of at for in and und y et e a du "
    "des les"
)
_ARTICLES = word_set("the of at for in la el los las de del der die das du des les")


def _is_list_word(word: str) -> bool:
    folded = fold(word).split()
    return bool(folded) and all(each in _LIST_WORDS - _OF_NAMES for each in folded)
