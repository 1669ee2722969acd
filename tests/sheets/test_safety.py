"""Random hands on every kind of unit. Whatever they enter, in whatever order, a second opinion finds nothing taken that could hurt.

The hands mostly do the next step well, so that they come far, and sometimes anything at all.
"""

from __future__ import annotations

import json
import random
from collections import Counter
from dataclasses import dataclass, field
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sheet_walks import ON, SUPERVISOR, TECHNICIAN, UNITS, Asked, good_entry, kind_of, make
from sheet_watch import Watch

from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.sheets.closing import close
from pinseal.sheets.decision import decide
from pinseal.sheets.entries import Entry, read_entry
from pinseal.sheets.job import Job, TestDate
from pinseal.sheets.load import held_procedures
from pinseal.sheets.model import WORKS, Step, Want
from pinseal.sheets.taking import begin, replay, take
from pinseal.sheets.working import Working

ODD: dict[str, tuple[str, ...]] = {
    "pressure": ("0 psi", "60 psi", "100 psi", "195 psi", "219 psi", "221 psi", "300 psi", "585 psi", "3000 psi"),
    "temperature": ("-90 F", "-71 F", "-65 F", "-55 F", "20 F", "70 F", "110 F"),
    "mass": ("1 oz", "9 lb", "15 lb", "19 lb 6 oz", "20 lb", "29 lb", "35 lb", "60 lb"),
    "volume": ("180 mL", "18 mL", "1 mL"),
    "length": ("1 mm", "8 mm", "60 mm"),
    "seconds": ("5", "30", "60"),
    "agent": ("abc", "sodium-bicarbonate", "water", "afff", "co2"),
    "gas": ("nitrogen", "air", "oxygen"),
    "yes-no": ("yes", "no"),
    "unit": ("none", "L-1", "L-9"),
    "date": ("2026-06-01",),
    "text": ("as written",),
}


@dataclass(slots=True)
class Hands:
    """One pair of hands at one sheet: what they did, and what the second opinion says of it."""

    job: Job
    luck: random.Random
    wild: float
    work: Working = field(init=False)
    watch: Watch = field(init=False)
    tags: int = 0
    refused: int = 0

    def __post_init__(self) -> None:
        self.work = begin(self.job)
        self.watch = Watch(job=self.job)

    def go(self, length: int) -> None:
        for _ in range(length):
            if self.work.abandoned:
                break
            self._touch()
            self._try_to_end()

    # -- choosing

    def _touch(self) -> None:
        if self.luck.random() < self.wild:
            self._anything()
            return
        if self.work.open_stops() and self.luck.random() < 0.5:
            self._fix()
            return
        left = self.work.next_steps()
        if left:
            self._step(left[0], careful=True)
        else:
            self._anything()

    def _anything(self) -> None:
        what = self.luck.choices(("step", "confirm", "fix", "override", "leave", "abandon"), (70, 10, 8, 5, 7, 0.5))[0]
        steps = list(self.job.steps)
        if what == "step":
            self._step(self.luck.choice(steps), careful=False)
        elif what == "confirm":
            self._enter(Entry(kind="confirm", subject=self.luck.choice(("approach", "outside", "finish")), person=TECHNICIAN))
        elif what == "fix":
            self._fix()
        elif what == "override":
            step = self.luck.choice(steps)
            gate = self.luck.choice(
                ("stand-in", "no-pressure", "test-date", "not-blocked", "shell-verdict", "no-open-stops", "earlier-stages")
            )
            said = {"step": step.id, "reason": "because it must be so", "supervisor": SUPERVISOR}
            self._enter(Entry(kind="override", subject=gate, said=said, person=SUPERVISOR))
        elif what == "leave":
            self._step(self.luck.choice([step for step in steps if step.when == "leaving"]), careful=False)
        else:
            self._enter(Entry(kind="abandon", subject="it rains", said={"left": "on the bench"}, person=TECHNICIAN))

    def _fix(self) -> None:
        open_now = [found.finding for found in self.work.findings if not found.fixed]
        if open_now:
            self._enter(Entry(kind="fix", subject=self.luck.choice(open_now), said={"how": "mended"}, person=TECHNICIAN))

    def _step(self, step: Step, *, careful: bool) -> None:
        good = careful and self.luck.random() > self.wild / 2
        codes = [each.code for each in step.good_answers] if good else [*(each.code for each in step.answers), "not-done"]
        code = codes[0] if good and self.luck.random() < 0.9 else self.luck.choice(codes)
        person = SUPERVISOR if self.luck.random() < 0.2 else TECHNICIAN
        if code == "not-done":
            self._enter(Entry(kind="step", subject=step.id, said={"answer": code, "note": "no time left"}, person=person))
            return
        entry = good_entry(self.job, step, answer=code, person=person)
        odd = {
            want.name: self.luck.choice(ODD[want.quantity])
            for want in step.wants
            if self._is_odd(want, code, good) and want.quantity in ODD
        }
        self._enter(
            Entry(
                kind="step",
                subject=step.id,
                said={"answer": code},
                readings={**entry.readings, **odd},
                person=person,
                instruments={} if self.luck.random() < 0.1 else entry.instruments,
            )
        )

    def _is_odd(self, want: Want, code: str, good: bool) -> bool:
        if want.only_with and code not in want.only_with:
            return False
        return self.luck.random() < (0.03 if good else 0.4)

    # -- entering

    def _enter(self, entry: Entry) -> None:
        try:
            judged = take(self.work, entry)
        except Refusal:
            self.refused += 1
            return
        if entry.kind == "step":
            step = self.job.step(entry.subject)
            assert step is not None
            self.watch.step(step, entry, judged)
        elif entry.kind == "confirm":
            covered = self.work.confirmations[-1].steps
            self.watch.confirm([step for step in self.job.steps if step.id in covered])
        elif entry.kind == "fix":
            self.watch.fix(entry.subject)
        elif entry.kind == "override":
            self.watch.override(entry.subject, entry.said["step"])

    def _try_to_end(self) -> None:
        if self.work.next_steps() or self.luck.random() < 0.3:
            return
        try:
            closed = close(self.work, sheet="sheet-1")
        except Refusal:
            return
        if closed.outcome in ("tag", "minor-part"):
            self.tags += 1
            self.watch.wrong += [f"{self.watch.number} ends with {closed.outcome}: {each}" for each in self.watch.ends_with_a_tag()]


def works_for(name: str, luck: random.Random) -> list[str]:
    """Mostly all that this kind can need at once, sometimes one work."""
    without = held_procedures().type(kind_of(name)).does_not_apply
    works = [work for work in WORKS if work not in without and work != "retirement"]
    if luck.random() < 0.15 and "retirement" not in without:
        return ["retirement"]
    return works if luck.random() < 0.4 else [luck.choice(works)]


def asked_for(luck: random.Random, agent: str | None) -> Asked:
    days = luck.choice((None, None, None, -400, -1, 0, 1, 400))
    test = TestDate(owed="no") if days is None else TestDate(owed="yes", last_day=PartialDate.of(ON + timedelta(days=days)))
    if luck.random() < 0.05:
        test = TestDate(owed="unknown", because="nothing is on record")
    return Asked(
        test_date=test,
        last_agent=luck.choice((None, agent, agent, agent, "potassium-chloride")) if luck.random() < 0.3 else None,
        condemned="stamped so" if luck.random() < 0.02 else None,
    )


def hands(name: str, *, seed: int, wild: float) -> Hands:
    luck = random.Random(seed)
    job = make(UNITS[name], *works_for(name, luck), asked=asked_for(luck, UNITS[name].agent))
    return Hands(job=job, luck=luck, wild=wild)


def examples(most: int) -> int:
    """A sheet is long, so the usual profile tries fewer of them; who explores at the desk tries all that he asks for."""
    asked = settings().max_examples
    return min(asked, most) if asked <= 100 else asked


@pytest.mark.parametrize("name", UNITS)
@given(seed=st.integers(0, 2**40), wild=st.sampled_from((0.02, 0.08, 0.3)), length=st.integers(60, 220))
@settings(max_examples=examples(40))
def test_whatever_is_entered_nothing_is_taken_that_could_hurt(name: str, seed: int, wild: float, length: int) -> None:
    found = hands(name, seed=seed, wild=wild)
    found.go(length)
    assert not found.watch.wrong


@pytest.mark.parametrize("name", UNITS)
@given(seed=st.integers(0, 2**40), wild=st.sampled_from((0.05, 0.3)))
@settings(max_examples=examples(8))
def test_a_sheet_that_is_kept_and_read_again_says_the_same(name: str, seed: int, wild: float) -> None:
    found = hands(name, seed=seed, wild=wild)
    found.go(120)
    kept = [json.dumps(entry.as_json()) for entry in found.work.entries]
    again = replay(found.job, [read_entry(json.loads(text)) for text in kept])
    assert again.entries == found.work.entries
    assert again.picture.told == found.work.picture.told
    assert again.picture.reads == found.work.picture.reads
    assert again.findings == found.work.findings
    assert again.judgements == found.work.judgements
    assert again.overrides == found.work.overrides
    assert decide(again) == decide(found.work)


def depth_of(name: str) -> Counter[str]:
    """What random hands reach on this unit, over some sheets."""
    reached: Counter[str] = Counter()
    for seed in range(30):
        found = hands(name, seed=seed, wild=0.03)
        found.go(140)
        reached.update(found.watch.counts)
        reached["tags"] += found.tags > 0
        reached["refused"] += found.refused
    return reached


OPENED = [name for name in UNITS if kind_of(name) not in ("nonrechargeable", "obsolete")]


@pytest.mark.parametrize("name", OPENED)
def test_the_random_hands_come_far_enough_to_be_a_test(name: str) -> None:
    reached = depth_of(name)
    assert reached["open"] >= 5
    assert reached["inside"] >= 10
    assert reached["fill"] + reached["charge"] + reached["arm"] >= 5
    assert reached["tags"] >= 4
    assert reached["refused"] >= 20


# -- the second opinion itself is not blind: what the program would refuse is told to it alone

PRESSURE = "pressure is not proved gone"
BAD: dict[str, tuple[str, tuple[str, ...], str]] = {
    "opened under pressure": ("portable-powder", ("valve-off-portable off",), PRESSURE),
    "opened though nothing came and it weighs full": (
        "portable-powder", ("gross-weight read", "gauge-reading read", "emptied-portable nothing-from-start", "valve-off-portable off"),
        PRESSURE,
    ),
    "opened after a blow-out that did not end": (
        "wheeled-powder", ("emptied-wheeled left-then-ended", "blown-out blown-out", "valve-off-wheeled off"), PRESSURE,
    ),
    "a lever before the cartridge is out": ("cartridge-powder", ("cartridge-chamber-vented nothing",), "the lever before the cartridge"),
    "a shut-off before the cylinder is shut": ("gas-cylinder", ("gas-line-vented vented",), "the lever before the gas cylinder"),
    "a chamber opened that was vented too soon": (
        "cartridge-powder", ("cartridge-chamber-vented nothing", "cartridge-out whole", "cartridge-cap-off quiet"), PRESSURE,
    ),
    "carbon dioxide opened that was not weighed": ("carbon-dioxide", ("co2-discharge left-then-ended", "co2-open off"), PRESSURE),
    "inside a shut shell": ("portable-powder", ("emptied-portable left-then-ended", "rest-of-powder-out out"), "the shell is not open"),
    "charged without a look at the shell": ("portable-powder", ("powder-gas-in in",), "nobody looked at it"),
    "charged with a burned shell": ("portable-powder", ("shell-past burned", "powder-gas-in in"), "it is unfit"),
    "charged with an open shell": ("portable-powder", ("valve-off-portable off", "powder-gas-in in"), "the shell is open"),
    "charged without its agent": ("portable-powder", ("powder-accounted recovered", "powder-gas-in in"), "the agent is out"),
    "charged from a supply that nobody looked at": ("portable-powder", ("powder-gas-in in",), "the supply was not looked at"),
    "charged over another agent": ("gas-cylinder", ("gas-powder-look another", "gas-armed armed"), "the wrong agent was seen"),
    "blown out with a burned shell": ("wheeled-powder", ("shell-past burned", "blown-out blown-out"), "gas blown through a shell"),
    "a collar without the valve off": ("portable-powder", ("collar-after-opening on",), "a collar without the valve off"),
    "a tag with a cut hose": ("portable-powder", ("hose-outside cut", "service-tag on"), "marked with open stops"),
    "drilled while charged": ("portable-powder", ("shell-made-unusable unusable",), "drilled while it is not open"),
    "taken away with nothing in its place": ("portable-powder", ("taken-away gone",), "nothing in its place"),
    "relieved by a technician": ("portable-powder", ("relieve-by-makers-method relieved",), "relieved by somebody who is no supervisor"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_the_second_opinion_sees_what_should_never_be_taken(case: str) -> None:
    name, entries, words = BAD[case]
    job = make(UNITS[name], "maintenance", "internal-examination", "recharge")
    watch = Watch(job=job)
    for text in entries:
        code, answer = text.split()
        step = job.step(code)
        assert step is not None, code
        watch.step(step, good_entry(job, step, answer=answer), None)
    assert any(words in each for each in watch.wrong), watch.wrong


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ({"regulator": "221 psi"}, "the regulator stands at 221 psi"),
        ({"gas": "oxygen"}, "charged with oxygen"),
        ({"dew-point": "-59 F"}, "charged with a dew point of -59 F"),
    ],
)
def test_the_second_opinion_reads_the_supply(readings: dict[str, str], words: str) -> None:
    job = make(UNITS["portable-powder"], "recharge")
    watch = Watch(job=job)
    for code in ("powder-gas-supply", "powder-gas-in"):
        step = job.step(code)
        assert step is not None
        watch.step(step, good_entry(job, step, readings=readings if code == "powder-gas-supply" else None), None)
    assert any(words in each for each in watch.wrong), watch.wrong


@pytest.mark.parametrize("days", [-1, 0])
def test_the_second_opinion_reads_the_calendar(days: int) -> None:
    asked = Asked(test_date=TestDate(owed="yes", last_day=PartialDate.of(ON + timedelta(days=days))))
    job = make(UNITS["portable-powder"], "recharge", asked=asked)
    step = job.step("powder-gas-in")
    assert step is not None
    watch = Watch(job=job)
    watch.step(step, good_entry(job, step), None)
    assert any("past the test date" in each for each in watch.wrong) == (days < 0)
