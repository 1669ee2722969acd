"""What a spreadsheet shows for a number or a date: `mmm-yy` shows a month, `0000` keeps zeros, `0" lb"` adds a unit."""

from __future__ import annotations

import re
from datetime import date

from pinseal.dates import FIRST_YEAR, LAST_YEAR, PartialDate

# Built-in formats (ECMA-376 part 1, 18.8.30); 14 and 22 follow the reader's own country, so that they are shown as ISO here.
_BUILT_IN = {
    14: "yyyy-mm-dd", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss",
    22: "yyyy-mm-dd h:mm", 45: "mm:ss", 46: "[h]:mm:ss", 47: "mm:ss.0", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%",
}  # fmt: skip
_QUOTED = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')
_TOKEN = re.compile(r"yyyy|yy?|mmmm?m?|mm?|dddd|ddd|dd?", re.IGNORECASE)
_NUMBER = re.compile(r'^((?:"[^"]*"|\\.|[ -])*)([#,]*0+(?:\.0+)?)((?:"[^"]*"|\\.|[ -])*)$')
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")


def format_of(number: int, custom: dict[int, str]) -> str:
    """The format's text for its number; `General` where it has none."""
    return custom.get(number) or _BUILT_IN.get(number, "General")


def precision_of(pattern: str) -> str | None:
    """`day`, `month`, `year` for a date format, None for any other.

    >>> precision_of("mmm-yy"), precision_of("yyyy"), precision_of("m/d/yyyy"), precision_of('0" day"')
    ('month', 'year', 'day', None)
    """
    bare = _QUOTED.sub("", pattern.split(";")[0]).lower()
    if bare == "general" or not set(bare) & set("ymd"):
        return None
    if "d" in bare:
        return "day"
    if "y" in bare:
        return "month" if "m" in bare else "year"
    return None if set(bare) & set("hs") else "month"


def shown_date(day: date, pattern: str) -> PartialDate | None:
    """The date that a cell shows, at the precision of its format; None outside 1900 to 2099."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        return None
    precision = precision_of(pattern) or "day"
    if precision == "year":
        return PartialDate(day.year)
    return PartialDate(day.year, day.month) if precision == "month" else PartialDate.of(day)


def date_text(day: date, pattern: str) -> str:
    """The text that a spreadsheet shows for a date.

    >>> date_text(date(2014, 6, 1), "mmm-yy"), date_text(date(2023, 8, 21), "m/d/yyyy")
    ('Jun-14', '8/21/2023')
    """
    if precision_of(pattern) is None:
        return day.isoformat()
    bare = re.sub(r"\s*h.*$", "", re.sub(r"\[[^\]]*\]|[\"\\]", "", pattern.split(";")[0]), flags=re.IGNORECASE)
    return _TOKEN.sub(lambda match: _part(day, match[0].lower()), bare)


def _part(day: date, token: str) -> str:
    name = _MONTHS[day.month - 1]
    table = {"yyyy": f"{day.year:04d}", "mmmm": name, "mmm": name[:3], "mmmmm": name[0], "mm": f"{day.month:02d}", "m": str(day.month)}
    table |= {"dd": f"{day.day:02d}", "d": str(day.day), "ddd": day.strftime("%a"), "dddd": day.strftime("%A")}
    return table.get(token, f"{day.year % 100:02d}")


def number_text(number: float, pattern: str) -> str:
    """The text that a spreadsheet shows for a number, as far as an owner's list needs it.

    >>> number_text(102.0, "0000"), number_text(10.0, '0" lb"'), number_text(2.5, "General")
    ('0102', '10 lb', '2.5')
    """
    plain = str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)
    match = _NUMBER.match(pattern.split(";")[0])
    if not match:
        return plain
    whole, _, decimals = match[2].replace(",", "").replace("#", "").partition(".")
    if decimals and number == int(number):
        shown = plain
    elif decimals:
        shown = f"{number:.{len(decimals)}f}"
    else:
        shown = plain if number != int(number) else plain.zfill(len(whole))
    return re.sub(r'["\\]', "", match[1]) + shown + re.sub(r'["\\]', "", match[3])
