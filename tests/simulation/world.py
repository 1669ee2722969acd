"""A simulated trade: an office and several devices record one fleet over years, and the post between them is bad."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from itertools import permutations
from pathlib import Path
from random import Random

import deeds
from places import Fuse, Place
from post import Post, read_text

from pinseal.reasons import Refusal
from pinseal.records.record import Draft, Record
from pinseal.store import Settings

START = datetime(2019, 1, 7, 8, 0, tzinfo=UTC)
PACKS = ("us-osha", "us-nfpa10")
DEVICES = ("van-1", "van-2", "bench")  # the clock of the bench is wrong


class World:
    """All places, the post, and what is true of them: every record that any place has acknowledged.

    Everything comes from `seed`. `steps` keeps the last things that happened, for the message of a failure.
    """

    def __init__(self, seed: int, folder: Path, fuse: Fuse, *, faults: float, units: int) -> None:
        self.seed, self.folder, self.random, self.day = seed, folder, Random(seed), 0
        self.steps: deque[str] = deque(maxlen=30)
        self.post = Post(self.random, faults=faults)
        self.true: dict[str, Record] = {}
        self.chains: dict[str, list[Record]] = {}
        self.known_to_have: dict[tuple[str, str], set[str]] = {}
        self.numbers = 0
        self.counts: dict[str, int] = {}
        self.places = {name: Place(name=name, folder=folder / name, random=self.random, fuse=fuse) for name in ("office", *DEVICES)}
        self.places["bench"].clock_off = timedelta(days=self.random.choice((-900, -40, 35, 800)))
        for place in self.places.values():
            place.begin(Settings(packs=PACKS), START)
        for _ in range(units):
            self.register(self.places["office"])

    # Time

    @property
    def now(self) -> datetime:
        return START + timedelta(days=self.day, minutes=self.random.randrange(600))

    @property
    def today(self) -> date:
        return (START + timedelta(days=self.day)).date()

    def say(self, what: str) -> None:
        self.steps.append(f"day {self.day}: {what}")
        kind = what.split(":")[0]
        self.counts[kind] = self.counts.get(kind, 0) + 1

    @contextmanager
    def told(self) -> Iterator[None]:
        """A failure says the seed and the last steps."""
        try:
            yield
        except Exception as error:
            steps = "\n  ".join(self.steps)
            raise AssertionError(f"seed {self.seed}, {type(error).__name__}: {error}\nthe last steps:\n  {steps}") from error

    # What people do

    def write(self, place: Place, drafts: list[Draft]) -> None:
        """Record here; after a power cut the same drafts are given again."""
        said = ", ".join(f"{d.kind} {d.unit[-4:]} done {d.done}" for d in drafts)
        while True:
            made = place.write(drafts, self.now, cut_after=self._cut())
            if made is not None:
                break
            self.say(f"power cut: {place.name} in the middle of writing {said}")
        self.say(f"write: {place.name} {said}")
        for record in made:
            if record.uid not in self.true:
                self.true[record.uid] = record
                self.chains.setdefault(place.name, []).append(record)
        if self._chance(0.2):
            self.say(f"restart: {place.name}, its last answer lost, and the same given again")
            place.restart()
            again = place.write(drafts, self.now, cut_after=None)
            assert again is not None
            assert [r.digest for r in again] == [r.digest for r in made], "the same drafts given again made other records"

    def register(self, place: Place) -> None:
        self.numbers += 1
        at = place.clock(self.now)
        self.write(place, [deeds.registering(self.random, deeds.new_uid(self.random, at), self.numbers, self.today, at)])

    def units_of(self, place: Place) -> list[str]:
        return sorted({self.true[uid].unit for uid in place.kept})

    def work(self, place: Place) -> None:
        units = self.units_of(place)
        if not units:
            return
        at, drafts = place.clock(self.now), []
        for _ in range(self.random.randint(1, 4)):
            unit = self.random.choice(units)
            if self._chance(0.15):
                drafts.append(self._correction(place, unit))
            elif self._chance(0.05):
                drafts.append(deeds.registering(self.random, unit, self.random.randint(1, self.numbers), self.today, at))
            else:
                drafts.append(deeds.deed(self.random, unit, at.date(), at))
        self.write(place, drafts)

    def _correction(self, place: Place, unit: str) -> Draft:
        targets = sorted(uid for uid in place.kept if self.true[uid].unit == unit)
        at = place.clock(self.now)
        return deeds.correction(self.random, self.true[self.random.choice(targets)], at.date(), at)

    def cross(self) -> None:
        """Two places that do not know of each other: the same work on one unit, or two corrections of one record."""
        one, other = self.random.sample(sorted(self.places), 2)
        here, there = self.places[one], self.places[other]
        common = sorted(here.kept.keys() & there.kept.keys())
        if not common:
            return
        target, at = self.true[self.random.choice(common)], self.now
        if self._chance(0.5):
            first, second = deeds.same_deed_twice(self.random, target.unit, self.today, at)
        else:
            first, second = (deeds.correction(self.random, target, self.today, at) for _ in range(2))
        self.say(f"cross: {one} and {other} on unit {target.unit[-4:]}")
        self.write(here, [first])
        self.write(there, [second])

    # What the post does

    def send(self, place: Place, to: str) -> None:
        """Everything that the other has not acknowledged, as this place reads it from its disk."""
        known = self.known_to_have.setdefault((place.name, to), set())
        waiting = [record for record in place.shop.records() if record.uid not in known]
        if waiting:
            self.say(f"send: {place.name} to {to}, {len(waiting)} records")
            self.post.send(self.day, place.name, to, waiting)

    def deliver(self) -> None:
        for message in self.post.delivered(self.day):
            place = self.places[message.to]
            if message.acknowledges:
                assert all(uid in self.places[message.sender].kept for uid in message.acknowledges)
                self.known_to_have.setdefault((place.name, message.sender), set()).update(message.acknowledges)
                continue
            if self._chance(0.05):
                self._deliver_spoilt(place, message.text)
            self._take(place, message.sender, read_text(message.text))

    def _take(self, place: Place, sender: str, records: list[Record]) -> None:
        taken = place.take(records, self.now, cut_after=self._cut())
        if taken is None:
            self.say(f"power cut: {place.name} in the middle of taking {len(records)} records of {sender}")
            return
        self.say(f"take: {place.name}, {len(records)} records of {sender}")
        self.post.acknowledge(self.day, place.name, sender, taken)

    def _deliver_spoilt(self, place: Place, text: str) -> None:
        """One letter is wrong: the whole message is refused and changes nothing, unless it is no message at all."""
        try:
            records = read_text(self.post.spoil(text))
        except (ValueError, TypeError, KeyError, AttributeError, Refusal):
            return  # no longer readable as records: the post itself would have noticed
        if records == read_text(text):
            return  # only the sender's own time of receipt was hit, which is not part of the record
        try:
            place.shop.append(records, received=place.clock(self.now))
        except Refusal:
            self.say(f"spoilt message refused: {place.name}")
            assert place.held() == place.kept, "a refused message left something behind"
            return
        raise AssertionError(f"{place.name} took a record with a letter changed")

    # Days

    def a_day(self) -> None:
        """Some days pass, and one with work comes."""
        self.day += self.random.choice((1, 1, 2, 8, 40))
        self.deliver()
        for place in self.places.values():
            if self._chance(0.5):
                self.work(place)
            if self._chance(0.1):
                self.say(f"restart: {place.name}")
                place.restart()
        if self._chance(0.3):
            self.cross()
        if self._chance(0.1):
            self.register(self.random.choice(list(self.places.values())))
        if self._chance(0.05):
            self.places["bench"].clock_off = timedelta(days=self.random.choice((-900, -40, 0, 35, 800)))
            self.say(f"clock: the bench is {self.places['bench'].clock_off.days} days off")
        for one, other in permutations(self.places, 2):
            if self._chance(0.5 if "office" in (one, other) else 0.05):
                self.send(self.places[one], other)

    def bring_together(self) -> None:
        """The post works for once: everything reaches everybody."""
        self.post.faults = 0.0
        while True:
            for one, other in permutations(self.places, 2):
                if self.places[one].kept.keys() - self.places[other].kept.keys():
                    self.send(self.places[one], other)
            if not self.post.under_way:
                return
            self.day = max(self.day + 1, min(message.day for message in self.post.under_way))
            self.deliver()

    def _cut(self) -> int | None:
        """After how many statements the power fails, if it does."""
        return self.random.randrange(30) if self._chance(0.1) else None

    def _chance(self, share: float) -> bool:
        return self.random.random() < share
