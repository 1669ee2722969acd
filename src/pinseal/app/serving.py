"""Pages on this machine, and the invented shop."""

from __future__ import annotations

import tempfile
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.ground import Asked
from pinseal.app.importing import Importing

if TYPE_CHECKING:
    from pinseal.demo import Demo
    from pinseal.service.duelist import DueList
    from pinseal.store import Shop


class Serving(Importing):
    """The doors that people come in by."""

    def serve(self, path: Path, *, host: str, port: int) -> None:
        """Serve a shop's pages until stopped. Raises `Refusal` for a taken port, `ShopUnusable` for a bad shop."""
        from pinseal.app.pages import ShopOffice
        from pinseal.web.serve import serve
        from pinseal.web.site import build_site

        with self._open(path, readonly=True):
            pass
        serve(build_site(ShopOffice(self, path)), host, port, ready=_say_ready)

    def demo(self, path: Path, *, on: date | None) -> DueList:
        """Make the invented shop where it is not there yet, and give its dues. Raises `Refusal`."""
        from pinseal.demo import build

        demo = build()
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            part = path.with_name(f"{path.name}.making")
            self._clear(part)
            self._make_demo(part, demo)
            part.rename(path)
            part.with_name(f"{part.name}.files").rename(path.with_name(f"{path.name}.files"))
        with self._open(path, readonly=True) as shop:
            return self._shop_dues(shop, Asked(on=on or demo.day))

    def _clear(self, path: Path) -> None:
        """Take away what an attempt that was cut short has left."""
        import shutil

        for left in path.parent.glob(f"{path.name}*"):
            shutil.rmtree(left) if left.is_dir() else left.unlink()

    def _make_demo(self, path: Path, demo: Demo) -> None:
        """The list as it was handed over, then twelve years of deeds, as if they had been typed in on the demo's day."""
        from pinseal.dates import PartialDate
        from pinseal.store import Shop, read_settings

        then = _Then(demo.received)
        with (
            Shop.create(path, read_settings(demo.settings), person="the demo", now=demo.received) as shop,
            tempfile.TemporaryDirectory() as folder,
        ):
            file = Path(folder) / demo.register_name
            file.write_bytes(demo.register_bytes)
            plan = then.plan_list(path, file, name=demo.register_name, answers=demo.answers)
            then.take_in(path, plan, person="the demo", done=PartialDate.of(demo.taken_over))
            self._write_deeds(shop, demo)
            for name, text in demo.withdrawals:
                shop.add_withdrawals(text, name=name, person="the demo", received=demo.received)

    def _write_deeds(self, shop: Shop, demo: Demo) -> None:
        from pinseal.records.record import Draft

        uids, fresh, drafts = _first_numbers(shop), self._new_uids(), []
        for deed in demo.deeds:
            unit = uids.setdefault(deed.unit, "") or next(fresh)
            uids[deed.unit] = unit
            drafts.append(Draft(kind=deed.kind, unit=unit, person=deed.person, done=deed.done, fields=deed.said(uids), uid=deed.uid))
        shop.write(drafts, writer="demo", received=demo.received)


class _Then(Importing):
    """The app with its clock at the demo's day."""

    def __init__(self, moment: datetime) -> None:
        self.moment = moment

    def now(self) -> datetime:
        return self.moment


def _first_numbers(shop: Shop) -> dict[str, str]:
    """The uid of each unit of the list by its first number: its id where no other has that, else its serial."""
    states = shop.units()
    ids = [state.id for state in states if state.id]
    found = {}
    for state in states:
        if state.id and ids.count(state.id) == 1:
            found[state.id] = state.uid or ""
        elif state.serial:
            found[state.serial] = state.uid or ""
    return found


def _say_ready(address: str) -> None:
    print(f"Serving at {address} (stop with Ctrl-C)", flush=True)  # noqa: T201 - the address is for the person at the terminal
