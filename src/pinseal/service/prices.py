"""What the owner of a unit was quoted is between the owner and the shop: which records tell of it, and a life without them."""

from __future__ import annotations

from collections.abc import Sequence

from pinseal.records.record import Record

PRICE_KINDS = frozenset({"deficiency-quoted", "quote-answered"})


def without_prices(records: Sequence[Record]) -> list[Record]:
    """The records that tell of no price. One is left out whole: its digest stands for its text, and a price is soon guessed from it.

    A correction of a record that is left out is left out too.
    """
    hidden = {record.uid for record in records if record.kind in PRICE_KINDS}
    return [record for record in records if record.uid not in hidden and record.fields.get("corrects") not in hidden]
