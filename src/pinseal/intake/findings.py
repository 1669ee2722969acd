"""What reading one cell can yield besides a value: something wrong with it, or a question about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from pinseal.intake.words import word_set

Value = TypeVar("Value", covariant=True)


@dataclass(frozen=True, slots=True)
class Flaw:
    """Something wrong with a cell; `kind` is one of the kinds of problem that a register lists."""

    kind: str
    why: str


@dataclass(frozen=True, slots=True)
class Ask:
    """A question that a cell raises. Cells with the same `token` are settled by one answer.

    `cell_readings` are what this very cell can mean, where the question is about more than it.
    """

    field: str
    token: str
    readings: tuple[str, ...]
    ask: str
    cell_readings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Read(Generic[Value]):
    """What a cell says: a value or None, with its flaw or question."""

    value: Value | None = None
    flaw: Flaw | None = None
    ask: Ask | None = None


# Longer cells are prose: they are kept as they stand, and only their beginning is looked at.
CELL_READ_MAX = 240
REMARK_READ_MAX = 2_000

ABSENT = word_set(
    "|-|--|---|.|..|/|n/a|na|n.a.|n. a.|none|nil|unk|unk.|unknown|never|not done|not yet|nv|no date|k.a.|k. a.|ka|keine|"
    "kein|unbekannt|nie|s/d|sd|s/n|n.d.|nd|n/d|nc|ninguno|ninguna|nunca|desconocido|sin dato|sin fecha|mai|nessuna|nessuno|"
    "sconosciuto|jamais|inconnu|inconnue|neant|sans|tbd|blank|null|-/-|(blank)|(none)|not known|nicht bekannt|n.v.|no|"
    "not applicable|entfallt|new|neu|nuevo|nuovo|neuf",
    separator="|",
)


def is_absent(folded: str) -> bool:
    """Whether a cell says plainly that there is nothing to say: `-`, `n/a`, `unk`, `never`."""
    return folded in ABSENT or not folded.strip("-–—. _/")
