"""Price books and quotes, as their records make them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo

from pinseal.dates import PartialDate, parse_day
from pinseal.money import Money
from pinseal.records.record import Record
from pinseal.records.registers import about_subject, counting_facts

ALL = "all"
PRICE_RECORDS = ("prices-kept", "quote-made", "quote-lines-answered", "corrected")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPrices:
    """A price book that was kept: its prices hold from `from_day` on. `file` is the SHA-256 of the book."""

    uid: str
    record: str
    title: str
    from_day: date
    currency: str
    file: str
    kept: PartialDate
    person: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesAnswer:
    """What the owner said to some lines of a quote (empty: to all of them), who, and when."""

    record: str
    lines: frozenset[str]
    answer: str
    by: str
    at: datetime
    reason: str
    person: str

    def is_of(self, line: str) -> bool:
        return not self.lines or line in self.lines


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptQuote:
    """A quote that was made for a site, with its answers, the earliest first. `file` is the SHA-256 of its lines."""

    uid: str
    record: str
    site: str
    number: str
    made: PartialDate
    total: Money
    valid_until: date | None
    file: str
    person: str
    answers: tuple[LinesAnswer, ...] = ()

    def answer_of(self, line: str) -> LinesAnswer | None:
        """The answer that holds for a line: the last one."""
        return next((each for each in reversed(self.answers) if each.is_of(line)), None)

    def ran_out(self, today: date) -> bool:
        """Whether nobody answered while it held."""
        return self.valid_until is not None and not self.answers and today > self.valid_until


def fold_prices(records: Iterable[Record]) -> list[KeptPrices]:
    """Every price book that counts, by the day from which it holds; of one day the last one kept stands last."""
    found = []
    for some in about_subject(records, "price-book"):
        people = {each.uid: each.person for each in some}
        facts, _, uid = counting_facts(some)
        found += [
            KeptPrices(
                uid=uid,
                record=fact.uid,
                title=fact.fields["book"],
                from_day=parse_day(fact.fields["from"]),
                currency=fact.fields["currency"],
                file=fact.fields["file"],
                kept=fact.done,
                person=people[fact.uid],
            )
            for fact in facts
            if fact.kind == "prices-kept"
        ]
    return sorted(found, key=lambda each: (each.from_day, each.record))


def in_force(books: Sequence[KeptPrices], on: date) -> KeptPrices | None:
    """The book whose prices hold on a day."""
    return next((each for each in reversed(books) if each.from_day <= on), None)


def fold_quotes(records: Iterable[Record], zone: tzinfo = UTC) -> list[KeptQuote]:
    """Every quote that was made, the newest first; moments are told in `zone`."""
    found = [quote for some in about_subject(records, "quote") if (quote := _quote(some, zone)) is not None]
    return sorted(found, key=lambda each: (each.made.latest, each.record), reverse=True)


def _quote(records: Sequence[Record], zone: tzinfo) -> KeptQuote | None:
    """One quote; None where the record that made it is void or has not come in."""
    people = {each.uid: each.person for each in records}
    facts, _, uid = counting_facts(records)
    made = next((fact for fact in facts if fact.kind == "quote-made"), None)
    if made is None:
        return None
    said = made.fields
    answers = [
        LinesAnswer(
            record=fact.uid,
            lines=frozenset() if fact.fields["lines"] == ALL else frozenset(fact.fields["lines"].split(",")),
            answer=fact.fields["answer"],
            by=fact.fields["answered-by"],
            at=datetime.fromisoformat(fact.fields["at"]).astimezone(zone),
            reason=fact.fields.get("reason", ""),
            person=people[fact.uid],
        )
        for fact in facts
        if fact.kind == "quote-lines-answered"
    ]
    return KeptQuote(
        uid=uid,
        record=made.uid,
        site=said["site"],
        number=said["number"],
        made=made.done,
        total=Money(int(said["total-minor"]), said["currency"]),
        valid_until=parse_day(said["valid-until"]) if "valid-until" in said else None,
        file=said["file"],
        person=people[made.uid],
        answers=tuple(sorted(answers, key=lambda each: (each.at, each.record))),
    )
