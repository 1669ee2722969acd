"""What does not fit together: tested before made, dates to come, the same number twice, subtotals that disagree."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import cast

from pinseal.dates import PartialDate
from pinseal.intake.heading_words import DATE_FIELDS
from pinseal.intake.register import Problem, UnitColumns

WORK_FIELDS = tuple(field for field in DATE_FIELDS if field not in ("manufactured", "sold_and_tagged"))
RESTARTS_SHARE = 0.2
NAMED_MAX = 5


def order_problems(
    sheet: str | None,
    numbers: Sequence[int],
    facts: Mapping[str, Sequence[PartialDate | None]],
    headings: Mapping[str, str],
    day: date,
) -> list[Problem]:
    """Work that would lie before the unit was made. The facts stay as written; a date of making still to come is its own problem."""
    made = facts.get("manufactured")
    if made is None:
        return []
    found = []
    for field in WORK_FIELDS:
        done = facts.get(field)
        if done is None:
            continue
        for number, pair in _wrong_pairs(numbers, made, done, day):
            why = f"{pair[1]} lies before the unit was made ({pair[0]})"
            found.append(Problem(sheet=sheet, row=number, column=headings.get(field), raw=str(pair[1]), kind="order", why=why))
    return found


def _wrong_pairs(
    numbers: Sequence[int], made: Sequence[PartialDate | None], done: Sequence[PartialDate | None], day: date
) -> Iterator[tuple[int, tuple[PartialDate, PartialDate]]]:
    """Rows whose dates are the wrong way round. Equal cells share one value, so that pairs are told apart by identity, which is fast."""
    known = dict(zip(map(id, made), made, strict=True)) | dict(zip(map(id, done), done, strict=True))
    pairs = set(zip(map(id, made), map(id, done), strict=True))
    wrong = {pair for pair in pairs if _before(known[pair[1]], known[pair[0]], day)}
    for number, first, second in zip(numbers, made, done, strict=True) if wrong else ():
        if first is not None and second is not None and (id(first), id(second)) in wrong:
            yield number, (first, second)


def _before(done: PartialDate | None, made: PartialDate | None, day: date) -> bool:
    return done is not None and made is not None and done.latest < made.earliest <= day


def future_problems(
    sheet: str | None, numbers: Sequence[int], facts: Mapping[str, Sequence[PartialDate | None]], headings: Mapping[str, str], day: date
) -> list[Problem]:
    """Dates of things done that lie after the day of the list. The facts stay as written."""
    found = []
    for field, values in facts.items():
        known = dict(zip(map(id, values), values, strict=True))
        late = {key for key, value in known.items() if value is not None and value.earliest > day}
        for number, value in zip(numbers, values, strict=True) if late else ():
            if id(value) in late:
                why = f"{value} lies after {day.isoformat()}, the day this was checked against"
                found.append(Problem(sheet=sheet, row=number, column=headings.get(field), raw=str(value), kind="future-date", why=why))
    return found


def duplicate_problems(units: UnitColumns, columns: Mapping[str | None, Mapping[str, str]]) -> list[Problem]:
    """Serials and ids that stand on more than one row. Ids that plainly start again at each site are compared within it."""
    found: list[Problem] = []
    for field in ("serial", "id"):
        values = units.values(field)
        keys = [value.casefold() if isinstance(value, str) else "" for value in values]
        twice = _twice(keys)
        if not twice:
            continue
        places = list(zip(units.values("sheet"), units.values("row"), strict=True))
        if field == "id" and len(twice) > RESTARTS_SHARE * len(keys):
            sites = units.values("site")
            wider = [f"{key}|{place[0]}|{site}" if key else "" for key, place, site in zip(keys, places, sites, strict=True)]
            twice = _twice(wider)
        found += [_duplicate(field, str(values[at]), places, at, others, columns) for at, others in twice.items()]
    return found


def _twice(keys: Sequence[str]) -> dict[int, list[int]]:
    """For each place whose key stands elsewhere too, the first few places that hold it."""
    if len(set(keys)) == len(keys):
        return {}
    tally = Counter(keys)
    first: dict[str, list[int]] = defaultdict(list)
    found: dict[int, list[int]] = {}
    for at, key in enumerate(keys):
        if key and tally[key] > 1:
            if len(first[key]) < NAMED_MAX:
                first[key].append(at)
            found[at] = first[key]
    return found


def _duplicate(
    field: str,
    raw: str,
    places: Sequence[tuple[object, object]],
    at: int,
    others: Sequence[int],
    columns: Mapping[str | None, Mapping[str, str]],
) -> Problem:
    sheet, row = cast("tuple[str | None, int]", places[at])
    named = [f"{f'{places[other][0]} ' if places[other][0] else ''}row {places[other][1]}" for other in others if other != at]
    why = f"the same {field} stands on {', '.join(named)} too: moved, or a slip of the pen"
    return Problem(sheet=sheet, row=row, column=columns.get(sheet, {}).get(field), raw=raw, kind=f"duplicate-{field}", why=why)
