"""The numbers of the owner's file reconcile whatever happened: for any history, what was there, came and went adds up."""

from __future__ import annotations

from datetime import date

from hypothesis import given
from hypothesis import strategies as st
from record_makers import Writer

from pinseal.records.record import Record
from pinseal.rules.months import twelve_months
from pinseal.service.books import make_books
from pinseal.service.duelist import due_list
from pinseal.service.owner_file import ELSEWHERE, OwnerFile, life_of, owner_file
from pinseal.standards import choose_packs

TODAY = date(2026, 11, 24)
_DEEDS = {
    "moved": {"site": "Quay"},
    "placed-in-service": {"site": "Mill"},
    "removed": {"reason": "sold"},
    "returned": {},
    "condemned": {"reason": "pitted"},
    "inspected": {},
    "maintained": {},
    "found-deficient": {"finding": "seal-broken"},
    "remedied": {"finding": "seal-broken", "how": "new seal"},
    "taken-away": {"taken-to": "bench"},
    "brought-back": {},
}
_DAYS = st.dates(date(2024, 6, 1), date(2026, 12, 31)).map(date.isoformat) | st.sampled_from(["2025", "2025-03", "2026-01", "2026"])
_HISTORIES = st.lists(st.tuples(st.integers(0, 3), st.sampled_from(sorted(_DEEDS)), _DAYS), max_size=40)


def records_of(deeds: list[tuple[int, str, str]]) -> dict[str, list[Record]]:
    writer = Writer()
    found = {
        f"unit-{number}": [writer.write("registered", f"202{4 + number % 2}-05-0{number + 1}", unit=f"unit-{number}", **_plate(number))]
        for number in range(4)
    }
    for number, kind, day in deeds:
        found[f"unit-{number}"].append(writer.write(kind, day, unit=f"unit-{number}", **_DEEDS[kind]))
    return found


def _plate(number: int) -> dict[str, str]:
    return {"id": f"W-{number}", "site": "Mill", "place": f"Bay {number}", "agent": "abc", "manufactured": "2019"}


def file_of(deeds: list[tuple[int, str, str]], year: int) -> OwnerFile:
    histories = records_of(deeds)
    last = min(TODAY, date(year, 12, 31))
    lives = {uid: life for uid, some in histories.items() if (life := life_of(some, "Mill", last)) is not None}
    states = [life.state for life in lives.values() if life.at(last)]
    return owner_file(
        site="Mill",
        year=year,
        today=TODAY,
        found=lives,
        dues=due_list(states, choose_packs(["us-osha"]), last),
        months=twelve_months(last),
        books=make_books(record for some in histories.values() for record in some),
    )


@given(_HISTORIES)
def test_a_fleet_and_its_deficiencies_reconcile_in_every_year(deeds: list[tuple[int, str, str]]) -> None:
    for year in (2024, 2025, 2026):
        file = file_of(deeds, year)
        assert file.fleet.start + len(file.fleet.came) - len(file.fleet.went) == file.fleet.end == len(file.units)
        wrong = file.wrong
        assert wrong.start + wrong.found - wrong.mended - wrong.gone == wrong.end == len(wrong.open)
        assert all(each.is_open for each in wrong.open)


@given(_HISTORIES)
def test_the_end_of_one_year_is_the_start_of_the_next(deeds: list[tuple[int, str, str]]) -> None:
    assert file_of(deeds, 2025).fleet.end == file_of(deeds, 2026).fleet.start


@given(_HISTORIES)
def test_no_name_of_another_site_gets_in(deeds: list[tuple[int, str, str]]) -> None:
    assert "Quay" not in str(file_of(deeds, 2026).as_json())


def test_another_site_has_a_name_where_it_may() -> None:
    records = records_of([(0, "moved", "2026-03-01")])["unit-0"]
    for named, after in (((), ELSEWHERE), (("Quay",), "Quay")):
        life = life_of(records, "Mill", TODAY, named=named)
        assert life is not None
        assert life.stays[0].after == after
