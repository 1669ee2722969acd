"""What stands behind one record: its digest, its place in the chain of its writer, and the shop's receipt for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.records.chain import Receipt, receipt_digest
from pinseal.records.record import FIRST, Record, digest_of, text_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """One record with what was found behind it. `position` counts the writer's records from 1; `length` is how many there are.

    `problems` is empty where everything holds; each is a sentence. A whole chain is checked by `pinseal verify`.
    """

    record: Record
    position: int
    length: int
    receipt: Receipt | None
    problems: tuple[str, ...]

    @property
    def text(self) -> str:
        """The text whose SHA-256 (in UTF-8) is the digest of the record."""
        return text_of(self.record)


def prove(record: Record, *, chain: Sequence[str], receipt: Receipt | None) -> Proof:
    """Check one record. `chain` holds the digests of all records of its writer, in the order of the chain."""
    place = chain.index(record.digest) if record.digest in chain else -1
    before = FIRST if place == 0 else chain[place - 1]
    checks = (
        (digest_of(record) == record.digest, "the record is not the one that its digest was made of"),
        (place >= 0 and before == record.previous, "it does not follow the record of its writer before it"),
        (receipt is not None and _receipt_holds(receipt, record), "the receipt is missing, or is not for this record"),
    )
    problems = tuple(words for holds, words in checks if not holds)
    return Proof(record=record, position=place + 1, length=len(chain), receipt=receipt, problems=problems)


def _receipt_holds(receipt: Receipt, record: Record) -> bool:
    return receipt.record == record.uid and receipt.record_digest == record.digest and receipt_digest(receipt) == receipt.digest
