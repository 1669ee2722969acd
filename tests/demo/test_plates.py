"""The demo's nameplates: invented figures that hang together, read on most units and worn off on a few."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

import pytest
from demo_shop import demo, units

from pinseal import kinds
from pinseal.demo.figures import FIGURES
from pinseal.demo.models import MODELS, Model
from pinseal.measures import PSI_PA, parse_measure
from pinseal.physics.agent_densities import AGENT_DENSITIES
from pinseal.physics.water_units import ULLAGE_SHARE_MIN
from pinseal.records.registering import read_nameplate
from pinseal.records.unit import Nameplate
from pinseal.rules.co2_fill import judge_co2_fill
from pinseal.sheets.plate import Plate, read_plate

MUSEUM_PIECES = {"soda-acid", "chemical-foam", "vapour", "cartridge-water", "water-1968", "water-fibre"}
WITH_FIGURES = [MODELS[key] for key in FIGURES]
STORED = [model for model in WITH_FIGURES if model.expelled_by == "stored-pressure"]
# A heap of powder takes at least twice the room of its grains (common practice, no source).
LOOSE_SHARE = 0.5


def _nameplate(model: Model) -> Nameplate:
    return read_nameplate(model.nameplate)


def _plate(model: Model) -> Plate:
    return read_plate(_nameplate(model))


def _charge_kg(plate: Plate) -> Fraction:
    assert plate.gross_kg is not None
    assert plate.empty_kg is not None
    return plate.gross_kg - plate.empty_kg


def test_every_model_but_the_museum_pieces_has_its_figures() -> None:
    assert set(MODELS) - set(FIGURES) == MUSEUM_PIECES


@pytest.mark.parametrize("model", WITH_FIGURES, ids=lambda model: model.key)
def test_the_full_weight_is_the_empty_weight_and_the_charge_and_lies_in_its_band(model: Model) -> None:
    plate = _plate(model)
    assert plate.unreadable == ()
    assert plate.gross_low_kg is not None
    assert plate.gross_high_kg is not None
    assert plate.gross_kg is not None
    assert plate.gross_low_kg < plate.gross_kg < plate.gross_high_kg
    assert plate.net_kg is None or _charge_kg(plate) == plate.net_kg


@pytest.mark.parametrize("model", STORED, ids=lambda model: model.key)
def test_a_stored_pressure_unit_stands_within_its_band_and_is_tested_above_it(model: Model) -> None:
    plate = _plate(model)
    assert plate.gas in kinds.GASES
    assert plate.gauge_low_pa is not None
    assert plate.charge_pa is not None
    assert plate.gauge_high_pa is not None
    assert plate.test_pa is not None
    assert 0 < plate.gauge_low_pa < plate.charge_pa < plate.gauge_high_pa < plate.test_pa


def test_only_units_with_a_gauge_have_a_band_only_cartridge_units_a_cartridge_only_driven_ones_a_regulator() -> None:
    for model in WITH_FIGURES:
        plate = _plate(model)
        assert (plate.gauge_low_pa is not None) == (model.expelled_by == "stored-pressure"), model.key
        assert (plate.cartridge_kg is not None) == (model.expelled_by == "cartridge"), model.key
        assert (plate.regulator_pa is not None) == (plate.expellant_pa is not None) == (model.expelled_by == "cylinder"), model.key
        assert plate.cartridge_kg is None or (plate.cartridge_low_kg is not None and 0 < plate.cartridge_low_kg < plate.cartridge_kg)


def test_the_powder_fits_loose_into_its_shell() -> None:
    powders = [model for model in WITH_FIGURES if model.agent in AGENT_DENSITIES and _plate(model).net_kg is not None]
    assert len(powders) >= 15
    for model in powders:
        plate = _plate(model)
        assert plate.water_m3 is not None
        assert float(_charge_kg(plate)) / plate.water_m3 < LOOSE_SHARE * AGENT_DENSITIES[model.agent].kg_m3, model.key


def test_carbon_dioxide_fills_at_most_68_percent_of_the_water_even_at_the_upper_weight() -> None:
    found = [model for model in WITH_FIGURES if model.agent == "co2"]
    assert len(found) == 4
    for model in found:
        plate = _plate(model)
        assert plate.marking is not None
        assert plate.gross_high_kg is not None
        assert plate.empty_kg is not None
        most = plate.gross_high_kg - plate.empty_kg
        verdict = judge_co2_fill(mass_kg=most, marking=plate.marking, on=date(2026, 11, 24), water_capacity_kg=plate.water_kg)
        assert (verdict.verdict, verdict.percent is not None and verdict.percent <= 68) == ("pass", True), model.key


def test_its_lower_weight_is_the_full_one_less_a_tenth_of_the_charge() -> None:
    for model in (each for each in WITH_FIGURES if each.agent == "co2"):
        plate = _plate(model)
        assert plate.net_kg is not None
        assert plate.gross_kg is not None
        assert plate.gross_low_kg == plate.gross_kg - plate.net_kg / 10


def test_liquids_leave_room_for_the_gas() -> None:
    liquids = [model for model in WITH_FIGURES if _nameplate(model).size and model.size.endswith(("gal", "l"))]
    assert len(liquids) >= 10
    for model in liquids:
        size, water = _nameplate(model).size, _plate(model).water_m3
        assert size is not None
        assert water is not None
        assert 1 - size.si / water >= ULLAGE_SHARE_MIN, model.key


def test_the_wheeled_unit_of_125_lb_is_charged_to_240_psi_and_tested_at_500() -> None:
    plate = _plate(MODELS["pk-125w"])
    assert (plate.charge_pa, plate.test_pa) == (240 * PSI_PA, 500 * PSI_PA)
    assert (plate.net_kg, plate.gross_kg) == (parse_measure("mass", "125 lb").exact, parse_measure("mass", "290 lb").exact)


def _read_now() -> Iterator[tuple[Nameplate, Plate]]:
    """The nameplates of the fleet on the demo's day that somebody has read, but for the museum pieces."""
    for unit in units():
        plate = unit.state.nameplate
        if plate.model and plate.shell and not unit.state.removed and plate.model in {model.name for model in WITH_FIGURES}:
            yield plate, read_plate(plate)


def test_most_units_carry_their_figures() -> None:
    read = list(_read_now())
    whole = [plate for plate, figures in read if figures.gross_kg is not None and figures.gross_high_kg is not None and figures.water_kg]
    assert len(read) > 550
    assert len(whole) >= len(read) - 12


def test_a_list_gives_none_of_them() -> None:
    unread = [unit.state.nameplate for unit in units() if not unit.state.removed and unit.state.nameplate.shell is None]
    assert len(unread) > 10
    assert all(plate.gross_weight is None and plate.test_pressure is None and plate.water_capacity is None for plate in unread)


def test_a_few_plates_that_were_read_lack_one_fact_and_the_record_says_which() -> None:
    worn = [deed for deed in demo().deeds if deed.kind == "registered" and "worn off" in deed.fields.get("note", "")]
    missing = {deed.fields["note"].removeprefix("the ").removesuffix(" on the plate is worn off").replace(" ", "-") for deed in worn}
    assert len(worn) == 12
    assert all(deed.fields["note"].split(" on the")[0].removeprefix("the ").replace(" ", "-") not in deed.fields for deed in worn)
    assert missing >= {"service-pressure", "gross-weight", "test-pressure", "water-capacity", "cartridge-weight", "regulator-pressure"}
    now = {unit.state.id: unit.state for unit in units()}
    assert all(now[deed.unit].removed is None for deed in worn if deed.unit in now)
