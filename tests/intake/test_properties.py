"""Whatever a list holds: no crash, every row accounted for, and precision that only widens."""

from __future__ import annotations

import contextlib
import re
import tempfile
from datetime import date
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from pinseal.dates import PartialDate
from pinseal.intake.counts import read_count
from pinseal.intake.date_cells import read_date
from pinseal.intake.date_words import DateContext
from pinseal.intake.kind_cells import read_kind
from pinseal.intake.reader import read_register
from pinseal.intake.register import Register
from pinseal.kinds import AGENTS
from pinseal.reasons import Refusal

settings.register_profile("intake", deadline=None, derandomize=True, max_examples=150)
settings.load_profile("intake")

CELLS = st.one_of(
    st.sampled_from(
        (
            "", "", "", "1", "5# ABC", "CO2 15", "HALON", "K", "6/14", "14/06", "2014", "'14", "see tag", "?", "-", "Total 3",
            "Site: North", "*** A ***",
            "7 x 5# ABC", "BC = sodium powder", "Tag", "Type", "Made", "Serviced", "41791", "07/08/09", "3/21/2024", "11/31/2022", '"',
            "x", "Next due",
            "removed 5/21", "2A10BC", "10 x 5", "201?", "spring 2016", "Serial no.", "2021", "2022", "6 L", "6-8 5# ABC",
            "recharged 2/19", "=1/0",
        )
    ),
    st.text(max_size=12),
)  # fmt: skip
ROWS = st.lists(st.lists(CELLS, max_size=7), max_size=12)
CONTEXTS = st.builds(
    DateContext,
    field=st.sampled_from(("manufactured", "last_maintenance", "last_hydrostatic_test")),
    order=st.sampled_from((None, "MDY", "DMY", "YMD", "mixed")),
    days=st.booleans(),
    latest_year=st.integers(1990, 2030),
    as_of=st.one_of(st.none(), st.dates(date(1990, 1, 1), date(2030, 12, 31))),
)


def _text(rows: list[list[str]]) -> str:
    return "".join(";".join('"' + cell.replace('"', '""') + '"' for cell in row) + "\n" for row in rows)


def _read(text: str, **options: object) -> Register | None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        path.write_bytes(text.encode("utf-8", errors="replace"))
        try:
            return read_register(path, today=date(2026, 6, 30), **options)  # type: ignore[arg-type]
        except Refusal:
            return None


@given(rows=ROWS, order=st.sampled_from((None, "MDY", "DMY")))
@example(rows=[[""], ["x"]], order=None)
@example(rows=[["5# ABC"]], order=None)
def test_every_row_ends_as_a_unit_a_non_unit_or_a_count(rows: list[list[str]], order: str | None) -> None:
    register = _read(_text([["Tag", "Type", "Made", "Serviced", "Notes"], *rows]), date_order=order)
    if register is None:
        return
    units = [unit.row for unit in register.units]
    others = [other.row for other in register.not_units]
    counts = [problem.row for problem in register.problems if problem.kind == "count-row"]
    accounted = units + others + counts
    assert len(accounted) == len(set(accounted))
    assert set(accounted) == set(range(1, max(accounted) + 1))


@given(content=st.binary(max_size=400))
def test_no_bytes_bring_the_reader_down(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        path.write_bytes(content)
        with contextlib.suppress(Refusal):
            assert read_register(path).not_units


@given(text=st.one_of(st.text(max_size=16), st.from_regex(r"[0-9/'. -]{1,12}", fullmatch=True)), context=CONTEXTS)
def test_a_date_is_never_more_exact_than_its_readings(text: str, context: DateContext) -> None:
    found = read_date(text, context)
    if found.ask is None or found.value is None:
        return
    readings = found.ask.cell_readings or found.ask.readings
    for reading in readings:
        if re.fullmatch(r"\d{4}(-\d{2}){0,2}", reading):
            assert str(reading).startswith(str(found.value))


@given(day=st.dates(date(1960, 1, 1), date(2035, 12, 31)))
def test_a_day_written_in_a_known_order_is_read_back(day: date) -> None:
    for order, pattern in (("MDY", "%m/%d/%Y"), ("DMY", "%d.%m.%Y"), ("DMY", "%d/%m/%Y"), (None, "%Y-%m-%d")):
        context = DateContext(order=order, days=True, latest_year=2036)
        assert read_date(day.strftime(pattern), context).value == PartialDate.of(day)


@given(day=st.dates(date(1960, 1, 1), date(2035, 12, 31)))
def test_an_unknown_order_never_shuts_the_true_day_out(day: date) -> None:
    for pattern in ("%m/%d/%Y", "%d/%m/%Y", "%m/%d/%y", "%d/%m/%y"):
        found = read_date(day.strftime(pattern), DateContext(days=True, latest_year=2036)).value
        assert found is None or str(day).startswith(str(found))


@given(text=st.text(max_size=24))
def test_kinds_and_counts_never_fail_and_give_known_codes(text: str) -> None:
    kind = read_kind(text)
    assert kind.agent is None or kind.agent in AGENTS
    assert set(kind.unsure) <= set(AGENTS)
    count = read_count(text)
    assert count is None or count.total is None or count.total >= 0


@given(rows=ROWS)
def test_reading_twice_gives_the_same_and_answers_only_add(rows: list[list[str]]) -> None:
    text = _text([["Tag", "Type", "Made", "Serviced", "Notes"], *rows])
    first, second = _read(text), _read(text)
    if first is None or second is None:
        assert first is second
        return
    assert first.as_json() == second.as_json()
    skipped = _read(text, answers={question.id: "unknown" for question in first.questions})
    assert skipped is not None
    assert [unit.as_json() for unit in skipped.units] == [unit.as_json() for unit in first.units]
