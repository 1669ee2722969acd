"""What the test sheet says, as plain values for the typesetter and as rows of a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.service.pressure_log_shapes import NOT_ON_RECORD, Apparatus, CheckEntry, OtherTest, TestDay, TestEntry, TestLog
from pinseal.standards.pressure_tests import Source
from pinseal.standards.requalification import FIELDS, requalification

KEPT_HERE = "Here records are added to and never taken away, so they last at least as long."
OF_COPIES = (
    "A source without a word beside it was read in a public copy of the text, some of them older than today's; the edition in force "
    "comes first."
)
AS_RECORDED = "Readings stand as they were recorded. Percents stand before any rounding; … says that decimals were cut off there."
_SHORT = 400  # a row with longer texts may run over the end of a page
# One head for each column of a table of tests, with the key of its value.
COLUMNS: tuple[tuple[str, str], ...] = (
    ("date", "date"),
    ("unit", ""),
    ("serial number", "serial"),
    ("specification as marked", "specification"),
    ("marked pressure", "marked-pressure"),
    ("maker's or owner's symbol", "symbol"),
    ("actual dimensions", "dimensions"),
    ("made", ""),
    ("visual inspection", "visual"),
    ("method", ""),
    ("test pressure", "pressure"),
    ("held", ""),
    ("total expansion", "total"),
    ("elastic expansion", "elastic"),
    ("permanent expansion", "permanent"),
    ("percent", "percent"),
    ("limit", ""),
    ("disposition", "disposition"),
    ("reason", "reason"),
    ("operator", "operator"),
    ("instrument", ""),
    ("stamp", ""),
    ("owner and place", ""),
    ("not on record", ""),
    ("record", ""),
)


def sheet_title(log: TestLog) -> str:
    """What the paper is about."""
    first, last = (PartialDate.of(day).for_people() for day in (log.first, log.last))
    return f"Pressure tests of {first}" if log.first == log.last else f"Pressure tests, {first} to {last}"


def sheet_data(log: TestLog) -> dict[str, Any]:
    """The data of `test_sheet.typ`."""
    held = requalification()
    return {
        "days": [_day_data(day) for day in log.days],
        "nothing": "" if log.days else "No pressure test and no check of a test instrument is on record for this time.",
        "undated": list(log.undated),
        "many": log.first != log.last,
        "marks": [_cited(each.words, each.source) for each in held.markings.values()],
        "signs": [_cited(each.words, each.source) for each in held.suffixes],
        "keep": [*(_cited(each.words, each.source) for each in held.kept("sheet")), KEPT_HERE],
        "why_no_number": "" if log.requalifier else _NO_NUMBER,
        "height_mm": float(held.height_mm),
        "number_height_mm": float(held.number_height_mm),
    }


_NO_NUMBER = (
    "No stamp is drawn: the shop has no requalifier's number among its settings (pinseal settings --firm requalifier=…). "
    "Only the holder of a current approval may mark."
)


def _cited(words: str, source: Source) -> str:
    """A rule with its source; how sure it is, only where it was not read in a public copy."""
    where = f"{source.document} {source.clause}" if source.checked == "public copy" else source.for_people()
    return f"{sentence(words)} ({where})."


def _day_data(day: TestDay) -> dict[str, Any]:
    return {
        "on": PartialDate.of(day.on).for_people(),
        "counts": _counts(day),
        "checks": [_check_data(each) for each in day.checks],
        "apparatus": [_apparatus_data(each) for each in day.apparatus],
        "short": all(len(text) <= _SHORT for each in day.tests for text in (each.name, each.owner, *each.values.values())),
        "tests": [_test_data(number, each) for number, each in enumerate(day.tests, start=1)],
        "others": [_other_data(each) for each in day.others],
        "stamps": [_stamp_data(stamp, some, day) for stamp, some in day.stamps],
        "no_stamp": [f"{number}: {'; '.join(each.why_no_stamp)}" for number, each in enumerate(day.tests, start=1) if _worth_saying(each)],
        "missing": list(_missing(day)),
        "against": [f"{number}: {words}" for number, each in enumerate(day.tests, start=1) for words in each.against],
        "tell": [_tell_data(number, each) for number, each in enumerate(day.tests, start=1) if each.must],
    }


def _counts(day: TestDay) -> str:
    passed = sum(1 for each in day.tests if each.passed and not each.against)
    look = sum(1 for each in day.tests if each.against)
    failed = sum(1 for each in day.tests if not each.passed)
    parts = [f"{len(day.tests)} {'test' if len(day.tests) == 1 else 'tests'}: {passed} passed", f"{failed} failed"]
    return ", ".join(parts + ([f"{look} to be looked at again"] if look else []))


def sentence(words: str) -> str:
    """With a capital at its beginning, as a sentence has."""
    return words[:1].upper() + words[1:]


def _or_not(text: str) -> str:
    return text or NOT_ON_RECORD


def _check_data(each: CheckEntry) -> dict[str, Any]:
    volumes = [(f"{name} {text}") for name, text in (("certified", each.certified), ("total", each.total), ("elastic", each.elastic))]
    volumes.append(f"permanent {each.permanent}" if each.permanent else "")
    return {
        "instrument": f"{each.what} {each.instrument}",
        "shape": "ring" if each.good else "full",
        "result": "good" if each.good else "bad",
        "against": ", ".join(part for part in (each.against, _serial(each), each.certificate) if part) or NOT_ON_RECORD,
        "pressure": _or_not(each.pressure),
        "read": "; ".join(part for part, text in zip(volumes, _texts(each), strict=True) if text) or _or_not(each.value),
        "operator": each.operator,
        "missing": ", ".join(FIELDS[name] for name in each.missing),
    }


def _serial(each: CheckEntry) -> str:
    return f"serial {each.cylinder_serial}" if each.cylinder_serial else ""


def _texts(each: CheckEntry) -> tuple[str, ...]:
    return each.certified, each.total, each.elastic, each.permanent


def _apparatus_data(each: Apparatus) -> dict[str, str]:
    return {"name": f"{each.what} {each.name}".strip(), "standing": each.standing, "against": each.against}


def _test_data(number: int, each: TestEntry) -> dict[str, Any]:
    shown = {name.replace("-", "_"): _or_not(each.values.get(name, "")) for name in FIELDS if name not in each.omitted}
    good = each.passed and not each.against
    return {
        **shown,
        "number": str(number),
        "unit": each.name,
        "owner": each.owner,
        "made": _or_not(each.made),
        "method": kinds.TEST_METHODS.get(each.method, "method not on record"),
        "proof": bool(each.omitted),
        "held": _or_not(each.held),
        "limit": _or_not(each.limit),
        "reason": each.values.get("reason", "") or ("reason not on record" if "reason" in each.missing else ""),
        "instrument": _or_not(each.instrument),
        "shape": "ring" if good else "half" if each.passed else "full",
        "letter": "" if each.stamp is None else each.stamp.letter or "no letter",
    }


def _other_data(each: OtherTest) -> dict[str, str]:
    return {
        "unit": each.name,
        "what": each.what,
        "pressure": _or_not(each.pressure),
        "held": _or_not(each.held),
        "shape": "ring" if each.passed else "full",
        "result": "passed" if each.passed else "failed",
        "found": each.found,
        "operator": each.operator,
        "instrument": _or_not(each.instrument),
    }


def _stamp_data(stamp: Any, some: Iterable[TestEntry], day: TestDay) -> dict[str, Any]:
    places = {each.record: number for number, each in enumerate(day.tests, start=1)}
    return {
        "month": stamp.month,
        "top": stamp.number[:2],
        "under": stamp.number[3] + stamp.number[2],
        "year": stamp.year,
        "letter": stamp.letter,
        "words": f"{sentence(stamp.words)}.",
        "because": f"{sentence(stamp.because)}.",
        "on": [[str(places[each.record]), each.values["serial"] or each.name] for each in some],
    }


def _worth_saying(each: TestEntry) -> bool:
    """A passed test of a stamped cylinder without a stamp; a shell without a specification never gets one, a failed one never earns it."""
    return each.stamp is None and each.passed and each.is_stamped


def _missing(day: TestDay) -> Iterator[str]:
    """What is not on record, by what it is, with the tests that lack it."""
    lacking: dict[str, list[int]] = {}
    for number, each in enumerate(day.tests, start=1):
        for name in each.missing:
            lacking.setdefault(name, []).append(number)
    for name, numbers in lacking.items():
        which = "every test" if len(numbers) == len(day.tests) else f"test {_ranges(numbers)}"
        yield f"{FIELDS[name]}: {which}"


def _ranges(numbers: list[int]) -> str:
    """Numbers in a row told by their ends.

    >>> _ranges([1, 2, 3, 5, 7, 8])
    '1 to 3, 5, 7, 8'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


def _tell_data(number: int, each: TestEntry) -> dict[str, str]:
    held = requalification().tellings
    rules = [held[each.must], *([held["condemned-mark"]] if each.must == "condemned" else [])]
    notice = f" The notice: pinseal print notice {each.name} --condemned." if "condemned" in each.values["disposition"] else ""
    return {
        "which": f"{number}: {each.values['serial'] or each.name}, {each.owner or 'owner not on record'}",
        "why": each.values.get("reason") or "reason not on record",
        "words": " ".join(f"{sentence(rule.for_people())}." for rule in rules),
        "told": f"Told: {each.told}." if each.told else f"That the owner was told is not on record.{notice}",
    }


# -- the table


def sheet_rows(log: TestLog) -> Iterator[tuple[Any, ...]]:
    """One row for each test, as `COLUMNS` has it."""
    for day in log.days:
        for each in day.tests:
            yield tuple(_cell(head, name, each, day) for head, name in COLUMNS)


def _cell(head: str, name: str, each: TestEntry, day: TestDay) -> Any:
    if name == "date":
        return day.on
    if name:
        return "" if name in each.omitted else each.values.get(name, "")
    return {
        "unit": each.name,
        "made": each.made,
        "method": kinds.TEST_METHODS.get(each.method, ""),
        "held": each.held,
        "limit": each.limit,
        "instrument": each.instrument,
        "stamp": each.stamp.words if each.stamp else "",
        "owner and place": each.owner,
        "not on record": "; ".join(FIELDS[missing] for missing in each.missing),
        "record": each.record,
    }[head]
