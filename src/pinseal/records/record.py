"""One appended fact, its canonical form and its digest, and the ids that a writer makes.

A record never changes. Its digest covers everything but the digest itself and the time of receipt, so that the same
record has the same digest wherever it is kept. Every value is text: what was read is kept as it was read, and a page
in another language makes the same canonical form.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from pinseal.dates import PartialDate
from pinseal.reasons import Refusal

FIRST = ""  # what the first record of a writer binds: nothing
TEXT_LENGTH_MAX = 10_000
_SEQUENCE_BITS = 12
_UUID7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.ASCII)
NOT_KEPT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A fact before it is bound into its writer's chain. `uid` None lets the store make one."""

    kind: str
    unit: str
    person: str
    done: PartialDate
    fields: Mapping[str, str]
    uid: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One fact about one unit, bound to the record that its writer made before.

    `unit` is the uid of the extinguisher, `writer` the id of the device, `done` the day, month or year of the deed,
    `previous` the digest of the writer's record before (`FIRST` for the first one), `received` when the shop took it in.
    """

    uid: str
    kind: str
    unit: str
    writer: str
    person: str
    done: PartialDate
    fields: Mapping[str, str]
    previous: str
    digest: str
    received: datetime | None = None

    def as_json(self) -> dict[str, object]:
        """The record in plain values, the digest and the time of receipt included."""
        received = None if self.received is None else instant_text(self.received)
        return {**_content(self), "digest": self.digest, "received": received}


def _content(record: Record) -> dict[str, object]:
    return {
        "uid": record.uid,
        "kind": record.kind,
        "unit": record.unit,
        "writer": record.writer,
        "person": record.person,
        "done": str(record.done),
        "fields": dict(record.fields),
        "previous": record.previous,
    }


def canonical(value: object) -> bytes:
    """JSON with sorted keys, no spaces and no escapes beyond the needed ones, in UTF-8.

    >>> canonical({"b": "é", "a": "1"})
    b'{"a":"1","b":"\\xc3\\xa9"}'
    """
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode()


def text_of(record: Record) -> str:
    """The text whose SHA-256 (in UTF-8) is the digest: the canonical form of everything but `digest` and `received`."""
    return canonical(_content(record)).decode()


def digest_of(record: Record) -> str:
    """SHA-256 over `text_of`, in hexadecimal."""
    return hashlib.sha256(text_of(record).encode()).hexdigest()


def seal(draft: Draft, *, uid: str, writer: str, previous: str) -> Record:
    """Bind a draft to its writer's record before. Raises `Refusal` for text that cannot be kept."""
    check_text("unit", draft.unit)
    check_text("writer", writer)
    check_text("person", draft.person)
    for name, text in draft.fields.items():
        check_text(name, text)
    unsealed = Record(
        uid=check_uid(uid),
        kind=draft.kind,
        unit=draft.unit,
        writer=writer,
        person=draft.person,
        done=draft.done,
        fields=dict(draft.fields),
        previous=previous,
        digest="",
    )
    return replace(unsealed, digest=digest_of(unsealed))


def same_deed(record: Record, draft: Draft, writer: str) -> bool:
    """Whether a kept record says the same as a draft; its place in the chain does not count."""
    said = (draft.kind, draft.unit, writer, draft.person, draft.done, dict(draft.fields))
    return said == (record.kind, record.unit, record.writer, record.person, record.done, dict(record.fields))


def check_sealed(record: Record) -> None:
    """Check a record that was made elsewhere before it is taken in. Raises `Refusal`."""
    draft = Draft(kind=record.kind, unit=record.unit, person=record.person, done=record.done, fields=record.fields)
    made = seal(draft, uid=record.uid, writer=record.writer, previous=record.previous)
    if made.digest != record.digest:
        raise Refusal(
            what=f"record {record.uid} does not carry the digest of its content",
            rule="a record is taken in as its writer made it",
            got=record.digest or "no digest",
            do="send the record again from the device that wrote it",
        )


def check_text(name: str, text: str) -> str:
    """Return a text that can be kept everywhere; raises `Refusal` for an empty, overlong or unprintable one."""
    if not isinstance(text, str) or not text.strip():
        raise _refused(name, "it is empty", "" if isinstance(text, str) else repr(text), "write it, or leave the field out")
    if len(text) > TEXT_LENGTH_MAX:
        raise _refused(name, f"it is longer than {TEXT_LENGTH_MAX} characters", f"{len(text)} characters", "keep the long text as a file")
    if NOT_KEPT.search(text):
        raise _refused(name, "it holds characters that cannot be printed", ascii(text)[:60], "type the text again")
    return text


def _refused(name: str, why: str, got: str, do: str) -> Refusal:
    return Refusal(what=f"{name} cannot be kept: {why}", rule="a record holds plain text", got=got, do=do)


def check_uid(uid: str) -> str:
    """Return `uid` if it is a UUID of version 7 in small letters. Raises `Refusal`."""
    if _UUID7.fullmatch(uid):
        return uid
    raise Refusal(
        what="this is not the uid of a record", rule="a uid is a UUID of version 7 (RFC 9562)", got=uid, do="leave the uid out to get one"
    )


def uuid7(*, at: datetime, randomness: bytes, sequence: int = 0) -> str:
    """A UUID of version 7 (RFC 9562, section 5.7) from a time, at least 8 random bytes, and a number in a batch.

    The number takes the 12 bits after the milliseconds, so that ids made in one batch sort as they were made; beyond
    4,096 it runs on into the next millisecond (RFC 9562, section 6.2).

    >>> uuid7(at=datetime(2026, 11, 24, tzinfo=UTC), randomness=bytes(8), sequence=1)
    '01a20ada-2c00-7001-8000-000000000000'
    """
    assert at.tzinfo is not None
    assert len(randomness) >= 8
    assert sequence >= 0
    carried, counter = divmod(sequence, 1 << _SEQUENCE_BITS)
    milliseconds = (at - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1) + carried
    tail = int.from_bytes(randomness[:8], "big") & ((1 << 62) - 1)
    number = (milliseconds & ((1 << 48) - 1)) << 80 | 7 << 76 | counter << 64 | 2 << 62 | tail
    text = f"{number:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def uuid7_beside(uid: str, *, randomness: bytes, sequence: int = 0) -> str:
    """Another UUID of version 7 of the same millisecond: what follows from an item stands where the item stands.

    >>> uuid7_beside("01a20ada-2c00-7001-8000-000000000000", randomness=b"12345678", sequence=2)
    '01a20ada-2c00-7002-b132-333435363738'
    """
    assert len(randomness) >= 8
    assert 0 <= sequence < 1 << _SEQUENCE_BITS
    tail = f"{2 << 62 | int.from_bytes(randomness[:8], 'big') & ((1 << 62) - 1):016x}"
    return f"{check_uid(uid)[:13]}-7{sequence:03x}-{tail[:4]}-{tail[4:]}"


def instant_text(at: datetime) -> str:
    """A moment as text: UTC, to the microsecond, so that texts sort as moments do.

    >>> instant_text(datetime(2026, 11, 24, 9, 30, tzinfo=UTC))
    '2026-11-24T09:30:00.000000Z'
    """
    assert at.tzinfo is not None
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def read_instant(text: str) -> datetime:
    """The inverse of `instant_text`: a moment written in any other way is none. Raises `ValueError`."""
    at = datetime.fromisoformat(text)
    if text != at.isoformat(timespec="microseconds").removesuffix("+00:00") + "Z":
        raise ValueError(f"{text!r} is not how a moment is kept")
    return at


def in_order(record: Record) -> tuple[object, ...]:
    """The order of the fold: by day done (its latest reading, then its earliest), then by uid."""
    return record.done.latest, record.done.earliest, record.uid


def distinct(records: Iterable[Record]) -> tuple[list[Record], list[str]]:
    """Each record once, in the order of the fold, and the uids under which two different records came.

    Of two different records with one uid the one with the lesser digest counts, whatever the order of arrival.
    """
    kept: dict[str, Record] = {}
    doubled = set()
    for record in records:
        known = kept.setdefault(record.uid, record)
        if known.digest != record.digest:
            doubled.add(record.uid)
            kept[record.uid] = min(known, record, key=lambda each: each.digest)
    return sorted(kept.values(), key=in_order), sorted(doubled)
