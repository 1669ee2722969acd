"""`python -m pinseal.intake FILE`: print what a list says, as JSON. For trying the reader out; `pinseal read` is the command."""

from __future__ import annotations

import json
import sys

from pinseal.intake.reader import read_register
from pinseal.reasons import Refusal


def main(arguments: list[str]) -> int:
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m pinseal.intake FILE\n")
        return 2
    try:
        shape: dict[str, object] = read_register(arguments[0]).as_json()
        code = 0
    except Refusal as refusal:
        shape, code = {"error": refusal.as_json()}, refusal.exit_code
    sys.stdout.write(json.dumps(shape, ensure_ascii=False, indent=1) + "\n")
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
