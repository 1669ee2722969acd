"""Each gate by itself: where it is shut, with its words, and what opens it; and the limits below, at and above."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

import pytest
from sheet_walks import LEAVING, ON, SUPERVISOR, TECHNICIAN, UNITS, Asked, do, gate, make, refused, walk, walked

from pinseal.reasons import Refusal
from pinseal.sheets.closing import close
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import GATE_CODES, GATES_OF_EFFECT, OVERRIDABLE, gates_of
from pinseal.sheets.model import EFFECTS
from pinseal.sheets.taking import begin, take
from pinseal.sheets.working import Working

Did = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A gate that is shut at a step, its words, and what is done so that it opens."""

    unit: str
    works: tuple[str, ...]
    step: str
    words: str
    to: str | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    then: tuple[Did, ...] = ()
    opens: Callable[[Working], Any] | None = None
    opened_by: tuple[Did, ...] = ()


CASES: Mapping[str, Case] = {
    "not-blocked": Case(
        unit="portable-powder",
        works=("recharge",),
        step="valve-off-portable",
        to="emptied-portable",
        then=(("emptied-portable", "nothing-from-start"),),
        words=(
            "blocked and under pressure: nothing came from the start, and it is not empty: the way out is blocked; it "
            "weighs 35.00 lb (15.876 kg); without agent it weighs 15.00 lb (6.804 kg): agent is in it; its gauge shows "
            "190.9 psi: it is under pressure, or the gauge is stuck; stop: nothing that holds the pressure in is touched, "
            "and nobody stands in line with valve or nozzle; a supervisor has the pressure relieved by the maker's method"
        ),
        opens=lambda work: do(work, "relieve-by-makers-method", "relieved", SUPERVISOR),
    ),
    "earlier-stages": Case(
        unit="portable-powder",
        works=("recharge",),
        step="emptied-portable",
        to="gross-weight",
        words="first: Weigh it, Read gauge and temperature",
        opens=lambda work: walk(work, to="emptied-portable"),
    ),
    "earlier-steps": Case(
        unit="portable-powder",
        works=("maintenance",),
        step="service-tag",
        to="pin-in-new-seal",
        words="first: Pin in, new seal",
        opens=lambda work: walk(work, to="service-tag"),
    ),
    "source-away": Case(
        unit="cartridge-powder",
        works=("recharge",),
        step="cartridge-chamber-vented",
        to="cartridge-out",
        words="the cartridge is not out and capped yet",
        opened_by=(("cartridge-out", "whole"),),
    ),
    "no-pressure": Case(
        unit="portable-powder",
        works=("recharge",),
        step="hose-taken-off",
        to="emptied-portable",
        words=(
            "not proved empty of pressure: nobody has seen anything leave; with the unit held, open lever and shut-off "
            "both, see what is in it leave, and then see that nothing more comes"
        ),
        opened_by=(("emptied-portable", "left-then-ended"),),
    ),
    "boundary-open": Case(
        unit="portable-powder",
        works=("recharge",),
        step="rest-of-powder-out",
        to="valve-off-portable",
        words="the shell is not opened yet: valve or fill cap off first",
        opened_by=(("valve-off-portable", "off"),),
    ),
    "closed": Case(
        unit="portable-powder",
        works=("recharge",),
        step="powder-gas-in",
        to="powder-gas-in",
        answers={"valve-on-portable": "crossed"},
        words="the shell is open: close it first",
        opened_by=(("valve-on-portable", "on"),),
    ),
    "whole": Case(
        unit="portable-powder",
        works=("recharge",),
        step="service-tag",
        then=(("emptied-portable", "left-then-ended"),),
        words="not charged since: pressure was seen leaving, and then it ended",
        opened_by=(("powder-gas-supply", "ready"), ("powder-gas-in", "in")),
    ),
    "bears-gas": Case(
        unit="wheeled-powder",
        works=("recharge",),
        step="blown-out",
        to="blown-out",
        answers={"shell-corrosion": "corroded"},
        words="the shell has damage that no pressure test has judged: no gas goes in",
        opened_by=(("shell-corrosion", "sound"),),
    ),
    "goes-out": Case(
        unit="portable-powder",
        works=("retirement",),
        step="bleed-gas-first",
        to="bleed-gas-first",
        answers={"why-it-goes": "stays"},
        words="nothing says yet that the unit goes out of use",
        opened_by=(("why-it-goes", "goes"),),
    ),
    "may-be-tested": Case(
        unit="portable-powder",
        works=("hydrostatic-test",),
        step="test-shell-proof",
        to="test-never-list",
        then=(("test-never-list", "threads"),),
        words=("something bars the shell from being tested: it is taken out of service (29 CFR 1910.157(f)(2), (f)(14))"),
        opened_by=(("test-never-list", "none"),),
    ),
    "shell-verdict": Case(
        unit="portable-powder",
        works=("recharge",),
        step="filled-portable",
        to="shell-inside-looked-at",
        words="nobody has looked at the shell and found it sound on this sheet",
        opened_by=(("shell-inside-looked-at", "sound"),),
    ),
    "dry-shell": Case(
        unit="portable-powder",
        works=("hydrostatic-test",),
        step="filled-portable",
        to="dry-seen",
        words="water was in the shell and it is not dried since",
        opened_by=(("dry-seen", "dry"),),
    ),
    "agent-right": Case(
        unit="portable-powder",
        works=("recharge",),
        step="powder-gas-in",
        to="filled-portable",
        words="the agent is out: fill it first",
        opened_by=(("filled-portable", "filled"),),
    ),
    "supply-ready": Case(
        unit="portable-powder",
        works=("recharge",),
        step="powder-gas-in",
        to="powder-gas-supply",
        words="gas, dew point and regulator are not judged yet for this charge",
        opened_by=(("powder-gas-supply", "ready"),),
    ),
    "charged": Case(
        unit="portable-powder",
        works=("recharge",),
        step="powder-pressure-settled",
        to="powder-gas-in",
        words="it is not charged yet",
        opened_by=(("powder-gas-in", "in"),),
    ),
    "valve-was-off": Case(
        unit="portable-powder",
        works=("recharge",),
        step="collar-after-opening",
        to="valve-off-portable",
        words="the valve was not off on this sheet: a collar without that is a false mark",
        opened_by=(("valve-off-portable", "off"),),
    ),
    "work-passed": Case(
        unit="portable-powder",
        works=("hydrostatic-test",),
        step="test-label",
        to="test-shell-proof",
        words="the pressure test of this sheet is not passed yet",
        opened_by=(("test-shell-proof", "held"),),
    ),
    "no-open-stops": Case(
        unit="portable-powder",
        works=("maintenance",),
        step="service-tag",
        to="service-tag",
        answers={"hose-outside": "cut"},
        words="open: Hose cut, cracked or with a bad coupling or thread",
        opens=lambda work: take(work, Entry(kind="fix", subject="hose-cut", said={"how": "a new one"})),
    ),
    "stand-in": Case(
        unit="portable-powder",
        works=("maintenance",),
        step="taken-away",
        words="nothing of equal worth stands in its place yet",
        then=(("stand-in-there", "nothing"),),
        opened_by=(("stand-in-there", "stands"),),
    ),
}
OPEN_WORDS: Mapping[str, str] = {
    "not-blocked": "nothing is blocked",
    "earlier-stages": "every earlier step is answered",
    "earlier-steps": "every earlier step is answered",
    "source-away": "the pressure source is away",
    "no-pressure": (
        "lever and shut-off open: what was in it left, and then nothing more came; its gauge shows 190.9 psi: it is "
        "under pressure, or the gauge is stuck; if that is so now, it is not empty: stop"
    ),
    "boundary-open": "the shell is open",
    "closed": "the shell is closed",
    "whole": "it is closed and charged",
    "bears-gas": "nothing speaks against the shell so far",
    "goes-out": "the unit goes out of use",
    "may-be-tested": "nothing bars the test",
    "shell-verdict": "the shell was looked at and found sound",
    "dry-shell": "the shell is dry",
    "agent-right": "the nameplate's agent is in it",
    "supply-ready": "gas and regulator are right",
    "charged": "it is charged",
    "valve-was-off": "the valve was off on this sheet",
    "work-passed": "the shell was looked at and found sound",
    "no-open-stops": "no stop is open",
    "stand-in": "an equal unit stands in its place",
}
BY_THEMSELVES = {"test-date", "person-licensed"}  # these hang on the day and on the person, below


def test_every_gate_has_a_case_and_every_effect_its_gates() -> None:
    assert set(CASES) | BY_THEMSELVES == set(GATE_CODES)
    assert set(GATES_OF_EFFECT) == set(EFFECTS)
    assert {code for codes in GATES_OF_EFFECT.values() for code in codes} == set(GATE_CODES)


@pytest.mark.parametrize("code", CASES)
def test_a_gate_is_shut_with_its_words_and_opens_when_what_it_waits_for_is_done(code: str) -> None:
    case = CASES[code]
    work = walked(UNITS[case.unit], *case.works, to=case.to, answers=case.answers)
    for step, answer in case.then:
        do(work, step, answer)
    shut = gate(work, case.step, code)
    assert not shut.open
    assert shut.because == case.words
    assert f"{code}: " in refused(work, case.step)
    for step, answer in case.opened_by:
        do(work, step, answer)
    if case.opens:
        case.opens(work)
    found = gate(work, case.step, code)
    assert found.open
    assert found.because == OPEN_WORDS[code]


# -- what a gate says to programs


def test_a_gate_says_whether_a_supervisor_may_open_it() -> None:
    work = begin(make(UNITS["portable-powder"], "maintenance"))
    for step in work.job.steps:
        for each in gates_of(work, step):
            assert each.as_json() == {"gate": each.code, "open": each.open, "because": each.because, "override": each.code == "stand-in"}
    assert OVERRIDABLE == ("stand-in",)


@pytest.mark.parametrize(
    ("unit", "works", "step", "to"), [(c.unit, c.works, c.step, c.to) for c in CASES.values() if c.step != "taken-away"]
)
def test_no_supervisor_opens_a_gate_that_guards_the_body(unit: str, works: tuple[str, ...], step: str, to: str | None) -> None:
    work = begin(make(UNITS[unit], *works))
    walk(work, to=to)
    found = work.job.step(step)
    assert found is not None
    for shut in [each for each in gates_of(work, found) if not each.open]:
        said = {"step": step, "reason": "the customer is waiting", "supervisor": SUPERVISOR}
        with pytest.raises(Refusal, match="nobody may override this gate"):
            take(work, Entry(kind="override", subject=shut.code, said=said, person=SUPERVISOR))
    assert not work.overrides


def test_a_supervisor_lets_a_unit_go_with_nothing_in_its_place_and_says_why() -> None:
    work = do(begin(make(UNITS["portable-powder"], "maintenance")), "stand-in-there", "nothing")
    assert "stand-in: nothing of equal worth" in refused(work, "taken-away", "gone")
    said = {"step": "taken-away", "reason": "the hall is shut for a month", "supervisor": SUPERVISOR}
    take(work, Entry(kind="override", subject="stand-in", said=said))
    assert gate(work, "taken-away", "stand-in").because == f"overridden: {SUPERVISOR}: the hall is shut for a month"
    do(work, "taken-away", "gone")
    assert work.picture.has("away")


@pytest.mark.parametrize(
    ("gate_code", "step", "reason", "supervisor", "words"),
    [
        ("stand-in", "taken-away", "too short"[:7], SUPERVISOR, "an override without a reason"),
        ("stand-in", "taken-away", "the hall is shut", TECHNICIAN, "only a supervisor may override a gate"),
        ("stand-in", "taken-away", "the hall is shut", "Nobody", "only a supervisor may override a gate"),
        ("stand-in", "red-tag", "the hall is shut", SUPERVISOR, "no such gate is shut"),
        ("no-pressure", "taken-away", "the hall is shut", SUPERVISOR, "no such gate is shut"),
        ("stand-in", "no-such-step", "the hall is shut", SUPERVISOR, "there is no such step on this sheet"),
    ],
)
def test_an_override_is_refused_with_its_reason(gate_code: str, step: str, reason: str, supervisor: str, words: str) -> None:
    work = begin(make(UNITS["portable-powder"], "maintenance"))
    with pytest.raises(Refusal, match=words):
        take(work, Entry(kind="override", subject=gate_code, said={"step": step, "reason": reason, "supervisor": supervisor}))
    assert not work.overrides


# -- marks


def test_a_collar_waits_for_the_valve_and_a_six_year_label_for_the_shell() -> None:
    work = begin(make(UNITS["portable-powder"], "internal-examination"))
    assert not gate(work, "collar-after-opening", "valve-was-off").open
    assert gate(work, "six-year-label", "work-passed").because == "nobody has looked at the shell and found it sound on this sheet"
    walk(work, to="filled-portable")
    assert gate(work, "collar-after-opening", "valve-was-off").because == "the valve was off on this sheet"
    assert gate(work, "six-year-label", "work-passed").open


@pytest.mark.parametrize("person", [TECHNICIAN, SUPERVISOR])
def test_in_california_the_tag_is_hung_by_a_person_whose_licence_is_in_date(person: str) -> None:
    work = walked(UNITS["portable-powder"], "maintenance", to="service-tag", asked=Asked(packs=("us-ca",)))
    do(work, "service-tag", person=person)
    assert work.picture.has("tag-on")


def test_a_licence_counts_to_its_last_day() -> None:
    def sheet(until: date) -> Working:
        job = make(UNITS["portable-powder"], "maintenance", asked=Asked(packs=("us-ca",)))
        person = job.people[TECHNICIAN.casefold()]
        lasting = replace(person, papers=(replace(person.papers[0], until=until),))
        return walk(begin(replace(job, people={TECHNICIAN.casefold(): lasting})), to="service-tag")

    do(sheet(ON), "service-tag")
    do(sheet(ON + timedelta(days=1)), "service-tag")
    assert "person-licensed: " in refused(sheet(ON - timedelta(days=1)), "service-tag")


@pytest.mark.parametrize("step", ["service-tag", "back-to-its-place"])
@pytest.mark.parametrize(
    "stop", [("hose-outside", "cut"), ("lever-looks-right", "stiff"), ("shell-corrosion", "corroded"), ("gauge-sound", "wrong")]
)
def test_nothing_is_tagged_or_hung_back_with_an_open_stop(step: str, stop: Did) -> None:
    work = walked(UNITS["portable-powder"], "maintenance", to="service-tag", answers=dict([stop]))
    assert "no-open-stops: open: " in refused(work, step)


def test_a_collar_that_was_wrong_before_is_noted_and_stops_nothing() -> None:
    work = walked(UNITS["portable-powder"], "maintenance", answers={"old-marks-read": "collar"})
    assert [found.finding for found in work.open_findings()] == []
    assert close(work, sheet="sheet-1").outcome == "tag"


# -- how it leaves


@pytest.mark.parametrize(("loaner", "is_open"), [("L-1", True), ("none", False), ("L-9", False)])
def test_a_unit_leaves_its_place_when_an_equal_one_stands_there(loaner: str, is_open: bool) -> None:
    work = do(begin(make(UNITS["portable-powder"], "maintenance")), "stand-in-there", "stands", loaner=loaner)
    assert gate(work, "taken-away", "stand-in").open == is_open
    assert gate(work, "red-tag", "stand-in").because == "it does not leave its place here"


def test_a_stand_in_that_nobody_knows_takes_the_place_of_one_that_was_good() -> None:
    work = do(begin(make(UNITS["portable-powder"], "recharge")), "stand-in-there", "stands", loaner="L-1")
    walk(work)
    do(work, "stand-in-there", "stands", loaner="L-9")
    assert not gate(work, "taken-away", "stand-in").open


@pytest.mark.parametrize("unit", ["portable-powder", "carbon-dioxide", "nonrechargeable"])
def test_a_shell_is_made_unusable_only_open_and_proved_empty(unit: str) -> None:
    work = begin(make(UNITS[unit], "maintenance"))
    step = next(code for code in LEAVING if code.endswith("made-unusable") and work.job.step(code))
    assert "the shell is not proved empty and open" in refused(work, step, "unusable")
    do(work, step, "goes-whole")


def test_an_opened_and_emptied_shell_may_be_made_unusable() -> None:
    work = walked(UNITS["portable-powder"], "retirement", answers={"why-it-goes": "goes"})
    do(work, "shell-made-unusable", "unusable")
    assert work.picture.has("unusable")


# -- after the tag


@pytest.mark.parametrize(
    ("unit", "work_name", "step", "answer"),
    [
        ("portable-powder", "recharge", "emptied-portable", "left-then-ended"),
        ("gas-cylinder", "maintenance", "gas-cylinder-shut", "shut"),
        ("cartridge-powder", "maintenance", "cartridge-out", "whole"),
        ("carbon-dioxide", "recharge", "co2-discharge", "left-then-ended"),
        ("water-based", "recharge", "water-empty", "left-then-ended"),
    ],
)
def test_a_unit_that_is_let_down_or_disarmed_again_does_not_end_with_the_tag(unit: str, work_name: str, step: str, answer: str) -> None:
    work = walked(UNITS[unit], work_name)
    assert close(work, sheet="sheet-1").outcome == "tag"
    do(work, step, answer)
    with pytest.raises(Refusal, match="the unit cannot be used as it stands"):
        close(work, sheet="sheet-1")


@pytest.mark.parametrize(
    ("unit", "work_name", "step", "answer", "finding"),
    [
        ("portable-powder", "maintenance", "hose-outside", "cut", "hose-cut"),
        ("portable-powder", "maintenance", "back-to-its-place", "elsewhere", "not-in-place"),
    ],
)
def test_a_sheet_does_not_end_with_the_tag_while_a_stop_is_open(unit: str, work_name: str, step: str, answer: str, finding: str) -> None:
    work = walked(UNITS[unit], work_name)
    do(work, step, answer)
    with pytest.raises(Refusal, match="the sheet is not finished"):
        close(work, sheet="sheet-1")
    take(work, Entry(kind="fix", subject=finding, said={"how": "put right"}))
    assert close(work, sheet="sheet-1").outcome in ("tag", "minor-part")


def test_an_inspection_that_found_something_to_correct_does_not_end_with_the_tag() -> None:
    work = walked(UNITS["portable-powder"], "inspection", answers={"way-is-clear": "in-the-way"})
    assert close(work, sheet="sheet-1").outcome == "correct"
    take(work, Entry(kind="fix", subject="blocked", said={"how": "boxes moved"}))
    assert close(work, sheet="sheet-1").outcome == "tag"
