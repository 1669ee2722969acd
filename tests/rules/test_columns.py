"""From what a plate says to the codes that provisions speak of; assumptions and their refusals."""

import pytest

from pinseal.reasons import Refusal
from pinseal.records.unit import Nameplate, UnitState
from pinseal.rules.columns import attribute_codes, parse_assumptions, specification_code
from pinseal.units import parse_quantity


@pytest.mark.parametrize(
    ("stamped", "code"),
    [
        ("DOT-4BW500", "4BW"),
        ("DOT 4B240ET", "4B240ET"),
        ("4B-240", "4B"),
        ("4BA 240", "4BA"),
        ("ICC-3A2015", "3A"),
        ("3AA2265", "3AA"),
        ("TC-3ALM153", None),
        ("CTC-3AL1800", "3AL"),
        ("dot-3al 1800", "3AL"),
        ("3AAX2400", "3AAX"),
        ("3E1800", "3E"),
        ("4DS500", "4DS"),
        ("39", "39"),
        ("none", "none"),
        ("non-specification", "none"),
        ("XYZ", None),
        ("4BWX", None),
        ("", None),
        (None, None),
    ],
)
def test_the_stamped_specification(stamped: str | None, code: str | None) -> None:
    assert specification_code(stamped) == code


@pytest.mark.parametrize(
    ("capacity", "code"),
    [
        ("11.9 lb", "up-to-12-lb"),
        ("12 lb", "up-to-12-lb"),
        ("12.01 lb", "over-12-lb"),
        ("5.44 kg", "up-to-12-lb"),
        ("5.44 l", "up-to-12-lb"),
        ("5.45 l", "over-12-lb"),
        ("192 oz", "up-to-12-lb"),
        ("30 lb", "over-12-lb"),
    ],
)
def test_twelve_pounds_of_water(capacity: str, code: str) -> None:
    state = UnitState(nameplate=Nameplate(water_capacity=parse_quantity(capacity)))
    assert attribute_codes(state)["water_capacity"] == code


def test_what_is_not_said_stays_unsaid() -> None:
    assert set(attribute_codes(UnitState()).values()) == {None}


def test_assumptions_are_read_with_hyphens_or_spaces() -> None:
    assert parse_assumptions("shell=mild-steel, expelled-by = pump,") == {"shell": "mild-steel", "expelled_by": "pump"}
    assert parse_assumptions("water capacity=over-12-lb,wheeled=no") == {"water_capacity": "over-12-lb", "wheeled": "no"}
    assert parse_assumptions(None) == parse_assumptions("") == {}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("colour=red", "this cannot be assumed (got colour=red); a nameplate fact is one of agent, expelled-by, shell"),
        ("shell", "unknown shell (got nothing); shell is one of mild-steel"),
        ("shell=wood", "unknown shell (got wood); shell is one of mild-steel"),
        ("wheeled=true", "unknown wheeled (got true); wheeled is one of yes, no; use a listed code"),
    ],
)
def test_a_wrong_assumption_is_refused(text: str, words: str) -> None:
    with pytest.raises(Refusal) as caught:
        parse_assumptions(text)
    assert words in str(caught.value)
