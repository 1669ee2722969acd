"""Lets the tests of this folder import `pseudo`, and the walk through the pages."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent / "web")]
