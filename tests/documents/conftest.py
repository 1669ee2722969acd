"""The makers of marks beside this file can be imported by the tests."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
