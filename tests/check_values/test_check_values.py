"""Published check values, each with its source beside it: the answers are the sources', not ours."""

from pathlib import Path

import pytest
from trade_cases import Case, check, read_cases

CASES = dict(read_cases(Path(__file__).parent))


@pytest.mark.parametrize("name", CASES)
def test_check_value(name: str) -> None:
    case: Case = CASES[name]
    check(case)
