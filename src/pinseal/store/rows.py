"""Between the rows of the tables and the values of the records layer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from pinseal.dates import PartialDate, parse_date
from pinseal.reasons import Refusal
from pinseal.records.chain import Receipt
from pinseal.records.record import Record, instant_text, read_instant
from pinseal.store import schema, sqlite

CHUNK = 500  # rows to a statement: well under every limit on bound values


def chunks(values: Sequence[str]) -> Iterator[Sequence[str]]:
    return (values[start : start + CHUNK] for start in range(0, len(values), CHUNK))


def record_row(record: Record, number: int) -> dict[str, object]:
    return {
        "number": number,
        "uid": record.uid,
        "kind": record.kind,
        "unit": record.unit,
        "writer": record.writer,
        "person": record.person,
        "done": str(record.done),
        "fields": dict(record.fields),
        "previous": record.previous,
        "digest": record.digest,
    }


def receipt_row(receipt: Receipt) -> dict[str, object]:
    return {
        "number": receipt.number,
        "record": receipt.record,
        "record_digest": receipt.record_digest,
        "received": instant_text(receipt.received),
        "previous": receipt.previous,
        "digest": receipt.digest,
    }


def select_records() -> sa.Select[Any]:
    """Records with the time of their receipt, in the order of their arrival."""
    joined = sa.outerjoin(schema.records, schema.receipts, schema.records.c.uid == schema.receipts.c.record)
    return sa.select(schema.records, schema.receipts.c.received).select_from(joined).order_by(schema.records.c.number)


def read_records(rows: Iterable[sa.RowMapping]) -> list[Record]:
    """Records as they lie in the shop. Raises `Refusal` or `ValueError` where a row can be no record."""
    return [_record(row) for row in rows]


def all_records(connection: sa.Connection, path: Path, unit: str | None = None) -> list[Record]:
    """Every record of the shop, or of one unit, in the order of arrival. Raises `ShopUnusable` for one that cannot be read."""
    asked = select_records() if unit is None else select_records().where(schema.records.c.unit == unit)
    try:
        return read_records(connection.execute(asked).mappings())
    except (Refusal, ValueError, TypeError) as wrong:
        raise sqlite.damaged(path, f"a record cannot be read ({wrong})") from wrong


def records_among(connection: sa.Connection, path: Path, subjects: Sequence[str]) -> list[Record]:
    """The records of some subjects, at most `CHUNK`, in the order of arrival. Raises `ShopUnusable` for one that cannot be read."""
    try:
        return read_records(connection.execute(select_records().where(schema.records.c.unit.in_(subjects))).mappings())
    except (Refusal, ValueError, TypeError) as wrong:
        raise sqlite.damaged(path, f"a record cannot be read ({wrong})") from wrong


def all_receipts(connection: sa.Connection, path: Path) -> list[Receipt]:
    """Every receipt of the shop. Raises `ShopUnusable` for one that cannot be read."""
    try:
        return read_receipts(connection.execute(sa.select(schema.receipts)).mappings())
    except (ValueError, TypeError) as wrong:
        raise sqlite.damaged(path, f"a receipt cannot be read ({wrong})") from wrong


def units_read_on(connection: sa.Connection, names: set[str]) -> list[str]:
    """The uids of units of which a record, or a correction of one, names one of these instruments (case-folded names)."""
    table, found = schema.records, set()
    for field in ("instrument", "to-instrument"):
        name = table.c.fields[field].as_string()
        asked = sa.select(table.c.unit, name).where(name.is_not(None)).distinct()
        found |= {unit for unit, said in connection.execute(asked) if said.strip().casefold() in names}
    return sorted(found)


def read_date(text: str) -> PartialDate:
    """A date that is kept: one written in any other way is none. Raises `Refusal` or `ValueError`."""
    read = parse_date(text)
    if str(read) != text:
        raise ValueError(f"{text!r} is not how a date is kept")
    return read


def chain_of(connection: sa.Connection, writer: str) -> list[str]:
    """The digests of all records of one writer, in the order in which they came in."""
    table = schema.records
    return list(connection.execute(sa.select(table.c.digest).where(table.c.writer == writer).order_by(table.c.number)).scalars())


def receipts_of(connection: sa.Connection, uids: Sequence[str]) -> dict[str, Receipt]:
    """The receipts of some records, by the uid of the record. Raises `ValueError` for one that cannot be read."""
    found: list[Receipt] = []
    for some in chunks(uids):
        found += read_receipts(connection.execute(sa.select(schema.receipts).where(schema.receipts.c.record.in_(some))).mappings())
    return {receipt.record: receipt for receipt in found}


_TEXTS = ("uid", "kind", "unit", "writer", "person", "previous", "digest")


def _record(row: sa.RowMapping) -> Record:
    if not all(isinstance(row[name], str) for name in _TEXTS):
        raise TypeError("a text in it is no text")
    return Record(
        uid=row["uid"],
        kind=row["kind"],
        unit=row["unit"],
        writer=row["writer"],
        person=row["person"],
        done=read_date(row["done"]),
        fields=row["fields"],
        previous=row["previous"],
        digest=row["digest"],
        received=None if row["received"] is None else read_instant(row["received"]),
    )


def read_receipts(rows: Iterable[sa.RowMapping]) -> list[Receipt]:
    return [
        Receipt(
            number=row["number"],
            record=row["record"],
            record_digest=row["record_digest"],
            received=read_instant(row["received"]),
            previous=row["previous"],
            digest=row["digest"],
        )
        for row in rows
    ]


def units_with_loaner(connection: sa.Connection, uid: str) -> list[str]:
    """The units of which a record of being taken away names this uid as the loaner."""
    table = schema.records
    loaner = table.c.fields["loaner"].as_string()
    asked = sa.select(table.c.unit).where(table.c.kind == "taken-away", loaner == uid).distinct().order_by(table.c.unit)
    return list(connection.execute(asked).scalars())
