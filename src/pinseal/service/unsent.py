"""What a phone saved to a file because it could not send it: read, and handed to the sync door item by item.

The file holds what the door takes (facts and job sheets in one object, with the device that made them) and the photos as
text. It goes through the same door with the same checks as if the phone had sent it. Taking the same file in again changes
nothing, and neither does the phone when it sends after all: every item has its uid from the device.
"""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pinseal.reasons import Refusal
from pinseal.service.door import KEPT, KNOWN, REFUSED
from pinseal.service.sent import DRAFTS_MAX, SHEETS_MAX

BYTES_MAX = 512_000_000
_KEYS = frozenset(("device", "at", "drafts", "sheets", "photos"))
_KINDS = ("fact", "job sheet", "photo")


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsent:
    """A file of a phone. Items are as they stand there; the door checks each."""

    device: object
    drafts: Sequence[Any]
    sheets: Sequence[Any]
    photos: Sequence[Any]

    def batches(self) -> Iterator[dict[str, Any]]:
        """Facts and sheets in messages that the door takes, facts first: one may register the unit of a sheet."""
        for at in range(0, len(self.drafts), DRAFTS_MAX):
            yield {"device": self.device, "drafts": self.drafts[at : at + DRAFTS_MAX], "sheets": []}
        for at in range(0, len(self.sheets), SHEETS_MAX):
            yield {"device": self.device, "drafts": [], "sheets": self.sheets[at : at + SHEETS_MAX]}


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemSaid:
    """What became of one item: `what` is a fact, a job sheet or a photo; `subject` its kind or unit, as far as it can be read."""

    what: str
    uid: str
    subject: str
    word: str
    refusal: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What became of a whole file."""

    items: tuple[ItemSaid, ...]

    @property
    def refused(self) -> tuple[ItemSaid, ...]:
        return tuple(each for each in self.items if each.word == REFUSED)

    def counts(self) -> dict[str, dict[str, int]]:
        """How many of each kind were kept, known already, and refused."""
        words = (KEPT, KNOWN, REFUSED)
        return {what: {word: sum(each.what == what and each.word == word for each in self.items) for word in words} for what in _KINDS}

    def as_json(self) -> dict[str, Any]:
        refused = [
            {"what": each.what, "uid": each.uid, "subject": each.subject, "refusal": dict(each.refusal or {})} for each in self.refused
        ]
        return {"counts": self.counts(), "refused": refused}


def read_unsent(content: bytes) -> Unsent:
    """The file of a phone. Raises `Refusal` where it is no such file; a single item that is wrong is left to the door."""
    if len(content) > BYTES_MAX:
        raise _refused("the file is too large", f"{len(content):,} bytes", f"such a file has at most {BYTES_MAX:,} bytes")
    try:
        said = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError) as wrong:
        raise _refused("the file cannot be read", "no JSON" if content else "an empty file") from wrong
    if not isinstance(said, dict) or "device" not in said:
        raise _refused("the file is not of a phone", type(said).__name__ if not isinstance(said, dict) else ", ".join(map(str, said))[:80])
    if odd := sorted(set(said) - _KEYS):
        raise _refused("the file holds what is not known here", ", ".join(odd)[:80])
    lists = {name: said.get(name, []) for name in ("drafts", "sheets", "photos")}
    if wrong_lists := [name for name, value in lists.items() if not isinstance(value, list)]:
        raise _refused("the file cannot be read", f"{', '.join(wrong_lists)} is no list")
    return Unsent(device=said["device"], **lists)


def hand_in(unsent: Unsent, *, take: Callable[[object], Mapping[str, Any]], keep: Callable[[str, bytes], Mapping[str, Any]]) -> TakenIn:
    """Hand a file to the door: `take` takes a message, `keep` a photo under its sum. Raises `Refusal` for the device alone."""
    found = [_photo(each, keep) for each in unsent.photos]
    for batch in unsent.batches():
        said = take(batch)
        found += [_fact(sent, each) for sent, each in zip(batch["drafts"], said["drafts"], strict=True)]
        found += [_sheet(sent, each) for sent, each in zip(batch["sheets"], said["sheets"], strict=True)]
    return TakenIn(items=tuple(found))


def _photo(said: Any, keep: Callable[[str, bytes], Mapping[str, Any]]) -> ItemSaid:
    table = said if isinstance(said, Mapping) else {}
    digest, text = table.get("sha256"), table.get("base64")
    uid = digest if isinstance(digest, str) else ""
    try:
        if not isinstance(digest, str) or not isinstance(text, str):
            raise _refused("a photo cannot be read", "no sum or no content", "a photo has sha256 and base64")
        word = str(keep(digest, _decoded(text))["word"])
    except Refusal as refused:
        if refused.exit_code != 2:
            raise
        return ItemSaid(what="photo", uid=uid, subject="", word=REFUSED, refusal=_plain(refused))
    return ItemSaid(what="photo", uid=uid, subject="", word=word)


def _decoded(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError) as wrong:
        raise _refused("a photo cannot be read", "no base64", "its content is written as base64 (RFC 4648)") from wrong


def _fact(sent: Any, said: Mapping[str, Any]) -> ItemSaid:
    subject = str(sent.get("kind", "")) if isinstance(sent, Mapping) else ""
    return ItemSaid(what="fact", uid=said["uid"] or "", subject=subject, word=said["word"], refusal=said.get("refusal"))


def _sheet(sent: Any, said: Mapping[str, Any]) -> ItemSaid:
    """A sheet is refused where it, one of its entries, or its closing is."""
    parts = [said, *said["entries"], *([said["close"]] if said["close"] else [])]
    wrong = next((each for each in parts if each["word"] == REFUSED), None)
    unit = str(sent.get("unit", "")) if isinstance(sent, Mapping) else ""
    fresh = any(each["word"] == KEPT for each in parts)
    word = REFUSED if wrong else KEPT if fresh else KNOWN
    return ItemSaid(what="job sheet", uid=said["uid"] or "", subject=unit, word=word, refusal=wrong.get("refusal") if wrong else None)


def _plain(refused: Refusal) -> dict[str, str]:
    return {name: str(value) for name, value in refused.as_json().items()}


_SHAPE = "a phone saves its unsent work as one JSON object: device, drafts, sheets, photos"


def _refused(what: str, got: str, rule: str = _SHAPE) -> Refusal:
    return Refusal(what=what, rule=rule, got=got, do="save the file on the phone again: Send, then Save the unsent to a file")
