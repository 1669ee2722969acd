"""Taking records in: the one write path, inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import sqlalchemy as sa

from pinseal.reasons import Refusal
from pinseal.records.chain import receipt_of
from pinseal.records.corrections import check_correction
from pinseal.records.kind import ANY_SUBJECT, SUBJECTS
from pinseal.records.record import FIRST, Draft, Record, check_sealed, same_deed, seal, uuid7
from pinseal.records.record_kinds import KINDS, check_record, kind_of
from pinseal.store import projection, schema
from pinseal.store.rows import CHUNK, chunks, read_records, receipt_row, record_row, select_records

Chance = Callable[[int], bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What became of records that were sent: the uids of the new ones and of those that were known before."""

    new: tuple[str, ...]
    known: tuple[str, ...]


def write(connection: sa.Connection, drafts: Sequence[Draft], *, writer: str, received: datetime, chance: Chance) -> list[Record]:
    """Bind drafts into the writer's chain and keep them. A draft that is kept already gives the record that is there.

    Raises `Refusal` for a draft that is not right, and for a uid under which something else is kept.
    """
    drafts = [replace(draft, kind=kind_of(draft.kind).code, fields=check_record(draft.kind, draft.fields)) for draft in drafts]
    _check_subjects(connection, {(draft.unit, draft.kind) for draft in drafts})
    known = _kept(connection, [uid for draft in drafts for uid in (draft.uid, draft.fields.get("corrects")) if uid])
    head = _head(connection, writer)
    made: list[Record] = []
    fresh: list[Record] = []
    for sequence, draft in enumerate(drafts):
        uid = draft.uid or uuid7(at=received, randomness=chance(8), sequence=sequence)
        if uid in known:
            made.append(_the_same(known[uid], draft, writer))
            continue
        _check_target(draft, known)
        record = seal(draft, uid=uid, writer=writer, previous=head)
        known[uid], head = record, record.digest
        made.append(replace(record, received=received))
        fresh.append(record)
        if len(fresh) == CHUNK:
            _keep(connection, fresh, received)
            fresh = []
    _keep(connection, fresh, received)
    return made


def append(connection: sa.Connection, records: Iterable[Record], *, received: datetime) -> Taken:
    """Keep records that were written elsewhere, in whatever order they come. One that is kept already changes nothing.

    Raises `Refusal` for a record that is not what its digest says or breaks the rules of its kind, and for a uid under
    which another record is kept. A gap in a writer's chain is no reason to refuse: `verify` names it.
    """
    sent = list(records)
    for record in sent:
        _check_sent(record)
    _check_subjects(connection, {(record.unit, record.kind) for record in sent})
    known = _kept(connection, [record.uid for record in sent])
    new: dict[str, Record] = {}
    for record in sent:
        there = known.get(record.uid) or new.get(record.uid)
        if there is None:
            new[record.uid] = record
        elif there.digest != record.digest:
            raise _other_content(record.uid)
    for some in chunks(list(new)):
        _keep(connection, [new[uid] for uid in some], received)
    return Taken(new=tuple(new), known=tuple(uid for uid in dict.fromkeys(record.uid for record in sent) if uid in known))


def _check_sent(record: Record) -> None:
    check_sealed(record)
    if kind_of(record.kind).code != record.kind or check_record(record.kind, record.fields) != dict(record.fields):
        raise Refusal(
            what=f"record {record.uid} is not in the form that is kept",
            rule="kinds, fields and values stand in their one spelling when they are sealed",
            got=record.kind,
            do="bring the device that wrote it up to date",
        )


def _check_subjects(connection: sa.Connection, named: set[tuple[str, str]]) -> None:
    """A uid stands for an extinguisher, an instrument or a person, and every record of it is about that. Raises `Refusal`."""
    others = projection.subjects(connection)
    wanted = {(uid, KINDS[kind].about, kind) for uid, kind in named if KINDS[kind].about != ANY_SUBJECT}
    units = projection.units_among(connection, [uid for uid, about, _ in wanted if about != "unit"])
    first: dict[str, str] = {}
    for uid, about, kind in sorted(wanted):
        known = first.setdefault(uid, others.get(uid) or ("unit" if uid in units else about))
        if known != about:
            raise Refusal(
                what=f"a record {kind} is about {SUBJECTS[about]}, and this uid stands for {SUBJECTS[known]}",
                rule="a uid stands for one thing, and every record of it is about that thing",
                got=uid,
                do=f"name {SUBJECTS[about]}, or choose a kind of record that is about {SUBJECTS[known]}",
            )


def _check_target(draft: Draft, known: dict[str, Record]) -> None:
    """A correction that is written here must fit the record that it corrects; one from elsewhere is only marked."""
    if draft.kind != "corrected":
        return
    target = known.get(draft.fields["corrects"])
    if target is None or target.unit != draft.unit:
        raise Refusal(
            what="there is no such record to correct",
            rule="a correction names a record of the same unit",
            got=draft.fields["corrects"],
            do="take the uid from the history of the unit",
        )
    check_correction(draft.fields, target)


def _the_same(kept: Record, draft: Draft, writer: str) -> Record:
    if same_deed(kept, draft, writer):
        return kept
    raise _other_content(kept.uid)


def _other_content(uid: str) -> Refusal:
    return Refusal(
        what="another record is kept under this uid",
        rule="a record never changes, and a uid stands for one record",
        got=uid,
        do="leave the uid out to write a new record, or correct the one that is kept",
    )


def _kept(connection: sa.Connection, uids: Sequence[str]) -> dict[str, Record]:
    found: dict[str, Record] = {}
    for some in chunks(list(dict.fromkeys(uids))):
        rows = connection.execute(select_records().where(schema.records.c.uid.in_(some))).mappings()
        found |= {record.uid: record for record in read_records(rows)}
    return found


def _head(connection: sa.Connection, writer: str) -> str:
    """The digest of the writer's last record: what the next one binds."""
    table = schema.records
    last = sa.select(table.c.digest).where(table.c.writer == writer).order_by(table.c.number.desc()).limit(1)
    return connection.execute(last).scalar() or FIRST


def _keep(connection: sa.Connection, records: Sequence[Record], received: datetime) -> None:
    """Add records and their receipts."""
    if not records:
        return
    last = connection.execute(
        sa.select(schema.receipts.c.number, schema.receipts.c.digest).order_by(schema.receipts.c.number.desc()).limit(1)
    ).one_or_none()
    number, previous = (last.number, last.digest) if last else (0, FIRST)
    receipts = []
    for record in records:
        number += 1
        receipts.append(receipt_of(record, number=number, received=received, previous=previous))
        previous = receipts[-1].digest
    connection.execute(
        sa.insert(schema.records), [record_row(record, receipt.number) for record, receipt in zip(records, receipts, strict=True)]
    )
    connection.execute(sa.insert(schema.receipts), [receipt_row(receipt) for receipt in receipts])
