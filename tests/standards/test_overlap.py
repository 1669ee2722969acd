"""One unit has one value for a duty at a time: what overlaps, and what does not."""

from pathlib import Path

import pytest
from pack_makers import provision, write_pack

from pinseal.reasons import Refusal
from pinseal.standards import load_pack

STEEL = 'shell = ["mild-steel"]'
OTHER = 'shell = ["aluminium"]'


def test_an_id_that_is_used_twice_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal) as caught:
        load_pack(write_pack(tmp_path, provision(STEEL), provision(OTHER)))
    assert "trial/clocks.toml, provision yearly: the id is used twice" in str(caught.value)
    assert "ids are unique in a pack; rename one" in str(caught.value)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (provision(), provision(id='"again"')),
        (provision(STEEL), provision(id='"again"')),
        (provision(STEEL), provision('agent = ["co2"]', id='"again"')),
        (provision('agent = ["all-foam"]'), provision('agent = ["afff"]', id='"again"')),
        (provision(in_force_to="2012-06-18"), provision(id='"again"', in_force_from="2012-06-18")),
        (provision(in_force_from="2012-06-18"), provision(id='"again"', in_force_to="2012-06-18")),
        (provision(), provision(id='"again"', effect='"exempt"', after=None, interval=None, first=None)),
        (provision(), provision(id='"again"', editions='["2011"]')),
    ],
)
def test_two_values_for_one_unit_are_refused(tmp_path: Path, one: str, other: str) -> None:
    with pytest.raises(Refusal) as caught:
        load_pack(write_pack(tmp_path, one, other))
    words = str(caught.value)
    assert "trial/clocks.toml, provision again: two values for the same duty of the same unit (got yearly (trial/clocks.toml)" in words
    assert "narrow `applies`, `editions` or the days in force of one of them" in words


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (provision(STEEL), provision(OTHER, id='"again"')),
        (provision(f'{STEEL}\nagent = ["abc"]'), provision(f'{STEEL}\nagent = ["co2"]', id='"again"')),
        (provision(in_force_to="2012-06-17"), provision(id='"again"', in_force_from="2012-06-18")),
        (provision(editions='["2001"]'), provision(id='"again"', editions='["2011"]')),
        (provision(), provision(id='"again"', duty='"inspection"')),
        (provision(), provision(id='"again"', checked='"unsure"')),
        (provision(duty='"retirement"'), provision(id='"again"', duty='"retirement"')),
    ],
)
def test_what_does_not_meet_is_loaded(tmp_path: Path, one: str, other: str) -> None:
    assert [p.id for p in load_pack(write_pack(tmp_path, one, other)).provisions] == ["yearly", "again"]


def test_overlaps_are_found_across_the_files_of_a_pack(tmp_path: Path) -> None:
    pack = write_pack(tmp_path, provision())
    (pack / "more.toml").write_text(provision(id='"again"'), encoding="utf-8")
    with pytest.raises(Refusal) as caught:
        load_pack(pack)
    assert "trial/more.toml, provision again: two values" in str(caught.value)
