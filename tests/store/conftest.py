"""Lets the tests of this folder import `record_makers` and `shop_makers`, and gives them a shop."""

import sys
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent / "records")]


@pytest.fixture
def shop(tmp_path):
    from shop_makers import new_shop

    with new_shop(tmp_path) as made:
        yield made
