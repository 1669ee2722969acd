"""The report of a visit as plain values for the typesetter (`report.typ`) and for the page of the office."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pinseal import kinds
from pinseal.records.tie import Tie
from pinseal.rules.visits import RESULTS, SHAPES
from pinseal.service.day import kind_words
from pinseal.service.visit_words import by_words, done_words, exceptions, months, names_of, next_words, one_line, reconciled
from pinseal.service.visits import HandOver, Visit, VisitPhoto, VisitRow, unit_name

_NAMES_MAX = 16
_HASH_GROUP = 16
WORDS: Mapping[str, str] = {
    "where": "The list",
    "left": "How the units were left",
    "exceptions": "What is not as it should be",
    "none": "Nothing: every unit was found and left ready.",
    "decide": "for you to decide",
    "months": "What comes next, by month",
    "month": "Month",
    "jobs": "Work, by the first day that it may fall due",
    "handed": "Handed over",
    "nobody": "No hand-over is on record.",
    "units": "Every unit, in walking order",
    "photos": "Photos",
    "tie": "What this report rests on",
    "qr": "The hash of this report as a code",
}
HEADS = ("Unit", "Place", "Kind", "What was done", "Left", "Next")


def paper_data(visit: Visit, tie: Tie, pictures: Mapping[str, str]) -> dict[str, Any]:
    """The data of `report.typ` but for its code. `pictures` names the picture of each file (SHA-256) that is there to be shown."""
    counts = visit.counts
    left = [(RESULTS[code], number) for code, number in counts.results.items() if number]
    return {
        "words": dict(WORDS),
        "line": one_line(counts),
        "where": [list(pair) for pair in reconciled(counts)],
        "where_total": ["listed", counts.listed],
        "left": [list(pair) for pair in left],
        "left_total": [f"listed, and {counts.added:,} more" if counts.added else "listed", counts.listed + counts.added],
        "exceptions": exception_data(visit),
        "months": [list(pair) for pair in months(visit)],
        "handed": [_handed(each, pictures) for each in visit.handed],
        "blanks": ["For the shop: name, date, signature", "Received for the owner: name, date, signature"],
        "tie": {"lines": tie_words(tie), "hash": hash_groups(tie.hash)},
        "heads": list(HEADS),
        "units": [unit_data(row) for row in visit.rows],
        "photos": [_photo(each, pictures) for each in visit.photos],
    }


def exception_data(visit: Visit) -> list[dict[str, Any]]:
    return [
        {
            "shape": SHAPES[each.result],
            "result": RESULTS[each.result],
            "units": names_of(each.units, _NAMES_MAX),
            "place": _place(each.units[0]) if len(each.units) == 1 else "",
            "because": list(each.because),
            "todo": each.todo,
            "by": by_words(each.by, visit.asked.last),
            "decide": each.decide,
        }
        for each in exceptions(visit)
    ]


def unit_data(row: VisitRow) -> dict[str, str]:
    duty, by = next_words(row)
    return {
        "unit": unit_name(row.state),
        "place": _place(row),
        "kind": kind_words(row.state),
        "done": done_words(row.facts) or ("nothing on record" if row.standing.listed else "new on the list"),
        "shape": SHAPES[row.result],
        "result": RESULTS[row.result],
        "next": duty,
        "by": f"by {by}" if by else "",
    }


def _place(row: VisitRow) -> str:
    place = row.place or "no place on record"
    return f"{place} (listed at {row.was})" if row.was else place


def _handed(each: HandOver, pictures: Mapping[str, str]) -> dict[str, str]:
    picture = pictures.get(each.signature, "")
    lost = "; the signature is not on this machine" if each.signature and not picture else ""
    how = "" if picture or lost else "; the name was typed"
    return {"words": f"{each.name}, {each.done.for_people()}{how}{lost}", "picture": picture}


def _photo(each: VisitPhoto, pictures: Mapping[str, str]) -> dict[str, str]:
    picture = pictures.get(each.sha256, "")
    return {
        "unit": each.unit,
        "shows": each.shows,
        "taken": ", ".join(part for part in (each.done.for_people(), each.person) if part),
        "picture": picture,
        "alt": f"Photo of unit {each.unit}: {each.shows or 'it is not said what it shows'}",
        "missing": "" if picture else f"The photo is not here, or cannot be read. Its record names the file {each.sha256[:12]}…",
    }


def tie_words(tie: Tie) -> list[str]:
    count, word = len(tie.lines), "record" if len(tie.lines) == 1 else "records"
    return [
        f"It rests on {count:,} {word}: those of these days, and those that the list and the dates start from.",
        "Whoever changes one of them changes this hash. The page that comes with the report works it out again, and needs no network.",
    ]


def hash_groups(digest: str) -> list[str]:
    """A hash in groups, so that two people can read it to each other."""
    return [digest[start : start + _HASH_GROUP] for start in range(0, len(digest), _HASH_GROUP)]


def not_read(visit: Visit) -> list[str]:
    """Which rules of the dates told were not read in the document itself, with how they are known."""
    found: dict[str, dict[str, None]] = {}
    for due in _told(visit.rows):
        if due.governing and due.governing.checked != "public copy":
            found.setdefault(due.governing.checked, {})[f"{due.governing.document} {due.governing.clause}"] = None
    return [f"{kinds.CHECKED[checked].capitalize()}: {'; '.join(clauses)}." for checked, clauses in sorted(found.items())]


def _told(rows: Iterable[VisitRow]) -> Iterable[Any]:
    for row in rows:
        yield from (due for due in row.dues if due is row.next_due or due.state in ("overdue", "may be overdue", "withdraw"))
