"""The post between places: it loses, repeats, reorders, delays, cuts into parts and spoils what it carries."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from pinseal.dates import parse_date
from pinseal.records.record import Record


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """Records under way, or the word that some arrived (`acknowledges`). `day` is when it comes."""

    day: int
    sender: str
    to: str
    text: str = ""
    acknowledges: tuple[str, ...] = ()


def as_text(records: Sequence[Record]) -> str:
    return json.dumps([record.as_json() for record in records], ensure_ascii=False)


def read_text(text: str) -> list[Record]:
    """The records of a message. The time of receipt is the sender's own and is not sent on."""
    sent = json.loads(text)
    return [Record(**{**each, "done": parse_date(each["done"]), "received": None}) for each in sent]


class Post:
    def __init__(self, random: Random, *, faults: float) -> None:
        self.random, self.faults = random, faults
        self.under_way: list[Message] = []

    def send(self, day: int, sender: str, to: str, records: Sequence[Record]) -> None:
        """In parts, in any order, some of them twice, some never."""
        rest = list(records)
        if self._fault():
            self.random.shuffle(rest)
        while rest:
            size = self.random.randint(1, len(rest)) if self._fault() else len(rest)
            part, rest = rest[:size], rest[size:]
            self._post(day, sender, to, text=as_text(part))

    def acknowledge(self, day: int, sender: str, to: str, uids: Sequence[str]) -> None:
        self._post(day, sender, to, acknowledges=tuple(uids))

    def _post(self, day: int, sender: str, to: str, *, text: str = "", acknowledges: tuple[str, ...] = ()) -> None:
        copies = 0 if self._fault() else 2 if self._fault() else 1
        for _ in range(copies):
            late = self.random.randint(1, 60) if self._fault() else 0
            self.under_way.append(Message(day=day + late, sender=sender, to=to, text=text, acknowledges=acknowledges))

    def _fault(self) -> bool:
        return self.random.random() < self.faults

    def delivered(self, day: int) -> Iterator[Message]:
        """What comes on that day, in any order."""
        due = [message for message in self.under_way if message.day <= day]
        self.under_way = [message for message in self.under_way if message.day > day]
        self.random.shuffle(due)
        yield from due

    def spoil(self, text: str) -> str:
        """The same message with one letter changed."""
        at = self.random.randrange(len(text))
        return text[:at] + ("x" if text[at] != "x" else "y") + text[at + 1 :]
