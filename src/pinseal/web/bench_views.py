"""What the templates of the bench are given: a unit taken apart, the day of tests, one test with its live figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pinseal.web.office_views import AnswerView, FindingView, GateView, Link, SheetStep, UnitHead, WantView
from pinseal.web.views import Choice, Fact, Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """One instrument of the test bench today. `state` is a state of the due list, for its shape; `misfit` says what it is not fit for."""

    name: str
    href: str
    what: str
    state: str
    standing: str
    because: str
    misfit: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Figured:
    """A reading to enter, and what the page compares it with while it is typed, as exact ratios of the shop.

    `factors` maps a unit to cm3, `leasts` a unit to the least figure; `least` is that of a reading without units. `trouble` is
    what is wrong with what was typed.
    """

    want: WantView
    factors: Mapping[str, str] = field(default_factory=dict)
    leasts: Mapping[str, str] = field(default_factory=dict)
    least: str = ""
    least_words: str = ""
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """The figures of a jacket test that the page compares with: the limit in percent, the range of the total in cm3."""

    limit: str
    limit_words: str
    least: str
    most: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """A test as the shop judged it. `kept` where it stands on the sheet; `void` says what makes it no valid test."""

    kept: bool
    verdict: str
    answer: str
    because: tuple[str, ...]
    void: tuple[str, ...]
    settle: str
    read: tuple[Fact, ...]
    picture_href: str
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPage:
    """One pressure test of one unit. `why_not` says it where there is none to make; `sheet_href` is empty where nothing is recorded."""

    __test__ = False
    frame: Frame
    unit: UnitHead
    here: str
    kinds: tuple[Link, ...]
    kind: str
    why_not: str
    title: str
    do: str
    caution: str
    source: str
    step: str
    sheet_href: str
    begin_href: str
    expect: int
    shown: int
    gates: tuple[GateView, ...]
    needed: tuple[Fact, ...]
    notes: tuple[str, ...]
    tools: tuple[Tool, ...]
    wants: tuple[Figured, ...]
    answers: tuple[AnswerView, ...]
    live: Live | None
    result: Tested | None
    safety: tuple[str, ...]
    note: str = ""
    troubles: tuple[Trouble, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TestRow:
    """One unit whose open sheet holds a pressure test: how far it is. `verdict` is empty while it is not made."""

    __test__ = False
    unit: UnitHead
    href: str
    sheet_href: str
    pressure: str
    verdict: str
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestDayPage:
    """The tests of a day: instruments first, then the units. `said` holds the form of the daily check as typed."""

    __test__ = False
    frame: Frame
    tools: tuple[Tool, ...]
    jackets: tuple[Choice, ...]
    cylinders: tuple[Choice, ...]
    limit: str
    limit_source: str
    may_check: bool
    saved: str
    said: Mapping[str, str]
    wrong: Mapping[str, str]
    rows: tuple[TestRow, ...]
    safety: tuple[str, ...]
    troubles: tuple[Trouble, ...] = ()


# -- teardown


@dataclass(frozen=True, slots=True, kw_only=True)
class StageGlance:
    """One stage of a sheet at a glance. `state` is done, open, shut or waits; `why` says what it waits for."""

    title: str
    state: str
    shape: str
    count: str
    minutes: str
    why: str
    next_title: str
    next_href: str
    steps: tuple[SheetStep, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One part that the work wants. `state` is missing, ready or done."""

    name: str
    wanted_for: str
    fitted: str
    state: str
    is_laid_out: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TeardownPage:
    """A unit on the bench: what is proved empty, the stages of its sheet, the parts. `sheet_href` is empty where no sheet is open."""

    frame: Frame
    unit: UnitHead
    here: str
    sheet_href: str
    begin_href: str
    test_href: str
    charge_href: str
    marks_href: str
    works: str
    progress: str
    done_share: int
    proof: str
    proof_shape: str
    proof_because: tuple[str, ...]
    shell: tuple[Fact, ...]
    decision: str
    stages: tuple[StageGlance, ...]
    findings: tuple[FindingView, ...]
    parts: tuple[PartRow, ...]
    expect: int
    may_tick: bool
    cautions: tuple[str, ...]
    others: tuple[Link, ...] = ()
    troubles: tuple[Trouble, ...] = ()


# -- supply bottles


@dataclass(frozen=True, slots=True, kw_only=True)
class BottleRow:
    """One supply bottle. `turn` is its place in the order of drawing for the unit at hand; `odd` what speaks against it."""

    uid: str
    name: str
    gas: str
    paper: str
    shows: str
    at_70f: str
    read_on: str
    contents: str
    usable: str
    charges: str
    turn: str
    swap: str
    odd: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyPage:
    """The supply bottles, and what they do for one unit. `head` is empty where no unit is chosen, `why_not` says why nothing is counted."""

    frame: Frame
    units: tuple[Choice, ...]
    unit: UnitHead | None
    rows: tuple[BottleRow, ...]
    gone: tuple[tuple[str, str], ...]
    head: str
    why_not: str
    because: tuple[str, ...]
    picture_href: str
    told: str
    order: tuple[str, ...]
    gases: tuple[Choice, ...]
    may_write: bool
    said: Mapping[str, str]
    at: str
    safety: tuple[str, ...]
    troubles: tuple[Trouble, ...] = ()


TEMPLATES: dict[type[object], str] = {
    TestPage: "bench_test.html",
    TestDayPage: "bench_tests.html",
    TeardownPage: "bench_unit.html",
    SupplyPage: "bench_supply.html",
}
