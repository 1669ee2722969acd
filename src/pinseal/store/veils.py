"""Names that are shown as something else. Records are bound in chains and stay as they are; a veil lies over them.

A veil holds the SHA-256 of a name, so that the table itself names nobody. Whoever reads the shop's file directly still
finds the name in the records: that is what the law of records asks, and what a chain needs.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

import sqlalchemy as sa

from pinseal.records.record import Record, instant_text
from pinseal.store import schema
from pinseal.store.making import next_number


def digest_of_name(name: str) -> str:
    """The digest under which a name is veiled; letter case and spaces aside.

    >>> digest_of_name("Ida  Quill") == digest_of_name("ida quill ")
    True
    """
    plain = " ".join(unicodedata.normalize("NFKC", name).casefold().split())
    return hashlib.sha256(plain.encode()).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Veils:
    """What is shown in the place of names, by the digest of the name."""

    shown: Mapping[str, str] = field(default_factory=dict)

    def over(self, text: str) -> str:
        """The text as it is shown: another one where the whole text is a veiled name.

        >>> Veils(shown={digest_of_name("Ida Quill"): "erased person 1"}).over("Ida Quill")
        'erased person 1'
        """
        return self.shown.get(digest_of_name(text), text) if self.shown else text

    def over_record(self, record: Record) -> Record:
        """A record as it is shown: the person, and every field that is a veiled name. Its digest stays that of the whole record."""
        if not self.shown:
            return record
        fields = {name: self.over(value) if isinstance(value, str) else value for name, value in record.fields.items()}
        return replace(record, person=self.over(record.person), fields=fields)


def read_veils(connection: sa.Connection) -> Veils:
    table = schema.veils
    return Veils(shown={row.digest: row.shown for row in connection.execute(sa.select(table).order_by(table.c.number))})


def add_veil(connection: sa.Connection, name: str, received: datetime) -> str:
    """Veil a name, in the caller's transaction. Returns what is shown from now on; a veiled name keeps its veil."""
    digest, known = digest_of_name(name), read_veils(connection).shown
    if digest in known:
        return known[digest]
    number = next_number(connection, schema.veils)
    row = {"number": number, "digest": digest, "shown": f"erased person {number}", "received": instant_text(received)}
    connection.execute(sa.insert(schema.veils), row)
    return f"erased person {number}"
