"""The pages' office: a shop as the pages need it, opened anew for each question, with the day's due list remembered."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from copy import copy
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Self

from pinseal.app.memory import Memory
from pinseal.web.doors import About, Upload

if TYPE_CHECKING:
    from pinseal.app.importing import Importing
    from pinseal.intake.register import Register
    from pinseal.records.fold import Unit
    from pinseal.records.record import Record
    from pinseal.service.duelist import DueList
    from pinseal.service.taking_in import ImportPlan, TakenIn
    from pinseal.standards.model import Chosen, Pack
    from pinseal.store import Settings


class ShopOffice:
    """Answers `web.doors.Office` for one shop's file."""

    def __init__(self, app: Importing, path: Path) -> None:
        self.app, self.path = app, path
        self._memory = Memory(app, path)
        self._sites: frozenset[str] | None = None

    def within(self, sites: frozenset[str] | None) -> Self:
        """The same shop with the same memory, narrowed to some sites."""
        if sites is None:
            return self
        narrowed = copy(self)
        narrowed._sites = sites
        return narrowed

    def _may_see(self, site: str | None) -> bool:
        return self._sites is None or site in self._sites

    def _settings(self) -> Settings:
        from pinseal.store import read_settings

        return read_settings(self._memory.mark().chosen)

    def about(self) -> About:
        settings = self._settings()
        return About(
            name=self.path.stem,
            today=settings.today(self.app.now()),
            note="invented" if self.path.stem == "tolberhaven" else "",
            language=settings.language,
            date_style=settings.date_style,
        )

    def packs(self) -> Sequence[Pack]:
        from pinseal.standards import held_packs

        return tuple(held_packs().values())

    def chosen(self) -> Sequence[Chosen]:
        from pinseal.standards import choose_packs

        names = self._settings().packs
        return choose_packs(names) if names else ()

    def due_list(self, on: date) -> DueList:
        """The same list again as long as nothing was written; after that, the list with what was touched evaluated again."""
        from pinseal.service.following import only_at

        whole, sites = self._whole_list(on), self._sites
        return whole if sites is None else whole.kept.here(("only", sites), lambda: only_at(whole, sites))

    def _whole_list(self, on: date) -> DueList:
        from pinseal.app.kept_lists import KeptDues

        kept = KeptDues(self.app, on, self._settings)
        return self._memory.get(on, kept.make, kept.keep_up)

    def unit(self, uid: str) -> Unit | None:
        with self.app._open(self.path, readonly=True) as shop:
            found = shop.unit(uid)
        return found if found is not None and self._may_see(found.state.site) else None

    def history(self, uid: str) -> Sequence[Record]:
        """The records as they are shown: an erased person's name is veiled."""
        with self.app._open(self.path, readonly=True) as shop:
            found = shop.unit(uid)
            if found is None or not self._may_see(found.state.site):
                return []
            veils = shop.veils()
            return [veils.over_record(record) for record in shop.records(uid)]

    def read(self, upload: Upload, answers: Mapping[str, str]) -> Register:
        return self._plan(upload, answers).register  # type: ignore[no-any-return]

    def preview(self, upload: Upload, answers: Mapping[str, str]) -> ImportPlan:
        return self._plan(upload, answers)

    def take_in(self, upload: Upload, answers: Mapping[str, str], person: str) -> TakenIn:
        return self.app.take_in(self.path, self._plan(upload, answers), person=person)

    def _plan(self, upload: Upload, answers: Mapping[str, str]) -> ImportPlan:
        with tempfile.TemporaryDirectory(prefix="pinseal-") as folder:
            file = Path(folder) / "list"
            file.write_bytes(upload.content)
            return self.app.plan_list(self.path, file, name=upload.name, answers=answers)
