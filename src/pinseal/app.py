"""The only wiring place: the clock on the wall, the store, the reader of lists, the command line."""

from __future__ import annotations

import sys
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo


class App:
    """What the commands and pages get: each method loads what it needs when it is called."""

    def now(self) -> datetime:
        return datetime.now(UTC)

    def today(self, time_zone: str | None = None) -> date:
        """Today in a time zone; in this machine's own where none is set."""
        if time_zone:
            return self.now().astimezone(ZoneInfo(time_zone)).date()
        return self.now().astimezone().date()


def main() -> None:
    """The command `pinseal`."""
    from pinseal.cli.command import run

    sys.exit(run(App()))
