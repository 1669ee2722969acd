"""Chains: each writer's records bind one another, and so do the shop's receipts. A break is named, not repaired."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from pinseal.records.record import FIRST, Record, canonical, digest_of, instant_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """The first place where a chain does not hold: which record, what was expected there, what was found."""

    record: str
    expected: str
    found: str

    def __str__(self) -> str:
        return f"breaks at {self.record}: expected {self.expected}, found {self.found}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """One chain: whose it is, how many links hold, the digest of the last of these, and the first break.

    `waiting` counts sound records that bind one that is not here yet: it is still on its way, or was lost on it. That is no
    break; the receipts show whether anything was taken away here. Write length and head down elsewhere: a tail that was cut
    off shows as a shorter length and another head.
    """

    writer: str
    length: int
    head: str
    first_break: Break | None = None
    waiting: int = 0

    def as_json(self) -> dict[str, object]:
        broken = self.first_break
        return {
            "writer": self.writer,
            "length": self.length,
            "head": self.head,
            "waiting": self.waiting,
            "break": None if broken is None else {"record": broken.record, "expected": broken.expected, "found": broken.found},
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """The shop's own word that it took a record in: its number in the shop, the record's digest, and when."""

    number: int
    record: str
    record_digest: str
    received: datetime
    previous: str
    digest: str


def receipt_of(record: Record, *, number: int, received: datetime, previous: str) -> Receipt:
    """The receipt for a record, bound to the receipt before."""
    unsealed = Receipt(number=number, record=record.uid, record_digest=record.digest, received=received, previous=previous, digest="")
    return replace(unsealed, digest=receipt_digest(unsealed))


def receipt_digest(receipt: Receipt) -> str:
    """SHA-256 over the canonical form of a receipt without its digest."""
    content = {
        "number": str(receipt.number),
        "record": receipt.record,
        "record_digest": receipt.record_digest,
        "received": instant_text(receipt.received),
        "previous": receipt.previous,
    }
    return hashlib.sha256(canonical(content)).hexdigest()


def verify_chain(records: Iterable[Record]) -> tuple[Chain, ...]:
    """The chain of each writer, by writer. The order in which the records come does not matter."""
    by_writer: dict[str, list[Record]] = {}
    for record in records:
        by_writer.setdefault(record.writer, []).append(record)
    return tuple(_one_chain(writer, by_writer[writer]) for writer in sorted(by_writer))


def _one_chain(writer: str, records: list[Record]) -> Chain:
    followers: dict[str, list[Record]] = {}
    for record in sorted(records, key=lambda each: each.uid):
        followers.setdefault(record.previous, []).append(record)
    head, length = FIRST, 0
    while head in followers:
        found = _break_after(head, followers[head])
        if found:
            return Chain(writer=writer, length=length, head=head, first_break=found)
        head, length = followers.pop(head)[0].digest, length + 1
    found = next((broken for previous, ones in followers.items() if (broken := _break_after(previous, ones))), None)
    return Chain(writer=writer, length=length, head=head, first_break=found, waiting=0 if found else len(records) - length)


def _break_after(head: str, next_ones: list[Record]) -> Break | None:
    """What is wrong with the link after `head`: two records, or one whose content is not what was sealed."""
    if len(next_ones) > 1:
        return Break(record=next_ones[1].uid, expected=f"no second record after {head or 'the start'}", found=f"also {next_ones[0].uid}")
    made = digest_of(next_ones[0])
    if made != next_ones[0].digest:
        return Break(record=next_ones[0].uid, expected=f"the digest {next_ones[0].digest}", found=f"content with the digest {made}")
    return None


def verify_receipts(receipts: Sequence[Receipt], digests: dict[str, str]) -> Chain:
    """The chain of receipts, in the order of their numbers; `digests` gives the digest of each kept record by its uid."""
    head, length = FIRST, 0
    for receipt in sorted(receipts, key=lambda each: each.number):
        broken = _receipt_break(receipt, length + 1, head, digests)
        if broken:
            return Chain(writer="receipts", length=length, head=head, first_break=broken)
        head, length = receipt.digest, length + 1
    missing = digests.keys() - {receipt.record for receipt in receipts}
    if missing:
        return Chain(
            writer="receipts", length=length, head=head, first_break=Break(record=min(missing), expected="a receipt", found="none")
        )
    return Chain(writer="receipts", length=length, head=head)


def _receipt_break(receipt: Receipt, number: int, head: str, digests: dict[str, str]) -> Break | None:
    kept = digests.get(receipt.record, "no such record")
    for expected, found in (
        (f"receipt number {number}", f"receipt number {receipt.number}"),
        (f"one that binds {head or 'nothing'}", f"one that binds {receipt.previous or 'nothing'}"),
        (f"the record's digest {receipt.record_digest}", f"the record's digest {kept}"),
        (f"the digest {receipt_digest(receipt)}", f"the digest {receipt.digest}"),
    ):
        if expected != found:
            return Break(record=receipt.record, expected=expected, found=found)
    return None
