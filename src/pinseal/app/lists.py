"""Lists: reading them, the dues of a list or a shop, what lies ahead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.ground import Asked, Ground

if TYPE_CHECKING:
    from pinseal.intake.register import Register
    from pinseal.records.unit import UnitState
    from pinseal.rules.forecast import Job
    from pinseal.service.duelist import DueList


class Lists(Ground):
    """What is asked of a list, or of a shop as if it were one."""

    def read(
        self, file: str | Path, *, answers_file: str | None = None, answers: Sequence[str] = (), date_order: str | None = None
    ) -> Register:
        """Read a list, with the answers of a file and of the command line. Raises `Refusal`."""
        from pinseal.intake.reader import read_register

        return read_register(Path(file), self._answers(answers_file, answers), date_order)

    def due_list(
        self,
        source: str | None,
        *,
        packs: str | None = None,
        on: date | None = None,
        horizon_days: int | None = None,
        assume: str | None = None,
        basis: str | None = None,
        answers_file: str | None = None,
        answers: Sequence[str] = (),
    ) -> DueList:
        """The dues of a list or of a shop on a day. Raises `Refusal`."""
        from pinseal.reasons import Refusal
        from pinseal.rules.columns import parse_assumptions

        if not source:
            raise Refusal(
                what="nothing to look at", rule="dues are of a list or a shop", got="nothing", do="name a file, or set PINSEAL_SHOP"
            )
        asked = Asked(
            packs=None if packs is None else packs.split(","),
            on=on,
            horizon_days=horizon_days,
            basis=basis,
            assume=parse_assumptions(assume) if assume is not None else None,
        )
        if self._is_shop(Path(source)):
            with self._open(Path(source), readonly=True) as shop:
                return self._shop_dues(shop, asked)
        return self._list_dues(source, asked, self._answers(answers_file, answers))

    def _list_dues(self, source: str, asked: Asked, answers: Mapping[str, str]) -> DueList:
        from pinseal.intake.reader import read_register
        from pinseal.rules.clocks import Basis
        from pinseal.service.duelist import due_list
        from pinseal.service.listed import states_of
        from pinseal.standards import choose_packs

        chosen = choose_packs(asked.packs or ())
        register = read_register(Path(source), answers, None)
        found = due_list(
            states_of(register.units, register.problems),
            chosen,
            asked.on or self.today(),
            horizon_days=asked.horizon_days,
            basis=Basis(asked.basis or "anniversary"),
            assume=asked.assume,
        )
        return replace(found, open_questions=len(register.questions), unused_answers=register.unused_answers)

    def find_in(self, states: Sequence[UnitState], text: str) -> int:
        """The place of the one unit that a text means. Raises `Refusal`."""
        from pinseal.service.office import among, find_one

        places = among(states, text)
        live = [p for p in places if not states[p].removed] or places
        return live[[states[p] for p in live].index(find_one([states[p] for p in live], text, where="here"))]

    def forecast(self, found: DueList, *, years: int, inspections: bool, unit: str | None) -> list[Job]:
        """The jobs of the coming years, sorted by day. Removed units and placeholders have none. Raises `Refusal`."""
        from pinseal.rules.columns import columns
        from pinseal.rules.forecast import FORECAST_DUTIES, forecast

        places = [self.find_in(found.states, unit)] if unit else range(len(found.states))
        live = [p for p in places if not found.states[p].removed and not found.states[p].placeholder]
        fleet = columns([found.states[p] for p in live], found.assume)
        duties = (*FORECAST_DUTIES, "inspection") if inspections else FORECAST_DUTIES
        jobs = forecast(fleet, found.chosen, found.on, years=years, basis=found.evaluation.basis, duties=duties)
        return sorted((replace(job, index=live[job.index]) for job in jobs), key=lambda job: (job.on, job.index, job.duty))
