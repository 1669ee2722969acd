"""The pages' office: a shop as the pages need it, opened anew for each question, with the day's due list remembered."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from copy import copy
from datetime import date
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Self

from pinseal.app.ground import Asked
from pinseal.web.doors import About, Upload

if TYPE_CHECKING:
    from pinseal.app.importing import Importing
    from pinseal.intake.register import Register
    from pinseal.records.fold import Unit
    from pinseal.records.record import Record
    from pinseal.records.unit import UnitState
    from pinseal.service.duelist import DueList
    from pinseal.service.taking_in import ImportPlan, TakenIn
    from pinseal.standards.model import Chosen, Pack
    from pinseal.store import Settings, Shop


class ShopOffice:
    """Answers `web.doors.Office` for one shop's file."""

    def __init__(self, app: Importing, path: Path) -> None:
        self.app, self.path = app, path
        self._lock = Lock()
        self._remembered: dict[tuple[date, frozenset[str] | None], tuple[object, DueList]] = {}
        self._chosen: tuple[object, Settings] | None = None
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

    def about(self) -> About:
        settings = self._settings()
        return About(
            name=self.path.stem,
            today=settings.today(self.app.now()),
            note="invented" if self.path.stem == "tolberhaven" else "",
            language=settings.language,
            date_style=settings.date_style,
        )

    def _settings(self) -> Settings:
        """The same again as long as the shop's file has not changed: every request asks."""
        version, kept = self._version(), self._chosen
        if kept is not None and kept[0] == version:
            return kept[1]
        with self.app._open(self.path, readonly=True) as shop:
            settings = shop.settings()
        self._chosen = (version, settings)
        return settings

    def packs(self) -> Sequence[Pack]:
        from pinseal.standards import held_packs

        return tuple(held_packs().values())

    def chosen(self) -> Sequence[Chosen]:
        from pinseal.standards import choose_packs

        with self.app._open(self.path, readonly=True) as shop:
            names = shop.settings().packs
        return choose_packs(names) if names else ()

    def due_list(self, on: date) -> DueList:
        """The same list again as long as the shop's file has not changed."""
        version, asked = self._version(), (on, self._sites)
        with self._lock:
            kept = self._remembered.get(asked)
            if kept and kept[0] == version:
                return kept[1]
        with self.app._open(self.path, readonly=True) as shop:
            found = self.app._shop_dues(shop, Asked(on=on), only=self._states(shop, on))
        with self._lock:
            for old in [key for key, pair in self._remembered.items() if pair[0] != version]:
                del self._remembered[old]
            self._remembered[asked] = (version, found)
        return found

    def _states(self, shop: Shop, on: date) -> list[UnitState] | None:
        """The units of the sites that may be seen; None for every unit."""
        from pinseal.service.office import states_on

        if self._sites is None:
            return None
        return [state for state in states_on(shop, on, shop.settings().today(self.app.now())) if state.site in self._sites]

    def _version(self) -> object:
        """What changes whenever something is written to the shop: the file and its write-ahead log."""
        files = (self.path, self.path.with_name(f"{self.path.name}-wal"))
        return tuple((f.stat().st_mtime_ns, f.stat().st_size) if f.exists() else None for f in files)

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
