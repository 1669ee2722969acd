"""What a device sends through the sync door, read from JSON: a batch of facts and job sheets, each item by itself.

An item that cannot be read is a refusal in its place; it never stops the others. Every text is checked here, so that
nothing is kept that no record could hold.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, TypeVar

from pinseal.dates import PartialDate, parse_date, parse_day
from pinseal.reasons import Refusal
from pinseal.records.record import check_text, check_uid, read_instant

DRAFTS_MAX, SHEETS_MAX, ENTRIES_MAX = 1_000, 200, 500
DEVICE = re.compile(r"[a-z0-9][a-z0-9-]{7,63}", re.ASCII)
CLOCK_OFF_MAX = timedelta(minutes=10)
DAY_OFF_MIN = timedelta(days=1)  # from here on the days that the device writes are wrong
FIRST_LIKELY_YEAR = 1950
_BATCH_KEYS = ("device", "at", "drafts", "sheets")
_DRAFT_KEYS = ("uid", "kind", "unit", "done", "fields", "person")
_SHEET_KEYS = ("uid", "unit", "on", "works", "entries", "close", "person", "taken")
_GOT_MAX = 80
Item = TypeVar("Item")


@dataclass(frozen=True, slots=True, kw_only=True)
class SentDraft:
    """One fact as a device sends it. `person` is empty where the person who is signed in did it."""

    uid: str
    kind: str
    unit: str
    done: PartialDate
    fields: Mapping[str, str]
    person: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SentEntry:
    """One entry of a sheet: its uid, and what it says in the shape of `sheets.entries`."""

    uid: str
    said: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class SentSheet:
    """A job sheet with all its entries from the first on, and whether it ends here.

    `taken` is when the day that it was worked by was taken along, by the shop's clock: the shop judges by what it had then.
    """

    uid: str
    unit: str
    on: date
    works: tuple[str, ...]
    entries: tuple[SentEntry | NotRead, ...]
    close: bool
    person: str = ""
    taken: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotRead:
    """An item that cannot be read: the uid that stands in it, if any, and why."""

    uid: str | None
    refusal: Refusal


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One message of a device. `clock_off` is by how much its clock runs ahead of the shop's, where it said the time."""

    device: str
    drafts: tuple[SentDraft | NotRead, ...]
    sheets: tuple[SentSheet | NotRead, ...]
    clock_off: timedelta | None = None


def read_batch(said: object, *, now: datetime) -> Batch:
    """A batch from its JSON. Raises `Refusal` for what is wrong with the batch as a whole."""
    if not isinstance(said, Mapping):
        raise _refused("a batch cannot be read", f"it is a JSON object with {', '.join(_BATCH_KEYS)}", said)
    _check_keys(said, _BATCH_KEYS, "a batch")
    return Batch(
        device=read_device(said.get("device")),
        drafts=tuple(_each(_list(said, "drafts", DRAFTS_MAX), read_draft)),
        sheets=tuple(_each(_list(said, "sheets", SHEETS_MAX), read_sheet)),
        clock_off=_clock_off(said.get("at"), now),
    )


def read_device(said: object) -> str:
    """The id of a device, which is the name of its chain. Raises `Refusal`."""
    if isinstance(said, str) and DEVICE.fullmatch(said):
        return said
    rule = "a device makes its id once: 8 to 64 of the letters a to z, figures and hyphens"
    raise _refused("this is not the id of a device", rule, said, "send the id that the device made when it was set up")


def read_draft(said: object) -> SentDraft:
    """One fact. Its kind and fields are checked when it is taken. Raises `Refusal`."""
    table = _table(said, _DRAFT_KEYS, "a fact", must=("uid", "kind", "unit", "done"))
    fields = table.get("fields", {})
    if not isinstance(fields, Mapping) or not all(isinstance(value, str) for value in fields.values()):
        raise _refused("the fields of a fact cannot be read", "fields maps names to texts", fields)
    for name, text in fields.items():
        check_text("the name of a field", name)
        check_text(name, text)
    return SentDraft(
        uid=check_uid(_text(table, "uid")),
        kind=_text(table, "kind"),
        unit=check_uid(_text(table, "unit")),
        done=parse_date(_text(table, "done")),
        fields=dict(fields),
        person=_person(table),
    )


def read_sheet(said: object) -> SentSheet:
    """One job sheet. Its entries are checked when they are taken. Raises `Refusal`."""
    table = _table(said, _SHEET_KEYS, "a job sheet", must=("uid", "unit", "on", "works", "entries"))
    works, close = table["works"], table.get("close", False)
    if not isinstance(works, Sequence) or isinstance(works, str) or not works or not all(isinstance(each, str) for each in works):
        raise _refused("the works of a job sheet cannot be read", "works is a list of the duties that it is for", works)
    if not isinstance(close, bool):
        raise _refused("it is not said whether the job sheet ends", "close is true or false", close)
    return SentSheet(
        uid=check_uid(_text(table, "uid")),
        unit=check_uid(_text(table, "unit")),
        on=parse_day(_text(table, "on")),
        works=tuple(dict.fromkeys(works)),
        entries=tuple(_each(_list(table, "entries", ENTRIES_MAX), _read_entry)),
        close=close,
        person=_person(table),
        taken=_taken(table.get("taken")),
    )


def _taken(said: object) -> datetime | None:
    if said is None:
        return None
    try:
        if not isinstance(said, str):
            raise ValueError
        return read_instant(said)
    except ValueError as wrong:
        raise _refused("it cannot be read when the day was taken along", "taken is `at` of the day, as the shop gave it", said) from wrong


def _read_entry(said: object) -> SentEntry:
    if not isinstance(said, Mapping):
        raise _refused("an entry cannot be read", "an entry is a JSON object", said)
    check_texts(said)
    return SentEntry(uid=check_uid(_text(said, "uid")), said=dict(said))


def check_texts(said: Mapping[Any, Any]) -> None:
    """An empty text is left to the shape of the entry; one that no record could hold is refused here."""
    for name, value in said.items():
        check_text("the name of a key", name)
        if isinstance(value, Mapping):
            check_texts(value)
        elif isinstance(value, str) and value.strip():
            check_text(name, value)


def clock_words(off: timedelta | None) -> tuple[str, ...]:
    """A sentence where the clock of the device is wrong."""
    if off is None or abs(off) <= CLOCK_OFF_MAX:
        return ()
    return (f"The clock of this device is {_off_words(off)} the shop's. Set it right; check the days of what it wrote.",)


def clock_mark(off: timedelta | None) -> str:
    """What stands with every record of a device whose clock is off by a day or more; empty for any other."""
    return f"{_off_words(off)} the shop's" if off is not None and abs(off) >= DAY_OFF_MIN else ""


def _off_words(off: timedelta) -> str:
    days, way = round(abs(off) / timedelta(days=1)), "ahead of" if off > timedelta() else "behind"
    much = f"{days} days" if days > 1 else f"{round(abs(off).total_seconds() / 60)} minutes"
    return f"{much} {way}"


def day_words(done: PartialDate, today: date) -> tuple[str, ...]:
    """A sentence where a day can hardly be right. The fact is kept as it was sent."""
    tomorrow = today + timedelta(days=1)
    if done.earliest > tomorrow:
        return (f"It is dated {done.for_people()}, which is still to come. It is kept as it is; correct it if the clock was wrong.",)
    if done.latest.year < FIRST_LIKELY_YEAR:
        return (f"It is dated {done.for_people()}, long ago. It is kept as it is; correct it if the clock was wrong.",)
    return ()


def _each(items: Sequence[object], read: Callable[[object], Item]) -> list[Item | NotRead]:
    return [_one(item, read) for item in items]


def _one(item: object, read: Callable[[object], Item]) -> Item | NotRead:
    try:
        return read(item)
    except Refusal as refused:
        uid = item.get("uid") if isinstance(item, Mapping) else None
        return NotRead(uid=uid[:_GOT_MAX] if isinstance(uid, str) else None, refusal=refused)


def _table(said: object, keys: Sequence[str], what: str, *, must: Sequence[str]) -> Mapping[str, Any]:
    if not isinstance(said, Mapping):
        raise _refused(f"{what} cannot be read", f"{what} is a JSON object with {', '.join(keys)}", said)
    _check_keys(said, keys, what)
    if absent := [key for key in must if key not in said]:
        raise _refused(f"{what} is not complete", f"it has {', '.join(must)}", f"no {', '.join(absent)}")
    return said


def _check_keys(said: Mapping[str, Any], keys: Sequence[str], what: str) -> None:
    if odd := [str(key) for key in said if key not in keys]:
        raise _refused(f"{what} has a key that is not known", f"its keys are {', '.join(keys)}", ", ".join(odd))


def _text(table: Mapping[str, Any], name: str) -> str:
    value = table.get(name)
    if not isinstance(value, str):
        raise _refused(f"{name} cannot be read", f"{name} is a text", value)
    return check_text(name, value)


def _person(table: Mapping[str, Any]) -> str:
    return _text(table, "person").strip() if table.get("person") not in (None, "") else ""


def _list(table: Mapping[str, Any], name: str, most: int) -> Sequence[object]:
    found = table.get(name, ())
    if not isinstance(found, Sequence) or isinstance(found, str):
        raise _refused(f"{name} cannot be read", f"{name} is a list", found)
    if len(found) > most:
        raise _refused(f"there are too many {name}", f"{most} at most", f"{len(found)}", "send them in several parts")
    return found


def _clock_off(said: object, now: datetime) -> timedelta | None:
    if said is None:
        return None
    try:
        at = datetime.fromisoformat(said) if isinstance(said, str) else None
        if at is None or at.tzinfo is None:
            raise ValueError
        return at - now
    except (ValueError, OverflowError) as wrong:
        rule = "at is the moment of sending by the clock of the device, with its offset from UTC"
        raise _refused("the moment of sending cannot be read", rule, said) from wrong


def _refused(what: str, rule: str, got: object, do: str = "see docs/api.md for the shape") -> Refusal:
    return Refusal(what=what, rule=rule, got=ascii(got)[:_GOT_MAX] if not isinstance(got, str) else got[:_GOT_MAX], do=do)
