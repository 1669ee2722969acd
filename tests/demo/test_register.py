"""The old shop's list, read by the real reader: every row told, every unit as it was meant."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from demo_shop import demo

from pinseal.intake.reader import read_register
from pinseal.intake.register import Register

FACTS = (
    "id", "serial", "site", "place", "agent", "size", "manufactured", "last_maintenance", "last_internal_examination",
    "last_hydrostatic_test", "last_recharge",
)  # fmt: skip


@cache
def _read(*, answered: bool = True) -> Register:
    with TemporaryDirectory() as folder:
        path = Path(folder) / demo().register_name
        path.write_bytes(demo().register_bytes)
        return read_register(path, demo().answers if answered else {})


def test_no_row_is_lost() -> None:
    register = _read()
    told = [each.row for each in (*register.units, *register.not_units)] + [
        each.row for each in register.problems if each.kind == "count-row"
    ]
    assert sorted(told) == list(range(1, len(demo().register_bytes.splitlines()) + 1))


def test_the_rows_that_are_units_are_found_and_no_others() -> None:
    assert [unit.row for unit in _read().units] == [row.row for row in demo().listed]


@pytest.mark.parametrize("fact", FACTS)
def test_the_reader_finds_what_was_meant(fact: str) -> None:
    found = {unit.row: getattr(unit, fact) for unit in _read().units}
    assert {row: str(value) for row, value in found.items() if value is not None} == {
        row.row: row.meant[fact] for row in demo().listed if fact in row.meant
    }


def test_without_answers_it_asks_for_exactly_those_that_are_given() -> None:
    assert {question.id for question in _read(answered=False).questions} == set(demo().answers)
    assert _read().questions == ()
    assert _read().unused_answers == ()


def test_dates_are_month_first_by_the_evidence_of_the_list() -> None:
    assert _read().date_order == "MDY"


def test_the_moorings_are_only_counted() -> None:
    (counted,) = [problem for problem in _read().problems if problem.kind == "count-row"]
    assert (counted.count, counted.site) == (7, "Small Craft Moorings")
    assert [(part.count, part.agent, str(part.size)) for part in counted.parts] == [(7, "abc", "5 lb")]


def test_units_that_are_gone_are_told_and_so_are_the_shared_disc_the_wrong_subtotal_and_the_torn_dates() -> None:
    by_kind: dict[str, list[int]] = {}
    for problem in _read().problems:
        by_kind.setdefault(problem.kind, []).append(problem.row)
    assert by_kind["removed"] == [row.row for row in demo().listed if row.key is None]
    assert by_kind["duplicate-id"] == [row.row for row in demo().listed if row.meant.get("id") == "117"]
    assert "Total Saltmeadow Brewery 36" in [problem.raw for problem in _read().problems if problem.kind == "count-mismatch"]
    assert len(by_kind["unreadable"]) >= 10


def test_dates_of_several_precisions_stand_in_it() -> None:
    made = [unit.manufactured for unit in _read().units]
    precisions = {when.precision if when else None for when in made}
    assert precisions == {"month", "year", None}
