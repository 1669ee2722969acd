"""The monthly record: each month of a unit says what is on record, and a gap is never hidden."""

from datetime import date

import pytest
from tests.records.record_makers import Writer

from pinseal.records.fold import fold
from pinseal.rules.months import MONTH_STATES, Month, month_cells, twelve_months

TODAY = date(2026, 11, 24)


def cells(*deeds, here=lambda month: True, today=TODAY):
    writer = Writer()
    begun = writer.write("registered", "2020-01-01", id="W-1", site="Mill", agent="abc")
    facts = fold([begun, *(writer.write(kind, on, **fields) for kind, on, fields in deeds)]).facts
    months = twelve_months(today)
    return {month.code: cell for month, cell in zip(months, month_cells(facts, months, here=here, today=today), strict=True)}


def test_the_last_month_is_the_one_of_today():
    months = twelve_months(date(2026, 2, 28))
    assert [months[0].code, months[-1].code, len(months)] == ["2025-03", "2026-02", 12]
    assert months[-1] == Month(first=date(2026, 2, 1), last=date(2026, 2, 28))


@pytest.mark.parametrize(
    ("deeds", "state"),
    [
        ((), "none"),
        ((("inspected", "2026-05-01", {}),), "seen"),
        ((("inspected", "2026-05-31", {}),), "seen"),
        ((("inspected", "2026-05", {}),), "seen"),
        ((("inspected", "2026-04-30", {}), ("inspected", "2026-06-01", {})), "none"),
        ((("maintained", "2026-05-10", {}),), "service"),
        ((("maintained", "2026-05-10", {}), ("inspected", "2026-05-02", {})), "seen"),
        ((("not-done", "2026-05-10", {"reason": "locked"}),), "tried"),
        ((("not-done", "2026-05-10", {"reason": "locked", "duty": "inspection"}),), "tried"),
        ((("not-done", "2026-05-10", {"reason": "locked", "duty": "hydrostatic-test"}),), "none"),
        ((("not-done", "2026-05-10", {"reason": "locked"}), ("inspected", "2026-05-20", {})), "seen"),
        ((("inspected", "2026", {}),), "maybe"),
        ((("noted", "2026-05-10", {"note": "new sign"}),), "none"),
    ],
)
def test_a_month_says_the_strongest_that_is_on_record(deeds, state):
    assert cells(*deeds)["2026-05"].state == state


def test_this_month_is_open_and_not_a_gap():
    found = cells()
    assert found["2026-11"].state == "open"
    assert found["2026-10"].state == "none"
    assert cells(today=date(2026, 11, 30))["2026-11"].state == "open"


def test_a_month_in_which_it_was_not_there_is_no_gap():
    found = cells(("inspected", "2026-09-02", {}), here=lambda month: month.first >= date(2026, 9, 1))
    assert [found[code].state for code in ("2026-08", "2026-09", "2026-10")] == ["absent", "seen", "none"]


def test_what_was_done_after_the_end_is_not_told():
    found = cells(("inspected", "2026-11-25", {}), today=TODAY)
    assert found["2026-11"].state == "open"


def test_a_cell_names_every_record_of_its_month():
    cell = cells(("inspected", "2026-05-02", {}), ("inspected", "2026-05-20", {}))["2026-05"]
    assert [str(fact.done) for fact in cell.facts] == ["2026-05-02", "2026-05-20"]


def test_every_state_of_a_cell_has_words_and_a_word_on_paper():
    from pinseal.service.owner_file_words import MONTH_WORDS

    assert set(MONTH_WORDS) == set(MONTH_STATES)
