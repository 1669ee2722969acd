"""The log of pressure tests as a page."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from urllib.parse import urlencode

from pinseal.catalogue import gettext as _
from pinseal.service.pressure_log_shapes import TestDay, TestEntry, TestLog
from pinseal.standards.requalification import FIELDS
from pinseal.web.bench_log_views import LogDay, LogPage, LogStamp, LogTest
from pinseal.web.date_words import day_date, span_words
from pinseal.web.office_common import Sight
from pinseal.web.pages import frame
from pinseal.web.views import Frame, Trouble


def log_href(first: date, last: date, *, ending: str = "") -> str:
    """The address of the log of a span, or of one of its files."""
    return f"/bench/tests/log{ending}?{urlencode({'from': first.isoformat(), 'to': last.isoformat()})}"


def log_page(seen: Sight, log: TestLog) -> LogPage:
    """The log of a span; the newest day first."""
    return LogPage(
        frame=_frame(seen),
        first=day_date(log.first),
        last=day_date(log.last),
        when=span_words(log.first, log.last),
        days=tuple(_day(seen, day) for day in reversed(log.days)),
        undated=log.undated,
        number=log.requalifier.number if log.requalifier else "",
        pdf_href=log_href(log.first, log.last, ending=".pdf"),
        csv_href=log_href(log.first, log.last, ending=".csv"),
        xlsx_href=log_href(log.first, log.last, ending=".xlsx"),
        json_href=log_href(log.first, log.last, ending=".json"),
    )


def refused_page(seen: Sight, first: str, last: str, why: str) -> LogPage:
    """The form again, with what was typed and why it cannot be."""
    return LogPage(
        frame=_frame(seen), first=first, last=last, when="", days=(), undated=(), number="", pdf_href="", csv_href="", xlsx_href="",
        json_href="", troubles=(Trouble(text=why, at="log-from"),),
    )  # fmt: skip


def _frame(seen: Sight) -> Frame:
    return frame(seen.about, title=_("Test sheets"), here="/bench")


def _day(seen: Sight, day: TestDay) -> LogDay:
    again = sum(1 for each in day.tests if each.against)
    passed = sum(1 for each in day.tests if each.passed) - again
    return LogDay(
        id=day.on.isoformat(),
        when=day_date(day.on),
        passed=passed,
        failed=len(day.tests) - passed - again,
        again=again,
        checks=tuple((f"{each.instrument}, {_(each.what)}", each.good, each.operator) for each in day.checks),
        against=tuple(each.against for each in day.apparatus if each.against),
        tests=tuple(_test(seen, number, each) for number, each in enumerate(day.tests, start=1)),
        stamps=tuple(_stamps(day)),
        others=len(day.others),
        pdf_href=log_href(day.on, day.on, ending=".pdf"),
    )


def _test(seen: Sight, number: int, each: TestEntry) -> LogTest:
    said = each.values
    why = each.why_no_stamp if each.passed and each.is_stamped else ()
    return LogTest(
        number=number,
        name=each.name,
        href=f"/units/{each.unit}" if seen.sees(each.unit) else "",
        serial=said.get("serial", ""),
        marked=said.get("specification", ""),
        pressure=said.get("pressure", ""),
        grown=" / ".join(text for name in ("total", "permanent") if (text := said.get(name, ""))),
        percent=said.get("percent", ""),
        limit=each.limit,
        verdict="too-close" if each.against else "pass" if each.passed else "fail",
        disposition="" if each.passed and not each.against else said["disposition"],
        operator=said.get("operator", ""),
        notes=tuple(dict.fromkeys((*each.reasons, *why))),
        missing=tuple(FIELDS[name] for name in each.missing),
    )


def _stamps(day: TestDay) -> Iterator[LogStamp]:
    places = {each.record: str(number) for number, each in enumerate(day.tests, start=1)}
    for stamp, some in day.stamps:
        yield LogStamp(
            month=stamp.month,
            square=(stamp.number[:2], stamp.number[3] + stamp.number[2]),
            year=stamp.year,
            letter=stamp.letter,
            words=stamp.words,
            because=stamp.because,
            numbers=", ".join(places[each.record] for each in some),
        )
