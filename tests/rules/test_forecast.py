"""The chain of dues over the years to come."""

from datetime import date

import pytest
from trade_cases import state

from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState
from pinseal.rules.clocks import Basis
from pinseal.rules.columns import columns
from pinseal.rules.forecast import forecast
from pinseal.standards import choose_packs

LIFE = state("steel powder", {"manufactured": "2014-06", "internal-examination": "2020-07", "maintenance": "2025-11-03"})


def chain(unit: UnitState, packs: str, on: str, years: int, **how: object) -> list[tuple[str, str]]:
    jobs = forecast(columns([unit]), choose_packs(packs.split(",")), date.fromisoformat(on), years=years, **how)  # type: ignore[arg-type]
    return [(job.duty, job.on.isoformat()) for job in jobs]


def of(duty: str, jobs: list[tuple[str, str]]) -> list[str]:
    return [on for each, on in jobs if each == duty]


def test_the_test_of_2026_is_an_opening_so_the_inside_is_next_in_2032() -> None:
    """29 CFR 1910.157(e)(4): a pressure test starts a new six years; two bench jobs a month apart are the trap."""
    jobs = chain(LIFE, "us-osha", "2026-05-01", 13)
    assert of("hydrostatic-test", jobs) == ["2026-06-01", "2038-06-01"]
    assert of("internal-examination", jobs) == ["2032-06-01"]
    assert of("maintenance", jobs) == [f"{year}-11-03" for year in range(2026, 2039)]
    assert of("inspection", jobs) == []


def test_the_days_of_a_chain_are_in_order() -> None:
    days = [on for _, on in chain(LIFE, "us-osha,us-nfpa10", "2026-05-01", 20)]
    assert days == sorted(days)


def test_by_nfpa_10_too_the_inside_follows_the_test_by_six_years() -> None:
    jobs = chain(LIFE, "us-osha,us-nfpa10", "2026-05-01", 13)
    assert of("hydrostatic-test", jobs) == ["2026-06-01", "2038-06-01"]
    assert of("internal-examination", jobs) == ["2032-06-01"]


def test_in_california_the_test_goes_with_the_annual_of_its_year() -> None:
    jobs = chain(LIFE, "us-nfpa10,us-ca", "2026-05-01", 13)
    assert of("hydrostatic-test", jobs) == ["2026-11-03", "2038-11-03"]
    assert "2026-11-03" in of("maintenance", jobs)


def test_a_cylinder_goes_twelve_years_and_then_seven() -> None:
    """49 CFR 180.209(j), proof pressure over 12 lb: second-hand."""
    unit = state(
        "wheeled powder",
        {"manufactured": "2012-06"},
        but={"cylinder_specification": "4BW500", "water_capacity": "30 lb"},
        test_method="proof-pressure",
    )
    jobs = chain(unit, "us-dot", "2024-01-01", 15)
    assert of("hydrostatic-test", jobs) == ["2024-06-30", "2031-06-30", "2038-06-30"]


def test_what_is_overdue_is_planned_for_today_and_the_next_runs_from_there() -> None:
    jobs = chain(state("carbon dioxide", {"manufactured": "2010-01-10", "maintenance": "2024-01-10"}), "us-osha", "2026-05-01", 6)
    assert of("hydrostatic-test", jobs) == ["2026-05-01", "2031-05-01"]
    assert of("maintenance", jobs)[:2] == ["2026-05-01", "2027-05-01"]


def test_after_retirement_nothing_is_planned() -> None:
    jobs = chain(state("disposable powder", {"manufactured": "2013-04-15", "maintenance": "2023-06-01"}), "us-nfpa10", "2024-01-01", 10)
    assert jobs == [("maintenance", "2024-06-01"), ("retirement", "2025-04-15")]


def test_the_monthly_look_is_planned_where_it_is_asked_for() -> None:
    unit = state("steel powder", {"inspection": "2026-04-10"})
    jobs = chain(unit, "us-nfpa10", "2026-05-01", 1, duties=("inspection",))
    assert jobs[:3] == [("inspection", "2026-05-11"), ("inspection", "2026-06-11"), ("inspection", "2026-07-12")]
    assert len(jobs) == 12


def test_strict_365_days_drift_back_over_a_leap_year() -> None:
    unit = state("steel powder", {"maintenance": "2027-11-03"})
    jobs = chain(unit, "us-osha", "2028-01-01", 2, basis=Basis("strict-365"), duties=("maintenance",))
    assert of("maintenance", jobs) == ["2028-11-02", "2029-11-02"]


def test_a_duty_without_a_date_is_not_planned() -> None:
    assert chain(state("steel powder", {}), "us-osha", "2026-05-01", 5) == []


def test_a_deed_in_the_future_has_not_happened() -> None:
    unit = state("steel powder", {"placed-in-service": "2025-08-01", "maintenance": "2041-05-01"})
    assert of("maintenance", chain(unit, "us-osha", "2026-05-01", 2)) == ["2026-08-01", "2027-08-01"]


def test_the_fleet_that_was_asked_about_is_not_changed() -> None:
    fleet = columns([LIFE])
    before = {fact: days.tolist() for fact, days in fleet.earliest.items()}
    assert list(forecast(fleet, choose_packs(["us-osha"]), date(2026, 5, 1), years=5))
    assert {fact: days.tolist() for fact, days in fleet.earliest.items()} == before


def test_a_fleet_is_forecast_as_its_units_are() -> None:
    units = [LIFE, state("water", {"manufactured": "2020-03"}), state("carbon dioxide", {"manufactured": "2019"})]
    chosen = choose_packs(["us-osha", "us-nfpa10"])
    together = sorted((j.index, j.duty, j.on) for j in forecast(columns(units), chosen, date(2026, 5, 1), years=12))
    apart = [(i, j.duty, j.on) for i, unit in enumerate(units) for j in forecast(columns([unit]), chosen, date(2026, 5, 1), years=12)]
    assert together == sorted(apart)


@pytest.mark.parametrize(("on", "years"), [("2026-05-01", 0), ("2026-05-01", 41), ("2070-01-01", 30)])
def test_a_forecast_that_is_too_long_is_refused(on: str, years: int) -> None:
    with pytest.raises(Refusal) as caught:
        chain(LIFE, "us-osha", on, years)
    assert f"the forecast is too long (got {years}); 1 to 40 years, to the end of 2099; ask for fewer years" in str(caught.value)
