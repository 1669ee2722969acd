"""What does not fit together: tested before made, dates to come, the same number twice, subtotals that disagree."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from pinseal.dates import PartialDate
from pinseal.intake.heading_words import DATE_FIELDS
from pinseal.intake.register import Problem, RegisterUnit

WORK_FIELDS = tuple(field for field in DATE_FIELDS if field not in ("manufactured", "sold_and_tagged"))
RESTARTS_SHARE = 0.2


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
        wrong = {pair for pair in set(zip(made, done, strict=True)) if _before(pair[1], pair[0], day)}
        if not wrong:
            continue
        for number, pair in zip(numbers, zip(made, done, strict=True), strict=True):
            if pair in wrong:
                why = f"{pair[1]} lies before the unit was made ({pair[0]})"
                found.append(Problem(sheet=sheet, row=number, column=headings.get(field), raw=str(pair[1]), kind="order", why=why))
    return found


def _before(done: PartialDate | None, made: PartialDate | None, day: date) -> bool:
    return done is not None and made is not None and done.latest < made.earliest <= day


def future_problems(
    sheet: str | None, numbers: Sequence[int], facts: Mapping[str, Sequence[PartialDate | None]], headings: Mapping[str, str], day: date
) -> list[Problem]:
    """Dates of things done that lie after the day of the list. The facts stay as written."""
    found = []
    for field, values in facts.items():
        late = {value for value in set(values) if value is not None and value.earliest > day}
        if not late:
            continue
        for number, value in zip(numbers, values, strict=True):
            if value in late:
                why = f"{value} lies after {day.isoformat()}, the day this was checked against"
                found.append(Problem(sheet=sheet, row=number, column=headings.get(field), raw=str(value), kind="future-date", why=why))
    return found


def duplicate_problems(units: Sequence[RegisterUnit], columns: Mapping[str | None, Mapping[str, str]]) -> list[Problem]:
    """Serials and ids that stand on more than one row. Ids that plainly start again at each site are compared within it."""
    serials = _twice(((unit.serial or "").casefold(), unit) for unit in units)
    ids = _twice(((unit.id or "").casefold(), unit) for unit in units)
    if sum(map(len, ids.values())) > RESTARTS_SHARE * len(units):
        ids = _twice((f"{unit.id}|{unit.sheet}|{unit.site}".casefold() if unit.id else "", unit) for unit in units)
    found = []
    for kind, field, groups in (("duplicate-serial", "serial", serials), ("duplicate-id", "id", ids)):
        for group in groups.values():
            for unit in group:
                others = [f"{other.sheet + ' ' if other.sheet else ''}row {other.row}" for other in group if other is not unit]
                why = f"the same {field} stands on {', '.join(others[:4])}: moved, or a slip of the pen"
                raw = str(getattr(unit, field))
                found.append(
                    Problem(sheet=unit.sheet, row=unit.row, column=columns.get(unit.sheet, {}).get(field), raw=raw, kind=kind, why=why)
                )
    return found


def _twice(pairs: Iterable[tuple[str, RegisterUnit]]) -> dict[str, list[RegisterUnit]]:
    keyed = [(key, unit) for key, unit in pairs if key]
    tally = Counter(key for key, _ in keyed)
    found: dict[str, list[RegisterUnit]] = defaultdict(list)
    if len(tally) < len(keyed):
        for key, unit in keyed:
            if tally[key] > 1:
                found[key].append(unit)
    return found
