"""What the pages of notices hold."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.office_views import Link, UnitHead
from pinseal.web.views import Choice, Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockRow:
    """One clock of an impairment. `shape` is the code of a state, `source` where the rule is from."""

    shape: str
    state: str
    what: str
    by: str
    or_by: str
    told: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpairmentRow:
    """One impairment. `late` is the code of the state of its most pressing clock, `next_words` says which that is."""

    record: str
    unit: UnitHead
    impairments: tuple[str, ...]
    since: str
    number: str
    person: str
    cleared: str
    late: str
    next_words: str
    clocks: tuple[ClockRow, ...]
    because: tuple[str, ...]
    parties: tuple[Choice, ...]
    paper_href: str
    may_clear: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticesPage:
    """Impaired units: who must be told, by when. `said` is a form that was refused, `at` which form of which impairment."""

    frame: Frame
    rows: tuple[ImpairmentRow, ...]
    shown: tuple[Link, ...]
    open_only: bool
    may_write: bool
    day: str
    time: str
    places: tuple[Choice, ...]
    said: dict[str, str]
    at: str
    troubles: tuple[Trouble, ...]


TEMPLATES: dict[type[object], str] = {NoticesPage: "notices.html"}
