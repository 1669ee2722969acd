"""How prices, figures and the answer to repair or replace are said on a terminal."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from pinseal.cli.options import say
from pinseal.dates import PartialDate
from pinseal.rules.price_book import SERVICES, PriceBook, PriceEntry, percent_words
from pinseal.rules.quoting import Figures, Line
from pinseal.rules.repair_or_replace import ANSWERS, Side


def entry_words(entry: PriceEntry) -> str:
    """For what an entry holds: `ABC and 2 more agents, over 5 lb, up to 10 lb`."""
    parts = [", ".join(sorted(entry.agents)) if len(entry.agents) < 4 else f"{len(entry.agents)} agents"] if entry.agents else []
    parts += [f"{key.replace('_', ' ')} {text}" for key, text in (*entry.codes.items(), *entry.texts.items())]
    parts += [f"over {entry.over.for_people()}"] if entry.over else []
    parts += [f"up to {entry.up_to.for_people()}"] if entry.up_to else []
    return "; ".join(parts) or "any"


def say_book(book: PriceBook) -> None:
    """A price book: every price, then the terms."""
    say(f"{book.title}; prices hold from {PartialDate.of(book.from_day).for_people()}, in {book.currency}")
    for entry in book.entries:
        say(f"  {entry.id:<10} {SERVICES[entry.service]:<22} {entry.price.plain:>10} a {entry.per:<6} {entry_words(entry)}")
    say("Terms:")
    for each in book.terms():
        say(f"  {each}")
    say(f"  {book.tax_name}: {percent_words(book.tax_percent)} %.")


def say_figures(found: Figures) -> None:
    """The lines with their reasons, what has no price, and the sums."""
    for line in found.lines:
        _say_line(line)
    if found.unpriced:
        say("Without a price:")
        for each in found.unpriced:
            say(f"  {each.name or 'the visit'}: {each.words}: {each.reason}")
    if found.left_out:
        _say_all("Not in these figures:", found.left_out)
    say(f"{'sum':>62} {found.subtotal.plain:>12}")
    say(f"{f'{found.tax_name}, {percent_words(Fraction(found.tax_percent))} %':>62} {found.tax.plain:>12}")
    say(f"{'total' if found.is_whole else 'total of what has a price':>62} {found.total.plain:>12} {found.currency}")


def _say_line(line: Line) -> None:
    amount = "included" if line.included_in else line.amount.plain
    words = f"{line.words}, {line.quantity}" if line.quantity != "1" else line.words
    say(f"{line.number:>4}  {line.name or 'the visit':<14} {words:<40.40} {amount:>12}  {line.why}; {line.source}")


def say_answer(found: Any) -> None:
    """Repair or replace: the answer first, then the figures of both ways, then what they take for granted."""
    weighed, name = found.weighed, found.unit.id or found.unit.serial or found.unit.uid
    say(f"{name}: {ANSWERS[weighed.answer]}")
    for each in weighed.because:
        say(f"  {each}")
    _say_side("keep it", weighed.keep)
    _say_side("a new one", weighed.replace)
    _say_all("Taken for granted:", found.assumptions)
    say(f"Prices: {found.book}")


def _say_side(way: str, side: Side) -> None:
    lacking = "" if side.is_whole else " at least: some of it has no price or no day"
    say(f"{way}: {side.total}{lacking}")
    for each in side.costs:
        say(f"  {PartialDate.of(each.on).for_people():>12}  {each.line.words:<40.40} {each.line.amount.plain:>12}")


def _say_all(head: str, lines: Iterable[str]) -> None:
    say(head)
    for line in lines:
        say(f"  {line}")
