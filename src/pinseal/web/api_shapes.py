"""The shapes of what the API takes and answers, for its description (OpenAPI) and for checking what comes in.

A shape names what is always there; an answer may hold more. What a fact, an entry or a sheet holds is told in docs/api.md.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

UID_PATTERN = r"^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"
DAY_PATTERN = r"^(19[5-9][0-9]|20[0-9]{2})-(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-9]|3[01])$"
SHA256_PATTERN = r"^[0-9a-f]{64}$"
Uid = Annotated[str, Field(pattern=UID_PATTERN)]
Day = Annotated[str, Field(pattern=DAY_PATTERN)]
Plain = dict[str, Any]


class Refused(BaseModel):
    """A refusal: what is wrong, which rule, what came, what to do."""

    what: str
    rule: str
    got: str
    do: str


class Problem(BaseModel):
    """Every answer that is not 2xx."""

    error: Refused


class Strict(BaseModel):
    """What comes in holds the named keys and no others."""

    model_config = ConfigDict(extra="forbid", strict=True)


class SheetBody(Strict):
    """A job sheet that is asked for. Without `works`: what is due. Without `on`: today."""

    unit: Uid
    works: Annotated[list[str], Field(min_length=1, max_length=20)] | None = None
    on: Day | None = None


class EntryBody(Strict):
    """One entry for a sheet, in the shape of docs/sheets.md. With a `uid` in it, sending it again changes nothing."""

    entry: Plain


class DecideBody(SheetBody):
    """A few facts of a unit, to hear what they lead to."""

    entries: Annotated[list[Plain], Field(max_length=500)]


class UnitLine(BaseModel):
    uid: str
    id: str | None
    serial: str | None
    site: str | None
    place: str | None
    words: str
    removed: str | None
    placeholder: bool


class UnitsAnswer(BaseModel):
    units: list[UnitLine]
    count: int
    next: int | None


class UnitAnswer(BaseModel):
    uid: str
    words: str
    said: Plain
    tag: str | None
    condemned: str | None
    away: Plain | None
    dues: list[Plain]
    readings: list[Plain]
    deficiencies: list[Plain]
    records: list[Plain]
    marks: list[Plain]


class DuesAnswer(BaseModel):
    on: str
    packs: list[Plain]
    rows: list[Plain]
    count: int
    next: int | None


class DeficienciesAnswer(BaseModel):
    deficiencies: list[Plain]
    count: int
    next: int | None


class SheetsAnswer(BaseModel):
    sheets: list[Plain]
    count: int
    next: int | None


class SheetAnswer(BaseModel):
    uid: str
    unit: str
    on: str
    works: list[str]
    person: str
    open: bool
    sheet: Plain
    entries: list[Plain]
    set_aside: list[str]
    verdicts: list[Plain]
    progress: Plain
    others_open: list[str]


class EnteredAnswer(BaseModel):
    uid: str
    known: bool
    verdict: Plain | None
    progress: Plain


class FinishedAnswer(BaseModel):
    sheet: str
    outcome: Plain
    state: str
    records: list[Plain]
    moved: list[Plain]


class DecideAnswer(BaseModel):
    unit: Plain
    works: list[str]
    verdicts: list[Plain]
    progress: Plain


class InstrumentsAnswer(BaseModel):
    on: str
    instruments: list[Plain]


class PeopleAnswer(BaseModel):
    on: str
    people: list[Plain]


class ItemSaid(BaseModel):
    """What became of one item."""

    uid: str | None
    word: Literal["kept", "known", "refused"]
    said: list[str]
    refusal: Refused | None = None


class EndedSaid(BaseModel):
    """What became of the closing of a sheet."""

    word: Literal["kept", "known", "refused"]
    outcome: str | None = None
    state: str | None = None
    records: int | None = None
    moved: list[Plain] | None = None
    refusal: Refused | None = None


class SheetSaid(ItemSaid):
    """What became of a sheet, its entries and its closing."""

    entries: list[ItemSaid]
    close: EndedSaid | None
    verdicts: list[Plain]
    decision: Plain | None


class DoorAnswer(BaseModel):
    device: str
    received: str
    said: list[str]
    drafts: list[ItemSaid]
    sheets: list[SheetSaid]


class PhotoAnswer(BaseModel):
    sha256: str
    word: Literal["kept", "known"]
    kind: str
    width: int
    height: int


class DayAnswer(BaseModel):
    version: str
    at: str
    on: str
    sites: list[str]
    agents: list[list[str]]
    packs: list[str]
    system: str
    units: list[Plain]
    steps: list[Plain]
    shapes: list[Plain]
    limits: list[Plain]
    compares: list[Plain]
    gates: list[Plain]
    rules: list[Plain]
    scales: Plain
    instruments: list[Plain]
    people: list[Plain]
    you: Plain


# The batch of the door is read by hand, so that one item that is wrong stops no other; here it is only described.
_ITEM_UID = {"type": "string", "pattern": UID_PATTERN, "description": "made on the device: a UUID of version 7"}
_PERSON = {"type": "string", "description": "left out: who is signed in; another's name only from a supervisor"}
BATCH_SCHEMA: dict[str, Any] = {
    "type": "object",
    "required": ["device"],
    "additionalProperties": False,
    "properties": {
        "device": {"type": "string", "pattern": "^[a-z0-9][a-z0-9-]{7,63}$"},
        "at": {"type": "string", "pattern": r"^20[0-9]{2}-0[1-9]-0[1-9]T[01][0-9]:[0-5][0-9]:[0-5][0-9]Z$"},
        "drafts": {
            "type": "array",
            "maxItems": 1000,
            "items": {
                "type": "object",
                "required": ["uid", "kind", "unit", "done"],
                "properties": {
                    "uid": _ITEM_UID,
                    "kind": {"type": "string"},
                    "unit": {"type": "string", "pattern": UID_PATTERN},
                    "done": {"type": "string", "description": "YYYY, YYYY-MM or YYYY-MM-DD"},
                    "fields": {"type": "object", "additionalProperties": {"type": "string"}},
                    "person": _PERSON,
                },
            },
        },
        "sheets": {
            "type": "array",
            "maxItems": 200,
            "items": {
                "type": "object",
                "required": ["uid", "unit", "on", "works", "entries"],
                "properties": {
                    "uid": _ITEM_UID,
                    "unit": {"type": "string", "pattern": UID_PATTERN},
                    "on": {"type": "string", "pattern": DAY_PATTERN},
                    "works": {"type": "array", "minItems": 1, "items": {"type": "string"}},
                    "entries": {"type": "array", "maxItems": 500, "items": {"type": "object", "properties": {"uid": _ITEM_UID}}},
                    "close": {"type": "boolean"},
                    "person": _PERSON,
                    "taken": {
                        "type": "string",
                        "description": "`at` of the day that it was worked by: it is judged by that",
                    },
                },
            },
        },
    },
}
