"""Quotes of a site: kept with their lines, answered by the owner as a whole or line by line."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol

from pinseal.dates import PartialDate
from pinseal.money import Money, total
from pinseal.reasons import Refusal
from pinseal.records.quotes import ALL, KeptQuote
from pinseal.records.record import Draft, Record, canonical
from pinseal.records.record_kinds import check_record
from pinseal.rules.quoting import Figures, Line, read_figures
from pinseal.service.books import Books
from pinseal.service.office import Writer

_FORM = 1  # of the kept file
# How far a quote is on its way.
STATES: Mapping[str, str] = {
    "draft": "a draft, not kept",
    "open": "no answer yet",
    "agreed": "agreed",
    "partly agreed": "partly agreed",
    "declined": "declined",
}


class QuoteKeeper(Protocol):
    """What a quote needs of a shop's store."""

    def add_file(self, name: str, content: bytes, *, person: str, received: datetime) -> str: ...
    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteOfSite:
    """A quote with its lines. `kept` is None while it is only a draft."""

    site: str
    on: date
    figures: Figures
    until: date | None = None
    kept: KeptQuote | None = None

    def answer_of(self, line: Line) -> str:
        """agreed, declined, or empty."""
        found = self.kept.answer_of(line.number) if self.kept else None
        return found.answer if found else ""

    def state(self) -> str:
        """A key of `STATES`."""
        if self.kept is None:
            return "draft"
        said = Counter(self.answer_of(line) for line in self.figures.lines)
        if not said["agreed"] and not said["declined"]:
            return "open"
        if not said["declined"] and not said[""]:
            return "agreed"
        return "declined" if not said["agreed"] and not said[""] else "partly agreed"

    @property
    def agreed(self) -> Money:
        """What the agreed lines come to, before tax."""
        return total((line.amount for line in self.figures.lines if self.answer_of(line) == "agreed"), self.figures.currency)

    def as_json(self) -> dict[str, Any]:
        kept = self.kept
        return {
            "site": self.site,
            "on": self.on.isoformat(),
            "work_until": self.until.isoformat() if self.until else None,
            "state": self.state(),
            "uid": kept.uid if kept else None,
            "number": kept.number if kept else None,
            "valid_until": kept.valid_until.isoformat() if kept and kept.valid_until else None,
            **self.figures.as_json(),
            "agreed_minor": self.agreed.minor,
            "answers": [_answer_json(each) for each in kept.answers] if kept else [],
        }


def _answer_json(each: Any) -> dict[str, Any]:
    lines = sorted(each.lines, key=lambda line: (len(line), line)) if each.lines else ALL
    return {"lines": lines, "answer": each.answer, "by": each.by, "at": each.at.isoformat(), "reason": each.reason, "record": each.record}


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoiceFigures:
    """What was done at a site from a first to a last day, in figures."""

    site: str
    first: date
    last: date
    figures: Figures

    def as_json(self) -> dict[str, Any]:
        days = {"first": self.first.isoformat(), "last": self.last.isoformat()}
        return {"site": self.site, **days, **self.figures.as_json()}


def line_words(lines: Iterable[str]) -> str:
    """Numbers of lines, those that follow one another as a span.

    >>> line_words(["1", "4", "3", "7", "5"])
    '1, 3–5, 7'
    """
    spans: list[list[int]] = []
    for number in sorted(int(line) for line in lines):
        if spans and number == spans[-1][-1] + 1:
            spans[-1] = [spans[-1][0], number]
        else:
            spans.append([number])
    return ", ".join("–".join(str(number) for number in span) for span in spans)


def next_number(kept: Iterable[KeptQuote], on: date) -> str:
    """The next free number of a year: `26-0007`."""
    year = f"{on.year % 100:02d}-"
    used = [int(each.number[3:]) for each in kept if each.number.startswith(year) and each.number[3:].isdecimal()]
    return f"{year}{max(used, default=0) + 1:04d}"


def keep_quote(keeper: QuoteKeeper, writer: Writer, draft: QuoteOfSite, books: Books, *, number: str, valid_until: date | None) -> str:
    """Keep a quote; its uid. Each line that mends a deficiency is told as the price of that deficiency too. Raises `Refusal`."""
    _check_keepable(draft, valid_until)
    found, uid, day = draft.figures, writer.new_uid(), PartialDate.of(draft.on)
    until = {"valid-until": valid_until.isoformat()} if valid_until else {}
    ends = draft.until.isoformat() if draft.until else ""
    said_whole = {"form": _FORM, "site": draft.site, "on": draft.on.isoformat(), "until": ends, "figures": found.as_json()}
    content = canonical(said_whole)
    sha256 = keeper.add_file(f"quote-{number}.json", content, person=writer.person, received=writer.now)
    made = {
        "site": draft.site,
        "number": number,
        "currency": found.currency,
        "total-minor": str(found.total.minor),
        "file": sha256,
        **until,
    }
    drafts = [Draft(kind="quote-made", unit=uid, person=writer.person, done=day, fields=check_record("quote-made", made))]
    for line in found.lines:
        deficiency = books.deficiency(line.record)
        if deficiency is None or not deficiency.is_open or line.included_in or _is_told(deficiency.quote, line):
            continue
        said = {"deficiency": line.record, "price-minor": str(line.amount.minor), "currency": found.currency, "work": line.words,
                "quote": number, **until}  # fmt: skip
        drafts.append(_draft(writer, "deficiency-quoted", deficiency.unit, day, said))
    keeper.write(drafts, writer=writer.device, received=writer.now)
    return uid


def _is_told(quote: Any, line: Line) -> bool:
    """Whether the line only repeats a price that was told already."""
    return quote is not None and quote.price == line.amount and quote.record in line.source


def _draft(writer: Writer, kind: str, unit: str, day: PartialDate, fields: Mapping[str, str]) -> Draft:
    return Draft(kind=kind, unit=unit, person=writer.person, done=day, fields=check_record(kind, fields))


def _check_keepable(draft: QuoteOfSite, valid_until: date | None) -> None:
    if not draft.figures.lines:
        raise Refusal(
            what="there is nothing to quote",
            rule="a quote has at least one line with a price",
            got=draft.site,
            do="look at what has no price",
        )
    if valid_until is not None and valid_until < draft.on:
        raise Refusal(
            what="the day cannot be right",
            rule="a quote holds at least on the day on which it is made",
            got=valid_until.isoformat(),
            do="say a later day",
        )


def load_quote(kept: KeptQuote, content: bytes) -> QuoteOfSite:
    """A kept quote with its lines."""
    said = json.loads(content)
    until = date.fromisoformat(said["until"]) if said["until"] else None
    return QuoteOfSite(site=kept.site, on=date.fromisoformat(said["on"]), until=until, figures=read_figures(said["figures"]), kept=kept)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What the owner says: the numbers of lines (empty: all), agreed or declined, the name, why."""

    lines: tuple[str, ...]
    answer: str
    by: str
    reason: str = ""


def answer_quote(
    keeper: QuoteKeeper, writer: Writer, quote: QuoteOfSite, books: Books, answers: Sequence[Answered], *, today: date
) -> None:
    """Keep what the owner answered, all or none; deficiencies that the quote told a price for are answered with it. Raises `Refusal`."""
    assert quote.kept is not None, "only a kept quote is answered"
    drafts: list[Draft] = []
    for each in answers:
        _check_answer(quote, each, today)
        drafts += _answer_drafts(writer, quote, books, each, PartialDate.of(today))
    keeper.write(drafts, writer=writer.device, received=writer.now)


def _check_answer(quote: QuoteOfSite, said: Answered, today: date) -> None:
    known = {line.number for line in quote.figures.lines}
    strange = [line for line in said.lines if line not in known]
    if strange:
        raise Refusal(
            what="there is no such line",
            rule=f"the lines are {', '.join(sorted(known, key=int)[:20])}{' …' if len(known) > 20 else ''}",
            got=", ".join(strange),
            do="look at the quote",
        )
    kept = quote.kept
    if said.answer == "agreed" and kept and kept.valid_until and today > kept.valid_until:
        raise Refusal(
            what="the quote does not hold any more",
            rule=f"it held until {kept.valid_until.isoformat()}",
            got=today.isoformat(),
            do="have it made anew",
        )


def _answer_drafts(writer: Writer, quote: QuoteOfSite, books: Books, said: Answered, day: PartialDate) -> Iterable[Draft]:
    assert quote.kept is not None
    at = writer.now.isoformat(timespec="minutes")
    more = {"reason": said.reason} if said.reason else {}
    who = {"answer": said.answer, "answered-by": said.by, **more}
    yield _draft(writer, "quote-lines-answered", quote.kept.uid, day, {"lines": ",".join(said.lines) or ALL, "at": at, **who})
    for line in quote.figures.lines:
        deficiency = books.deficiency(line.record) if not said.lines or line.number in said.lines else None
        told = deficiency.quote if deficiency and deficiency.is_open else None
        if deficiency is not None and told is not None and told.price == line.amount and told.answer != said.answer:
            yield _draft(writer, "quote-answered", deficiency.unit, day, {"quoted": told.record, **who})
