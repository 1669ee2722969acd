"""Dated cases in the trade's words: unit, history, day asked, dues."""

from pathlib import Path

import pytest
from trade_cases import Case, check, read_cases

CASES = dict(read_cases(Path(__file__).parent))


@pytest.mark.parametrize("name", CASES)
def test_situation(name: str) -> None:
    case: Case = CASES[name]
    check(case)
