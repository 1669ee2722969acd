"""Dates as the shop writes them: on every page, in forms both ways, in workbooks; never in what is kept."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from fake_office import uid_of
from fake_rooms import FakeRooms, rooms_client
from page_checks import faults, text_of

from pinseal.dates import DATE_STYLE, PartialDate, span_for_people, written_for_good
from pinseal.reasons import Refusal
from pinseal.web.words import read_day

UNIT = uid_of(0)
IN_WORDS = re.compile(r"\b\d{1,2} (?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec) \d{4}\b")
PAGES = (
    "/",
    "/dues",
    "/dues/months?month=late",
    f"/units/{UNIT}",
    "/deficiencies",
    "/loaners",
    "/instruments",
    "/sites",
    "/bench",
    "/sheets",
)


class Styled(FakeRooms):
    """A shop that writes its dates in one style."""

    style = "words"

    def about(self):
        return replace(super().about(), date_style=self.style)


def client_in(style: str):
    office = Styled()
    office.style = style
    return rooms_client(office), office


@pytest.fixture(params=["words", "iso", "mdy"])
def style(request):
    token = DATE_STYLE.set(request.param)
    yield request.param
    DATE_STYLE.reset(token)


def test_a_date_is_written_in_the_style_to_its_own_precision(style: str) -> None:
    written = tuple(PartialDate(*parts).for_people() for parts in ((2014,), (2014, 6), (2014, 6, 9)))
    assert (
        written
        == {
            "words": ("2014", "Jun 2014", "9 Jun 2014"),
            "iso": ("2014", "2014-06", "2014-06-09"),
            "mdy": ("2014", "06/2014", "06/09/2014"),
        }[style]
    )
    assert " to " in span_for_people(date(2026, 1, 5), date(2026, 2, 3))
    with written_for_good():
        assert PartialDate(2014, 6, 9).for_people() == "9 Jun 2014"
    assert PartialDate(2014, 6, 9).for_people() == written[2]


def test_what_a_page_writes_its_forms_read(style: str) -> None:
    for day in (date(2026, 3, 4), date(2026, 12, 31)):
        assert read_day(PartialDate.of(day).for_people()) == day
        assert read_day(day.isoformat()) == day


def test_a_day_with_strokes_is_read_only_where_the_shop_writes_it_so() -> None:
    with pytest.raises(Refusal):
        read_day("03/04/2026")


@pytest.mark.parametrize(("style", "shown"), [("words", "1 Oct 2026"), ("iso", "2026-10-01"), ("mdy", "10/01/2026")])
def test_every_page_writes_dates_as_the_shop_does(style: str, shown: str) -> None:
    client, _ = client_in(style)
    assert shown in text_of(client.get("/deficiencies").text)
    for path in PAGES:
        page = client.get(path).text
        assert faults(page) == [], path
        if style != "words":
            assert IN_WORDS.findall(text_of(page)) == [], path


def test_a_form_takes_the_day_that_it_shows_and_keeps_it_as_iso() -> None:
    client, office = client_in("mdy")
    here = f"/deficiencies/{office.books().deficiencies[0].record}"
    assert 'value="11/24/2026"' in client.get(here).text
    answer = client.post(f"{here}/quote", data={"price": "5", "currency": "USD", "day": "11/24/2026", "valid_until": "12/01/2026"})
    assert answer.status_code == 200
    kept = office.lives[UNIT][-1]
    assert (str(kept.done), kept.fields["valid-until"]) == ("2026-11-24", "2026-12-01")
    wrong = client.get("/dues?on=24/11/2026")
    assert "write it as in 11/24/2026 or 2026-11-24" in text_of(wrong.text)
