"""What the template of the log of pressure tests is given."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.views import Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class LogStamp:
    """A stamp that tests of a day have earned: month, the two lines of the square, year, what follows it, and on which tests."""

    month: str
    square: tuple[str, str]
    year: str
    letter: str
    words: str
    because: str
    numbers: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogTest:
    """One test. `verdict` is pass, fail or too-close (it passed, and something speaks against it); `notes` are sentences."""

    number: int
    name: str
    href: str
    serial: str
    marked: str
    pressure: str
    grown: str
    percent: str
    limit: str
    verdict: str
    disposition: str
    operator: str
    notes: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogDay:
    """One day of the log. `checks` are instruments with good or bad; `against` what speaks against instruments of the day."""

    id: str
    when: str
    passed: int
    failed: int
    again: int
    checks: tuple[tuple[str, bool, str], ...]
    against: tuple[str, ...]
    tests: tuple[LogTest, ...]
    stamps: tuple[LogStamp, ...]
    others: int
    pdf_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogPage:
    """The log of a span of days. `first` and `last` stand in the form as typed."""

    frame: Frame
    first: str
    last: str
    when: str
    days: tuple[LogDay, ...]
    undated: tuple[str, ...]
    number: str
    pdf_href: str
    csv_href: str
    xlsx_href: str
    json_href: str
    troubles: tuple[Trouble, ...] = ()


TEMPLATES: dict[type[object], str] = {LogPage: "bench_log.html"}
