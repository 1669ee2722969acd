"""The kinds of record about instruments and about people. Their subject has a uid of its own and is never an extinguisher."""

from __future__ import annotations

from dataclasses import replace

from pinseal.records.fields import Field
from pinseal.records.kind import REASON, SERIAL, RecordKind

_ID = Field(name="id", help="what it is called in the shop")
_NUMBER = Field(name="number", help="the number of the paper")
_PAPER = Field(name="paper", help="which paper: licence, certificate of fitness, training")
_SERIAL = replace(SERIAL, help="the maker's number on it")

REGISTER_KINDS: tuple[RecordKind, ...] = (
    RecordKind(
        code="instrument-registered",
        label="instrument registered",
        help="an instrument that the shop reads on; said again, it is back in use or better known",
        about="instrument",
        fields=(
            replace(_ID, required=True),
            Field(name="what", type="instrument-kind", required=True, help="what it is"),
            _SERIAL,
            Field(name="range", help="from where to where it reads"),
            Field(name="resolution", help="its smallest step, with the unit"),
            Field(name="uncertainty", help="the standard uncertainty of its calibration, with the unit"),
            Field(name="accuracy-percent", type="percent", help="how far it may err, percent of its range"),
        ),
    ),
    RecordKind(
        code="instrument-checked",
        label="instrument checked",
        help="it was compared with a better one",
        about="instrument",
        fields=(
            Field(name="check", type="good-bad", required=True, help="how it was found"),
            Field(name="against", help="what it was compared with"),
            Field(name="certificate", help="the number of the paper"),
            Field(name="until", type="day", help="the last day that the paper vouches for, only if the paper says one"),
            Field(name="value", help="what was read"),
            Field(name="check-pressure", type="pressure-level", help="of a water jacket or a test gauge: the pressure of the check"),
            Field(
                name="certified-expansion",
                type="volume",
                help="of a water jacket: the expansion on the certificate of the calibrated cylinder",
            ),
            Field(name="total-expansion", type="volume", help="of a water jacket: the total expansion that was read"),
            Field(name="permanent-expansion", type="volume", help="of a water jacket: what stayed of it; a calibrated cylinder shows none"),
        ),
    ),
    RecordKind(
        code="instrument-withdrawn",
        label="instrument withdrawn",
        help="it is not used any more",
        about="instrument",
        fields=(REASON,),
    ),
    RecordKind(
        code="person-registered",
        label="person registered",
        help="somebody who works in the shop",
        about="person",
        fields=(
            Field(name="name", required=True, help="the name as it stands on records"),
            Field(name="role", type="role", help="what this person does"),
            _ID,
        ),
    ),
    RecordKind(
        code="paper-held",
        label="paper held",
        help="a licence or another paper that this person has",
        about="person",
        fields=(
            replace(_PAPER, required=True),
            Field(name="class", help="its class"),
            _NUMBER,
            Field(name="issued-by", help="who gave it out"),
            Field(name="jurisdiction", help="where it counts"),
            Field(name="from", type="day", help="the first day on which it counts"),
            Field(name="until", type="day", help="the last day on which it counts"),
        ),
    ),
    RecordKind(
        code="paper-ended",
        label="paper ended",
        help="a paper does not count any more, before its last day",
        about="person",
        fields=(replace(_NUMBER, required=True), _PAPER, REASON),
    ),
)
