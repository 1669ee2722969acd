"""A place that keeps a shop (an office, a device in a van), and a power cut that strikes between two writes."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

import sqlalchemy as sa

from pinseal.records.record import Draft, Record
from pinseal.store import Settings, Shop


class PowerCutError(Exception):
    """The program stopped here. What the disk held at that moment is in `left`."""

    def __init__(self, left: Path) -> None:
        super().__init__("the program was stopped")
        self.left = left


class Fuse:
    """Blows before one of the next statements of a shop, and first takes down what the disk holds at that moment."""

    def __init__(self) -> None:
        self.statements_left: int | None = None
        self.shop: Path | None = None
        self.left: Path | None = None

    def arm(self, shop: Path, left: Path, statements: int) -> None:
        self.shop, self.left, self.statements_left = shop, left, statements

    def disarm(self) -> None:
        self.statements_left = None

    def step(self, *_: object) -> None:
        if self.statements_left is None or self.shop is None or self.left is None:
            return
        if self.statements_left > 0:
            self.statements_left -= 1
            return
        self.disarm()
        copy_disk(self.shop, self.left)
        raise PowerCutError(self.left)


@contextmanager
def fuses() -> Iterator[Fuse]:
    """A fuse that every shop of this process runs through while the block lasts."""
    fuse = Fuse()
    for moment in ("before_cursor_execute", "commit"):
        sa.event.listen(sa.Engine, moment, fuse.step)
    try:
        yield fuse
    finally:
        for moment in ("before_cursor_execute", "commit"):
            sa.event.remove(sa.Engine, moment, fuse.step)


def copy_disk(shop: Path, dest: Path) -> None:
    """What a killed program leaves: the file, its log, its files. Not the shared memory, which dies with it."""
    dest.parent.mkdir(parents=True)
    for name in (shop.name, f"{shop.name}-wal", f"{shop.name}.files"):
        source, target = shop.with_name(name), dest.with_name(dest.name + name.removeprefix(shop.name))
        if source.is_dir():
            shutil.copytree(source, target)
        elif source.exists():
            shutil.copy2(source, target)


@dataclass(slots=True, kw_only=True)
class Place:
    """A writer with a shop of its own. `clock_off` is by how much its clock is wrong; `kept` is what it has acknowledged."""

    name: str
    folder: Path
    random: Random
    fuse: Fuse
    clock_off: timedelta = timedelta()
    kept: dict[str, str] = field(default_factory=dict)
    shop: Shop = field(init=False)
    lives: int = 0
    cuts: int = 0

    def begin(self, settings: Settings, now: datetime) -> None:
        self.folder.mkdir(parents=True)
        self.shop = Shop.create(self.folder / "quay.shop", settings, person="Ida Quill", now=self.clock(now))

    def clock(self, now: datetime) -> datetime:
        return now + self.clock_off

    def write(self, drafts: Sequence[Draft], now: datetime, *, cut_after: int | None) -> list[Record] | None:
        """Record here. None when the power failed before the answer came."""
        return self._through_a_cut(
            lambda: self.shop.write(drafts, writer=self.name, received=self.clock(now), chance=self.random.randbytes), cut_after
        )

    def take(self, records: Sequence[Record], now: datetime, *, cut_after: int | None) -> list[str] | None:
        """Take records in; the uids that are acknowledged. None when the power failed before the answer came."""

        def append() -> list[Record]:
            taken = self.shop.append(records, received=self.clock(now))
            sent = list(dict.fromkeys(record.uid for record in records))
            assert set(taken.known) == {uid for uid in sent if uid in self.kept}, "what was known before is not told rightly"
            assert set(taken.new) == {uid for uid in sent if uid not in self.kept}, "what is new is not told rightly"
            return list(records)

        done = self._through_a_cut(append, cut_after)
        return None if done is None else list(dict.fromkeys(record.uid for record in records))

    def _through_a_cut(self, work: Callable[[], list[Record]], cut_after: int | None) -> list[Record] | None:
        if cut_after is not None:
            self.fuse.arm(self.shop.path, self._next_life(), cut_after)
        try:
            done = work()
        except PowerCutError as cut:
            self.cuts += 1
            self._open_again(cut.left)
            assert self.held() == self.kept, f"{self.name}: a step that was cut off left something, or took something away"
            return None
        finally:
            self.fuse.disarm()
        self.kept |= {record.uid: record.digest for record in done}
        return done

    def restart(self) -> None:
        """Stop between two writes without a word, and open what the disk holds."""
        left = self._next_life()
        copy_disk(self.shop.path, left)
        self._open_again(left)

    def _next_life(self) -> Path:
        return self.folder / f"life-{self.lives + 1}" / "quay.shop"

    def _open_again(self, left: Path) -> None:
        old = self.shop.path
        self.shop.close()
        if self.lives:
            shutil.rmtree(old.parent)
        self.lives += 1
        self.shop = Shop.open(left)

    def held(self) -> dict[str, str]:
        return {record.uid: record.digest for record in self.shop.records()}
