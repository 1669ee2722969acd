"""Lets the tests of this folder import its helpers, and the invented shop and phones of the tests of the sync door."""

import sys
from pathlib import Path

_TESTS = Path(__file__).parent.parent
sys.path[:0] = [str(Path(__file__).parent), str(_TESTS / "web"), str(_TESTS / "records"), str(_TESTS / "sheets")]
