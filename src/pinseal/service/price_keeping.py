"""The price book as the shop keeps it: read from TOML or CSV, kept as a file that a record binds, read again for a day."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol

from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.quotes import KeptPrices, in_force
from pinseal.records.record import Draft, Record, canonical
from pinseal.records.record_kinds import check_record
from pinseal.rules.price_book import ENTRY_KEYS, TERM_KEYS, PriceBook, parse_toml, read_book
from pinseal.service.office import Writer

_BYTES_MAX = 4_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PricesHeld:
    """Every book that is kept, and the one in force on the day asked, with what it says in plain values."""

    on: date
    kept: Sequence[KeptPrices]
    holds: KeptPrices | None = None
    book: PriceBook | None = None
    said: Mapping[str, Any] | None = None


class PriceKeeper(Protocol):
    """What the price book needs of a shop's store."""

    def add_file(self, name: str, content: bytes, *, person: str, received: datetime) -> str: ...
    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]: ...


def said_in(name: str, content: bytes, *, terms: Mapping[str, Any] | None, from_day: str | None) -> dict[str, Any]:
    """A book in plain values from a file. A CSV holds the prices alone: `terms` are those of a TOML file or of the book in force.

    `from_day` (ISO) is the first day on which the prices hold, where another one than the file says is meant. Raises `Refusal`.
    """
    text = _text(name, content)
    if not name.lower().endswith(".csv"):
        said = parse_toml(text, name=name)
    elif terms is None:
        raise Refusal(
            what=f"{name}: a CSV holds prices alone",
            rule="a book also says its terms: currency, tax, minimum, what is included in what",
            got="no terms, and no book is in force yet",
            do="say --terms TERMS.toml, or keep a whole book as TOML first",
        )
    else:
        said = {**{key: terms[key] for key in TERM_KEYS if key in terms}, "price": _csv_prices(name, text)}
    return said | ({"from": from_day} if from_day else {})


def _text(name: str, content: bytes) -> str:
    if len(content) > _BYTES_MAX:
        raise Refusal(
            what=f"{name} is too large", rule=f"at most {_BYTES_MAX} bytes", got=str(len(content)), do="leave out what is not used"
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refusal(
            what=f"{name} is no text", rule="a price book is TOML or CSV in UTF-8", got="other bytes", do="save it again as UTF-8"
        ) from None


def _csv_prices(name: str, text: str) -> list[dict[str, str]]:
    """The rows of a CSV as entries; empty cells are left out. Commas or semicolons, by its first line."""
    first = text.partition("\n")[0]
    reader = csv.DictReader(io.StringIO(text), delimiter=";" if first.count(";") > first.count(",") else ",")
    heads = [head.strip() for head in reader.fieldnames or []]
    unknown = [head for head in heads if head not in ENTRY_KEYS]
    if unknown or "price" not in heads:
        raise Refusal(
            what=f"{name}: the heads of the columns are not those of prices",
            rule=f"the columns are {', '.join(ENTRY_KEYS)}; price, id and service must be there",
            got=", ".join(unknown) or ", ".join(heads),
            do="correct the first line",
        )
    reader.fieldnames = heads
    rows = []
    for number, row in enumerate(reader, start=2):
        if row.get(None):
            raise Refusal(
                what=f"{name}, line {number}: more cells than columns",
                rule="each cell stands under a head",
                got=str(row[None]),
                do="correct it",
            )
        cells = {key: value.strip() for key, value in row.items() if value and value.strip()}
        if cells:
            rows.append(cells)
    return rows


def keep_prices(keeper: PriceKeeper, writer: Writer, said: Mapping[str, Any], *, name: str, day: PartialDate) -> tuple[PriceBook, Record]:
    """Check a book and keep it. What was kept before stays, and holds for the days before. Raises `Refusal`."""
    book = read_book(said, name=name)
    content = canonical(dict(said))
    sha256 = keeper.add_file(f"prices-{book.from_day.isoformat()}.json", content, person=writer.person, received=writer.now)
    fields = check_record("prices-kept", {"book": book.title, "from": book.from_day.isoformat(), "currency": book.currency, "file": sha256})
    draft = Draft(kind="prices-kept", unit=writer.new_uid(), person=writer.person, done=day, fields=fields)
    return book, keeper.write([draft], writer=writer.device, received=writer.now)[0]


def load_prices(kept: KeptPrices, content: bytes) -> tuple[PriceBook, dict[str, Any]]:
    """A kept book, and what it says in plain values."""
    said: dict[str, Any] = json.loads(content)
    return read_book(said, name=kept.title), said


def book_on(books: Sequence[KeptPrices], day: Any) -> KeptPrices:
    """The book in force on a day. Raises `Refusal` where there is none."""
    found = in_force(books, day)
    if found is not None:
        return found
    first = f"the first one holds from {books[0].from_day.isoformat()}" if books else "no price book is kept"
    raise Refusal(
        what="there are no prices for this day",
        rule=f"figures rest on the price book that holds on the day; {first}",
        got=day.isoformat(),
        do="keep one: pinseal prices import FILE",
    )
