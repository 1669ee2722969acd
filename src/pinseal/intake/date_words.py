"""Month names, seasons and other words of dates in five languages, and the hull of several readings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from pinseal.dates import FIRST_YEAR, LAST_YEAR, PartialDate
from pinseal.reasons import Refusal

_NAMES = (
    "january jan enero ene gennaio gen januar janner janvier janv",
    "february feb febrero febbraio februar fevrier fev fevr",
    "march mar marzo marz maerz mrz mars",
    "april apr abril abr aprile avril avr",
    "may mayo maggio mag mai",
    "june jun junio giugno giu juni juin",
    "july jul julio luglio lug juli juillet juil",
    "august aug agosto ago aout",
    "september sep sept septiembre setiembre set settembre septembre",
    "october oct octubre ottobre ott oktober okt octobre",
    "november nov noviembre novembre",
    "december dec diciembre dic dicembre dezember dez decembre",
)
MONTHS = {name: number for number, names in enumerate(_NAMES, 1) for name in names.split()}
MONTH_PATTERN = "|".join(sorted(MONTHS, key=len, reverse=True))

# The months that a season or a part of a year touches; a winter is read within the year that is named.
SEASONS = {
    (3, 4, 5, 6): "spring primavera fruhling fruhjahr printemps",
    (6, 7, 8, 9): "summer verano estate sommer ete",
    (9, 10, 11, 12): "autumn fall otono autunno herbst automne",
    (1, 2, 3, 12): "winter invierno inverno hiver",
    (1, 2, 3, 4): "early beginning anfang principios inizio debut",
    (5, 6, 7, 8): "mid middle mitte mediados meta milieu",
    (9, 10, 11, 12, 13): "late end ende finales fine fin",
}
SEASON_MONTHS = {word: tuple(month for month in months if month < 13) for months, words in SEASONS.items() for word in words.split()}
SEASON_PATTERN = "|".join(sorted(SEASON_MONTHS, key=len, reverse=True))

UNREADABLE_WORDS = (
    "see tag", "see label", "see bottle", "see collar", "illegible", "unreadable", "not readable", "can't read", "cant read",
    "cannot read", "torn",
    "faded", "worn", "missing", "gone", "painted", "scratched", "on tag", "ver etiqueta", "ilegible", "no se lee", "borrado", "roto",
    "siehe",
    "s. etikett", "unleserlich", "abgerissen", "nicht lesbar", "illeggibile", "vedi", "strappato", "illisible", "voir", "dechire",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class DateContext:
    """What the column says about its cells: the order of day and month, and whether it gives whole days.

    `order` is MDY, DMY or YMD, `mixed` where cells contradict one another, or None where nothing decides.
    `latest_year` is the year the list was made in: two-figure years are counted from it.
    """

    field: str = "manufactured"
    order: str | None = None
    days: bool = False
    latest_year: int = 2026
    as_of: date | None = None


def full_year(two: int, context: DateContext) -> int:
    """The year of two figures: not more than ten years past the list's own, else in the century before."""
    century = context.latest_year // 100 * 100
    year = century + two
    if year > context.latest_year + 10:
        year -= 100
    elif year <= context.latest_year - 90:
        year += 100
    return year


def year_of(text: str, context: DateContext) -> int:
    """A year of two or four figures, with or without an apostrophe."""
    digits = text.strip("' ")
    return int(digits) if len(digits) > 2 else full_year(int(digits), context)


def valid(year: int, month: int | None = None, day: int | None = None) -> PartialDate | None:
    """The date, or None where the calendar has no such date or the year is none that a unit can have."""
    if not FIRST_YEAR < year <= LAST_YEAR or (month is not None and not 1 <= month <= 12):
        return None
    try:
        return PartialDate(year, month, day)
    except Refusal:
        return None


def hull(readings: Iterable[PartialDate]) -> PartialDate | None:
    """The part that all readings share: a day, a month, a year, or nothing.

    >>> str(hull([PartialDate(2024, 1), PartialDate(2024, 1, 24)])), hull([PartialDate(2021, 9, 17), PartialDate(2017, 9)])
    ('2024-01', None)
    """
    kept = list(readings)
    if not kept or len({each.year for each in kept}) > 1:
        return None
    months = {each.month for each in kept}
    if len(months) > 1 or None in months:
        return PartialDate(kept[0].year)
    days = {each.day for each in kept}
    return PartialDate(kept[0].year, kept[0].month, kept[0].day if len(days) == 1 else None)
