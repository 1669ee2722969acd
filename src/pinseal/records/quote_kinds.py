"""The kinds of record about prices: a price book is kept, a quote is made, the owner answers it. Their subject is no extinguisher."""

from __future__ import annotations

from dataclasses import replace

from pinseal.records.fields import Field
from pinseal.records.kind import REASON, SITE, RecordKind

_CURRENCY = Field(name="currency", type="currency", required=True, help="the currency of every amount in it")

QUOTE_KINDS: tuple[RecordKind, ...] = (
    RecordKind(
        code="prices-kept",
        label="price book kept",
        help="what the shop asks for its work from a day on; file is the book itself, so that no price can change unseen",
        about="price-book",
        one_of=("file",),
        fields=(
            Field(name="book", required=True, help="the title of the book"),
            Field(name="from", type="day", required=True, help="the first day on which its prices hold"),
            _CURRENCY,
        ),
    ),
    RecordKind(
        code="quote-made",
        label="quote made",
        help="the owner was told what the work at a site comes to; file holds its lines",
        about="quote",
        one_of=("file",),
        fields=(
            replace(SITE, required=True),
            Field(name="number", required=True, help="the number on the paper"),
            _CURRENCY,
            Field(name="total-minor", type="number", required=True, help="the total in the smallest unit of the currency"),
            Field(name="valid-until", type="day", help="the last day on which it holds"),
        ),
    ),
    RecordKind(
        code="quote-lines-answered",
        label="quote of a site answered",
        help="the owner agreed to lines of a quote, or declined them; a later answer takes its place",
        about="quote",
        fields=(
            Field(name="lines", required=True, help="all, or the numbers of the lines: 1,4,7"),
            Field(name="answer", type="answer", required=True, help="what the owner said"),
            Field(name="answered-by", required=True, help="the name of who answered for the owner"),
            Field(name="at", type="moment", required=True, help="the day and the hour of the answer"),
            REASON,
        ),
    ),
)
