"""The supply bottles of the invented shop, and the unit that leaks there."""

from __future__ import annotations

import pytest
from demo_shop import demo, sealed, units

from pinseal.demo.supplies import FILLINGS, LEAKING
from pinseal.records.bottles import fold_bottles
from pinseal.service.leak_of_unit import leak_answer
from pinseal.service.supplies import held_bottle


def test_one_unit_leaks_so_slowly_that_its_gauge_is_still_in_the_band() -> None:
    unit = next(each for each in units() if each.state.id == LEAKING)
    answer = leak_answer(unit, LEAKING, demo().day)
    assert answer is not None
    assert (answer.verdict, answer.kind) == ("fail", "slow-leak")


def test_the_bottles_are_read_and_what_they_hold_can_be() -> None:
    held = [held_bottle(each) for each in fold_bottles(sealed())]
    assert {each.kept.id for each in held} == {each.id for each in FILLINGS}
    assert [each.kept.id for each in held if each.kept.returned] == ["N2-0"]
    for each in held:
        assert each.why == ""
        assert each.contents_scf == pytest.approx(150, abs=130), each.kept.id
    assert [each.kept.id for each in held if not each.kept.dew_point] == ["N2-3"]
