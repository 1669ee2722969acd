"""Every way of writing a date that lists were seen with, and what is not a date."""

from __future__ import annotations

from datetime import date

import pytest

from pinseal.dates import PartialDate
from pinseal.intake.columns import decide_order, orders_in
from pinseal.intake.date_cells import read_date
from pinseal.intake.date_words import DateContext, hull

MADE = DateContext(field="manufactured", order="MDY", latest_year=2024, as_of=date(2024, 2, 12))
DAYS = DateContext(field="last_maintenance", order="MDY", days=True, latest_year=2024, as_of=date(2024, 2, 12))
OPEN = DateContext(field="last_maintenance", latest_year=2024)


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("6/14", "2014-06"), ("06-2014", "2014-06"), ("8/2011", "2011-08"), ("05.2019", "2019-05"), ("2014", "2014"), ("'14", "2014"),
        ("’14", "2014"),
        ("14", "2014"), ("JUN 14", "2014-06"), ("Jun-14", "2014-06"), ("Jan. 2024", "2024-01"), ("Jan ’14", "2014-01"), ("Sept 21",
        "2021-09"),
        ("2017-11-30T16:38:16", "2017-11-30"), ("2017-11-30", "2017-11-30"), ("20140601", "2014-06-01"), ("2014-06", "2014-06"),
        ("3/21/24", "2024-03-21"),
        ("3/21/2024 14:05", "2024-03-21"), ("3-21-2024", "2024-03-21"), ("14. Juni 2014", "2014-06-14"), ("12 de marzo de 2019",
        "2019-03-12"),
        ("14 juin 2014", "2014-06-14"), ("giu 2014", "2014-06"), ("June 14, 2014", "2014-06-14"), ("Bj. 2012", "2012"), ("Baujahr 2012",
        "2012"),
        ("98", "1998"), ("04/98", "1998-04"), ("2014 Jun", "2014-06"), ("ok 3/24", "2024-03"), ("06/2014 (stamped)", "2014-06"),
        ("5 [K412] 18", "2018-05"), ("03 A219 21", "2021-03"), ("8/16 + 8/21", "2021-08"), ("3 [K412] 16, 3 [M077] 21", "2021-03"),
        ("2012/2017", "2017"),
        ("2012, 2017", "2017"), ("8/16 8/21", "2021-08"), ("8/16 und 8/21", "2021-08"),
    ],
)  # fmt: skip
def test_a_date_is_read_to_the_precision_it_shows(cell: str, value: str) -> None:
    found = read_date(cell, MADE)
    assert (str(found.value), found.flaw, found.ask) == (value, None, None)


@pytest.mark.parametrize("cell", ["", "-", "n/a", "N/A", "unk", "never", "none", "k.A.", "s/d", "nie", "—"])
def test_a_plain_absence_is_no_problem(cell: str) -> None:
    found = read_date(cell, MADE)
    assert (found.value, found.flaw, found.ask) == (None, None, None)


@pytest.mark.parametrize(
    ("cell", "kind"),
    [
        ("8/17/0200", "impossible-date"), ("11/31/2022", "impossible-date"), ("13/2015", "impossible-date"), ("2/30/2022",
        "impossible-date"),
        ("0/0/0000", "impossible-date"), ("1/1/1900", "impossible-date"), ("9999", "impossible-date"), ("see tag", "unreadable"), ("?",
        "unreadable"),
        ("??", "unreadable"), ("on road", "unreadable"), ("torn", "unreadable"), ("05/20__", "unreadable"), ("due 6/26", "due-date"),
        ("next 4/22", "due-date"), ("fällig 09/2024", "due-date"),
    ],
)  # fmt: skip
def test_what_is_no_date_says_why(cell: str, kind: str) -> None:
    found = read_date(cell, MADE)
    assert found.value is None
    assert found.flaw is not None
    assert found.flaw.kind == kind


@pytest.mark.parametrize(
    ("cell", "value", "readings"),
    [
        ("spring 2016", "2016", ("2016-03", "2016-04", "2016-05", "2016-06")),
        ("Frühjahr 2016", "2016", ("2016-03", "2016-04", "2016-05", "2016-06")),
        ("Q3 14", "2014", ("2014-07", "2014-08", "2014-09")),
        ("3. Quartal 2014", "2014", ("2014-07", "2014-08", "2014-09")),
        ("2017-2019", "None", ("2017", "2018", "2019")),
        ("2016-18", "None", ("2016", "2017", "2018")),
        ("14/06", "None", ("2014-06", "--06-14")),
        ("2009?", "None", ("2009", "unknown")),
        ("ca. 2009", "None", ("2009", "unknown")),
    ],
)
def test_a_cell_with_several_readings_holds_their_hull_and_asks(cell: str, value: str, readings: tuple[str, ...]) -> None:
    found = read_date(cell, MADE)
    assert str(found.value) == value
    assert found.ask is not None
    assert found.ask.readings == readings


def test_a_torn_year_asks_for_the_decade_and_a_torn_month_leaves_the_year() -> None:
    decade, month = read_date("201?", MADE), read_date("??/14", MADE)
    assert decade.value is None
    assert decade.ask is not None
    assert (decade.ask.readings[0], decade.ask.readings[-1]) == ("2010", "2019")
    assert str(month.value) == "2014"
    assert month.flaw is not None
    assert month.flaw.kind == "unreadable"


def test_a_month_and_a_number_in_a_column_of_days_may_be_a_day() -> None:
    found, kept = read_date("9/17", DAYS), read_date("Jan 24", DAYS)
    assert found.value is None
    assert found.ask is not None
    assert set(found.ask.readings) == {"2017-09", "2024-09-17"}
    assert str(kept.value) == "2024-01"
    assert kept.ask is not None
    assert read_date("9/98", DAYS).value == PartialDate(1998, 9)


def test_a_day_number_of_a_spreadsheet_counts_from_1899_12_30_and_is_said() -> None:
    found = read_date("41791", MADE)
    assert str(found.value) == "2014-06-01"
    assert found.flaw is not None
    assert found.flaw.kind == "spreadsheet-serial"


def test_an_undecided_order_leaves_what_both_readings_share() -> None:
    assert str(read_date("02/09/2023", OPEN).value) == "2023"
    assert read_date("07/08/09", OPEN).value is None
    assert str(read_date("05/05/2023", OPEN).value) == "2023-05-05"


def test_words_beside_a_date_are_said_to_be_unread() -> None:
    found = read_date("3/21/2024 JB", DAYS)
    assert str(found.value) == "2024-03-21"
    assert found.flaw is not None
    assert found.flaw.kind == "words-beside"


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["3/21/2024", "3/4/2024"], "MDY"),
        (["21/3/2024", "3/4/2024"], "DMY"),
        (["02/09/2023", "05/04/2023"], "undecidable"),
        (["14/06/2023", "25/06/2023", "06/14/2023"], "mixed"),
        (["07/08/09"], "undecidable"),
        (["25/03/09", "02/09/2023"], "DMY"),
        (["2014-06-01", "2014", "6/14"], None),
        ([*(f"{month}/25/2023" for month in range(1, 13)), *(f"{month}/26/2023" for month in range(1, 13)), "25/6/2023"], "MDY"),
    ],
)
def test_the_order_of_a_column_is_proved_by_its_cells(cells: list[str], order: str | None) -> None:
    assert decide_order(orders_in(cells, DateContext(latest_year=2024))) == order


def test_the_hull_of_readings_is_what_they_share() -> None:
    assert hull([PartialDate(2014, 6, 1), PartialDate(2014, 6, 9)]) == PartialDate(2014, 6)
    assert hull([PartialDate(2014), PartialDate(2014, 6)]) == PartialDate(2014)
    assert hull([]) is None
