"""What a kind of record is, and the fields that many kinds share."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal import kinds
from pinseal.records.fields import Field

ANY_SUBJECT = "any"
SUBJECTS: dict[str, str] = {
    "unit": "an extinguisher",
    "instrument": "an instrument",
    "person": "a person",
    "bottle": "a supply bottle",
    "batch": "a batch of agent",
    "price-book": "a price book",
    "quote": "a quote",
}

NOTE = Field(name="note", help="anything worth keeping")
SOURCE = Field(name="source", help="where this is known from: a list, a tag, a report")
FILE = Field(name="file", type="file", help="a photo or a paper that the shop keeps")
CLOCK = Field(name="clock", help="by how much the clock of the device was wrong when it handed this in, as the shop found")
COMMON = (NOTE, SOURCE, FILE, CLOCK)
FOUND = Field(name="found", help="what was found wrong")
RESULT = Field(name="result", type="result", help="not said means passed; a failed test restarts no clock")
REASON = Field(name="reason", help="why")
SITE = Field(name="site", help="the site")
PLACE = Field(name="place", help="where on the site it belongs")
ID = Field(name="id", help="the owner's number for it")
SERIAL = Field(name="serial", help="the number on the shell")
TAG = Field(name="tag", help="the number of the tag that hangs on it")
PRESSURE = Field(name="pressure", type="pressure", help="the test pressure")
HELD = Field(name="held", type="duration", help="how long the test pressure was held")
INSTRUMENT = Field(name="instrument", help="the id of the instrument that it was read on")
AT_TEMPERATURE = Field(name="at-temperature", type="temperature", help="the temperature of the unit then")
LOT = Field(name="lot", help="the maker's lot")
CONTAINER = Field(name="container", help="the bottle or drum that it came from or went into")
SHEET = Field(name="sheet", help="the uid of the job sheet that it was written on")
HELPER = Field(name="helper", help="the name of a second person who did it")
STEP = Field(name="step", help="the step of the job sheet")
MINUTES = Field(name="minutes", type="number", help="how long it took")
ON_SHEET = (SHEET, HELPER)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordKind:
    """One kind of record.

    `sets` names the dated facts (keys of `kinds.FACTS`) that the day of the deed becomes, `satisfies` the duty that it
    answers. `one_of` lists fields of which at least one must be given. A kind with `knowledge` says what was already
    true before the day it was written; every other kind is a deed of its day. `work` marks hands-on work on the unit.
    `about` says what its subject is: a key of `SUBJECTS`, or `ANY_SUBJECT`.
    """

    code: str
    label: str
    help: str
    fields: tuple[Field, ...] = ()
    sets: tuple[str, ...] = ()
    satisfies: str | None = None
    one_of: tuple[str, ...] = ()
    knowledge: bool = False
    work: bool = False
    about: str = "unit"

    def field(self, name: str) -> Field | None:
        """The field of that name, or None. A correction has one for each field that can be corrected."""
        return next((each for each in (*self.fields, *COMMON) if each.name == name), None)

    @property
    def all_fields(self) -> tuple[Field, ...]:
        """Its own fields and those that every record may carry."""
        return (*self.fields, *COMMON)


def work_kind(code: str, label: str, duty: str, *more: Field) -> RecordKind:
    """A kind of hands-on work that answers a duty and sets the date of it."""
    said = f"the {kinds.DUTIES[duty]} was done"
    own = (*more, FOUND, *ON_SHEET, MINUTES)
    return RecordKind(code=code, label=label, help=said, fields=own, sets=(duty,), satisfies=duty, work=True)
