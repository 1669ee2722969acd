"""Taking lists in: reading and matching them against the shop, and writing what was shown."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.app.ground import Ground

if TYPE_CHECKING:
    from pinseal.dates import PartialDate
    from pinseal.intake.register import Register
    from pinseal.service.taking_in import ImportPlan, TakenIn
    from pinseal.store import RegisterRow


class Importing(Ground):
    """A list is planned first and written second; between the two nothing has changed."""

    def plan_import(
        self, path: Path, file: str, *, answers_file: str | None, answers: Sequence[str], date_order: str | None = None
    ) -> ImportPlan:
        """What taking a list in would change. Raises `Refusal`."""
        said = self._answers(answers_file, answers)
        return self.plan_list(path, Path(file), name=_plain_name(file), answers=said, date_order=date_order)

    def plan_list(self, path: Path, file: Path, *, name: str, answers: Mapping[str, str], date_order: str | None = None) -> ImportPlan:
        from pinseal.intake.reader import read_register
        from pinseal.service.listed import placeholders, states_of
        from pinseal.service.matching import plan_of

        with self._open(path, readonly=True) as shop:
            settings, known = shop.settings(), shop.units()
        register = read_register(file, answers, date_order or settings.date_order, today=settings.today(self.now()))
        return plan_of(
            register,
            known=known,
            listed=states_of(register.units, register.problems),
            counted=tuple(placeholders(register.problems)),
            answers=answers,
            name=name,
            content=file.read_bytes(),
        )

    def take_in(
        self, path: Path, plan: ImportPlan, *, person: str | None, done: PartialDate | None = None, writer: str = "office"
    ) -> TakenIn:
        """Write what the plan says, all of it or nothing, with the list's raw cells beside what was read. Raises `Refusal`."""
        from pinseal.dates import PartialDate
        from pinseal.service.taking_in import TakenIn, drafts
        from pinseal.store import Register as KeptRegister

        with self._open(path) as shop:
            day = done or PartialDate.of(shop.settings().today(self.now()))
            uids = self._new_uids()
            made, units = drafts(plan, on=day, person=self._person(person), new_uid=lambda: next(uids))
            kept = KeptRegister(
                name=plan.name,
                sha256=plan.content_sha256,
                size=plan.size,
                person=self._person(person),
                answers=dict(plan.answers or {}),
                rows=list(_rows(plan.register, units)),
            )
            records = shop.write(made, writer=writer, received=self.now(), register=kept)
        return TakenIn(new=len(plan.new), changed=len(plan.changed), placeholders=plan.placeholders, records=len(records))


def _plain_name(file: str) -> str:
    """The name of a file as text: bytes that are no text, as old packing programs leave them in names, become a mark."""
    return os.fsencode(Path(file).name).decode("utf-8", "replace")


def _rows(register: Register, units: Mapping[tuple[str | None, int | None], str]) -> Iterator[RegisterRow]:
    """Every row of a list as it is kept: the raw cells, what was read, and the unit that it became."""
    from pinseal.store import RegisterRow

    for unit in register.units:
        read: dict[str, Any] = {name: value for name, value in unit.as_json().items() if name != "raw"}
        yield RegisterRow(sheet=unit.sheet, row=unit.row, outcome="unit", raw=unit.raw, read=read, unit=units.get((unit.sheet, unit.row)))
    for other in register.not_units:
        yield RegisterRow(sheet=other.sheet, row=other.row, outcome="not-unit", raw={}, read=other.as_json())
    for problem in register.problems:
        yield RegisterRow(sheet=problem.sheet, row=problem.row, outcome="problem", raw={"cell": problem.raw}, read=problem.as_json())
