"""Whether a shop is what it says: the file, the chains, the receipts, the projection, and the files beside it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from pinseal.reasons import Refusal
from pinseal.records.chain import Chain, verify_chain, verify_receipts
from pinseal.records.record import FIRST
from pinseal.store import files, projection, registers, rows, schema, sheets, sqlite


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """What was found. `problems` is empty when everything holds; each chain says its length and its head.

    `sheets_head` is a digest over all job sheets with their entries, in the order of their beginning.
    """

    chains: tuple[Chain, ...]
    receipts: Chain
    records: int
    units: int
    files: int
    problems: tuple[str, ...]
    sheets: int = 0
    sheets_head: str = FIRST

    @property
    def holds(self) -> bool:
        return not self.problems

    def heads(self) -> dict[str, tuple[int, str]]:
        """Length and head of each chain, the receipts among them, and of the job sheets: what to write down elsewhere."""
        sheets = {"job sheets": (self.sheets, self.sheets_head)} if self.sheets else {}
        return {name: (chain.length, chain.head) for name, chain in self._named()} | sheets

    def as_json(self) -> dict[str, object]:
        return {
            "holds": self.holds,
            "records": self.records,
            "units": self.units,
            "files": self.files,
            "chains": [chain.as_json() for chain in self.chains],
            "receipts": self.receipts.as_json(),
            "sheets": {"count": self.sheets, "head": self.sheets_head},
            "problems": list(self.problems),
        }

    def lines(self) -> list[str]:
        """The same for people, one line each."""
        chains = [f"{name}: {chain.length} long, head {chain.head or 'none'}{_waiting(chain)}" for name, chain in self._named()]
        chains += [f"job sheets: {self.sheets}, head {self.sheets_head}"] if self.sheets else []
        found = [f"problem: {problem}" for problem in self.problems] or ["everything holds"]
        return [f"{self.records} records, {self.units} units, {self.files} files", *chains, *found]

    def _named(self) -> list[tuple[str, Chain]]:
        return [*((f"chain of {chain.writer}", chain) for chain in self.chains), ("receipts", self.receipts)]


def _waiting(chain: Chain) -> str:
    return f"; {chain.waiting} more wait for a record that has not come in" if chain.waiting else ""


def _read_everything(connection: sa.Connection, path: Path) -> None:
    """What cannot be read is damaged, also where nothing is compared with it. Raises `ShopUnusable`."""
    wrong = sqlite.wrong_values(connection, schema.metadata.sorted_tables)
    if wrong:
        raise sqlite.damaged(path, "; ".join(wrong))
    for table in schema.EVERYTHING:
        connection.execute(sa.select(table)).all()
    registers.taken_registers(connection, path)


def verify(connection: sa.Connection, path: Path) -> Verification:
    """Check a whole shop. Raises `ShopUnusable` only when something in it cannot be read at all."""
    problems = sqlite.damage(connection)
    problems += [
        f"the guard {name} is missing: rows could be changed unseen" for name in sqlite.missing_guards(connection, schema.APPEND_ONLY)
    ]
    _read_everything(connection, path)
    records = rows.all_records(connection, path)
    receipts = rows.all_receipts(connection, path)
    chains = verify_chain(records)
    receipt_chain = verify_receipts(receipts, {record.uid: record.digest for record in records})
    for name, chain in (*((f"the chain of {chain.writer}", chain) for chain in chains), ("the chain of receipts", receipt_chain)):
        if chain.first_break:
            problems.append(f"{name} {chain.first_break}")
    wanted = connection.execute(sa.select(schema.files.c.sha256).order_by(schema.files.c.sha256)).scalars().all()
    problems += files.wrong_files(files.folder_of(path), wanted)
    try:
        problems += projection.differences(connection, records)
    except (Refusal, KeyError) as wrong:
        problems.append(f"the records make no state ({wrong})")
    proved = sheets.prove(connection, path)
    problems += proved.problems
    return Verification(
        sheets=proved.count,
        sheets_head=proved.head,
        chains=chains,
        receipts=receipt_chain,
        records=len(records),
        units=connection.execute(sa.select(sa.func.count()).select_from(schema.units)).scalar_one(),
        files=len(wanted),
        problems=tuple(problems),
    )
