"""What the templates of the office's lists are given: deficiencies, loaners, instruments, settings, today, months, the bench."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinseal.web.notice_views import ImpairmentRow
from pinseal.web.office_views import DisagreementRow, Link, SheetRow, UnitHead
from pinseal.web.office_visit_views import VisitLink
from pinseal.web.views import Choice, DueRow, Fact, Frame, Paging, TodayPage, Trouble

# -- registers


@dataclass(frozen=True, slots=True, kw_only=True)
class DeficiencyRow:
    """One deficiency. `state` is open, put right, or left the fleet; `stage` how far it is on its way, `clock` for how long."""

    unit: UnitHead
    href: str
    state: str
    found: str
    age: str
    what: str
    source: str
    forces: str
    stage: str
    clock: str
    price: str
    remedied: str
    how: str
    person: str
    sheet_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeficienciesPage:
    """What was found wrong, by how far each is on its way. `said` tells the filters in words."""

    frame: Frame
    shown: tuple[Link, ...]
    sites: tuple[Choice, ...]
    ages: tuple[Choice, ...]
    show: str
    said: str
    rows: tuple[DeficiencyRow, ...]
    paging: Paging
    csv_href: str
    xlsx_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WayStep:
    """One step of a deficiency on its way. `shape` is a state of the due list, for its mark; `took` how long it took to come here."""

    name: str
    shape: str
    when: str
    who: str
    said: tuple[str, ...]
    took: str = ""
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeficiencyPage:
    """One deficiency from found to put right, and the forms for what may come next. `typed` is what a refused form said."""

    frame: Frame
    row: DeficiencyRow
    here: str
    steps: tuple[WayStep, ...]
    told: str
    may_quote: bool
    may_answer: bool
    may_mend: bool
    answers_as: str
    quoted: str
    price: str
    is_answered: bool
    currency: str
    day: str
    troubles: tuple[Trouble, ...]
    typed: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class AwayRow:
    """One unit that is away, and what stands in its place. `late` is overdue, due, ahead or unknown."""

    unit: UnitHead
    where: str
    since: str
    back_by: str
    late: str
    note: str
    stands_in: UnitHead | None
    bare: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanersPage:
    """Who is away, what stands in, back by when."""

    frame: Frame
    rows: tuple[AwayRow, ...]
    bare: int


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentRow:
    """One instrument with how it stands. `state` is a state of the due list, for its shape."""

    name: str
    href: str
    what: str
    serial: str
    range: str
    last_check: str
    good_until: str
    state: str
    standing: str
    because: str
    withdrawn: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentsPage:
    """Every instrument of the shop."""

    frame: Frame
    rows: tuple[InstrumentRow, ...]
    gone: tuple[InstrumentRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtRow:
    """One reading in doubt."""

    unit: UnitHead | None
    done: str
    what: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentPage:
    """One instrument: its standing, its checks, and the readings that it puts in doubt."""

    frame: Frame
    row: InstrumentRow
    facts: tuple[Fact, ...]
    source: str
    checks: tuple[tuple[str, str, str, bool], ...]
    marks: tuple[str, ...]
    readings: int
    doubts: tuple[DoubtRow, ...]
    doubt_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingsPage:
    """What the shop has chosen; a form where this person may change it. `packs` are all that are held."""

    frame: Frame
    facts: tuple[Fact, ...]
    may_change: bool
    packs: tuple[Choice, ...]
    units: tuple[Choice, ...]
    styles: tuple[Choice, ...]
    currency: str
    bases: tuple[Choice, ...]
    orders: tuple[Choice, ...]
    time_zone: str
    saved: bool
    languages: tuple[Choice, ...]
    troubles: tuple[Trouble, ...] = ()


# -- today


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalRow:
    """What came in together."""

    what: str
    when: str
    who: str
    units: tuple[UnitHead, ...]
    more: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OfficeTodayPage:
    """The day in the office: what is late, what stands open, what came in."""

    frame: Frame
    base: TodayPage
    deficiencies: tuple[DeficiencyRow, ...]
    deficiency_count: int
    impairments: tuple[ImpairmentRow, ...]
    impairment_count: int
    away: tuple[AwayRow, ...]
    away_count: int
    sheets: tuple[SheetRow, ...]
    sheet_count: int
    to_check: tuple[SheetRow, ...]
    check_count: int
    disagreements: tuple[DisagreementRow, ...]
    disagreement_count: int
    arrivals: tuple[ArrivalRow, ...]
    visits: tuple[VisitLink, ...]


# -- months


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthRow:
    """One month of the due list: how many fall due, by duty."""

    name: str
    href: str
    on: bool
    counts: tuple[int, ...]
    total: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthsPage:
    """The due list by month, and the rows of the month that is chosen."""

    frame: Frame
    heads: tuple[str, ...]
    months: tuple[MonthRow, ...]
    sites: tuple[Choice, ...]
    duties: tuple[Choice, ...]
    month: str
    month_name: str
    rows: tuple[DueRow, ...]
    more: int
    csv_href: str
    xlsx_href: str
    troubles: tuple[Trouble, ...] = ()


# -- bench


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchRow:
    """One unit at the bench, or one open sheet with bench work. `parts` are those that do not lie ready; `bare` says what is owed."""

    unit: UnitHead
    works: str
    sheet_href: str
    begin_href: str
    charge_href: str
    bench_href: str
    since: str
    back_by: str
    late: str
    note: str
    minutes: str
    proof: str
    proof_shape: str
    parts: tuple[str, ...]
    stands_in: UnitHead | None
    bare: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPage:
    """What waits at the bench, what must be back first at the top. `parts` adds up what does not lie ready, over every row."""

    frame: Frame
    rows: tuple[BenchRow, ...]
    minutes: str
    parts: tuple[tuple[str, int], ...]
    bare: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargePage:
    """The charge of one unit today: what is known of it, the form, and the plan with its dial once the shell's temperature is said."""

    frame: Frame
    unit: UnitHead
    here: str
    known: tuple[Fact, ...]
    cannot: tuple[str, ...]
    at: str
    at_units: tuple[Choice, ...]
    gases: tuple[Choice, ...]
    dew_point: str
    regulator: str
    regulators: tuple[Choice, ...]
    lasts: tuple[Choice, ...]
    head: str
    may: bool
    dial_href: str
    told: str
    figures: tuple[Fact, ...]
    because: tuple[str, ...]
    safety: tuple[str, ...]
    troubles: tuple[Trouble, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementRow:
    """One movement of agent."""

    done: str
    what: str
    mass: str
    unit: UnitHead | None
    note: str
    balance: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LotRow:
    """One agent and lot: what went in, what came out, and each movement."""

    agent: str
    lot: str
    went_in: str
    came_out: str
    unweighed: int
    unbalanced: int
    movements: tuple[MovementRow, ...]
    more: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StretchRow:
    """One weighing of a batch, held against what should lie in it. `verdict` is a key of `kinds.VERDICTS`."""

    until: str
    weighed: str
    verdict: str
    because: str
    suspects: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchRow:
    """One batch of agent in the store. `paper_href` is empty where no certificate can be printed."""

    name: str
    agent: str
    origin: str
    lot: str
    left: str
    used_up: str
    tests: tuple[str, ...]
    stretches: tuple[StretchRow, ...]
    paper_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class YearLinks:
    """The figures of a year for the return, as files."""

    year: str
    href: str
    csv_href: str
    xlsx_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AgentPage:
    """Agent by lot."""

    frame: Frame
    lots: tuple[LotRow, ...]
    unnumbered: tuple[LotRow, ...]
    batches: tuple[BatchRow, ...]
    years: tuple[YearLinks, ...]


TEMPLATES: dict[type[object], str] = {
    DeficienciesPage: "office_deficiencies.html",
    DeficiencyPage: "office_deficiency.html",
    LoanersPage: "office_loaners.html",
    InstrumentsPage: "office_instruments.html",
    InstrumentPage: "office_instrument.html",
    SettingsPage: "office_settings.html",
    OfficeTodayPage: "office_today.html",
    MonthsPage: "office_months.html",
    BenchPage: "office_bench.html",
    ChargePage: "office_charge.html",
    AgentPage: "office_agent.html",
}
