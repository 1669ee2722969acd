"""California's joined test takes its year from the other packs: what one of them may not ask at all does not set its late end.

Found by the containment of a million random units (tests/simulation). `common practice, no source` for what a pump tank is.
"""

from datetime import date

from trade_cases import state

from pinseal.service.duelist import due_list
from pinseal.standards import choose_packs

ON = date(2026, 11, 24)
PACKS = ["us-ca", "us-nfpa10", "us-osha", "us-dot"]
PLATE = {"cylinder_specification": "4BA", "water_capacity": "30 lb"}


def span(but: dict) -> tuple[date | None, date | None]:
    unit = state("pump tank", {"manufactured": "2017", "maintenance": "2026-03-01"}, but={**PLATE, **but})
    return next((d.earliest, d.latest) for d in due_list([unit], choose_packs(PACKS), ON).all() if d.duty == "hydrostatic-test")


def test_a_unit_that_may_be_a_pump_tank_is_tested_by_the_year_of_the_cylinder_at_the_latest() -> None:
    assert span({}) == (date(2029, 1, 31), date(2029, 12, 31))  # a pump tank: the marked cylinder alone asks
    assert span({"expelled_by": "stored-pressure"}) == (date(2022, 1, 1), date(2022, 12, 31))
    assert span({"expelled_by": "not said"}) == (date(2022, 1, 1), date(2029, 12, 31))
