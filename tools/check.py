"""Everything that `make test` runs, one step after the other, with a clear summary. Stops at nothing, fails at the end."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent

STEPS: list[tuple[str, list[str]]] = [
    ("lint", [str(BIN / "ruff"), "check", "."]),
    ("format", [str(BIN / "ruff"), "format", "--check", "-q", "."]),
    ("types", [str(BIN / "mypy")]),
    ("layer borders", [str(BIN / "lint-imports"), "--no-cache"]),
    ("generated docs", [sys.executable, "tools/gen_docs.py", "--check"]),
    ("catalogue", [sys.executable, "tools/words.py", "--check"]),
    ("tests", [str(BIN / "pytest"), "-q", "-n", str(os.cpu_count() or 2), "--dist", "worksteal", "-m", "not soak"]),
]


def main() -> int:
    results = []
    for name, command in STEPS:
        print(f"== {name}", flush=True)
        start = time.monotonic()
        code = subprocess.run(command, cwd=ROOT, check=False).returncode
        results.append((name, code, time.monotonic() - start))
    print("\nSummary")
    for name, code, seconds in results:
        print(f"  {'ok    ' if code == 0 else 'FAILED'} {name:<16} {seconds:6.1f} s")
    if not (shutil.which("chromium") or shutil.which("chromium-browser")):
        print("\n  NOT TESTED: the pages in a browser, for Chromium is not installed here (apt-get install chromium).")
    return 1 if any(code for _, code, _ in results) else 0


if __name__ == "__main__":
    sys.exit(main())
