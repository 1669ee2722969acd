"""Every kind of unit and every work: refused with a reason, or a sheet that can be done from the first step to its records."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import combinations, product
from typing import Any

import pytest
from sheet_walks import (
    KINDS,
    PACKS,
    UNITS,
    Asked,
    good_entry,
    is_on_the_way,
    kind_of,
    make,
    retired,
    walk,
    walked,
)
from trade_cases import KINDS as TRADE_KINDS
from trade_cases import nameplate

from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.record_kinds import check_record
from pinseal.records.unit import UnitState
from pinseal.service.duelist import due_list
from pinseal.sheets.closing import Closed, close
from pinseal.sheets.compose import type_of
from pinseal.sheets.entries import Entry
from pinseal.sheets.load import held_procedures
from pinseal.sheets.model import RECHARGE, WORKS
from pinseal.sheets.taking import begin, take
from pinseal.sheets.working import Working
from pinseal.standards import choose_packs, held_packs

HELD = held_procedures()
# The record that says a work was done.
RECORD_OF: Mapping[str, str] = {
    "inspection": "inspected", "maintenance": "maintained", "internal-examination": "opened", "hydrostatic-test": "tested",
    "hose-test": "hose-tested", "conductivity-test": "conductivity-tested", "agent-renewal": "agent-renewed",
    "expellant-cylinder-test": "expellant-cylinder-tested", "regulator-test": "regulator-tested", RECHARGE: "recharged",
}  # fmt: skip
# Findings that no step's answer or judge names: the engine opens them itself.
OF_THE_ENGINE = {"too-close", "not-done", "needle-outside-band", "blocked-and-pressurised", "overstressed"}


def rejected(name: str) -> Mapping[str, str]:
    return HELD.type(kind_of(name)).does_not_apply


APPLYING = [(name, work) for name, work in product(UNITS, WORKS) if work not in rejected(name)]
REJECTED = [(name, work) for name, work in product(UNITS, WORKS) if work in rejected(name)]


def done(name: str, *works: str) -> tuple[Working, Closed]:
    work = walked(UNITS[name], *works)
    return work, close(work, sheet="sheet-1")


def test_every_kind_that_is_held_has_a_nameplate_here() -> None:
    assert {kind.id for kind in HELD.types} == set(KINDS)
    for name, plate in UNITS.items():
        assert type_of(UnitState(nameplate=plate), HELD.types).id == kind_of(name)


@pytest.mark.parametrize(("name", "work"), REJECTED)
def test_a_work_that_a_kind_does_not_need_is_refused_with_the_reason(name: str, work: str) -> None:
    with pytest.raises(Refusal) as refused:
        make(UNITS[name], work)
    assert refused.value.rule == rejected(name)[work]
    assert not HELD.steps_of(kind_of(name), work) or RECHARGE in HELD.type(kind_of(name)).does_not_apply or _shares_steps(name, work)


def _shares_steps(name: str, work: str) -> bool:
    """A step may name a work that this kind never has, because it serves several kinds; but not that work alone."""
    return all(set(step.works) - {work} for step in HELD.steps_of(kind_of(name), work))


@pytest.mark.parametrize(("name", "work"), APPLYING)
def test_a_work_that_applies_has_steps_of_its_own(name: str, work: str) -> None:
    job = make(UNITS[name], work)
    assert any(work in step.works for step in job.steps)
    ids = [step.id for step in job.steps]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize(("name", "work"), [each for each in APPLYING if each[1] != "retirement"])
def test_a_good_unit_goes_through_the_work_and_the_work_is_on_record(name: str, work: str) -> None:
    sheet, closed = done(name, work)
    assert closed.outcome == "tag"
    made = {each.kind: each.fields for each in closed.made}
    assert RECORD_OF[work] in made
    assert made["worked"]["outcome"] == "tag"
    if work == "hydrostatic-test":
        assert made["tested"]["result"] == "pass"
    for code in set(sheet.job.works) & set(RECORD_OF):
        assert RECORD_OF[code] in made, f"{code} is on the sheet and no record says that it was done"


@pytest.mark.parametrize("name", [name for name in UNITS if "retirement" not in rejected(name)])
def test_a_unit_is_taken_out_of_use(name: str) -> None:
    closed = retired(UNITS[name])
    assert closed.outcome in ("withdraw", "condemn", "replace")
    assert {"removed", "condemned"} & {each.kind for each in closed.made}


@pytest.mark.parametrize(("name", "work"), APPLYING)
def test_every_record_that_a_sheet_makes_is_one_that_can_be_kept(name: str, work: str) -> None:
    closed = retired(UNITS[name]) if work == "retirement" else done(name, work)[1]
    assert closed.made
    for made in closed.made:
        assert check_record(made.kind, made.fields)


def works_of(name: str) -> list[str]:
    return [work for work in WORKS if work not in rejected(name) and work != "retirement"]


@pytest.mark.parametrize("name", UNITS)
def test_all_that_can_be_due_at_once_goes_on_one_sheet_and_each_step_once(name: str) -> None:
    sheet, closed = done(name, *works_of(name))
    assert closed.outcome == "tag"
    kinds = [each.kind for each in closed.made]
    for work in works_of(name):
        assert RECORD_OF[work] in kinds, work
    for single in ("inspected", "maintained", "opened", "tested", "recharged"):
        assert kinds.count(single) <= 1
    ids = [step.id for step in sheet.job.steps]
    assert len(ids) == len(set(ids))
    asked = [entry.subject for entry in sheet.entries]
    assert len(asked) == len(set(asked))


PAIRS = [
    (name, pair)
    for name in ("portable-powder", "wheeled-powder", "cartridge-powder", "gas-cylinder", "carbon-dioxide", "water-based")
    for pair in combinations(works_of(name), 2)
]


@pytest.mark.parametrize(("name", "pair"), PAIRS)
def test_two_works_on_one_sheet_are_both_on_record(name: str, pair: tuple[str, str]) -> None:
    made = {each.kind for each in done(name, *pair)[1].made}
    assert {RECORD_OF[work] for work in pair} <= made


# -- findings


def _named() -> set[str]:
    named = {answer.finding for step in HELD.steps for answer in step.answers if answer.finding}
    for step in HELD.steps:
        if step.judge:
            named |= {each for each in (step.judge.fail, step.judge.below, step.judge.above) if each}
    return named


def test_every_finding_can_be_reached_from_a_step_or_is_opened_by_the_engine() -> None:
    assert set(HELD.findings) - _named() - OF_THE_ENGINE == set()


@pytest.mark.parametrize("code", sorted(_named()))
def test_each_finding_that_a_step_names_leads_to_one_on_some_sheet(code: str) -> None:
    """The step with that finding stands on a sheet of a kind and work that this shop can make."""
    steps = [step for step in HELD.steps if _names(step, code)]
    sheets = [make(UNITS[name], work) for name, work in APPLYING if kind_of(name) in {kind for step in steps for kind in step.types}]
    assert any(job.step(step.id) for job in sheets for step in steps)


def _names(step: Any, code: str) -> bool:
    judged = (step.judge.fail, step.judge.below, step.judge.above) if step.judge else ()
    return code in judged or any(answer.finding == code for answer in step.answers)


# -- every duty of every pack has a procedure

# Documents that speak of every extinguisher alike; the sheet says why this kind has none.
ASKED_OF_ALL = {("pump-tank", "hydrostatic-test")}


@pytest.mark.parametrize("kind", sorted(TRADE_KINDS))
@pytest.mark.parametrize("pack", sorted(held_packs()))
def test_a_duty_that_a_document_makes_due_has_a_procedure(kind: str, pack: str) -> None:
    old = PartialDate.of(date(1990, 1, 2))
    said = dict(TRADE_KINDS[kind])
    stamps = ("none",) if said["expelled_by"] == "pump" else ("none", "4BW500", "3AL1800")
    for hose, stamp in product(("none", "plain", "shut-off"), stamps):
        unit = UnitState(
            nameplate=nameplate(said | {"hose": hose, "cylinder_specification": stamp}),
            dates=dict.fromkeys(("manufactured", "placed-in-service", "maintenance", "recharge", "recharge-opened"), old),
        )
        kind_of_unit = type_of(unit, HELD.types)
        if kind_of_unit.id == "obsolete":
            continue  # whatever a document asks of it: it goes out of use, and the sheet for that is the retirement
        for due in due_list([unit], choose_packs([pack]), date(2026, 11, 24)).all():
            if due.state == "withdraw" or due.perhaps:
                continue
            if (kind_of_unit.id, due.duty) in ASKED_OF_ALL:
                assert kind_of_unit.does_not_apply[due.duty]
                continue
            assert due.duty not in kind_of_unit.does_not_apply, f"{pack} makes {due.duty} due on a {kind_of_unit.id}: hose {hose}, {stamp}"


# -- few touches


@pytest.mark.parametrize("name", ["portable-powder", "water-based", "carbon-dioxide"])
def test_a_good_portable_is_done_with_three_confirmations_and_its_readings(name: str) -> None:
    job = make(UNITS[name], "maintenance")
    work = begin(job)
    touches: list[str] = []
    for group in dict.fromkeys(step.group for step in job.steps if step.group):
        for step in job.steps:
            if step.stage == "mark":
                break
            if is_on_the_way(work, step) and not step.group and not work.is_answered(step) and group == "finish":
                take(work, good_entry(job, step))
                touches.append(step.id)
        take(work, Entry(kind="confirm", subject=group, person="Tomo Invented", seconds=120))
    assert close(work, sheet="sheet-1").outcome == "tag"
    assert len(work.confirmations) <= 3
    assert all(job.step(code).wants for code in touches)  # type: ignore[union-attr]
    assert len(touches) <= 2


def test_under_the_californian_document_nothing_is_confirmed_in_one_touch() -> None:
    job = make(UNITS["portable-powder"], "maintenance", asked=Asked(packs=("us-ca",)))
    with pytest.raises(Refusal, match="no confirmation covers several steps here"):
        take(begin(job), Entry(kind="confirm", subject="approach", person="Tomo Invented"))
    work = walk(begin(job))
    assert close(work, sheet="sheet-1").outcome == "tag"
    assert not work.confirmations


def test_the_minutes_of_a_good_portable_are_few_and_of_a_wheeled_teardown_many() -> None:
    def minutes(name: str, *works: str) -> float:
        work = begin(make(UNITS[name], *works, asked=Asked(packs=PACKS)))
        return work.seconds_expected(work.next_steps()) / 60

    assert minutes("portable-powder", "maintenance") <= 10
    assert 45 <= minutes("wheeled-powder", "hydrostatic-test") <= 150
