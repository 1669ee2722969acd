"""Lets the tests of this folder import `record_makers`."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent.parent / "records")]
