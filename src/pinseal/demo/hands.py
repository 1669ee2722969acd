"""How the demo's people work a sheet: step by step, well, but for what the story of the unit says. Readings are plain figures.

Nothing is judged here: the entries go through the same door as everybody's, and one that does not fit is refused there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from pinseal.sheets.entries import Entry
from pinseal.sheets.job import Job
from pinseal.sheets.model import Answer, Step, Want

# What is read on a unit with which nothing is wrong, by the name of the reading; what hangs on the unit is made below.
_PLAIN: Mapping[str, str] = {
    "gas": "nitrogen", "dew-point": "-80 F", "temperature": "70 F", "held": "60", "lot": "M26-118", "container": "BIN-4",
    "test-figure": "585 psi, on the nameplate", "pressure": "600 psi", "shows": "a path all the time",
}  # fmt: skip
_TOOLS: Mapping[str, str] = {
    "scale": "SC-1", "regulator": "RG-1", "test-gauge": "TG-1", "thermometer": "TM-1", "hygrometer": "HY-1", "conductivity-tester": "CT-1",
}  # fmt: skip
_LABELS = ("collar", "label")


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySheet:
    """One job sheet of the demo's day: of which unit, for which works, by whom, and where it is other than good.

    `answers` and `readings` are by step. `fix` is a finding that is put right at once, how and with which part, after `fix_after`.
    `leaves` are the answers with which a unit is taken away after the step `until`; empty for one that goes back.
    """

    unit: str
    works: tuple[str, ...]
    person: str
    uid: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)
    fix_after: str = ""
    fix: tuple[str, str, str] = ("", "", "")
    until: str = ""
    leaves: Mapping[str, str] = field(default_factory=dict)


def entries_of(job: Job, said: DaySheet) -> list[Entry]:
    """Every entry of a sheet, in the order in which it is worked."""
    return list(_entries(job, said))


def _entries(job: Job, said: DaySheet) -> Iterator[Entry]:
    for step in job.steps:
        if step.when == "leaving" or (step.skippable and step.id not in said.answers):
            continue
        yield _entry(job, step, said, said.answers.get(step.id, ""))
        if step.id == said.fix_after:
            finding, how, part = said.fix
            yield Entry(kind="fix", subject=finding, said={"how": how} | ({"part": part} if part else {}), person=said.person, seconds=90)
        if step.id == said.until:
            break
    for step in job.steps:
        if step.id in said.leaves:
            yield _entry(job, step, said, said.leaves[step.id])


def _entry(job: Job, step: Step, said: DaySheet, code: str) -> Entry:
    answer = step.answer(code) if code else step.good_answers[0]
    assert answer is not None, f"{step.id} has no answer {code}"
    given = said.readings.get(step.id, {})
    readings = {
        want.name: given.get(want.name) or _reading(job, step, want) for want in step.wants if want.name in given or _asked(want, answer)
    }
    note = {"note": said.notes[step.id]} if step.id in said.notes else {}
    return Entry(
        kind="step",
        subject=step.id,
        said={"answer": answer.code} | note,
        readings=readings,
        instruments={want.name: _TOOLS[want.instrument] for want in step.wants if want.name in readings and want.instrument in _TOOLS},
        person=said.person,
        seconds=round(step.minutes * 60),
    )


def _asked(want: Want, answer: Answer) -> bool:
    return not want.optional and (answer.code in want.only_with if want.only_with else answer.good)


def _reading(job: Job, step: Step, want: Want) -> str:
    """A reading with which nothing is wrong: the figures of the nameplate."""
    plate = job.unit.nameplate
    if want.name in _LABELS:
        return f"{job.on:%b %Y}"
    found = {
        "gross": plate.empty_weight if step.stage == "empty" else plate.gross_weight,
        "gauge": "0 psi" if step.stage == "empty" else plate.service_pressure,
        "settled": plate.service_pressure,
        "stopped": plate.service_pressure,
        "regulator": plate.service_pressure,
        "recovered": str(plate.size),
        "mass": str(plate.size),
        "agent": plate.agent,
    }.get(want.name) or _PLAIN.get(want.name)
    assert found, f"nobody says what {want.name} of {step.id} reads"
    return found
