"""What each template is given: one frozen value for each page, and the parts that pages share.

Templates only show; they decide nothing and ask for nothing. A text is a text here, never HTML.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from pinseal.catalogue import marked


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What stands around every page. `here` is the address of the place in the menu."""

    title: str
    shop: str
    today: str
    here: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """One thing that is wrong with a form: the sentence, and the id of the input that it is about."""

    text: str
    at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StateCount:
    """How many rows are in a state, and where to see them. `on` marks a filter that is set."""

    state: str
    count: int
    href: str
    on: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cited:
    """Where a rule comes from, and how that was checked, in words."""

    pack: str
    text: str
    checked: str
    read: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherSay:
    """What another pack says of the same duty."""

    pack: str
    state: str
    by: str
    because: tuple[str, ...]
    cited: Cited | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """One due with its reason. `unit_href` is empty where the unit has no page."""

    state: str
    by: str
    note: str
    duty: str
    title: str
    unit: str
    unit_href: str
    kind: str
    place: str
    withdrawn: bool
    because: tuple[str, ...]
    missing: tuple[str, ...]
    assumed: tuple[str, ...]
    cited: Cited | None
    others: tuple[OtherSay, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayPage:
    """Counts by state, and what is most urgent. No units: what to do first."""

    frame: Frame
    units: int
    rows: int
    states: tuple[StateCount, ...]
    urgent: tuple[DueRow, ...]
    packs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One choice of a form."""

    value: str
    label: str
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The head of a column: a link that sorts by it. `order` is ascending, descending or none."""

    label: str
    href: str
    order: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Paging:
    """Which rows of how many are shown, and the ways to the others (empty where there are none)."""

    text: str
    before: str = ""
    after: str = ""
    everything: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DuesPage:
    """The due list with its filters. `said` tells the filters in words; `text` and `on` are as typed."""

    frame: Frame
    troubles: tuple[Trouble, ...]
    on: str
    day: str
    packs: tuple[str, ...]
    states: tuple[StateCount, ...]
    state_choices: tuple[Choice, ...]
    duties: tuple[Choice, ...]
    sites: tuple[Choice, ...]
    sorts: tuple[Choice, ...]
    text: str
    said: str
    clear: str
    heads: tuple[Head, ...]
    rows: tuple[DueRow, ...]
    paging: Paging
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that is known, as a pair of words. `note` says since when, or what is odd."""

    name: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One record of a unit. `standing` is empty, or how it counts after corrections."""

    done: str
    what: str
    said: tuple[Fact, ...]
    person: str
    received: str
    standing: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One fact on the line from birth to today, in percent of the line. A date known to a month or year has a width.

    Looks lie on the line, lane 0; deeds stand above it in lanes, so that none lies on another.
    """

    shape: str
    lane: int
    at: float
    start: float
    width: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A year on the line."""

    at: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeline:
    """The line from birth to today, or to the day when the unit left the fleet. `told` says the same in words."""

    points: tuple[Point, ...]
    ticks: tuple[Tick, ...]
    legend: tuple[tuple[str, str], ...]
    told: str
    is_over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPage:
    """One unit: its clocks with reasons, what is known of it, its line, its history."""

    frame: Frame
    name: str
    kind: str
    place: str
    standing: tuple[str, ...]
    clocks: tuple[DueRow, ...]
    facts: tuple[Fact, ...]
    timeline: Timeline | None
    history: tuple[Deed, ...]
    day: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportPage:
    """Where a list is handed over."""

    frame: Frame
    troubles: tuple[Trouble, ...]
    size_max: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """One question about the list: what stands there, where, and what it can mean. `id` names its input."""

    id: str
    name: str
    ask: str
    raw: str
    where: str
    readings: tuple[Choice, ...]
    free: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Grouped:
    """Some things of one kind, counted: the kind, how many, and a few of them."""

    name: str
    count: int
    some: tuple[str, ...] = ()
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A known unit that the list gives differently."""

    name: str
    href: str
    where: str
    changes: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """The list against the known units, each kind counted, the first few of each told."""

    same: int
    changed: tuple[Moved, ...]
    changed_count: int
    new: Grouped
    vanished: tuple[tuple[str, str], ...]
    vanished_count: int
    placeholders: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingPage:
    """What was read out of a list, what it asks, what is wrong, and what taking it in would do."""

    frame: Frame
    troubles: tuple[Trouble, ...]
    name: str
    told: str
    here: str
    rows_href: str
    problems_href: str
    open: tuple[Asking, ...]
    answered: tuple[Asking, ...]
    problems: tuple[Grouped, ...]
    problem_count: int
    not_units: tuple[Grouped, ...]
    unused: tuple[str, ...]
    against: Against | None
    against_trouble: str
    units: int
    person: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One fact of a row: what was read, and the raw cell.

    `open` where a question about it is not answered, `wrong` where there is a problem, `unread` where nothing was read.
    """

    name: str
    raw: str
    read: str
    open: bool = False
    wrong: bool = False
    unread: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRow:
    """One row of the list and what became of it. `cells` follow the heads of the page."""

    where: str
    outcome: str
    cells: tuple[Cell, ...] = ()
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RowsPage:
    """The rows of a list, raw beside read."""

    frame: Frame
    name: str
    back: str
    shown: tuple[Choice, ...]
    heads: tuple[str, ...]
    rows: tuple[ReadRow, ...]
    paging: Paging


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenPage:
    """A list was taken in: what was written."""

    frame: Frame
    name: str
    counts: tuple[Grouped, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One provision of a pack, in words."""

    title: str
    duty: str
    clause: str
    editions: str
    force: str
    by: str
    checked: str
    read: bool
    governs: bool
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PackPart:
    """One rule pack. `edition` is the one that the shop works by, empty where it does not."""

    id: str
    title: str
    document: str
    jurisdiction: str
    edition: str
    editions: tuple[str, ...]
    notes: tuple[str, ...]
    rules: tuple[Rule, ...]
    unread: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StandardsPage:
    """The rule packs: which ones the shop works by, what each says, and what is only remembered."""

    frame: Frame
    packs: tuple[PackPart, ...]
    none_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemPage:
    """A page instead of the one that was asked for: what is wrong, which rule, what came, what to do."""

    frame: Frame
    what: str
    rule: str = ""
    got: str = ""
    do: str = ""
    links: tuple[tuple[str, str], ...] = field(default=((marked("Today"), "/"), (marked("Dues"), "/dues")))
