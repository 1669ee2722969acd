"""What the templates of the office pages are given. As in `views`: frozen values, texts that are never HTML."""

from __future__ import annotations

from dataclasses import dataclass, field

from pinseal.web.views import Choice, DueRow, Fact, Frame, Paging, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A way to somewhere. `on` marks the place where one is."""

    text: str
    href: str
    on: bool = False
    count: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitHead:
    """How a unit is named wherever it appears. `href` is empty where it has no page."""

    name: str
    href: str
    kind: str
    place: str


# -- photos


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoView:
    """A kept file: when, what it shows, who. A `picture` is shown small and leads to the whole; any other file is a link."""

    href: str
    when: str
    what: str
    who: str
    picture: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoForm:
    """The form that adds a photo; with `sheet` to a job sheet."""

    href: str
    sheet: str
    note: str
    day: str
    size_max: str
    troubles: tuple[Trouble, ...]


# -- job sheets


@dataclass(frozen=True, slots=True, kw_only=True)
class DisagreementRow:
    """One disagreement: what the two say, how it is settled, and the two records by uid. `unit` is None on the page of the unit itself."""

    says: str
    settle: str
    choices: tuple[tuple[str, str], ...]
    unit: UnitHead | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One job sheet in a list."""

    href: str
    on: str
    unit: UnitHead
    works: str
    person: str
    state: str
    is_open: bool
    entries: int
    quick: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsPage:
    """The job sheets of the shop, the newest first."""

    frame: Frame
    shown: tuple[Link, ...]
    rows: tuple[SheetRow, ...]
    paging: Paging


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStep:
    """One step of a sheet as it is printed: what was answered, by whom, the verdict, what was read."""

    title: str
    href: str
    state: str
    answer: str
    verdict: str
    because: str
    read: tuple[Fact, ...]
    note: str
    person: str
    do: str = ""
    limits: tuple[str, ...] = ()
    open_gates: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """The steps of one stage."""

    title: str
    steps: tuple[SheetStep, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """Something found on a sheet: what it forces, by which source, and whether it is settled. `code` and `step` name it in forms."""

    code: str
    step: str
    title: str
    words: str
    because: str
    forces: str
    source: str
    settled: str
    can_fix: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionView:
    """The decision so far and why not less, why not more."""

    words: str
    code: str
    because: tuple[str, ...]
    not_less: tuple[str, ...]
    not_more: tuple[str, ...]
    settle: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One confirmation of a sheet: how many items in how many seconds, and whether a second person should look."""

    group: str
    title: str
    words: str
    quick: bool
    ask: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPage:
    """One job sheet to read and to print."""

    frame: Frame
    uid: str
    unit: UnitHead
    on: str
    works: str
    packs: str
    person: str
    state: str
    left: str
    is_open: bool
    work_href: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    dues: tuple[str, ...]
    stages: tuple[Stage, ...]
    findings: tuple[FindingView, ...]
    decision: DecisionView
    samples: tuple[Sample, ...]
    overrides: tuple[str, ...]
    flags: tuple[str, ...]
    records: tuple[str, ...]
    next_dues: tuple[DueRow, ...]
    entered: tuple[tuple[int, str, str], ...]
    photos: tuple[PhotoView, ...]
    photo_form: PhotoForm | None
    here: str
    troubles: tuple[Trouble, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitView:
    """What a reading is held against. `rows` is a small table over the temperature of the shell."""

    words: str
    source: str
    rows: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WantView:
    """One reading to enter. `kind` is number, text or choice; `value`, `unit` and `instrument` are as typed before."""

    name: str
    label: str
    kind: str
    optional: bool
    only_with: str
    value: str
    units: tuple[Choice, ...]
    suffix: str
    choices: tuple[Choice, ...]
    instruments: tuple[Choice, ...]
    instrument_label: str
    limits: tuple[LimitView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerView:
    """One answer of a step. `forces` says what it leads to, empty for a good one."""

    code: str
    says: str
    good: bool
    forces: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GateView:
    """A gate that is shut, and whether a supervisor may open it."""

    code: str
    because: str
    can_override: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StepView:
    """One step to work on."""

    id: str
    stage: str
    title: str
    do: str
    why: str
    proves: str
    caution: str
    source: str
    answered: str
    gates: tuple[GateView, ...]
    wants: tuple[WantView, ...]
    answers: tuple[AnswerView, ...]
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupItem:
    """One thing that a confirmation covers, and the way to say that it is not so."""

    title: str
    says: str
    do: str
    caution: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupView:
    """Several looks that one confirmation covers."""

    group: str
    stage: str
    time: str
    items: tuple[GroupItem, ...]
    each_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LastEntry:
    """What was kept last, and what it led to."""

    words: str
    verdict: str
    because: tuple[str, ...]
    settle: str
    found: tuple[str, ...]
    again_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkPage:
    """A sheet under work: one step, or several at once, or the end. Exactly one of `step`, `group` and `end` is shown."""

    frame: Frame
    unit: UnitHead
    here: str
    sheet_href: str
    expect: int
    shown: int
    leaving: bool
    each: str
    progress: str
    done_share: int
    decision: DecisionView
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    last: LastEntry | None
    step: StepView | None
    group: GroupView | None
    end: bool
    shut: tuple[str, ...]
    findings: tuple[FindingView, ...]
    stages: tuple[Stage, ...]
    more_works: tuple[Choice, ...]
    leaving_href: str
    gone: bool
    troubles: tuple[Trouble, ...] = ()
    typed: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class BeginPage:
    """What a new sheet of a unit is for. `why_not` says it where there is no work to do."""

    frame: Frame
    unit: UnitHead
    here: str
    works: tuple[Choice, ...]
    cannot: tuple[tuple[str, str], ...]
    others: tuple[str, ...]
    due: str
    why_not: str
    troubles: tuple[Trouble, ...] = ()


TEMPLATES: dict[type[object], str] = {
    SheetsPage: "office_sheets.html",
    SheetPage: "office_sheet.html",
    WorkPage: "office_work.html",
    BeginPage: "office_begin.html",
}
