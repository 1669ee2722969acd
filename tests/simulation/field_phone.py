"""A phone as `web/static/field/send.js` makes it: what waits, what it sends, and what it keeps until the shop said kept or known."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Protocol

from pinseal.records.record import uuid7

AT_ONCE, SHEETS_AT_ONCE = 3, 2  # small, so that a day is many batches
DONE = ("kept", "known")


class Line(Protocol):
    """The way to the shop. None: the phone heard nothing."""

    def post(self, phone: Phone, body: bytes) -> dict[str, Any] | None: ...
    def put(self, phone: Phone, sha256: str, content: bytes) -> dict[str, Any] | None: ...


@dataclass
class Phone:
    """Its person, its clock, and what it holds. `told` is every answer kept or known that reached it, by uid."""

    name: str
    token: str
    person: str
    clock_off: timedelta
    taken: str = ""
    made: int = 0
    drafts: dict[str, dict[str, Any]] = field(default_factory=dict)
    sheets: dict[str, dict[str, Any]] = field(default_factory=dict)
    photos: dict[str, bytes] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)
    told: set[str] = field(default_factory=set)
    made_sheets: dict[str, dict[str, Any]] = field(default_factory=dict)

    def uid(self, now: datetime) -> str:
        self.made += 1
        chance = hashlib.sha256(f"{self.name}/{self.made}".encode()).digest()[:8]
        return uuid7(at=now + self.clock_off, randomness=chance, sequence=self.made % 4096)

    def today(self, now: datetime) -> str:
        return (now + self.clock_off).date().isoformat()

    # What a person does on it

    def say(self, now: datetime, kind: str, unit: str, **fields: str) -> str:
        uid = self.uid(now)
        self.drafts[uid] = {"uid": uid, "kind": kind, "unit": unit, "done": self.today(now), "fields": fields, "person": self.person}
        return uid

    def photograph(self, now: datetime, content: bytes, unit: str, **fields: str) -> None:
        digest = hashlib.sha256(content).hexdigest()
        self.photos[digest] = content
        self.say(now, "noted", unit, file=digest, **fields)

    def begin(self, now: datetime, unit: str, works: list[str]) -> str:
        """The sheet of this work that is under work here, else a new one."""
        for uid, each in self.made_sheets.items():
            if each["unit"] == unit and each["works"] == works and not each["close"] and not each["left"]:
                return uid
        uid = self.uid(now)
        said = {"uid": uid, "unit": unit, "on": self.today(now), "works": works, "entries": [], "person": self.person, "taken": self.taken}
        self.made_sheets[uid] = {**said, "close": False, "left": False}
        return uid

    def enter(self, now: datetime, sheet: str, said: dict[str, Any]) -> None:
        self.made_sheets[sheet]["entries"].append({"uid": self.uid(now), "at": (now + self.clock_off).isoformat(), **said})
        self.sheets[sheet] = self.made_sheets[sheet]

    def finish(self, sheet: str, *, left: bool) -> None:
        self.made_sheets[sheet]["left" if left else "close"] = True
        self.sheets[sheet] = self.made_sheets[sheet]

    # Sending

    def waits(self) -> bool:
        return bool(self._photos() or self._drafts() or self._sheets())

    def _photos(self) -> list[str]:
        return [each for each in self.photos if each not in self.refused]

    def _drafts(self) -> list[str]:
        return [each for each in sorted(self.drafts) if each not in self.refused]

    def _sheets(self) -> list[str]:
        ready = (uid for uid, each in sorted(self.sheets.items()) if each["entries"] and (each["close"] or each["left"]))
        return [uid for uid in ready if uid not in self.refused]

    def send(self, line: Line, now: datetime) -> bool:
        """Everything that waits, as `sendAll` does. False where an answer did not come: the phone tries again later."""
        for digest in self._photos():
            said = line.put(self, digest, self.photos[digest])
            if said is None:
                return False
            assert said["word"] in DONE, said
            self.told.add(digest)
            self.photos.pop(digest, None)
        while drafts := self._drafts()[:AT_ONCE] or self._sheets()[:SHEETS_AT_ONCE]:
            drafts, sheets = self._drafts()[:AT_ONCE], self._sheets()[:SHEETS_AT_ONCE]
            said = line.post(self, self.body(now, drafts, sheets))
            if said is None:
                return False
            self._told(said)
        return True

    def body(self, now: datetime, drafts: list[str], sheets: list[str]) -> bytes:
        batch = {
            "device": self.name,
            "at": (now + self.clock_off).isoformat(),
            "drafts": [self.drafts[uid] for uid in drafts],
            "sheets": [{name: value for name, value in self.made_sheets[uid].items() if name != "left"} for uid in sheets],
        }
        return json.dumps(batch).encode()

    def _told(self, said: dict[str, Any]) -> None:
        for each in said["drafts"]:
            if each["word"] in DONE:
                self.told.add(each["uid"])
                self.drafts.pop(each["uid"], None)
            else:
                self.refused[each["uid"]] = each["refusal"]["what"]
        for each in said["sheets"]:
            self._told_of_sheet(each)

    def _told_of_sheet(self, said: dict[str, Any]) -> None:
        parts = [said, *said["entries"], *([said["close"]] if said["close"] else [])]
        self.told |= {each["uid"] for each in said["entries"] if each["word"] in DONE}
        if wrong := next((each for each in parts if each["word"] == "refused"), None):
            self.refused[said["uid"]] = wrong["refusal"]["what"]
            return
        if said["close"]:
            self.told.add(f"closed {said['uid']}")
        self.sheets.pop(said["uid"], None)

    def retry(self) -> None:
        """The person presses: try again what was refused."""
        self.refused.clear()
