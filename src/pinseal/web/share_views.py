"""What the pages of sharing are given."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.people_views import Handed
from pinseal.web.views import Choice, Deed, Fact, Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofView:
    """One record in words, and what stands behind it. `text` is what the digest was made of; empty where a name is veiled."""

    deed: Deed
    problems: tuple[str, ...]
    behind: tuple[Fact, ...]
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedPage:
    """What an authority sees by a link, and nothing else."""

    frame: Frame
    name: str
    kind: str
    facts: tuple[Fact, ...]
    until: str
    proofs: tuple[ProofView, ...]
    veiled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareRow:
    """One link that was given."""

    uid: str
    name: str
    what: str
    until: str
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SharePage:
    """Where a supervisor makes links for a unit, and ends them."""

    frame: Frame
    unit: str
    unit_href: str
    here: str
    choices: tuple[Choice, ...]
    rows: tuple[ShareRow, ...]
    to: str = ""
    days: str = "30"
    troubles: tuple[Trouble, ...] = ()
    handed: Handed | None = None
