"""A verdict on a reading, with its reasons, the one fact that would change it, and what it means where it is not a pass."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any


def joined(sentences: Iterable[str]) -> str:
    """Sentences in one line, whether they end in a full stop or not.

    >>> joined(["it leaks.", "at the neck"])
    'it leaks; at the neck'
    """
    return "; ".join(each.strip().removesuffix(".") for each in sentences if each.strip())


VERDICTS = ("pass", "fail", "too-close", "unknown")


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """`side` is below or above where that matters, `finding` one that fits better than the step's own, `settle` what would change it.

    `flags` are remarks that stand beside the verdict without changing it, such as a lapsed scale.
    """

    verdict: str
    because: tuple[str, ...]
    side: str = ""
    settle: str = ""
    finding: str | None = None
    flags: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        assert self.verdict in VERDICTS, "a verdict is one of four words"

    def as_json(self) -> dict[str, Any]:
        return {"verdict": self.verdict, "because": list(self.because), "settle": self.settle or None, "flags": list(self.flags)}


def in_short(words: str, most: int) -> str:
    """The first of some joined reasons, and more of them as long as they fit into `most` characters.

    >>> in_short("the hose is cracked; it was so last year; the bracket is bent", 45)
    'the hose is cracked; it was so last year'
    """
    kept, *more = words.split("; ")
    for part in more:
        if len(kept) + len(part) > most:
            break
        kept = f"{kept}; {part}"
    return kept
