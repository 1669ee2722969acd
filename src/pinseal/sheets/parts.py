"""The parts that a sheet wants: what its steps renew and what its findings ask for, what lies ready, what was fitted."""

from __future__ import annotations

from dataclasses import dataclass, field

from pinseal.sheets.job import Job
from pinseal.sheets.working import Working


@dataclass(slots=True, kw_only=True)
class Part:
    """One part: the steps and findings that want it still, those that are done with it, whether it lies ready, what was fitted."""

    name: str
    wanted_by: list[str] = field(default_factory=list)
    done_by: list[str] = field(default_factory=list)
    fitted: list[str] = field(default_factory=list)
    is_laid_out: bool = False

    @property
    def is_missing(self) -> bool:
        """Something still waits for it, and it does not lie ready."""
        return bool(self.wanted_by) and not self.is_laid_out


def known_parts(job: Job) -> tuple[str, ...]:
    """Every part that a step of the sheet or a finding can speak of."""
    of_steps = (part for step in job.steps for part in step.parts)
    of_findings = (part for finding in job.findings.values() for part in finding.parts)
    return tuple(dict.fromkeys((*of_steps, *of_findings)))


def parts_of(work: Working) -> tuple[Part, ...]:
    """The parts of a sheet as it stands, in the order of the work; what a finding asks for stands with it."""
    found: dict[str, Part] = {}

    def part(name: str) -> Part:
        return found.setdefault(name, Part(name=name, is_laid_out=work.laid_out.get(name, False)))

    for step in work.job.steps:
        for name in step.parts if work.is_wanted(step) or work.is_answered(step) else ():
            (part(name).done_by if work.is_answered(step) else part(name).wanted_by).append(step.title)
    for each in work.findings:
        for name in work.job.findings[each.finding].parts:
            (part(name).done_by if work.is_settled(each) else part(name).wanted_by).append(each.title)
        if each.part:
            part(each.part).fitted.append(" ".join(text for text in (each.part_count, each.part, each.part_number) if text))
    return tuple(found.values())
