"""The page of a unit says what the bench needs of the nameplate, what was read, and where a unit is that was taken away."""

from __future__ import annotations

from fake_office import TODAY
from record_makers import Writer

from pinseal.records.fold import fold
from pinseal.records.record import Record
from pinseal.service.duelist import due_list
from pinseal.standards import choose_packs
from pinseal.web.doors import About
from pinseal.web.unit_page import unit_page
from pinseal.web.views import UnitPage


def page_of(*records: Record) -> UnitPage:
    unit = fold(records)
    dues = due_list([unit.state], choose_packs(["us-nfpa10"]), TODAY)
    return unit_page(About(name="Gullhaven Extinguisher Works", today=TODAY, note="invented"), dues, unit, records)


def test_the_nameplate_of_the_bench_is_shown_as_it_was_typed() -> None:
    plate = {
        "test-pressure": "585 psi", "gauge-low": "180 psi", "gauge-high": "210 psi", "charging-gas": "air", "gross-weight": "29 lb 6 oz",
        "gross-weight-low": "28 lb", "gross-weight-high": "30 lb", "empty-weight": "9 kg", "cartridge-weight": "17 oz",
        "cartridge-weight-low": "16 oz", "expellant-pressure": "1800 psi", "regulator-pressure": "250 psi",
    }  # fmt: skip
    shown = {fact.name: fact.value for fact in page_of(Writer().write("registered", "2026-01-02", agent="abc", **plate)).facts}
    assert {name.replace("-", " "): value for name, value in plate.items()} | {"charging gas": "dry air"} == {
        name: value for name, value in shown.items() if name != "agent"
    }


def test_a_unit_that_was_taken_away_says_where_it_is_and_a_reading_stands_in_its_history() -> None:
    writer = Writer()
    first = writer.write("registered", "2026-01-02", agent="abc")
    read = writer.write("measured", "2026-01-09", quantity="gross weight", value="9 kg", verdict="too-close")
    away = writer.write("taken-away", "2026-01-10", to="bench", back_by="2026-03-11")
    page = page_of(first, read, away)
    assert page.standing == ("Taken away: the bench, since 10 Jan 2026, back by 11 Mar 2026.",)
    assert [deed.what for deed in page.history] == ["taken away", "measured", "registered"]
    assert [(fact.name, fact.value) for fact in page.history[1].said][-1] == ("verdict", "too close to tell")
    assert page_of(first, read, away, writer.write("brought-back", "2026-01-20")).standing == ()
