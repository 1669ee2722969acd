"""Which fact sets a clock, in `run` (columns) and in `trace` (one unit): both make the same choice."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
import pytest

from pinseal.dates import PartialDate, day_number, from_day_number, parse_date
from pinseal.reasons import Refusal
from pinseal.rules.clocks import Basis, Facts, Path, facts_of, run, trace
from pinseal.rules.tables import FAR
from pinseal.standards.model import Clock, Interval, Start

YEAR, TWO, FIVE, SIX = (Interval(n, "year") for n in (1, 2, 5, 6))
# As California counts a first maintenance: from the first tag, set aside where it came over two years after manufacture.
TAGGED = Start(fact="sold-and-tagged", interval=YEAR, convention="anniversary", within=TWO, within_of="manufactured")
MADE_YEAR_ONLY = Start(fact="manufactured", interval=YEAR, convention="anniversary", year_only_next_january=True)
PLACED = Start(fact="placed-in-service", interval=FIVE, convention="anniversary")
MADE = Start(fact="manufactured", interval=SIX, convention="anniversary")
LABEL = Clock(first=(TAGGED, MADE_YEAR_ONLY), pick="first-known", after=("maintenance",), interval=YEAR, convention="anniversary")
EARLIER = Clock(first=(PLACED, MADE), pick="earliest", after=("internal-examination",), interval=FIVE, convention="anniversary")


def read(dates: Mapping[str, str]) -> dict[str, PartialDate]:
    return {fact: parse_date(text) for fact, text in dates.items()}


def facts(dates: Mapping[str, str]) -> Facts:
    said = read(dates)
    ends = [{f: np.array([day_number(getattr(d, end))], np.int32) for f, d in said.items()} for end in ("earliest", "latest")]
    return facts_of(ends[0], ends[1], slice(0, 1), 1)


def due(clock: Clock, dates: Mapping[str, str], duty: str = "maintenance", basis: str = "anniversary") -> tuple[str, str] | None:
    window = run(facts(dates), duty, clock, Basis(basis))
    ends = int(window.earliest[0]), int(window.latest[0])
    return None if FAR in ends else (from_day_number(ends[0]).isoformat(), from_day_number(ends[1]).isoformat())


def path(clock: Clock, dates: Mapping[str, str], basis: str = "anniversary") -> Path:
    return trace(facts(dates), read(dates), "maintenance", clock, Basis(basis))


@pytest.mark.parametrize("year", [2023, 2024])
def test_a_label_that_shows_only_a_year_is_due_on_the_next_first_of_january(year: int) -> None:
    day = date(year + 1, 1, 1).isoformat()
    assert due(LABEL, {"manufactured": f"{year}"}) == (day, day)


def test_a_label_that_shows_a_month_is_counted_from_it() -> None:
    assert due(LABEL, {"manufactured": "2024-12"}) == ("2025-12-01", "2025-12-31")
    assert due(LABEL, {"manufactured": "2024-12-31"}) == ("2025-12-31", "2025-12-31")


def test_a_tag_within_two_years_starts_the_clock_and_a_later_one_is_set_aside() -> None:
    made = {"manufactured": "2020-05-10"}
    assert due(LABEL, made | {"sold-and-tagged": "2022-05-10"}) == ("2023-05-10", "2023-05-10")
    assert due(LABEL, made | {"sold-and-tagged": "2022-05-11"}) == ("2021-05-10", "2021-05-10")
    assert due(LABEL, made | {"sold-and-tagged": "2022-05"}) == ("2021-05-10", "2023-05-31")  # perhaps too late
    assert due(LABEL, {"sold-and-tagged": "2022-05-11"}) == ("2023-05-11", "2023-05-11")  # nothing to compare it with


def test_trace_tells_the_start_that_run_takes() -> None:
    made = {"manufactured": "2020-05-10"}
    assert path(LABEL, made) == Path("first", "manufactured", PartialDate(2020, 5, 10), MADE_YEAR_ONLY)
    assert path(LABEL, made | {"sold-and-tagged": "2022-05-10"}) == Path("first", "sold-and-tagged", PartialDate(2022, 5, 10), TAGGED)
    assert path(LABEL, made | {"sold-and-tagged": "2022-05-11"}).fact == "manufactured"
    assert path(LABEL, {"placed-in-service": "2020"}) == Path("none")
    assert path(LABEL, {}) == Path("none")


def test_the_earlier_of_two_starts_is_taken_and_told() -> None:
    late, soon = (
        {"manufactured": "2020-01-15", "placed-in-service": "2022-01-15"},
        {"manufactured": "2020-01-15", "placed-in-service": "2020-03-01"},
    )
    assert due(EARLIER, late) == ("2026-01-15", "2026-01-15")
    assert due(EARLIER, soon) == ("2025-03-01", "2025-03-01")
    assert (path(EARLIER, late).fact, path(EARLIER, soon).fact) == ("manufactured", "placed-in-service")
    assert path(EARLIER, soon).start == PLACED


def test_trace_tells_the_latest_restart() -> None:
    clock = Clock(
        first=(MADE,), pick="first-known", after=("internal-examination", "hydrostatic-test"), interval=FIVE, convention="anniversary"
    )
    dates = {"manufactured": "2010", "internal-examination": "2018-02-03", "hydrostatic-test": "2017"}
    assert path(clock, dates) == Path("restart", "internal-examination", PartialDate(2018, 2, 3))
    assert due(clock, dates) == ("2023-02-03", "2023-02-03")
    assert path(clock, dates | {"hydrostatic-test": "2019"}).fact == "hydrostatic-test"


def test_without_the_columns_the_first_known_start_is_told() -> None:
    dates = read({"manufactured": "2020-05-10", "sold-and-tagged": "2024"})
    assert trace(None, dates, "maintenance", LABEL, Basis()).fact == "sold-and-tagged"


def test_a_shop_that_counts_365_days_counts_them_from_the_first_start_too() -> None:
    assert due(LABEL, {"manufactured": "2023-05-10"}, basis="strict-365") == ("2024-05-09", "2024-05-09")
    assert due(LABEL, {"manufactured": "2023-05-10"}, basis="tag-month") == ("2024-05-31", "2024-05-31")
    assert due(LABEL, {"manufactured": "2023-05-10"}, duty="internal-examination", basis="strict-365") == ("2024-05-10", "2024-05-10")


def test_a_clock_that_only_restarts_is_as_wide_as_the_deed() -> None:
    clock = Clock(first=(), pick="first-known", after=("maintenance",), interval=YEAR, convention="anniversary")
    assert due(clock, {"maintenance": "2024-02", "manufactured": "2020"}) == ("2025-02-01", "2025-02-28")
    assert due(clock, {"manufactured": "2020"}) is None


def test_a_clock_that_never_restarts_runs_from_its_start() -> None:
    start = Start(fact="manufactured", interval=YEAR, convention="anniversary")
    clock = Clock(first=(start,), pick="first-known", after=(), interval=YEAR, convention="anniversary")
    assert due(clock, {"maintenance": "2024", "manufactured": "2020-05-10"}) == ("2021-05-10", "2021-05-10")
    assert due(clock, {"manufactured": "2023-05-10"}, basis="strict-365") == ("2024-05-09", "2024-05-09")


def test_a_deed_on_the_first_day_that_is_counted_restarts_a_clock() -> None:
    plain = Clock(first=(MADE,), pick="first-known", after=("maintenance",), interval=SIX, convention="anniversary")
    for clock in (plain, EARLIER):
        deed = clock.after[0]
        assert due(clock, {deed: "1900-01-01", "manufactured": "1950-01-01"}) == (f"190{clock.interval.count}-01-01",) * 2


def test_work_counts_from_the_tolerance_before_the_early_end() -> None:
    clock = Clock(first=(), pick="first-known", after=("maintenance",), interval=YEAR, convention="anniversary", tolerance_months=1)
    window = run(facts({"maintenance": "2024-02"}), "maintenance", clock, Basis())
    assert window.not_before is not None
    days = [from_day_number(int(each[0])).isoformat() for each in (window.not_before, window.earliest, window.latest)]
    assert days == ["2025-01-01", "2025-03-01", "2025-03-29"]
    plain = run(facts({"maintenance": "2024-02"}), "maintenance", LABEL, Basis())
    assert plain.not_before is None


def test_an_unknown_basis_of_the_year_is_refused() -> None:
    with pytest.raises(Refusal, match="unknown basis of the yearly maintenance"):
        Basis("whenever")
