"""The forms in which people write one date. Each reader takes plain lower-case text and says None where it is not that form."""

from __future__ import annotations

import re
from datetime import date, timedelta

from pinseal.dates import PartialDate
from pinseal.intake.date_words import MONTH_PATTERN, MONTHS, SEASON_MONTHS, SEASON_PATTERN, DateContext, full_year, hull, valid, year_of
from pinseal.intake.findings import Ask, Flaw, Read

When = Read[PartialDate]

ORDER_TOKEN = "date-order"  # noqa: S105 - the name of a question
SERIAL_ORIGIN = date(1899, 12, 30)
_MONTH_FIELDS = ("manufactured", "last_hydrostatic_test", "last_internal_examination", "placed_in_service", "sold_and_tagged")

_TIME = re.compile(r"[t ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[ap]\.?m\.?|z|[+-]\d{2}:?\d{2})?$")
_YMD = re.compile(r"(\d{3,4})([-/.])(\d{1,2})\2(\d{1,2})")
_COMPACT = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})")
_TRIPLE = re.compile(r"(\d{1,2})( ?[/.\-] ?| )(\d{1,2})(?: ?[/.\-] ?| )('?\d{1,4})")
_YEAR_MONTH = re.compile(r"(\d{4}) ?[-/.] ?(\d{1,2})")
_MONTH_YEAR = re.compile(r"(\d{1,2}) ?[-/. ] ?('?)(\d{4}|\d{2})")
_YEAR = re.compile(r"('?)(\d{4}|\d{2})")
_NAME_YEAR = re.compile(rf"({MONTH_PATTERN})\.?[ \-/,.]*(?:de |del |of )?('?)(\d{{4}}|\d{{2}})")
_NAME_DAY_YEAR = re.compile(rf"({MONTH_PATTERN})\.? ?(\d{{1,2}})(?:st|nd|rd|th)?(?:,| |, )\s?('?\d{{2}}|\d{{4}})")
_DAY_NAME_YEAR = re.compile(
    rf"(\d{{1,2}})(?:st|nd|rd|th|\.|er|º)?[ \-/.]*(?:de |of )?({MONTH_PATTERN})\.?[ \-/.,]*(?:de |del )?('?\d{{2}}|\d{{4}})"
)
_DAY_NAME = re.compile(rf"(\d{{1,2}})(?:st|nd|rd|th|\.)?[ \-/.]*({MONTH_PATTERN})\.?")
_YEAR_NAME = re.compile(rf"(\d{{4}})[ \-/.,]*({MONTH_PATTERN})\.?(?:[ \-/.]*(\d{{1,2}}))?")
_SERIAL = re.compile(r"(\d{5})(?:[.,]\d+)?")
_QUARTER = re.compile(
    r"(?:q ?([1-4])|([1-4]) ?q|([1-4])\.? ?(?:quartal|trim\w*|quarter)|([1-4])(?:st|nd|rd|th) quarter)[ /\-']*(\d{4}|\d{2})"
)
_QUARTER_LAST = re.compile(r"(\d{4})[ /\-]*q ?([1-4])")
_HALF = re.compile(r"(?:h ?([12])|([12])\.? ?(?:halbjahr|semestre?))[ /\-']*(\d{4}|\d{2})")
_SEASON = re.compile(rf"({SEASON_PATTERN})[ \-/.']*(?:of |de |del )?(\d{{4}}|\d{{2}})")
_STAMP = re.compile(r"(\d{1,2}) ?[\[(<{^]? ?[a-z]{1,2}-?\d{2,5}[a-z]? ?[\])>}^]? ?'?(\d{4}|\d{2})[+*s]*")
_DECADE = re.compile(r"(?:(\d{1,2})[/.\-])?(\d{3}|\d)[?_x*]")
_TORN_MONTH = re.compile(r"(?:[?_x]{1,2}[/.\-]){1,2}'?(\d{4}|\d{2})")
_TORN_DAY = re.compile(r"(\d{1,2})[/.\-][?_x]{1,2}[/.\-](\d{4}|\d{2})")
_RANGE = re.compile(r"(\d{4}) ?(?:-|to|or|bis|oder|a|o|ou) ?'?(\d{4}|\d{2})")


def _impossible(why: str) -> When:
    return Read(flaw=Flaw("impossible-date", why))


def _asked(context: DateContext, raw: str, readings: list[PartialDate | str], why: str, flaw: Flaw | None = None) -> When:
    dates = [each for each in readings if isinstance(each, PartialDate)]
    value = hull(dates) if len(dates) == len(readings) else None
    texts = tuple(dict.fromkeys(str(each) for each in readings))
    return Read(value, flaw, Ask(context.field, f"{context.field} {raw}", texts, why))


def read_triple(text: str, context: DateContext) -> When | None:
    """Three numbers: ISO, or day, month and year in the column's order."""
    bare = _TIME.sub("", text)
    match = _YMD.fullmatch(bare) or _COMPACT.fullmatch(bare)
    if match:
        parts = [int(part) for part in match.groups() if part.isdigit()]
        found = valid(parts[0], parts[1], parts[2])
        return Read(found) if found else _impossible("there is no such day")
    possible = triple_orders(bare, context)
    return None if possible is None else _ordered(bare, possible, context)


def triple_orders(text: str, context: DateContext) -> dict[str, PartialDate] | None:
    """The calendar dates that three numbers can mean, by order; None where the text is no such triple.

    >>> sorted(triple_orders("3/21/2024", DateContext())), sorted(triple_orders("07/08/09", DateContext()))
    (['MDY'], ['DMY', 'MDY', 'YMD'])
    """
    match = _TRIPLE.fullmatch(text)
    if not match:
        return None
    first, second, last = int(match[1]), int(match[3]), match[4]
    year = year_of(last, context)
    tries = {"MDY": (year, first, second), "DMY": (year, second, first)}
    if len(last) == 2 and last.isdigit() and len(match[1]) == 2 and match[2] != " ":
        tries["YMD"] = (full_year(first, context), second, int(last))
    return {order: found for order, parts in tries.items() if (found := valid(*parts))}


def _ordered(text: str, possible: dict[str, PartialDate], context: DateContext) -> When:
    if not possible:
        return _impossible("there is no such day, or the year is a filler")
    if context.order in possible:
        return Read(possible[context.order])
    if context.order in ("MDY", "DMY", "YMD"):
        return Read(flaw=Flaw("impossible-date", f"there is no such day in the column's order ({context.order})"))
    if context.order is None and set(possible) == {"YMD", "DMY"} and int(text[:2]) > 31:
        return Read(possible["YMD"])
    readings = list(dict.fromkeys(possible.values()))
    if len(readings) == 1:
        return Read(readings[0])
    texts = tuple(str(each) for each in readings)
    return Read(hull(readings), None, Ask(context.field, ORDER_TOKEN, texts, "Which comes first in these dates, the day or the month?"))


def read_pair(text: str, context: DateContext) -> When | None:
    """Two numbers: month and year, or, in a column of whole days, perhaps month and day with no year."""
    match = _YEAR_MONTH.fullmatch(text)
    if match:
        found = valid(int(match[1]), int(match[2]))
        return (Read(found) if found else _impossible("there is no such month")) if not _RANGE.fullmatch(text) or found else None
    match = _MONTH_YEAR.fullmatch(text)
    if not match:
        return None
    first, second = int(match[1]), int(match[3])
    month_year = valid(year_of(match[3], context), first)
    if len(match[3]) == 4 or match[2]:
        return Read(month_year) if month_year else _impossible("there is no such month, or the year is a filler")
    days = [(month, day) for month, day in ((first, second), (second, first)) if valid(2000, month, day)]
    if month_year and (not context.days or not days):
        return Read(month_year)
    year_month = valid(full_year(first, context), second) if first > 12 and not month_year else None
    readings: list[PartialDate | str] = [each for each in (month_year, year_month) if each]
    orders = {"MDY": days[:1], "DMY": days[-1:]}.get(context.order or "", days)
    readings += [_without_year(month, day, context) for month, day in orders]
    return _asked(context, text, readings, f"What does {text} mean?") if readings else _impossible("there is no such month")


def _without_year(month: int, day: int, context: DateContext) -> PartialDate | str:
    if context.as_of is not None and context.field not in _MONTH_FIELDS:
        found = valid(context.as_of.year, month, day)
        if found:
            return found
    return f"--{month:02d}-{day:02d}"


def read_year(text: str, context: DateContext) -> When | None:
    """A year of four figures, or of two where that can be nothing else."""
    match = _YEAR.fullmatch(text)
    if not match:
        return None
    found = valid(year_of(match[2], context))
    if found is None:
        return _impossible("this is no year that a unit can have")
    if len(match[2]) == 4 or match[1] or (context.field in _MONTH_FIELDS and not context.days):
        return Read(found)
    return _asked(context, text, [found, f"day {int(match[2])}"], f"What does {text} mean?")


def read_named(text: str, context: DateContext) -> When | None:
    """Dates with the name of a month."""
    bare = _TIME.sub("", text)
    for pattern, picks in ((_DAY_NAME_YEAR, (3, 2, 1)), (_NAME_DAY_YEAR, (3, 1, 2)), (_YEAR_NAME, (1, 2, 3))):
        match = pattern.fullmatch(bare)
        if match:
            year, name, day = (match[pick] for pick in picks)
            found = valid(year_of(year, context), MONTHS[name], int(day) if day else None)
            return Read(found) if found else _impossible("there is no such day, or the year is a filler")
    match = _NAME_YEAR.fullmatch(bare)
    if match:
        return _name_and_number(bare, MONTHS[match[1]], match[2], match[3], context)
    match = _DAY_NAME.fullmatch(bare)
    if match:
        month, number = MONTHS[match[2]], int(match[1])
        readings: list[PartialDate | str] = [_without_year(month, number, context)] if valid(2000, month, number) else []
        month_year = valid(full_year(number, context), month) if len(match[1]) == 2 else None
        readings += [month_year] if month_year else []
        return _asked(context, bare, readings, f"What does {text} mean?") if readings else _impossible("there is no such day")
    return None


def _name_and_number(text: str, month: int, apostrophe: str, number: str, context: DateContext) -> When:
    found = valid(year_of(number, context), month)
    if found is None:
        return _impossible("this is no year that a unit can have")
    if len(number) == 4 or apostrophe or not context.days or not valid(2000, month, int(number)):
        return Read(found)
    return _asked(context, text, [found, _without_year(month, int(number), context)], f"Is {number} the day or the year in {text}?")


def read_serial(text: str, _: DateContext) -> When | None:
    """A spreadsheet's day number, counted from 1899-12-30, such as 41791."""
    match = _SERIAL.fullmatch(text)
    if not match or not 15_000 <= int(match[1]) <= 73_000:
        return None
    day = SERIAL_ORIGIN + timedelta(days=int(match[1]))
    return Read(PartialDate.of(day), Flaw("spreadsheet-serial", f"read as a spreadsheet's day number: {day.isoformat()}; please confirm"))


def read_part_of_year(text: str, context: DateContext) -> When | None:
    """A quarter, a half or a season: the year holds, the months stand in the question."""
    match = _QUARTER.fullmatch(text)
    if match:
        quarter = int(next(part for part in match.groups()[:4] if part))
        return _months(text, match[5], range(quarter * 3 - 2, quarter * 3 + 1), context)
    match = _QUARTER_LAST.fullmatch(text)
    if match:
        return _months(text, match[1], range(int(match[2]) * 3 - 2, int(match[2]) * 3 + 1), context)
    match = _HALF.fullmatch(text)
    if match:
        half = int(match[1] or match[2])
        return _months(text, match[3], range(half * 6 - 5, half * 6 + 1), context)
    match = _SEASON.fullmatch(text)
    return _months(text, match[2], SEASON_MONTHS[match[1]], context) if match else None


def _months(text: str, year: str, months: range | tuple[int, ...], context: DateContext) -> When:
    readings = [found for month in months if (found := valid(year_of(year, context), month))]
    if not readings:
        return _impossible("this is no year that a unit can have")
    return _asked(context, text, list(readings), f"Which month is {text}?")


def read_stamp(text: str, context: DateContext) -> When | None:
    """A test stamp of a cylinder's shell: month, the tester's mark, year."""
    match = _STAMP.fullmatch(text)
    if not match:
        return None
    found = valid(year_of(match[2], context), int(match[1]))
    return Read(found) if found else _impossible("there is no such month")


def read_torn(text: str, context: DateContext) -> When | None:
    """Dates of which a part is gone: the part that can be read holds, the rest is said to be unreadable."""
    torn = Flaw("unreadable", "a part of the date is gone")
    match = _TORN_MONTH.fullmatch(text)
    if match:
        return Read(valid(year_of(match[1], context)), torn)
    match = _TORN_DAY.fullmatch(text)
    if match:
        found = valid(year_of(match[2], context), int(match[1])) or valid(year_of(match[2], context))
        return Read(found if context.order == "MDY" or found is None else PartialDate(found.year), torn)
    match = _DECADE.fullmatch(text)
    if match and (len(match[2]) == 3 or match[1]):
        tens = match[2] if len(match[2]) == 3 else str(full_year(int(match[2]) * 10, context))[:3]
        month = int(match[1]) if match[1] else None
        readings = [found for digit in range(10) if (found := valid(int(tens) * 10 + digit, month))]
        return _asked(context, text, list(readings), f"Which year is {text}?", torn) if readings else None
    return None


def read_range(text: str, context: DateContext) -> When | None:
    """Several years: every year between them is a reading."""
    match = _RANGE.fullmatch(text)
    if not match:
        return None
    first, last = int(match[1]), year_of(match[2], context)
    readings = [found for year in range(first, last + 1) if (found := valid(year))] if 0 < last - first < 40 else []
    return _asked(context, text, list(readings), f"Which year is meant by {text}?") if readings else None
