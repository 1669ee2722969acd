"""What a quote and the figures of an invoice say, as plain values for the typesetter and for a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Any

from pinseal.dates import PartialDate
from pinseal.money import Money, total
from pinseal.records.quotes import LinesAnswer
from pinseal.rules.price_book import percent_words
from pinseal.rules.quoting import Figures, Line, Unpriced
from pinseal.service.quotes import QuoteOfSite, line_words

ACCOUNT_HEADS = (
    "line", "site", "day", "unit", "place", "work", "quantity", "price", "per", "amount", "currency", "included in", "why", "source",
    "record", "unit uid", "paper",
)  # fmt: skip
_SHAPES = {"agreed": "ring", "declined": "broken", "": "diamond"}


def plain_amount(amount: Money) -> str:
    """`1,184.50`: the currency is said once, at the head of the table."""
    return str(amount).rpartition(" ")[0]


def quote_data(quote: QuoteOfSite) -> dict[str, Any]:
    """The data of `quote.typ` for a quote, with `title` and `right` for the head of the paper."""
    kept, found = quote.kept, quote.figures
    right = [PartialDate.of(quote.on).for_people()]
    right += [f"quote {kept.number}"] if kept else ["a draft: not kept, not told to the owner"]
    right += [f"holds until {PartialDate.of(kept.valid_until).for_people()}"] if kept and kept.valid_until else []
    until = f" and up to {PartialDate.of(quote.until).for_people()}" if quote.until else ""
    return {
        "title": f"Quote for {quote.site}",
        "right": right,
        "lead": f"Work that is due on {PartialDate.of(quote.on).for_people()}{until}, and deficiencies that stand open.",
        **_figures_data(found, [quote.answer_of(line) for line in found.lines] if kept and kept.answers else None),
        "answers": [*(_answer_words(each) for each in kept.answers), _agreed_words(quote)] if kept and kept.answers else [],
        "signatures": [] if kept and kept.answers else ["Agreed for the owner: name, date, signature", "For the shop: name, date"],
    }


def invoice_data(found: Figures, *, site: str, days: str) -> dict[str, Any]:
    """The data of `quote.typ` for the figures of an invoice: work on record, and nothing else."""
    return {
        "title": f"Figures for an invoice: {site}",
        "right": [days],
        "lead": f"Work on record, done {days}. These are figures for the shop's accounts and no invoice; "
        "each line names its record, so that nothing is billed twice.",
        **_figures_data(found, None),
        "answers": [],
        "signatures": [],
    }


def _figures_data(found: Figures, answers: Sequence[str] | None) -> dict[str, Any]:
    return {
        "currency": f"All amounts in {found.currency}.",
        "summary_heads": ["Work", "Price", "Lines", "Sum"],
        "summary": list(_summary(found.lines, found.currency)),
        "line_heads": ["No.", "Unit and place", "Work, and why", "Quantity", "Price", "Amount"],
        "lines": [_line(line, answers[place] if answers is not None else None) for place, line in enumerate(found.lines)],
        "sums": _sums(found),
        "lacking": "" if found.is_whole else "The total lacks what has no price; it stands below.",
        "unpriced_heads": ["Work", "Unit and place", "Why it is wanted", "Why it has no price"],
        "unpriced": [_unpriced(each) for each in found.unpriced],
        "left_out": list(found.left_out),
        "terms": list(found.terms),
        "words": {
            "summary": "In short",
            "lines": "Line by line",
            "unpriced": "What has no price",
            "left_out": "What is not in these figures",
            "terms": "On which terms",
            "answers": "What the owner answered",
            "nothing": "There is nothing to bill.",
        },
    }


def _summary(lines: Iterable[Line], currency: str) -> Iterator[list[str]]:
    """The lines by work and price, each with how many and what they come to."""
    groups: dict[tuple[str, str, str], list[Line]] = {}
    for line in lines:
        groups.setdefault((line.words, _price(line), line.included_in), []).append(line)
    for (words, price, included), some in groups.items():
        amount = f"included in {included}" if included else plain_amount(total((line.amount for line in some), currency))
        yield [words, price, str(len(some)), amount]


def _price(line: Line) -> str:
    if line.included_in or line.price is None:
        return ""
    return f"{plain_amount(line.price)} a {line.per}" if line.per else plain_amount(line.price)


def _line(line: Line, answer: str | None) -> dict[str, str]:
    said = {"agreed": "agreed", "declined": "declined", "": "no answer yet"}[answer] if answer is not None else ""
    return {
        "number": line.number,
        "unit": line.name or "the visit",
        "place": line.place,
        "work": line.words,
        "reason": f"{line.why}; {line.source}",
        "quantity": line.quantity,
        "price": _price(line),
        "amount": f"included in {line.included_in}" if line.included_in else plain_amount(line.amount),
        "answer": said,
        "shape": _SHAPES[answer or ""],
    }


def _unpriced(each: Unpriced) -> list[str]:
    where = ", ".join(part for part in (each.name or "the visit", each.place) if part)
    return [each.words, where, each.why, each.reason]


def _sums(found: Figures) -> list[list[str]]:
    rate = percent_words(Fraction(found.tax_percent))
    return [
        ["Sum of the lines", plain_amount(found.subtotal)],
        [f"{found.tax_name}, {rate} %", plain_amount(found.tax)],
        ["Total" if found.is_whole else "Total of what has a price", str(found.total)],
    ]


def _answer_words(each: LinesAnswer) -> str:
    lines = "all lines" if not each.lines else f"lines {line_words(each.lines)}"
    why = f": {each.reason}" if each.reason else ""
    return f"{each.by} {each.answer} ({lines}) on {PartialDate.of(each.at.date()).for_people()} at {each.at:%H:%M}{why}"


def _agreed_words(quote: QuoteOfSite) -> str:
    """What the agreed lines come to; a minimum of a visit counts with its own line alone."""
    return f"The lines that are agreed come to {quote.agreed}, before {quote.figures.tax_name}."


def account_rows(found: Figures, *, site: str, day: str, paper: str) -> Iterator[tuple[Any, ...]]:
    """Every line as a row for the shop's accounts (`ACCOUNT_HEADS`), the tax as the last one."""
    for line in found.lines:
        yield (
            line.number, site, day, line.name, line.place, line.words, line.quantity, line.price, line.per, line.amount, found.currency,
            line.included_in, line.why, line.source, line.record, line.unit, paper,
        )  # fmt: skip
    tax = f"{found.tax_name} at {percent_words(Fraction(found.tax_percent))} %"
    yield ("tax", site, day, "", "", tax, "", None, "", found.tax, found.currency, "", "", found.book, "", "", paper)
