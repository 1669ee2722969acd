"""What the template of a phone's unsent work is given."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.views import Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsentCount:
    """How many items of one kind were kept, known already, and refused."""

    what: str
    kept: int
    known: int
    refused: int


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsentRefused:
    """One item that was not taken, and why in sentences."""

    what: str
    subject: str
    uid: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsentPage:
    """The form, and what became of a file where one was handed over: `counts` is empty before."""

    frame: Frame
    troubles: tuple[Trouble, ...]
    counts: tuple[UnsentCount, ...] = ()
    refused: tuple[UnsentRefused, ...] = ()


TEMPLATES: dict[type[object], str] = {UnsentPage: "unsent.html"}
