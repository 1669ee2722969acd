"""A pytest plugin for `make mutants`: every test matches provisions anew.

The matching of nameplates is remembered for the life of the program. A test that meets a remembered plan runs none of
the code that made it, so a change of that code would go unseen there.
"""

import pytest

from pinseal.rules import matching


@pytest.fixture(autouse=True)
def _fresh_caches() -> None:
    matching._plan_for.cache_clear()
