"""The kinds of record that a job sheet writes beside the work itself: readings, findings, parts, agent, marks, leave."""

from __future__ import annotations

from dataclasses import replace

from pinseal.records.fields import Field
from pinseal.records.kind import (
    AT_TEMPERATURE,
    CONTAINER,
    INSTRUMENT,
    LOT,
    MINUTES,
    ON_SHEET,
    PLACE,
    REASON,
    SHEET,
    SITE,
    STEP,
    RecordKind,
)

_FINDING = Field(name="finding", required=True, help="the code of the finding")
_DEFICIENCY = Field(name="deficiency", type="uid", help="the uid of the record found-deficient that it is about")
_AT = Field(name="at", type="moment", required=True, help="the day and the hour")
_IMPAIRMENT = Field(name="impairment", type="uid", required=True, help="the uid of the record impaired that it is about")
_STATE = Field(name="state", help="how it is now: charged, empty and open, leaking")
_BALANCE = Field(name="balance", type="verdict", help="whether the account of the agent closes")
_VERDICT = Field(name="verdict", type="verdict", help="what the reading says against its limit")

JOB_KINDS: tuple[RecordKind, ...] = (
    RecordKind(
        code="measured",
        label="measured",
        help="one reading, on one instrument",
        fields=(
            Field(name="quantity", required=True, help="what was read: gross weight, pressure, wall"),
            Field(name="value", required=True, help="the reading with its unit"),
            INSTRUMENT,
            AT_TEMPERATURE,
            _VERDICT,
            STEP,
            Field(name="because", help="why the verdict is what it is"),
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="found-deficient",
        label="found deficient",
        help="something is wrong with it",
        fields=(
            _FINDING,
            Field(name="words", help="the finding in words"),
            Field(name="action", help="what is to be done about it"),
            Field(name="clause", help="the clause that it stands against"),
            STEP,
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="remedied",
        label="put right",
        help="a finding was put right; with deficiency this one alone, else every open one of its code",
        fields=(_FINDING, Field(name="how", required=True, help="what was done"), _DEFICIENCY, STEP, *ON_SHEET),
    ),
    RecordKind(
        code="deficiency-quoted",
        label="repair quoted",
        help="the owner was told a price for putting a finding right; a later one takes its place",
        fields=(
            replace(_DEFICIENCY, required=True),
            Field(
                name="price-minor",
                type="number",
                required=True,
                help="the price in the smallest unit of its currency: 18450 for 184.50 EUR",
            ),
            Field(name="currency", type="currency", required=True, help="the currency of the price"),
            Field(name="work", help="what the price is for"),
            Field(name="quote", help="the number of the paper on which it stands"),
            Field(name="valid-until", type="day", help="the last day on which the price holds"),
        ),
    ),
    RecordKind(
        code="quote-answered",
        label="quote answered",
        help="the owner agreed to a price for putting a finding right, or declined it; a finding that is declined stays open",
        fields=(
            Field(name="quoted", type="uid", required=True, help="the uid of the record deficiency-quoted that it answers"),
            Field(name="answer", type="answer", required=True, help="what the owner said"),
            Field(name="answered-by", required=True, help="the name of who answered for the owner"),
            REASON,
        ),
    ),
    RecordKind(
        code="part-fitted",
        label="part fitted",
        help="a part was fitted",
        work=True,
        fields=(
            Field(name="part", required=True, help="which part"),
            Field(name="count", type="number", help="how many"),
            Field(name="number", help="its number: of a part the maker's, of a mark or a paper its own"),
            LOT,
            Field(name="removed", help="what came off"),
            REASON,
            STEP,
            *ON_SHEET,
            MINUTES,
        ),
    ),
    RecordKind(
        code="agent-taken-out",
        label="agent taken out",
        help="agent left the unit",
        fields=(
            Field(name="agent", type="agent", help="which agent"),
            Field(name="mass", type="mass", help="how much"),
            LOT,
            Field(name="went-to", type="agent-way", help="where it went"),
            CONTAINER,
            _BALANCE,
            STEP,
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="marked",
        label="marked",
        help="a tag, a label or a collar was fixed to it",
        fields=(
            Field(name="mark", type="mark", required=True, help="which mark"),
            Field(name="number", help="the number on it"),
            Field(name="text", help="what stands on it"),
            STEP,
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="taken-away",
        label="taken away",
        help="it left its place, to come back",
        fields=(
            Field(name="taken-to", type="away-to", help="where it went"),
            Field(name="loaner", help="the uid of the unit that stands in for it, or none"),
            Field(name="back-by", type="day", help="the day by which it must be back"),
            _STATE,
            REASON,
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="brought-back",
        label="brought back",
        help="it is at its place again",
        fields=(SITE, PLACE, Field(name="loaner-to", help="where the unit went that stood in"), *ON_SHEET),
    ),
    RecordKind(
        code="left",
        label="left as it is",
        help="the work was broken off; this is how the unit was left",
        fields=(replace(_STATE, required=True), Field(name="where", help="where it stands now"), REASON, *ON_SHEET),
    ),
    RecordKind(
        code="impaired",
        label="found impaired",
        help="it is unsafe or does not work, and was marked so; the clocks of the notices begin",
        fields=(
            _AT,
            Field(name="impairments", required=True, help="what is impaired, as the notice lists it"),
            Field(name="rules-of", help="the place whose rules say who is told, for example us-tx; none: the practice of any place"),
            Field(name="number", help="the number of the red tag"),
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="notice-given",
        label="notice given",
        help="somebody was told of an impairment",
        fields=(
            _IMPAIRMENT,
            Field(name="party", type="told", required=True, help="who was told"),
            _AT,
            Field(name="name", help="the name of the person who was told"),
            Field(name="how", help="how: by hand, by phone, by mail"),
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="impairment-cleared",
        label="impairment cleared",
        help="what was impaired works again, or another unit hangs there; the red tag is off",
        fields=(_IMPAIRMENT, _AT, Field(name="how", help="how it was cleared"), *ON_SHEET),
    ),
    RecordKind(
        code="worked",
        label="worked on a job sheet",
        help="a job sheet was closed",
        fields=(
            replace(SHEET, required=True),
            Field(name="outcome", required=True, help="how it ended"),
            Field(name="duties", help="the duties that were answered"),
            Field(name="confirmations", help="what was confirmed, by step (JSON)"),
            Field(name="overrides", help="what was done against a rule, with the reason (JSON)"),
            Field(name="seconds", type="number", help="how long the sheet was worked on"),
            Field(name="supervisor", help="who was asked"),
            Field(name="quick", type="yes-no", help="whether the short form was used"),
            ON_SHEET[1],
        ),
    ),
    RecordKind(
        code="sample-checked",
        label="checked as a sample",
        help="a second person looked at one confirmation of a closed job sheet",
        fields=(
            replace(SHEET, required=True),
            Field(name="confirmation", required=True, help="which confirmation"),
            Field(name="agrees", type="yes-no", required=True, help="whether it was found as confirmed"),
        ),
    ),
)
