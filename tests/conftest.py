"""One profile for properties (HYPOTHESIS_PROFILE: `desk` explores, `mutants` is quick), and the folders whose helpers all tests import."""

import os
import sys
from pathlib import Path

from hypothesis import Phase, settings

settings.register_profile("build", derandomize=True, deadline=None, max_examples=100)
settings.register_profile("mutants", derandomize=True, deadline=None, max_examples=20, phases=[Phase.explicit, Phase.generate])
settings.register_profile("desk", deadline=None, max_examples=2000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "build"))

sys.path[:0] = [str(Path(__file__).parent / folder) for folder in ("rules", "sheets", "standards")]
