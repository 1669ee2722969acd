"""What the pages remember of one shop's file: the due lists, the books, the search. After a write only what it touched is made anew.

Each answer is kept with the mark up to which it was read. Any process may write: a changed file is seen by its time and size,
the mark in it then says what was added, and what was added is read and laid over the answer. Where something else than
records and job sheets was added (settings, packs, withdrawal lists, veils), the answer is made from nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, Generic, TypeVar

if TYPE_CHECKING:
    from pinseal.app.ground import Ground
    from pinseal.store import Shop
    from pinseal.store.changes import Mark

Answer = TypeVar("Answer")
_SETTLED_S = 0.1  # a file's time is no finer than some milliseconds: one written within it may have been written twice
_DAYS_MAX = 4  # due lists of this many days are held; one is some 50 MB for 20,000 units


@dataclass(frozen=True, slots=True)
class Version:
    """How the shop's file looked at a moment. Two that are equal and `settled` are of the same content."""

    looks: object
    settled: bool


def version_of(path: Path) -> Version:
    """How the file and its write-ahead log look now. An empty log says nothing: a reader begins one and takes it away."""
    looks: list[tuple[int, int, int]] = []
    newest = 0.0
    for file in (path, path.with_name(f"{path.name}-wal")):
        try:
            found = file.stat()
        except FileNotFoundError:
            continue
        if found.st_size:
            looks.append((found.st_ino, found.st_mtime_ns, found.st_size))
            newest = max(newest, found.st_mtime)
    return Version(tuple(looks), abs(time.time() - newest) > _SETTLED_S)


@dataclass(slots=True)
class _Held(Generic[Answer]):
    version: Version
    mark: Mark
    answer: Answer


class Followed(Generic[Answer]):
    """One answer about a shop, kept up with it. `make` makes it from nothing, `keep_up` from what it was and the mark it had.

    `keep_up` gives None where it must be made from nothing after all. One thread at a time works; the others wait for it.
    """

    def __init__(
        self,
        app: Ground,
        path: Path,
        make: Callable[[Shop], Answer],
        keep_up: Callable[[Shop, Answer, Mark], Answer | None] | None = None,
    ) -> None:
        self.app, self.path, self.make, self.keep_up = app, path, make, keep_up
        self._lock = Lock()
        self._held: _Held[Answer] | None = None

    def get(self) -> Answer:
        """The answer as of now, or of a moment since it was asked for."""
        held = self._current(version_of(self.path))
        if held is not None:
            return held.answer
        with self._lock:
            return self._worked()

    def mark(self) -> Mark:
        """How far the shop has come, as of now."""
        self.get()
        assert self._held is not None, "what was answered is held"
        return self._held.mark

    def _current(self, version: Version) -> _Held[Answer] | None:
        held = self._held
        return held if held is not None and held.version.settled and held.version.looks == version.looks else None

    def _worked(self) -> Answer:
        from pinseal.store.changes import read_mark

        version = version_of(self.path)
        held = self._current(version)
        if held is not None:
            return held.answer
        with self.app._open(self.path, readonly=True) as shop:
            mark = read_mark(shop)  # before anything else is read: the answer may be newer than its mark, and never older
            answer = self._kept_up(shop, mark) if self._held is not None else None
            if answer is None:
                answer = self.make(shop)
        self._held = _Held(version, mark, answer)
        return answer

    def _kept_up(self, shop: Shop, mark: Mark) -> Answer | None:
        from pinseal.store.changes import still_there

        held = self._held
        assert held is not None, "there is an answer to keep up"
        if mark == held.mark:
            return held.answer
        if self.keep_up is None or not mark.follows(held.mark) or not still_there(shop, held.mark):
            return None
        return self.keep_up(shop, held.answer, held.mark)


class Memory:
    """Every answer that the pages of one shop's file share, by its name."""

    def __init__(self, app: Ground, path: Path) -> None:
        self.app, self.path = app, path
        self._lock = Lock()
        self._followed: dict[object, Followed[Any]] = {}
        self._mark: Followed[None] = Followed(app, path, lambda _: None)

    def get(
        self,
        name: object,
        make: Callable[[Shop], Answer],
        keep_up: Callable[[Shop, Answer, Mark], Answer | None] | None = None,
    ) -> Answer:
        """The answer of this name. `make` and `keep_up` count the first time that it is asked for."""
        with self._lock:
            found = self._followed.pop(name, None) or Followed(self.app, self.path, make, keep_up)
            self._followed[name] = found  # last used, last in the table
            self._forget_days()
        answer: Answer = found.get()
        return answer

    def mark(self) -> Mark:
        """How far the shop has come; it costs no question as long as nothing was written."""
        return self._mark.mark()

    def _forget_days(self) -> None:
        """Due lists are large: those of the days that were not asked for lately are let go."""
        days = [name for name in self._followed if isinstance(name, date)]
        for name in days[:-_DAYS_MAX]:
            del self._followed[name]
